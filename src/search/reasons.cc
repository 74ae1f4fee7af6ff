#include "search/reasons.h"

#include <fmt/format.h>

namespace steerbench::search {

std::string TextOf(Reason reason) {
  if (reason == kImpossible) return "cannot be done: one control valve in two places, or no first";
  if (reason == kIncomplete) {
    return "lacks what there is to choose: a pump for its rack, or fluid, pulley or belt for its "
           "pump";
  }
  if (reason == kFaces) return "does not go together: faces differ and no adapter here cures it";
  if (reason == kBeaten) return "another one is as good in every wish and better in one";
  if (reason >= kFirstUnknown) {
    return fmt::format("not known: {}", AimInfos()[reason - kFirstUnknown].label);
  }
  if (reason >= kFirstAtLeast) {
    return fmt::format("less than wished: {}", AimInfos()[reason - kFirstAtLeast].label);
  }
  if (reason >= kFirstAtMost) {
    return fmt::format("more than wished: {}", AimInfos()[reason - kFirstAtMost].label);
  }
  if (reason >= kFirstEnd) {
    return fmt::format("ends the rack's travel too soon: {}", RackEnds()[reason - kFirstEnd].label);
  }
  return fmt::format("exceeded: {}", Checks()[reason - kFirstCheck].label);
}

Reason Unmet(const Wishes& wishes, const AimValues& aims, bool whole) {
  for (std::size_t i = 0; i < kAims; ++i) {
    if (!aims[i]) {
      if (whole && wishes[i].Matters()) return kFirstUnknown + i;
      continue;
    }
    if (wishes[i].at_most && *aims[i] > *wishes[i].at_most) return kFirstAtMost + i;
    if (wishes[i].at_least && *aims[i] < *wishes[i].at_least) return kFirstAtLeast + i;
  }
  return kKept;
}

bool EndExceeded(const Evaluation<double>& e, Way way, std::size_t limit) {
  const TravelEnds<double>& ends = e.ends[Index(way)];
  const RackLimit<double>& l = ends.limit[limit];
  if (l.out_of_sight || !l.travel || l.end == RackEnd::kHousingStop) return false;
  if (ends.stop_state == StopState::kRemoved && ends.binding == limit) return true;
  const Margin<double>& m = e.end_margin[Index(way)][limit];
  return m.value && *m.value < 0.0;
}

}  // namespace steerbench::search
