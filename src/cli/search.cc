#include <fmt/format.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <cstdio>

#include "cli/load.h"
#include "report/search.h"
#include "search/keep.h"
#include "search/parallel.h"
#include "store/file.h"

namespace steerbench::cli {
namespace {

volatile std::sig_atomic_t asked_to_stop = 0;

// Stops a search that is asked to end, so that what it found is not lost.
class StopOnInterrupt {
 public:
  StopOnInterrupt() : before_(std::signal(SIGINT, [](int) { asked_to_stop = 1; })) {}
  ~StopOnInterrupt() { std::signal(SIGINT, before_); }
  StopOnInterrupt(const StopOnInterrupt&) = delete;
  StopOnInterrupt& operator=(const StopOnInterrupt&) = delete;

 private:
  void (*before_)(int);
};

// Progress kept in a file, of which it is told now and then.
class Keeper {
 public:
  Keeper(std::string file, std::string form) : file_(std::move(file)), form_(std::move(form)) {}

  // False, and said why, when the file holds something else. `resumed_at`: how many combinations
  // had been looked at; unset where nothing was kept yet.
  bool Resume(search::Searcher& searcher, const search::Space& space, const search::Wishes& wishes,
              std::optional<double>& resumed_at) const {
    if (file_.empty()) return true;
    if (access(file_.c_str(), F_OK) != 0) return true;  // nothing kept yet
    const FileText file = ReadFile(file_, kMostKept);
    if (!file.error.empty()) {
      Complain(fmt::format("--keep {}", file.error));
      return false;
    }
    search::Kept kept = search::KeptProgress(file.text, form_, space, wishes);
    if (!kept.progress) {
      Complain(fmt::format("--keep {}: {}; name another file, or delete it", file_, kept.why));
      return false;
    }
    resumed_at = kept.progress->looked_at;
    searcher.Continue(std::move(*kept.progress));
    return true;
  }

  // False, and said why, when it could not be written.
  bool Keep(const search::Progress& progress) const {
    if (file_.empty()) return true;
    const std::string error = WriteFileAtomically(file_, search::KeepProgress(progress, form_));
    if (!error.empty()) Complain(fmt::format("--keep {}", error));
    return error.empty();
  }

 private:
  static constexpr std::size_t kMostKept = 256u << 20;  // bytes
  std::string file_, form_;
};

int ThreadsOf(int asked) { return asked > 0 ? asked : search::Cores(); }

// Runs until done or stopped; tells a person who watches how far it is. False when its progress
// could not be kept.
bool Run(search::Searcher& searcher, const Keeper& keeper) {
  using Clock = std::chrono::steady_clock;
  constexpr std::chrono::milliseconds kPatience{500};
  constexpr std::chrono::seconds kKeepEvery{10};
  const bool terminal = isatty(STDERR_FILENO) == 1;
  auto told = Clock::now(), kept = told;
  bool shown = false;
  while (asked_to_stop == 0 && searcher.Step()) {
    const auto now = Clock::now();
    if (terminal && now - told > kPatience) {
      std::fprintf(stderr, "\rsearch: %3.0f %%, %zu kept", 100.0 * searcher.Share(),
                   searcher.At().entries.size());
      told = now;
      shown = true;
    }
    if (now - kept > kKeepEvery) {
      (void)keeper.Keep(searcher.At());
      kept = now;
    }
  }
  if (shown) std::fprintf(stderr, "\r\033[K");
  return keeper.Keep(searcher.At());
}

// Writes one entry into the document as a setup.
int Take(SearchReport& report, const SearchOptions& o) {
  const auto ranked = Rank(report.outcome, search::EvenWeights());
  if (o.take > static_cast<int>(ranked.size())) {
    Complain(fmt::format("--take {}: {}", o.take,
                         ranked.empty() ? "nothing was found that could be taken"
                                        : fmt::format("there are {} entries shown; --most shows "
                                                      "more",
                                                      ranked.size())));
    return kUnusable;
  }
  const std::size_t at = ranked[static_cast<std::size_t>(o.take) - 1].line;
  const int written = WriteEdits(o.file, SetupEdits(o.as, report.Best(at).setup));
  if (written == kAllWell) report.taken = {static_cast<std::size_t>(o.take), o.as, at};
  return written;
}

// Whether what is asked for can be done; says why not.
bool Usable(const SearchOptions& o, const Document& document) {
  const auto refuse = [](const std::string& why) {
    Complain(why);
    return false;
  };
  if (o.take > 0 && o.as.empty()) return refuse("--take needs --as: the name of the new setup");
  if (o.take == 0 && !o.as.empty()) return refuse("--as needs --take: which entry to write");
  if (o.take > 0 && o.file == "-") {
    return refuse("--take writes into the file, so the file must have a name");
  }
  for (const auto& [name, setup] : document.setup) {
    if (name == o.as) {
      return refuse(fmt::format("--as {}: there is such a setup already; name a new one", name));
    }
  }
  return true;
}

}  // namespace

int RunSearch(const SearchOptions& o) {
  const Loaded loaded = Load(o.file);
  if (!loaded.usable) return kUnusable;
  const Document& document = loaded.document;
  if (document.setup.empty()) {
    Complain(
        fmt::format("{}: a search counts from a setup: add one, [setup.now], with what is "
                    "fitted",
                    o.file));
    return kUnusable;
  }
  if (!Usable(o, document)) return kUnusable;
  const search::Space space = search::MakeSpace(document);
  if (const std::string why = search::WhyTooLarge(space); !why.empty()) {
    Complain(fmt::format("{}: {}", o.file, why));
    return kUnusable;
  }
  const search::StatedWishes wishes = search::WishesOf(document.search);
  const int threads = ThreadsOf(o.threads);
  search::Searcher searcher(document, space, wishes.of, threads);
  const Keeper keeper(o.keep, WriteJson(document));
  std::optional<double> resumed_at;
  if (!keeper.Resume(searcher, space, wishes.of, resumed_at)) return kUnusable;
  if (!keeper.Keep(searcher.At())) return kUnusable;
  bool kept = true;
  {
    const StopOnInterrupt guard;
    kept = Run(searcher, keeper);
  }
  SearchReport report =
      ReportOf(document, space, wishes, searcher, static_cast<std::size_t>(o.most), threads);
  report.resumed_at = resumed_at;
  if (o.take > 0) {
    const int taken = Take(report, o);
    if (taken != kAllWell) return taken;
  }
  const TextStyle style = StyleOf(document, o);
  Print(o.json ? SearchJson(document.title, report, {style.units})
               : SearchText(document.title, report, style));
  if (!kept) return kUnusable;
  return report.outcome.lines.empty() ? kLimitExceeded : kAllWell;
}

}  // namespace steerbench::cli
