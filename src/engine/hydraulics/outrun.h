// When the hand outruns the pump (catch-up): the one definition, for steady states and histories.
#pragma once

#include <cmath>

namespace steerbench::hydraulics {

// Share of the delivered oil that the piston must take before the pump counts as outrun.
inline constexpr double kOutrunShare = 0.5;

// The rack moves the way the hand turns it, its valve is at the stop, and yet the pump is not at
// its relief valve, for most of its oil goes into the piston. Twist and its stop [rad], rack speed
// [m/s], flows [m^3/s]: what the piston swallows and what the pump delivers.
[[nodiscard]] inline bool Outrun(double twist, double stop, double rack_speed, double swallowed,
                                 double delivered, bool relief_open) {
  return std::abs(twist) >= stop && twist * rack_speed > 0.0 && !relief_open &&
         swallowed > kOutrunShare * delivered;
}

}  // namespace steerbench::hydraulics
