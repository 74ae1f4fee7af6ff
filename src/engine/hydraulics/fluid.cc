#include "engine/hydraulics/fluid.h"

#include <cmath>

#include "engine/base/outcome.h"

namespace steerbench::hydraulics {
namespace {

constexpr double kSquareMillimetre = 1e-6;  // [m^2]
constexpr double kWaltherOffset = 0.7;      // [mm^2/s] of ASTM D341
constexpr double kLeastViscosity = 0.4e-6;  // [m^2/s] below it log10(v + 0.7) nears zero
constexpr double kLubricantK1 = 0.6278;     // [kg/(m^3 K)] of API MPMS 11.1, lubricating oils
constexpr double kLubricantSecond = 0.8;    // of the same formula

template <class T>
T LogLog(const T& kinematic) {
  using std::log10;
  return log10(log10(kinematic / kSquareMillimetre + kWaltherOffset));
}

template <class T>
T Within(const T& x, double least, double most) {
  if (Value(x) < least) return T(least);
  if (Value(x) > most) return T(most);
  return x;
}

}  // namespace

template <class T>
WaltherLine<T> FitWalther(const ViscosityPoint<T>& cold, const ViscosityPoint<T>& hot) {
  using std::log10;
  WaltherLine<T> line;
  const T cold_log = log10(cold.temperature);
  line.b =
      (LogLog<T>(cold.viscosity) - LogLog<T>(hot.viscosity)) / (log10(hot.temperature) - cold_log);
  line.a = LogLog<T>(cold.viscosity) + line.b * cold_log;
  return line;
}

template <class T>
T ViscosityAt(const WaltherLine<T>& line, const T& temperature) {
  using std::exp;
  using std::log10;
  const T inner = exp((line.a - line.b * log10(temperature)) * M_LN10);
  return (exp(inner * M_LN10) - kWaltherOffset) * kSquareMillimetre;
}

template <class T>
T DensityAt(const Fluid<T>& fluid, const T& temperature) {
  using std::exp;
  const T warmer = temperature - kDensityTemperature;
  if (fluid.expansion) return fluid.density * (1.0 - *fluid.expansion * warmer);
  const T alpha = kLubricantK1 / fluid.density;
  return fluid.density * exp(-alpha * warmer * (1.0 + kLubricantSecond * alpha * warmer));
}

template <class T>
T BulkModulusAt(const Fluid<T>& fluid, const T& absolute_pressure) {
  const T softness = (1.0 - fluid.air) / fluid.bulk_modulus +
                     fluid.air * kAtmosphere / (absolute_pressure * absolute_pressure);
  return 1.0 / softness;
}

template <class T>
FluidState<T> StateAt(const Fluid<T>& fluid, const T& temperature) {
  FluidState<T> state;
  const double at = Value(temperature);
  state.marks.Set(Mark::kFarTemperature, at < Value(fluid.cold.temperature) - kTemperatureReach ||
                                             at > Value(fluid.hot.temperature) + kTemperatureReach);
  const T held = Within<T>(temperature, kColdest, kHottest);
  state.kinematic = ViscosityAt<T>(FitWalther<T>(fluid.cold, fluid.hot), held);
  state.marks.Set(Mark::kThinFluid, Value(state.kinematic) < kThinnest);
  state.density = DensityAt<T>(fluid, held);
  state.dynamic = state.kinematic * state.density;
  return state;
}

template <class T>
bool IsSound(const Fluid<T>& fluid) {
  const double least = kLeastViscosity;
  const bool points = IsPositive(fluid.cold.temperature, fluid.density, fluid.bulk_modulus) &&
                      IsFinite(fluid.hot.temperature, fluid.cold.viscosity, fluid.hot.viscosity) &&
                      Value(fluid.hot.temperature) > Value(fluid.cold.temperature) &&
                      Value(fluid.hot.viscosity) > least &&
                      Value(fluid.cold.viscosity) > Value(fluid.hot.viscosity);
  const bool rest = IsNotNegative(fluid.air, fluid.gas_release) && Value(fluid.air) < 1.0;
  // At the extremes the density and the viscosity must still be usable numbers.
  if (!points || !rest) return false;
  const FluidState<T> coldest = StateAt<T>(fluid, T(kColdest));
  const FluidState<T> hottest = StateAt<T>(fluid, T(kHottest));
  return IsPositive(coldest.density, coldest.dynamic, hottest.density, hottest.dynamic);
}

#define STEERBENCH_INSTANTIATE(T)                                                            \
  template WaltherLine<T> FitWalther<T>(const ViscosityPoint<T>&, const ViscosityPoint<T>&); \
  template T ViscosityAt<T>(const WaltherLine<T>&, const T&);                                \
  template T DensityAt<T>(const Fluid<T>&, const T&);                                        \
  template T BulkModulusAt<T>(const Fluid<T>&, const T&);                                    \
  template FluidState<T> StateAt<T>(const Fluid<T>&, const T&);                              \
  template bool IsSound<T>(const Fluid<T>&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::hydraulics
