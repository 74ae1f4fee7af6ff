#include "server/searches.h"

#include <fmt/format.h>

#include <algorithm>

#include "search/parallel.h"

namespace steerbench::server {

SharedSetup Found::Entry(std::size_t entry, bool best) const {
  if (entry >= report_.outcome.lines.size()) return nullptr;
  const std::scoped_lock lock(mutex_);
  SharedSetup& setup = setups_[{entry, best}];
  if (!setup) {
    const search::Line& line = best ? report_.Best(entry) : report_.outcome.lines[entry];
    setup = std::make_shared<const FittedSetup>(
        state_->document, std::pair(fmt::format("entry-{}", entry + 1), line.setup));
  }
  return setup;
}

std::string SearchKey(const Document& document) {
  Document bare = document;
  const std::string asked = document.search ? document.search->base : "";
  const auto base =
      std::ranges::find(bare.setup, asked, &std::pair<std::string, Setup<Quantity>>::first);
  if (base != bare.setup.end()) std::swap(*base, bare.setup.front());
  if (bare.setup.size() > 1) bare.setup.resize(1);
  return WriteJson(bare);
}

SearchRun::SearchRun(SharedState state, std::size_t most)
    : state_(std::move(state)), most_(most), key_(SearchKey(state_->document)) {}

void SearchRun::Run(const Jobs::Tell& tell, const std::optional<search::Progress>& from) {
  struct AtEnd {
    SearchRun& run;
    ~AtEnd() {
      const std::scoped_lock lock(run.mutex_);
      run.ended_ = true;
    }
  } at_end{*this};
  const int threads = search::Cores();
  const Document& document = state_->document;
  const search::Space space = search::MakeSpace(document);
  const search::StatedWishes wishes = search::WishesOf(document.search);
  search::Searcher searcher(document, space, wishes.of, threads);
  if (from) searcher.Continue(*from);
  bool stopped = false;
  try {
    do {
      tell(searcher.Share());
    } while (searcher.Step());
  } catch (const JobStopped&) {
    stopped = true;
  }
  auto found = std::make_shared<const Found>(
      state_, ReportOf(document, space, wishes, searcher, most_, threads),
      stopped ? std::optional(searcher.At()) : std::nullopt);
  {
    const std::scoped_lock lock(mutex_);
    found_ = std::move(found);
  }
  if (stopped) throw JobStopped{};
}

bool SearchRun::Ended() const {
  const std::scoped_lock lock(mutex_);
  return ended_;
}

std::shared_ptr<const Found> SearchRun::Result() const {
  const std::scoped_lock lock(mutex_);
  return found_;
}

void Searches::Keep(std::uint64_t job, std::shared_ptr<SearchRun> run) {
  const std::scoped_lock lock(mutex_);
  runs_[job] = std::move(run);
  // One that still runs stays, however many began after it.
  for (auto at = runs_.begin(); runs_.size() > kKept && at != runs_.end();) {
    at = at->second->Ended() ? runs_.erase(at) : std::next(at);
  }
}

std::shared_ptr<SearchRun> Searches::Look(std::uint64_t job) const {
  const std::scoped_lock lock(mutex_);
  const auto found = runs_.find(job);
  return found == runs_.end() ? nullptr : found->second;
}

std::uint64_t Searches::Newest() const {
  const std::scoped_lock lock(mutex_);
  return runs_.empty() ? 0 : runs_.rbegin()->first;
}

}  // namespace steerbench::server
