#include "search/nearest.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "document/document.h"
#include "fit/fit.h"
#include "model/lift.h"
#include "search/joints.h"
#include "search/lowered.h"
#include "search/parallel.h"

namespace steerbench::search {
namespace {

constexpr double kLookedAtWhole = 2000;  // combinations: some seconds
constexpr std::size_t kMostCombinations = 6000;

// How far a combination is from keeping all: the lesser before the greater.
struct Distance {
  std::size_t misses = 0;
  double sum = 0.0;
  friend bool operator<(const Distance& a, const Distance& b) {
    return std::tie(a.misses, a.sum) < std::tie(b.misses, b.sum);
  }
};

// What is not known is far from kept, as far as several misses; but a price or hours need only be
// stated.
constexpr std::size_t kUnknownMisses = 3;
bool IsStated(Aim aim) { return aim == Aim::kCost || aim == Aim::kHours; }

// A miss as a share of its bound.
double ShareOf(double by, double bound) {
  return bound != 0.0 ? std::min(std::abs(by / bound), 1.0) : 1.0;
}

class Looker {
 public:
  Looker(const Document& document, const Space& space, const Wishes& wishes)
      : document_(document), space_(space), wishes_(wishes) {
    for (const auto& [name, adapter] : document.adapter) {
      adapter_bill_.push_back(BillOfPart(adapter, "adapter." + name));
    }
  }

  [[nodiscard]] Distance At(const Choice& choice) const { return Look(choice, nullptr); }

  [[nodiscard]] std::vector<Miss> MissesOf(const Choice& choice) const {
    std::vector<Miss> misses;
    (void)Look(choice, &misses);
    std::ranges::stable_sort(misses, {}, &Miss::reason);
    return misses;
  }

 private:
  // Notes one miss; the worst of those of one reason stands for all.
  struct Tally {
    std::map<Reason, double> share;
    std::vector<Miss>* misses;
    void Note(Miss miss, double part) {
      const auto [at, fresh] = share.emplace(miss.reason, part);
      if (fresh) {
        if (misses != nullptr) misses->push_back(std::move(miss));
        return;
      }
      if (part <= at->second) return;
      at->second = part;
      if (misses == nullptr) return;
      *std::ranges::find(*misses, miss.reason, &Miss::reason) = std::move(miss);
    }
  };

  Distance Look(const Choice& choice, std::vector<Miss>* misses) const {
    Tally tally{{}, misses};
    const Together together = joints_.Of(choice);
    const Evaluation<double> e = Evaluate(lowered_.Of(choice));
    Limits(e, tally);
    AimValues aims = AimsOf(e);
    Bill bill = space_.BillOf(choice);
    for (const std::size_t a : together.adapters) Add(bill, adapter_bill_[a]);
    Put(aims, bill);
    Bounds(aims, e, bill, choice, tally);
    Distance distance;
    for (const auto& [reason, share] : tally.share) {
      const bool far = reason >= kFirstUnknown && reason < kFirstUnknown + kAims &&
                       !IsStated(AimInfos()[reason - kFirstUnknown].id);
      distance.misses += far ? kUnknownMisses : 1;
      distance.sum += share;
    }
    if (!together.fits) {
      distance.misses += together.differing;
      distance.sum += static_cast<double>(together.differing);
      if (misses != nullptr) misses->push_back(Faces(choice));
    }
    return distance;
  }

  static void Limits(const Evaluation<double>& e, Tally& tally) {
    for (const CheckInfo& info : Checks()) {
      const Margin<double>& m = e.check[static_cast<std::size_t>(info.id)];
      if (m.absent || !m.value || *m.value >= 0.0) continue;
      tally.Note({kFirstCheck + static_cast<Reason>(info.id), -*m.value, info.kind, {}},
                 m.limit ? ShareOf(*m.value, *m.limit) : 1.0);
    }
    for (const Way way : kWays) {
      const auto& limits = e.ends[Index(way)].limit;
      for (std::size_t i = 0; i < limits.size(); ++i) {
        if (!EndExceeded(e, way, i)) continue;
        Miss miss{kFirstEnd + static_cast<Reason>(limits[i].end), {}, Kind::kLength, {}};
        const Margin<double>& m = e.end_margin[Index(way)][i];
        double share = 1.0;
        if (m.value && *m.value < 0.0) {
          miss.by = -*m.value;
          share = ShareOf(*m.value, *limits[i].travel);
        }
        tally.Note(std::move(miss), share);
      }
    }
  }

  void Bounds(const AimValues& aims, const Evaluation<double>& e, const Bill& bill,
              const Choice& choice, Tally& tally) const {
    for (std::size_t i = 0; i < kAims; ++i) {
      const Wish& wish = wishes_[i];
      const AimInfo& info = AimInfos()[i];
      if (!wish.Matters()) continue;
      if (!aims[i]) {
        tally.Note({kFirstUnknown + i,
                    {},
                    info.kind,
                    tally.misses != nullptr ? FieldsFor(info.id, e, bill, choice)
                                            : std::vector<std::string>{}},
                   IsStated(info.id) ? 0.0 : 1.0);
        continue;
      }
      if (wish.at_most && *aims[i] > *wish.at_most) {
        const double by = *aims[i] - *wish.at_most;
        tally.Note({kFirstAtMost + i, by, info.kind, {}}, ShareOf(by, *wish.at_most));
      }
      if (wish.at_least && *aims[i] < *wish.at_least) {
        const double by = *wish.at_least - *aims[i];
        tally.Note({kFirstAtLeast + i, by, info.kind, {}}, ShareOf(by, *wish.at_least));
      }
    }
  }

