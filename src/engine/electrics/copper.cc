#include "engine/electrics/copper.h"

#include <cmath>
#include <numbers>

namespace steerbench::electrics {
namespace {

constexpr double kInferredZero = 234.5;  // [K] below 0 degC: where copper's line meets zero
constexpr double kTwenty = 20.0;         // [degC]

}  // namespace

template <class T>
Outcome<T, Fault> CopperAt(const T& at_twenty, const T& temperature) {
  if (!IsPositive(at_twenty)) return Fault{Problem::kResistance};
  const T factor = 1.0 + kCopperCoefficient * (temperature - kTwentyCelsius);
  if (!IsPositive(factor)) return Fault{Problem::kTemperature};
  const T resistance = at_twenty * factor;
  if (!IsFinite(resistance)) return Fault{Problem::kNotFinite};
  return resistance;
}

template <class T>
Outcome<T, Fault> CopperAtByZero(const T& at_twenty, const T& temperature) {
  if (!IsPositive(at_twenty)) return Fault{Problem::kResistance};
  const T factor =
      (kInferredZero + kTwenty + temperature - kTwentyCelsius) / (kInferredZero + kTwenty);
  if (!IsPositive(factor)) return Fault{Problem::kTemperature};
  const T resistance = at_twenty * factor;
  if (!IsFinite(resistance)) return Fault{Problem::kNotFinite};
  return resistance;
}

template <class T>
Outcome<T, Fault> CopperTemperature(const T& at_twenty, const T& now) {
  if (!IsPositive(at_twenty, now)) return Fault{Problem::kResistance};
  const T temperature = kTwentyCelsius + (now / at_twenty - 1.0) / kCopperCoefficient;
  if (!IsFinite(temperature)) return Fault{Problem::kNotFinite};
  return temperature;
}

double AwgDiameter(double gauge) {
  constexpr double kGauge36 = 0.127e-3;  // [m]; 4/0 is 92 times as thick, 39 gauges away
  return kGauge36 * std::pow(92.0, (36.0 - gauge) / 39.0);
}

double AwgArea(double gauge) {
  const double diameter = AwgDiameter(gauge);
  return std::numbers::pi / 4.0 * diameter * diameter;
}

template <class T>
Outcome<T, Fault> WireResistance(const T& length, const T& area, const T& temperature) {
  if (!IsPositive(length, area)) return Fault{Problem::kWire};
  return CopperAt<T>(kCopperResistivity * length / area, temperature);
}

#define STEERBENCH_INSTANTIATE(T)                                   \
  template Outcome<T, Fault> CopperAt(const T&, const T&);          \
  template Outcome<T, Fault> CopperAtByZero(const T&, const T&);    \
  template Outcome<T, Fault> CopperTemperature(const T&, const T&); \
  template Outcome<T, Fault> WireResistance(const T&, const T&, const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::electrics
