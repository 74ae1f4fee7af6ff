#include "engine/hydraulics/curves.h"

#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>

namespace steerbench::hydraulics {
namespace {

template <class T>
struct OneWay {
  T speed{};
  OilTaken<T> oil;
};

// A flow without what rounding makes of none.
template <class T>
T NotNegative(const T& flow) {
  return Value(flow) < kFlowTolerance ? T(0.0) : flow;
}

// By how much the piston takes more than is left for it, at a rack speed [m^3/s].
template <class T>
Outcome<T, Problem> Lacking(const Circuit<T>& circuit, Condition<T> condition, double speed,
                            double sign) {
  condition.rack_speed = T(sign * speed);
  const auto s = SolveSteady<T>(circuit, condition);
  if (!s) return s.why();
  return T(s->swallowed + PassedBy<T>(*s, sign) - s->delivered);
}

// The rack speed, not above `most`, at which the piston takes all that is left for it; `most` where
// it does not: flows are as small there as what the solver leaves open, or the load has another
// balance in which the pump keeps up. Exact to rounding;
// its derivatives by the implicit function theorem, with the slope of a difference.
template <class T>
Outcome<T, Problem> AllTakenAt(const Circuit<T>& circuit, const Condition<T>& condition,
                               const T& most, double sign) {
  constexpr int kBits = 48;
  constexpr double kStep = 1e-4;  // of the speed, for the slope
  std::optional<Problem> problem;
  const Circuit<double> plain = Plain(circuit);
  const Condition<double> plain_condition = Plain(condition);
  const auto lacking = [&](double speed) {
    const auto l = Lacking<double>(plain, plain_condition, speed, sign);
    if (!l) problem = l.why();
    return l ? *l : 0.0;
  };
  const double at_rest = lacking(0.0);
  const double at_most = lacking(Value(most));
  if (problem) return *problem;
  if (at_rest >= -kFlowTolerance) return T(0.0);
  if (at_most <= kFlowTolerance) return most;
  std::uintmax_t trials = 100;
  const auto [low, high] =
      boost::math::tools::toms748_solve(lacking, 0.0, Value(most), at_rest, at_most,
                                        boost::math::tools::eps_tolerance<double>(kBits), trials);
  const double speed = 0.5 * (low + high);
  const double slope =
      (lacking(speed * (1.0 + kStep)) - lacking(speed * (1.0 - kStep))) / (2.0 * kStep * speed);
  if (problem) return *problem;
  if (!(slope > 0.0)) return Problem::kNotConverged;
  const auto left = Lacking<T>(circuit, condition, speed, sign);
  if (!left) return left.why();
  return T(speed - (*left - Value(*left)) / slope);
}

template <class T>
Outcome<OneWay<T>, Problem> SpeedTowards(const Circuit<T>& circuit, const Condition<T>& condition,
                                         double sign) {
  Condition<T> loaded = condition;
  const bool against = sign * Value(condition.rack_force) >= 0.0;
  loaded.rack_force = against ? condition.rack_force : T(-condition.rack_force);
  const auto s = SolveCatchUp<T>(circuit, loaded, T(sign * circuit.valve.stop));
  if (!s && s.why() == Problem::kNotReached) return OneWay<T>{};
  if (!s) return s.why();
  const T most = sign * s->rack_speed;
  if (Value(most) <= 0.0) return OneWay<T>{};
  const T control = PassedBy<T>(*s, sign);
  const T let_past = s->delivered - s->swallowed - control;
  if (Value(let_past) >= -kFlowTolerance) {
    return OneWay<T>{T(most / circuit.cylinder.travel_per_radian),
                     {s->swallowed, NotNegative<T>(let_past), control}};
  }
  const auto speed = AllTakenAt<T>(circuit, loaded, most, sign);
  if (!speed) return speed.why();
  loaded.rack_speed = sign * *speed;
  const auto all = SolveSteady<T>(circuit, loaded);
  if (!all) return all.why();
  const T passed_by = PassedBy<T>(*all, sign);
  const T left = all->delivered - all->swallowed - passed_by;
  return OneWay<T>{T(*speed / circuit.cylinder.travel_per_radian),
                   {all->swallowed, NotNegative<T>(left), passed_by}};
}

}  // namespace

template <class T>
Outcome<T, Problem> DeliveredAt(const Circuit<T>& circuit, const Condition<T>& condition,
                                const T& pressure) {
  if (!IsFinite(pressure)) return Problem::kNotFinite;
  if (const auto problem = WhyUnsound(circuit)) return *problem;
  if (const auto problem = WhyUnsound(condition)) return *problem;
  const FluidState<T> fluid = StateAt<T>(circuit.fluid, condition.temperature);
  const PumpLaw<T> law =
      MakePump<T>(circuit.pump, condition.pump_speed, fluid, condition.air_pressure);
  return Delivered<T>(law, pressure).flow;
}

template <class T>
Outcome<CatchUp<T>, Problem> CatchUpAt(const Circuit<T>& circuit, const Condition<T>& condition) {
  const auto a = SpeedTowards<T>(circuit, condition, 1.0);
  if (!a) return a.why();
  const auto b = SpeedTowards<T>(circuit, condition, -1.0);
  if (!b) return b.why();
  return CatchUp<T>{a->speed, b->speed, a->oil, b->oil};
}

#define STEERBENCH_INSTANTIATE(T)                                                                \
  template Outcome<T, Problem> DeliveredAt<T>(const Circuit<T>&, const Condition<T>&, const T&); \
  template Outcome<CatchUp<T>, Problem> CatchUpAt<T>(const Circuit<T>&, const Condition<T>&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::hydraulics
