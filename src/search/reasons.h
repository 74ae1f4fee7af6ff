// Why a combination is left out, counted by number.
#pragma once

#include <string>

#include "engine/evaluate/evaluate.h"
#include "search/aims.h"

namespace steerbench::search {

using Reason = std::size_t;
inline constexpr Reason kKept = 0, kImpossible = 1, kIncomplete = 2, kFaces = 3, kBeaten = 4;
inline constexpr Reason kFirstCheck = 5;
inline constexpr Reason kFirstEnd = kFirstCheck + kChecks;
inline constexpr Reason kFirstAtMost = kFirstEnd + kRackEnds;
inline constexpr Reason kFirstAtLeast = kFirstAtMost + kAims;
inline constexpr Reason kFirstUnknown = kFirstAtLeast + kAims;
inline constexpr Reason kReasons = kFirstUnknown + kAims;

[[nodiscard]] std::string TextOf(Reason reason);

// The first wish that is not met: a bound passed or, of a `whole` look, a value that matters and is
// not known; else kKept.
[[nodiscard]] Reason Unmet(const Wishes& wishes, const AimValues& aims, bool whole);

// The first limit that an evaluation exceeds, without regard to any ±, else kKept. `of` says which
// checks count. The ends of the rack's travel count as propagate.h's EndStatus does.
template <class Counts>
[[nodiscard]] Reason FirstExceeded(const Evaluation<double>& e, bool ends, Counts&& counts);

[[nodiscard]] bool EndExceeded(const Evaluation<double>& e, Way way, std::size_t limit);

template <class Counts>
Reason FirstExceeded(const Evaluation<double>& e, bool ends, Counts&& counts) {
  for (const CheckInfo& info : Checks()) {
    const Margin<double>& m = e.check[static_cast<std::size_t>(info.id)];
    if (counts(info.id) && !m.absent && m.value && *m.value < 0.0) {
      return kFirstCheck + static_cast<Reason>(info.id);
    }
  }
  for (const Way way : kWays) {
    const auto& limits = e.ends[Index(way)].limit;
    for (std::size_t i = 0; ends && i < limits.size(); ++i) {
      if (EndExceeded(e, way, i)) return kFirstEnd + static_cast<Reason>(limits[i].end);
    }
  }
  return kKept;
}

}  // namespace steerbench::search
