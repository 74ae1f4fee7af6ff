#include "engine/hydraulics/curves.h"

namespace steerbench::hydraulics {
namespace {

// Whether both sides of the piston are the same, derivatives and all.
bool AreAlike(const Cylinder<double>& cylinder) { return cylinder.area_a == cylinder.area_b; }
bool AreAlike(const Cylinder<Jet>& cylinder) {
  return cylinder.area_a.a == cylinder.area_b.a && cylinder.area_a.v == cylinder.area_b.v;
}

template <class T>
struct OneWay {
  T speed{};
  OilTaken<T> oil;
  Marks marks;
};

// A flow without what rounding makes of none.
template <class T>
T NotNegative(const T& flow) {
  return Value(flow) < kFlowTolerance ? T(0.0) : flow;
}

template <class T>
Outcome<OneWay<T>, Problem> SpeedTowards(const Circuit<T>& circuit, Condition<T> condition,
                                         double sign) {
  if (Value(condition.pump_speed) <= 0.0) return Problem::kNoFlow;
  condition.rack_speed = T(0.0);
  if (sign * Value(condition.rack_force) < 0.0) condition.rack_force = -condition.rack_force;
  const auto slow = SolveSteady<T>(circuit, condition);
  if (!slow) return slow.why();
  if (sign * Value(slow->assist) <= kForceTolerance) return OneWay<T>{};
  const T left = kAssistLeft * slow->assist;
  const T by_hand = (condition.rack_force - left) * circuit.cylinder.travel_per_radian;
  const T twist = TwistAt<T>(circuit.valve, T(by_hand - kAssistLeft * slow->reaction));
  const auto s = SolveCatchUp<T>(circuit, condition, twist, left);
  if (!s && s.why() == Problem::kNotReached) return OneWay<T>{};
  if (!s) return s.why();
  const T speed = sign * s->rack_speed;
  if (Value(speed) <= 0.0) return OneWay<T>{};
  const T control = PassedBy<T>(*s, sign);
  return OneWay<T>{speed,
                   {s->swallowed, NotNegative<T>(s->delivered - s->swallowed - control), control},
                   s->marks};
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
std::optional<T> FullFlowFrom(const Circuit<T>& circuit, const T& temperature, const T& pressure) {
  const Pump<T>& pump = circuit.pump;
  if (!pump.flow_control) return std::nullopt;
  const FluidState<T> fluid = StateAt<T>(circuit.fluid, temperature);
  const T lost = pump.leak * pressure / fluid.dynamic;
  return T((pump.flow_control->flow + lost) / (pump.filled * pump.displacement));
}

template <class T>
Outcome<CatchUp<T>, Problem> CatchUpAt(const Circuit<T>& circuit, const Condition<T>& condition) {
  // The way of the load first: turning slowly that way is mostly solved by now.
  const double way = Value(condition.rack_force) < 0.0 ? -1.0 : 1.0;
  const auto first = SpeedTowards<T>(circuit, condition, way);
  if (!first) return first.why();
  // Nothing else tells one side of the rack from the other.
  const auto other = AreAlike(circuit.cylinder) ? first : SpeedTowards<T>(circuit, condition, -way);
  if (!other) return other.why();
  const auto& a = way > 0.0 ? first : other;
  const auto& b = way > 0.0 ? other : first;
  CatchUp<T> both{a->speed, b->speed, a->oil, b->oil, a->marks};
  both.marks.Add(b->marks);
  return both;
}

#define STEERBENCH_INSTANTIATE(T)                                                                \
  template Outcome<T, Problem> DeliveredAt<T>(const Circuit<T>&, const Condition<T>&, const T&); \
  template std::optional<T> FullFlowFrom<T>(const Circuit<T>&, const T&, const T&);              \
  template Outcome<CatchUp<T>, Problem> CatchUpAt<T>(const Circuit<T>&, const Condition<T>&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::hydraulics
