#include "search/search.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <map>

#include "document/document.h"
#include "search/joints.h"
#include "search/parallel.h"
#include "search/reasons.h"
#include "search/stages.h"

namespace steerbench::search {
namespace {

// Linkages and assistances looked at alone in one step.
constexpr std::size_t kParts = 512;
// Pairs of a linkage and an assistance dealt with in one step, and by one thread at a time. The
// result does not depend on the second.
constexpr std::size_t kBlock = 1u << 15;
constexpr std::size_t kChunk = 256;
constexpr std::uint32_t kMostDoublings = 60;  // then all values are one

// Whole steps so many times as wide, each of which holds whole narrower ones: what beats another in
// narrow steps beats it, or is the same, in wide ones.
Score ScoreOf(const Wishes& wishes, const AimValues& aims, double width) {
  Score score;
  for (std::size_t i = 0; i < kAims; ++i) {
    if (!wishes[i].want) continue;
    score.push_back(std::floor(Penalty(wishes[i], AimInfos()[i], *aims[i]) / width));
  }
  return score;
}

}  // namespace

double Progress::StepWidth() const { return std::ldexp(1.0, static_cast<int>(doublings)); }

bool Fits(const Progress& progress, const Space& space) {
  double shared = 1.0, pairs = 1.0;
  for (const Dimension& d : space.dimension) {
    (d.facet == Facet::kBoth ? shared : pairs) *= static_cast<double>(d.option.size());
  }
  return static_cast<double>(progress.shared) <= shared &&
         static_cast<double>(progress.pair) <= pairs && progress.looked_at >= 0.0 &&
         progress.looked_at <= space.Count() && progress.doublings <= kMostDoublings;
}

struct Searcher::Work {
  const Document& document;
  const Space& space;
  const Wishes& wishes;
  int threads;
  std::size_t most_kept;
  Lowered lowered{document, space};
  Joints joints{document, space};
  std::vector<Bill> adapter_bill;
  std::vector<Choice> shared = ChoicesOf(space, Choice(space.dimension.size(), 0), Facet::kBoth);
  Joiner::Needed needed{};
  Progress at, settled;  // as it is, and as it was after the last whole block

  // Those of a block that are left, by their score: of the ones alike the first that keeps every
  // limit stands for all.
  struct Group {
    Score score;
    std::vector<std::pair<std::size_t, AimValues>> member;  // its pair, and what it comes to
    std::size_t next = 0;                                   // the first not yet looked at
    std::size_t batch = 1;  // how many to look at together: more each time that all fail
  };

  // Of the shared choice at hand.
  bool begun = false, ready = false;  // parts listed; looked at alone, those left out gone
  std::size_t looked_alone = 0;
  std::vector<LinkagePart> linkage;  // those that are not left out
  std::vector<AssistPart> assist;    // likewise
  std::deque<Joiner> joiner;         // by thread

  std::vector<Group> pending;  // of the block at hand
  struct Result {
    Reason left_out = kKept;
    AimValues aims;
    Score score;
  };

  Work(const Document& d, const Space& s, const Wishes& w, int n, std::size_t most)
      : document(d), space(s), wishes(w), threads(std::max(1, n)), most_kept(most) {
    for (const auto& adapter : document.adapter)
      adapter_bill.push_back(BillOfPart(adapter.second, "adapter." + adapter.first));
    for (std::size_t i = 0; i < kAims; ++i) needed[i] = wishes[i].Matters();
    at.left_out.assign(kReasons, 0);
    settled = at;
  }

  // Begins with the linkages and assistances of the shared choice.
  void Begin() {
    const Choice& from = shared[at.shared];
    linkage.clear();
    assist.clear();
    joiner.clear();
    looked_alone = 0;
    for (const Choice& c : ChoicesOf(space, from, Facet::kLinkage)) {
      linkage.emplace_back();
      linkage.back().choice = c;
    }
    for (const Choice& c : ChoicesOf(space, from, Facet::kAssist)) {
      assist.emplace_back();
      assist.back().choice = c;
    }
    begun = true;
  }

  // Looks at the next of them alone.
  void LookAlone() {
    const std::size_t linkages = linkage.size(), all = linkages + assist.size();
    const std::size_t count = std::min(kParts, all - looked_alone);
    ParallelFor(threads, count, [&](std::size_t, std::size_t k) {
      const std::size_t i = looked_alone + k;
      if (i < linkages) return LookAtLinkage(lowered, wishes, linkage[i]);
      AssistPart& part = assist[i - linkages];
      if (!space.Possible(part.choice)) {
        part.left_out = kImpossible;
      } else if (!space.Complete(part.choice)) {
        part.left_out = kIncomplete;
      } else {
        LookAtAssist(lowered, part);
      }
    });
    looked_alone += count;
    if (looked_alone == all) Pair();
  }