  // The fields that a value waits for.
  std::vector<std::string> FieldsFor(Aim aim, const Evaluation<double>& e, const Bill& bill,
                                     const Choice& choice) const {
    if (aim == Aim::kCost) return bill.missing_cost;
    if (aim == Aim::kHours) return bill.missing_hours;
    std::vector<std::string> fields;
    const auto source = SourceOf(aim);
    if (!source) return fields;
    const Fitted<double> fitted = lowered_.Of(choice);
    for (const Output id : {source->left, source->right}) {
      for (const std::string_view path : e.result[static_cast<std::size_t>(id)].missing) {
        std::string full = FullPath(fitted, path);
        if (std::ranges::find(fields, full) == fields.end()) fields.push_back(std::move(full));
      }
    }
    return fields;
  }

  Miss Faces(const Choice& choice) const {
    Miss miss{kFaces, {}, Kind::kRatio, {}};
    const fit::SetupFit whole =
        fit::FitOf(Fit(document_, space_.SetupOf(choice)), document_.adapter);
    for (const fit::Joint& joint : whole.joints) {
      if (joint.Outcome() != fit::Verdict::kDiffers) continue;
      const auto owner = [](const std::string& path) {
        return path.substr(0, path.rfind(".face"));
      };
      miss.what.push_back(
          fmt::format("{}: {}, {}", WordOf(joint.at), owner(joint.one), owner(joint.other)));
    }
    return miss;
  }

  const Document& document_;
  const Space& space_;
  const Wishes& wishes_;
  Lowered lowered_{document_, space_};
  Joints joints_{document_, space_};
  std::vector<Bill> adapter_bill_;
};

class Finder {
 public:
  Finder(const Document& document, const Space& space, const Wishes& wishes, int threads)
      : looker_(document, space, wishes), space_(space), threads_(threads) {}

  std::optional<Nearest> Run() {
    const bool all = space_.Count() <= kLookedAtWhole;
    if (all) {
      Consider(ChoicesOf(space_, Choice(space_.dimension.size(), 0)));
    } else {
      for (const Choice& start : Starts()) Settle(start);
    }
    if (!best_) return std::nullopt;
    return Nearest{*best_, looker_.MissesOf(*best_), all};
  }

 private:
  // The base, and each rack in its place, with what they lack put in.
  std::vector<Choice> Starts() const {
    const Choice base(space_.dimension.size(), 0);
    std::vector<Choice> starts{base};
    for (std::size_t d = 0; d < space_.dimension.size(); ++d) {
      if (space_.dimension[d].key == "rack") Neighbours(base, d, starts);
    }
    for (Choice& start : starts) start = space_.Completed(start);
    return starts;
  }

  void Neighbours(const Choice& of, std::size_t d, std::vector<Choice>& to) const {
    for (std::uint32_t o = 0; o < space_.dimension[d].option.size(); ++o) {
      if (o == of[d]) continue;
      to.push_back(of);
      to.back()[d] = o;
    }
  }

  // Looks at all that were not looked at yet; the index of the best of them all, if any counts.
  std::optional<std::size_t> Consider(const std::vector<Choice>& choices) {
    std::vector<const Choice*> fresh;
    for (const Choice& c : choices) {
      if (known_.contains(c) || !space_.Possible(c) || !space_.Complete(c)) continue;
      if (looks_ == kMostCombinations) continue;
      known_.emplace(c, Distance{});
      fresh.push_back(&c);
      ++looks_;
    }
    std::vector<Distance> distance(fresh.size());
    ParallelFor(threads_, fresh.size(),
                [&](std::size_t, std::size_t i) { distance[i] = looker_.At(*fresh[i]); });
    for (std::size_t i = 0; i < fresh.size(); ++i) {
      known_[*fresh[i]] = distance[i];
      if (!best_ || distance[i] < known_[*best_]) best_ = *fresh[i];
    }
    std::optional<std::size_t> least;
    for (std::size_t i = 0; i < choices.size(); ++i) {
      const auto at = known_.find(choices[i]);
      if (at == known_.end()) continue;
      if (!least || at->second < known_[choices[*least]]) least = i;
    }
    return least;
  }

  // From better to better, by two changes at a time where one alone leads no further.
  void Settle(const Choice& start) {
    std::optional<Choice> at = start;
    while (at) at = TwoAtATime(Descend(*at));
  }

  // From better to better by single changes; where they end.
  Choice Descend(Choice at) {
    if (!Consider({at})) return at;
    while (true) {
      std::vector<Choice> around;
      for (std::size_t d = 0; d < at.size(); ++d) Neighbours(at, d, around);
      const auto least = Consider(around);
      if (!least || !(known_[around[*least]] < known_[at])) return at;
      at = around[*least];
    }
  }

  // Something better two changes away.
  std::optional<Choice> TwoAtATime(const Choice& at) {
    if (!known_.contains(at)) return std::nullopt;
    std::vector<Choice> around;
    for (std::size_t d = 0; d < at.size(); ++d) {
      std::vector<Choice> first;
      Neighbours(at, d, first);
      for (const Choice& c : first) {
        for (std::size_t e = d + 1; e < at.size() && around.size() < kMostCombinations; ++e) {
          Neighbours(c, e, around);
        }
      }
    }
    const auto least = Consider(around);
    if (!least || !(known_[around[*least]] < known_[at])) return std::nullopt;
    return around[*least];
  }

  Looker looker_;
  const Space& space_;
  int threads_;
  std::size_t looks_ = 0;
  std::map<Choice, Distance> known_;
  std::optional<Choice> best_;
};

}  // namespace

std::optional<Nearest> NearestMiss(const Document& document, const Space& space,
                                   const Wishes& wishes, int threads) {
  return Finder(document, space, wishes, threads).Run();
}

}  // namespace steerbench::search
