#include "engine/hydraulics/curves.h"

namespace steerbench::hydraulics {
namespace {

template <class T>
struct OneWay {
  T speed{};
  OilTaken<T> oil;
};

template <class T>
Outcome<OneWay<T>, Problem> SpeedTowards(const Circuit<T>& circuit, const Condition<T>& condition,
                                         double sign) {
  Condition<T> loaded = condition;
  const bool against = sign * Value(condition.rack_force) >= 0.0;
  loaded.rack_force = against ? condition.rack_force : T(-condition.rack_force);
  const auto s = SolveCatchUp<T>(circuit, loaded, T(sign * circuit.valve.stop));
  if (!s && s.why() == Problem::kNotReached) return OneWay<T>{};
  if (!s) return s.why();
  const T control = s->pump_bypass + sign * s->piston_bypass;
  return OneWay<T>{T(sign * s->rack_speed / circuit.cylinder.travel_per_radian),
                   {s->swallowed, T(s->delivered - s->swallowed - control), control}};
}

}  // namespace

template <class T>
Outcome<std::vector<BoostCurvePoint<T>>, Problem> BoostCurve(const Circuit<T>& circuit,
                                                             const Condition<T>& condition,
                                                             const T& most_twist, int count) {
  Condition<T> still = condition;
  still.rack_speed = T(0.0);
  std::vector<BoostCurvePoint<T>> curve;
  for (int i = 0; i < count; ++i) {
    const T twist = most_twist * (static_cast<double>(i) / (count - 1));
    const auto s = SolveAtTwist<T>(circuit, still, twist);
    if (!s) return s.why();
    curve.push_back(
        {s->twist, s->torque, s->outlet, s->supply, T(s->chamber_a - s->chamber_b), s->assist});
  }
  return curve;
}

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
T Demand(const Cylinder<T>& cylinder, const T& hand_wheel_speed) {
  const T speed = hand_wheel_speed * cylinder.travel_per_radian;
  return Value(speed) >= 0.0 ? T(cylinder.area_a * speed) : T(-cylinder.area_b * speed);
}

template <class T>
Outcome<CatchUp<T>, Problem> CatchUpAt(const Circuit<T>& circuit, const Condition<T>& condition) {
  const auto a = SpeedTowards<T>(circuit, condition, 1.0);
  if (!a) return a.why();
  const auto b = SpeedTowards<T>(circuit, condition, -1.0);
  if (!b) return b.why();
  return CatchUp<T>{a->speed, b->speed, a->oil, b->oil};
}

template <class T>
HoseMargin<T> MarginOf(const HoseClass<T>& hose, const T& highest_pressure) {
  return {hose.working - highest_pressure, hose.burst / highest_pressure};
}

#define STEERBENCH_INSTANTIATE(T)                                                                \
  template Outcome<std::vector<BoostCurvePoint<T>>, Problem> BoostCurve<T>(                      \
      const Circuit<T>&, const Condition<T>&, const T&, int);                                    \
  template Outcome<T, Problem> DeliveredAt<T>(const Circuit<T>&, const Condition<T>&, const T&); \
  template T Demand<T>(const Cylinder<T>&, const T&);                                            \
  template Outcome<CatchUp<T>, Problem> CatchUpAt<T>(const Circuit<T>&, const Condition<T>&);    \
  template HoseMargin<T> MarginOf<T>(const HoseClass<T>&, const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::hydraulics