  // Counts those left out alone, and makes the others ready to be joined.
  void Pair() {
    const std::size_t linkages = linkage.size(), assists = assist.size();
    const bool fresh = !at.alone_counted;
    at.alone_counted = true;
    for (const LinkagePart& l : linkage) {
      if (l.left_out != kKept && fresh) at.left_out[l.left_out] += assists;
    }
    std::erase_if(linkage, [](const LinkagePart& l) { return l.left_out != kKept; });
    for (const AssistPart& a : assist) {
      if (a.left_out != kKept && fresh) at.left_out[a.left_out] += linkage.size();
    }
    std::erase_if(assist, [](const AssistPart& a) { return a.left_out != kKept; });
    if (fresh) {
      at.looked_at += static_cast<double>(linkages) * static_cast<double>(assists) -
                      static_cast<double>(linkage.size()) * static_cast<double>(assist.size());
    }
    // The linkage's bill holds that of what is shared.
    for (LinkagePart& l : linkage) l.bill = space.BillOf(l.choice);
    for (AssistPart& a : assist) a.bill = BillWithin(a.choice);
    if (!linkage.empty()) {
      for (int t = 0; t < threads; ++t) joiner.emplace_back(assist, linkage.front());
    }
    ready = true;
  }

  // Of the assistance's own dimensions alone.
  Bill BillWithin(const Choice& choice) const {
    Choice own(choice.size(), 0);
    for (std::size_t d = 0; d < choice.size(); ++d) {
      if (space.dimension[d].facet == Facet::kAssist) own[d] = choice[d];
    }
    return space.BillOf(own);
  }

  Choice Both(std::size_t pair) const {
    const LinkagePart& l = linkage[pair / assist.size()];
    const AssistPart& a = assist[pair % assist.size()];
    Choice choice = l.choice;
    for (std::size_t d = 0; d < choice.size(); ++d) {
      if (space.dimension[d].facet == Facet::kAssist) choice[d] = a.choice[d];
    }
    return choice;
  }

  bool Beaten(const Score& score) const {
    return std::ranges::any_of(at.entries, [&](const Entry& e) {
      return CompareScores(e.score, score) == Order::kFirstBetter;
    });
  }

  Result LookAt(std::size_t thread, std::size_t pair) {
    const LinkagePart& l = linkage[pair / assist.size()];
    const std::size_t a = pair % assist.size();
    Result r;
    const Together together = joints.Of(Both(pair));
    if (!together.fits) return r.left_out = kFaces, r;
    r.aims = l.aims;
    Bill bill = l.bill;
    Add(bill, assist[a].bill);
    for (const std::size_t adapter : together.adapters) Add(bill, adapter_bill[adapter]);
    const auto weights = joiner[thread].Weigh(l, a, needed);
    for (std::size_t i = 0; i < kAims; ++i) {
      if (weights.aims[i]) r.aims[i] = weights.aims[i];
    }
    Put(r.aims, bill);
    r.left_out = weights.pressure_short ? kFirstCheck + static_cast<Reason>(Check::kPressureReserve)
                                        : Unmet(wishes, r.aims, true);
    if (r.left_out != kKept) return r;
    r.score = ScoreOf(wishes, r.aims, at.StepWidth());
    if (Beaten(r.score)) r.left_out = kBeaten;
    return r;
  }

  // One round of taking them into the entries, the unbeaten first: only what nothing beats is worth
  // a whole evaluation.
  void Take() {
    std::erase_if(pending,
                  [&](const Group& g) { return Settled(g.score, g.member.size() - g.next); });
    std::vector<Score> scores;
    for (const Group& g : pending) scores.push_back(g.score);
    struct Look {
      std::size_t group, member;
      Reason verdict = kKept;
    };
    std::vector<Look> looks;
    for (const std::size_t i : Unbeaten(scores)) {
      const Group& g = pending[i];
      const std::size_t end = std::min(g.next + g.batch, g.member.size());
      if (!looks.empty() && looks.size() + end - g.next > kParts) break;
      for (std::size_t m = g.next; m < end; ++m) looks.push_back({i, m});
    }
    ParallelFor(threads, looks.size(), [&](std::size_t, std::size_t i) {
      const std::size_t pair = pending[looks[i].group].member[looks[i].member].first;
      looks[i].verdict =
          FirstExceeded(Evaluate(lowered.Of(Both(pair))), true, [](Check) { return true; });
    });
    for (const Look& look : looks) {
      Group& g = pending[look.group];
      if (look.member != g.next) continue;  // one before it stands for it
      if (look.verdict == kKept) {
        const auto& [pair, aims] = g.member[look.member];
        Enter(Entry{Both(pair), aims, g.score, g.member.size() - g.next - 1});
        g.next = g.member.size();
      } else {
        ++at.left_out[look.verdict];
        ++g.next;
        g.batch = std::min(2 * (look.member + 1), kParts);
      }
    }
    std::erase_if(pending, [](const Group& g) { return g.next == g.member.size(); });
  }

