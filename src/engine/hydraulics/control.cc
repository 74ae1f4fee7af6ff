#include "engine/hydraulics/control.h"

#include "engine/base/outcome.h"

namespace steerbench::hydraulics {
namespace {

// A monotone cubic cannot leave the range of its points, so rows not below zero suffice.
template <class T>
bool IsSound(const ControlValve<T>& valve, bool share) {
  const MonotoneCubic<T>& c = valve.opening;
  if (c.x.size() < 2 || c.y.size() != c.x.size() || c.slope.size() != c.x.size()) return false;
  if (Value(c.x.front()) != 0.0 || FirstRowOutOfOrder(c.x) || !(valve.coefficient > 0.0)) {
    return false;
  }
  for (const T& y : c.y) {
    if (!IsNotNegative(y) || (share && Value(y) > 1.0)) return false;
  }
  return true;
}

}  // namespace

template <class T>
ControlOpening<T> OpeningAt(const ControlValve<T>& valve, const T& current) {
  const MonotoneCubic<T>& c = valve.opening;
  constexpr double kRounding = 1e-9;  // share by which a solved current misses one that is held
  const double end = Value(c.x.back());
  if (Value(current) > end) return {c.y.back(), Value(current) > end * (1.0 + kRounding)};
  if (Value(current) < 0.0) return {c.y.front(), true};
  return {PointAt<T>(c, current)->value, false};
}

template <class T>
bool IsSound(const ControlBranch<T>& branch) {
  const bool reacts = branch.principle == Principle::kReaction;
  if (branch.valves.empty() || reacts != branch.reaction.has_value()) return false;
  if (reacts) {
    const Reaction<T>& r = *branch.reaction;
    if (!IsNotNegative(r.torque_per_pressure) || !IsPositive(r.onset)) return false;
  }
  for (const ControlValve<T>& valve : branch.valves) {
    if (!IsSound<T>(valve, reacts)) return false;
  }
  return true;
}

#define STEERBENCH_INSTANTIATE(T)                                            \
  template ControlOpening<T> OpeningAt<T>(const ControlValve<T>&, const T&); \
  template bool IsSound<T>(const ControlBranch<T>&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::hydraulics
