// When the hand outruns the pump (catch-up): the one definition, for steady states and histories.
#pragma once

#include <cmath>

namespace steerbench::hydraulics {

// Share of the oil delivered, but for what control valves pass by, that the piston must take before
// the pump counts as outrun.
inline constexpr double kOutrunShare = 0.5;

// The side of the piston that fills at a rack speed: +1 for A, -1 for B.
[[nodiscard]] inline double FilledSide(double rack_speed) { return rack_speed < 0.0 ? -1.0 : 1.0; }

// The rack moves the way the hand turns it, and the pump is not at its relief valve, for its oil
// goes into the piston: most of it with the valve at the stop, or, where the hand alone is strong
// enough to turn further, all of it but what control valves pass by. Twist and its stop [rad], rack
// speed [m/s], flows [m^3/s]: what the piston swallows, what is passed by, what the pump delivers.
[[nodiscard]] inline bool Outrun(double twist, double stop, double rack_speed, double swallowed,
                                 double passed_by, double delivered, bool relief_open) {
  const bool most = std::abs(twist) >= stop && swallowed > kOutrunShare * (delivered - passed_by);
  const bool all = delivered > 0.0 && swallowed + passed_by >= delivered;
  return twist * rack_speed > 0.0 && !relief_open && (most || all);
}

}  // namespace steerbench::hydraulics
