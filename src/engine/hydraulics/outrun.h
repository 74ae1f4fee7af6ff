// When the hand outruns the pump (catch-up): the one definition, for steady states and histories.
#pragma once

#include <cmath>

namespace steerbench::hydraulics {

// Share of the delivered oil that the piston must take before the pump counts as outrun.
inline constexpr double kOutrunShare = 0.5;

// The rack moves the way the hand turns it, and the pump is not at its relief valve, for its oil
// goes into the piston: most of it with the valve at the stop, or all of it where the hand alone is
// strong enough to turn further. Twist and its stop [rad], rack speed [m/s], flows [m^3/s]: what
// the piston swallows and what the pump delivers.
[[nodiscard]] inline bool Outrun(double twist, double stop, double rack_speed, double swallowed,
                                 double delivered, bool relief_open) {
  const bool most = std::abs(twist) >= stop && swallowed > kOutrunShare * delivered;
  const bool all = delivered > 0.0 && swallowed >= delivered;
  return twist * rack_speed > 0.0 && !relief_open && (most || all);
}

}  // namespace steerbench::hydraulics
