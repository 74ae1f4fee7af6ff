// Belt drive of the pump: speeds. SI units and radians; T is double or Jet.
#pragma once

#include "engine/base/scalar.h"

namespace steerbench::drive {

// Distance of the belt's line of tension outside the effective diameter of a ribbed (PK) pulley,
// nominal [m]. Source: ISO 9981, nominal line differential 2 mm (extract; that it counts per radius
// is from memory).
inline constexpr double kPkLineDifferential = 0.002;

// Two pulleys, their effective diameters measured alike [m]. The line differential [m], added to
// both radii, makes pitch diameters of effective ones; zero takes the diameters as they are.
template <class T>
struct PulleyPair {
  T crank, pump;
  T line_differential = T(0.0);
};

// Turns of the pump per turn of the engine [1], without slip of the belt. Pre: pump > 0.
// Derived: equal belt speed at both pulleys; ISO 9981 for the pitch diameter.
template <class T>
[[nodiscard]] T SpeedRatio(const PulleyPair<T>& pulleys);

// Pump speed at an engine speed, and the engine speed at which the pump reaches a speed, in any one
// unit of speed.
template <class T>
[[nodiscard]] T PumpSpeed(const PulleyPair<T>& pulleys, const T& engine_speed);
template <class T>
[[nodiscard]] T EngineSpeed(const PulleyPair<T>& pulleys, const T& pump_speed);

}  // namespace steerbench::drive
