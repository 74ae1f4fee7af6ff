// The oil circuit and its control valves' coils, from a fitted car's fields.
#pragma once

#include <optional>
#include <vector>

#include "engine/electrics/wiring.h"
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

// Speed of the pump at an engine speed, in any one unit: with the belt's line differential where
// that is known, else with the diameters as they are. Pre: both pulleys are known.
template <class T>
[[nodiscard]] T PumpSpeedOf(const Fitted<T>& fitted, const T& engine_speed);

// What is missing of the pulleys for it.
template <class T>
[[nodiscard]] Missing PumpDriveLacks(const Fitted<T>& fitted);

// Relief pressure of the pump fitted [Pa]: as re-set by the setup, else as the pump has it; unset
// when neither is known. Pre: a pump is fitted.
template <class T>
[[nodiscard]] std::optional<T> ReliefOf(const Fitted<T>& fitted);

// Pressure at which that valve begins to open [Pa]: as stated of a pump left as it is, else at 95 %
// of the relief pressure, which is an assumption. Pre: a pump is fitted, its relief pressure known.
template <class T>
[[nodiscard]] T ReliefBegins(const Fitted<T>& fitted);

// Opening against current of the control valve fitted, or of the second one, holes made larger or
// smaller as the setup has them [m2, of a reaction valve the share of pressure]; unset when rows
// are not whole, fewer than two, do not start at no current, or do not rise. Pre: that valve is
// fitted.
template <class T>
[[nodiscard]] std::optional<hydraulics::ControlValve<T>> ControlValveOf(const Fitted<T>& fitted,
                                                                        bool second);

// Coils of the control valves at one demand of their driver, in the order of the circuit.
template <class T>
struct Coils {
  std::vector<T> current;  // none for one that is unplugged [A]
  std::vector<T> moving;   // the same, but none where it does not reach the pull-in current: the
                           // valve then stands as it does without one
  std::vector<bool> powered;
  std::vector<electrics::Coil<T>> coil;  // of those powered
  T asked{};                             // by the driver's table [A]
  electrics::Source<T> source;           // its limit is what is asked for, at most its own
  bool open_loop = false;                // coils in series, one of them unplugged: none in any
  electrics::Wiring wiring = electrics::Wiring::kSeries;
  std::optional<electrics::Wired<T>> wired;  // of those powered; unset when none gets a current
};

// Empty without control valves; unset when something is missing. Resistances at the coils'
// temperature, or at 20 degC when that is not known.
template <class T>
[[nodiscard]] std::optional<Coils<T>> CoilsAt(const Fitted<T>& fitted, double road_speed,
                                              Missing& missing);

// Currents at which the control valves stand at a road speed [m/s], as driver and wiring give them
// (Coils::moving), in the order of the circuit. Empty without control valves; unset when something
// is missing.
template <class T>
[[nodiscard]] std::optional<std::vector<T>> CoilCurrents(const Fitted<T>& fitted, double road_speed,
                                                         Missing& missing);

}  // namespace steerbench
