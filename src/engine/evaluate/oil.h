// The oil circuit and its control valves' coils, from a fitted car's fields.
#pragma once

#include <optional>
#include <vector>

#include "engine/evaluate/front.h"
#include "engine/gear/rack_ratio.h"
#include "engine/hydraulics/steady.h"

namespace steerbench {

// The circuit of a fitted car, or what is missing for it. Assumptions made are noted. Openings of
// the valve are fitted to the boost curve read; a curve that cannot be fitted (torques or pressures
// not rising, first row not at none) counts as missing.
template <class T>
[[nodiscard]] std::optional<hydraulics::Circuit<T>> CircuitOf(const Fitted<T>& fitted,
                                                              const gear::RackRatio<T>& ratio,
                                                              Missing& missing,
                                                              std::vector<Assumption>& assumed);

// Currents of the control valves' coils at a road speed [m/s], as driver and wiring give them, in
// the order of the circuit. Empty without control valves; unset when something is missing.
template <class T>
[[nodiscard]] std::optional<std::vector<T>> CoilCurrents(const Fitted<T>& fitted, double road_speed,
                                                         Missing& missing);

}  // namespace steerbench