  void Enter(Entry entry) {
    std::erase_if(at.entries, [&](const Entry& old) {
      if (CompareScores(entry.score, old.score) != Order::kFirstBetter) return false;
      at.left_out[kBeaten] += 1 + old.alike;
      return true;
    });
    at.entries.push_back(std::move(entry));
  }

  // Whether an entry is as good or better; counts so many that it settles.
  bool Settled(const Score& score, std::size_t count) {
    for (Entry& e : at.entries) {
      const Order o = CompareScores(e.score, score);
      if (o == Order::kSame) e.alike += count;
      if (o == Order::kFirstBetter) at.left_out[kBeaten] += count;
      if (o == Order::kSame || o == Order::kFirstBetter) return true;
    }
    return false;
  }

  bool Step() {
    if (at.shared == shared.size()) return false;
    if (!begun) Begin();
    if (!ready) return LookAlone(), true;
    if (!pending.empty()) {
      Take();
      return !pending.empty() || Advance();
    }
    const std::size_t all = linkage.size() * assist.size();
    const std::size_t begin = std::min<std::size_t>(at.pair, all);
    const std::size_t count = std::min(kBlock, all - begin);
    std::vector<Result> results(count);
    ParallelFor(threads, (count + kChunk - 1) / kChunk, [&](std::size_t thread, std::size_t chunk) {
      const std::size_t end = std::min(count, (chunk + 1) * kChunk);
      for (std::size_t i = chunk * kChunk; i < end; ++i) results[i] = LookAt(thread, begin + i);
    });
    std::map<Score, std::size_t> group_of;
    for (std::size_t i = 0; i < count; ++i) {
      Result& r = results[i];
      if (r.left_out != kKept) {
        ++at.left_out[r.left_out];
      } else {
        const auto [known, fresh] = group_of.emplace(r.score, pending.size());
        if (fresh) pending.push_back({r.score, {}});
        pending[known->second].member.emplace_back(begin + i, r.aims);
      }
    }
    at.looked_at += static_cast<double>(count);
    at.pair = begin + count;
    return !pending.empty() || Advance();
  }

  // Compares in steps so wide that few enough entries remain. Between blocks, so that it is the
  // same for any number of threads.
  void Coarsen() {
    while (at.entries.size() > most_kept && at.doublings < kMostDoublings) {
      ++at.doublings;
      std::vector<Entry> before = std::move(at.entries);
      at.entries.clear();
      for (Entry& e : before) {
        e.score = ScoreOf(wishes, e.aims, at.StepWidth());
        if (!Settled(e.score, 1 + e.alike)) Enter(std::move(e));
      }
    }
  }

  // The next block is begun, or the next shared choice; false when there is none.
  bool Advance() {
    Coarsen();
    if (at.pair == linkage.size() * assist.size()) {
      ++at.shared;
      at.pair = 0;
      at.alone_counted = false;
      ready = begun = false;
    }
    settled = at;
    return at.shared < shared.size();
  }
};

Searcher::Searcher(const Document& document, const Space& space, const Wishes& wishes, int threads,
                   std::size_t most_kept)
    : work_(std::make_unique<Work>(document, space, wishes, threads, most_kept)) {}
Searcher::~Searcher() = default;

bool Searcher::Step() { return work_->Step(); }
const Progress& Searcher::At() const { return work_->settled; }
double Searcher::Share() const { return work_->at.looked_at / work_->space.Count(); }

void Searcher::Continue(Progress progress) {
  work_->at = work_->settled = std::move(progress);
  work_->pending.clear();
  work_->ready = work_->begun = false;
}

std::vector<LeftOut> Searcher::LeftOutSoFar() const {
  std::vector<LeftOut> reasons;
  for (Reason r = kKept + 1; r < kReasons; ++r) {
    if (work_->settled.left_out[r] > 0) {
      reasons.push_back({TextOf(r), work_->settled.left_out[r]});
    }
  }
  std::ranges::stable_sort(reasons, std::ranges::greater{}, &LeftOut::count);
  return reasons;
}

}  // namespace steerbench::search
