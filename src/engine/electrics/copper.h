// Resistance of copper coils and wires. SI units, temperatures in kelvin; T is double or Jet.
#pragma once

#include "engine/base/outcome.h"
#include "engine/base/scalar.h"
#include "engine/electrics/problem.h"

namespace steerbench::electrics {

inline constexpr double kTwentyCelsius = 293.15;          // [K]
inline constexpr double kCopperCoefficient = 0.00393;     // [1/K] at 20 degC (IEC 60028)
inline constexpr double kCopperResistivity = 1.0 / 58e6;  // [ohm m] at 20 degC (IEC 60028)

// Resistance [ohm] at a temperature from that at 20 degC: R20 (1 + 0.00393 (t - 20 degC)).
// Good from about -20 to 100 degC (common practice, no source). Problems: kResistance, kTemperature
// (where the line reaches zero). Source: IEC 60028; IEC 60228:2004, Annex B.
template <class T>
Outcome<T, Fault> CopperAt(const T& at_twenty, const T& temperature);

// The same by the other form in use: R20 (234.5 + t) / (234.5 + 20), t in degC. The two differ by
// 5e-5 at 120 degC.
template <class T>
Outcome<T, Fault> CopperAtByZero(const T& at_twenty, const T& temperature);

// Temperature of a coil [K] from its resistance now and at 20 degC: the first form solved.
// Problems: kResistance.
template <class T>
Outcome<T, Fault> CopperTemperature(const T& at_twenty, const T& now);

// Cross-section [m^2] of a round wire by American wire gauge: diameter 0.127 mm * 92^((36-n)/39),
// with 0 for 1/0, -1 for 2/0, to -3 for 4/0. Source: ASTM B258 (definition).
double AwgDiameter(double gauge);
double AwgArea(double gauge);

// Resistance of one copper wire [ohm] from length [m] and cross-section [m^2] at a temperature [K].
// A circuit through wires has two of them, out and back, unless the body is the way back.
// Problems: kWire, kTemperature.
template <class T>
Outcome<T, Fault> WireResistance(const T& length, const T& area, const T& temperature);

}  // namespace steerbench::electrics
