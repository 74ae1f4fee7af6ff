#include "engine/hydraulics/pump.h"

#include <cmath>

#include "engine/base/gravity.h"
#include "engine/base/outcome.h"
#include "engine/hydraulics/smooth.h"

namespace steerbench::hydraulics {
namespace {

constexpr double kCornerShare = 0.02;  // of the regulated flow: a spring's rate rounds the corner
constexpr double kLeastCorner = 1e-9;  // [m^3/s] so that a pump without limits has a width too
constexpr double kReliefShare = 0.2;   // of the way from cracking to full flow: a valve lifts off
constexpr double kTellApart = 1e-12;   // relative determinant below which readings say the same

// Highest inlet flow: all that the air pressure above the filling limit can push through.
template <class T>
T SuctionLimit(const Inlet<T>& inlet, const FluidState<T>& fluid, const T& air_pressure) {
  if (!HasLoss(inlet.hose)) return T(kUnlimited);
  const T push = air_pressure + fluid.density * kGravity * inlet.head - inlet.filling_limit;
  if (Value(push) <= 0.0) return T(0.0);
  return FlowThrough<T>(MakeLine<T>(inlet.hose, fluid), push).flow;
}

template <class T>
T Regulated(const FlowControl<T>& control, const T& speed) {
  const T over = speed - control.from_speed;
  if (Value(over) <= 0.0) return control.flow;
  const T flow = control.flow - control.droop * over;
  return Value(flow) < 0.0 ? T(0.0) : flow;
}

template <class T>
void AddRelief(PumpLaw<T>& law, const Relief<T>& relief) {
  const T rise = relief.full_pressure - relief.cracking;
  law.relief_corner = kReliefShare * rise;
  // Rounded on the closed side of the corner's middle, so that it starts exactly at cracking.
  law.cracking = relief.cracking + 0.5 * law.relief_corner;
  law.relief = relief.full_flow / (relief.full_pressure - law.cracking);
}

// Pressure over the metering orifice at the flow that passes it.
template <class T>
T MeteringDrop(const Pump<T>& pump, const PumpLaw<T>& law, const T& passing) {
  using std::abs;
  if (!pump.flow_control || Value(law.regulated) <= 0.0) return T(0.0);
  const T share = passing / law.regulated;
  return pump.flow_control->metering_drop * share * abs(share);
}

// Pressure lost on the way to the inlet at a flow drawn.
template <class T>
T InletLoss(const Pump<T>& pump, const FluidState<T>& fluid, const T& flow) {
  if (!pump.inlet || !HasLoss(pump.inlet->hose)) return T(0.0);
  return DropAt<T>(MakeLine<T>(pump.inlet->hose, fluid), flow).drop;
}

}  // namespace

template <class T>
T RegulatedFlow(const T& area, double coefficient, const T& spring_pressure, const T& density) {
  using std::sqrt;
  return coefficient * area * sqrt(2.0 * spring_pressure / density);
}

template <class T>
T LeakFrom(const T& displacement, const std::vector<PumpReading<T>>& readings) {
  T lost(0.0), thrusts(0.0);
  for (const PumpReading<T>& r : readings) {
    const T thrust = r.pressure / r.viscosity;
    lost += (displacement * r.speed - r.flow) * thrust;
    thrusts += thrust * thrust;
  }
  return lost / thrusts;
}

template <class T>
std::optional<DisplacementAndLeak<T>> PumpFrom(const std::vector<PumpReading<T>>& readings) {
  // speed x V - (p / mu) x leak = flow, for each: normal equations.
  T ss(0.0), st(0.0), tt(0.0), sq(0.0), tq(0.0);
  for (const PumpReading<T>& r : readings) {
    const T thrust = r.pressure / r.viscosity;
    ss += r.speed * r.speed;
    st += r.speed * thrust;
    tt += thrust * thrust;
    sq += r.speed * r.flow;
    tq += thrust * r.flow;
  }
  const T determinant = ss * tt - st * st;
  if (!(Value(determinant) > kTellApart * Value(ss * tt))) return std::nullopt;
  return DisplacementAndLeak<T>{(sq * tt - tq * st) / determinant,
                                (sq * st - tq * ss) / determinant};
}

template <class T>
PumpLaw<T> MakePump(const Pump<T>& pump, const T& speed, const FluidState<T>& fluid,
                    const T& air_pressure) {
  PumpLaw<T> law;
  law.ideal = pump.filled * pump.displacement * speed;
  law.leak = pump.leak / fluid.dynamic;
  law.regulated = pump.flow_control ? Regulated<T>(*pump.flow_control, speed) : T(kUnlimited);
  law.suction = pump.inlet ? SuctionLimit<T>(*pump.inlet, fluid, air_pressure) : T(kUnlimited);
  if (pump.relief) AddRelief<T>(law, *pump.relief);
  law.corner = kCornerShare * (Value(law.regulated) < Value(law.ideal) ? law.regulated : law.ideal);
  if (Value(law.corner) < kLeastCorner) law.corner = T(kLeastCorner);
  return law;
}

template <class T>
T ReliefFlow(const PumpLaw<T>& law, const T& pressure) {
  if (Value(law.relief) <= 0.0) return T(0.0);
  return law.relief * SoftPositive<T>(pressure - law.cracking, law.relief_corner);
}

template <class T>
FlowPoint<T> Delivered(const PumpLaw<T>& law, const T& pressure) {
  const T offered = law.ideal - law.leak * pressure;
  const double beyond = SoftPositiveSlope(Value(offered - law.regulated), Value(law.corner));
  const T passing = SoftMin<T>(offered, law.regulated, law.corner);
  T slope = -law.leak * (1.0 - beyond);
  T net = passing;
  if (Value(law.relief) > 0.0) {
    net -= ReliefFlow<T>(law, pressure);
    slope -=
        law.relief * SoftPositiveSlope(Value(pressure - law.cracking), Value(law.relief_corner));
  }
  const double starved = SoftPositiveSlope(Value(net - law.suction), Value(law.corner));
  return {SoftMin<T>(net, law.suction, law.corner), slope * (1.0 - starved)};
}

template <class T>
PumpState<T> PumpStateAt(const Pump<T>& pump, const PumpLaw<T>& law, const T& speed,
                         const FluidState<T>& fluid, const T& air_pressure, const T& pressure,
                         const T& flow) {
  PumpState<T> state;
  state.relief = ReliefFlow<T>(law, pressure);
  state.leak = law.leak * pressure;
  state.inner_pressure = pressure + MeteringDrop<T>(pump, law, flow + state.relief);
  state.inlet_loss = InletLoss<T>(pump, fluid, flow);
  const T head = pump.inlet ? pump.inlet->head : T(0.0);
  state.inlet_pressure = air_pressure + fluid.density * kGravity * head - state.inlet_loss;
  const T lift = state.inner_pressure + state.inlet_loss;
  // Oil forced back through a pump that is not driven by it makes no work at the shaft.
  state.shaft_torque = Value(lift) > 0.0 ? pump.displacement * lift / pump.efficiency : T(0.0);
  state.shaft_power = state.shaft_torque * speed;
  state.marks.Set(Mark::kReliefOpen, Value(state.relief) > 0.0);
  state.marks.Set(Mark::kNoAssist, Value(law.ideal) <= 0.0);
  state.marks.Set(Mark::kOverspeed, pump.top_speed && Value(speed) > Value(*pump.top_speed));
  if (pump.inlet) {
    state.marks.Set(Mark::kInletNoise,
                    Value(state.inlet_pressure) < Value(pump.inlet->noise_limit));
    const T unlimited = SoftMin<T>(law.ideal - state.leak, law.regulated, law.corner);
    state.marks.Set(Mark::kInletStarved,
                    Value(unlimited - state.relief) > Value(law.suction + law.corner));
  }
  return state;
}

template <class T>
bool IsSound(const Pump<T>& pump) {
  if (!IsPositive(pump.displacement, pump.filled, pump.efficiency)) return false;
  if (!IsNotNegative(pump.leak)) return false;
  if (Value(pump.efficiency) > 1.0 || Value(pump.filled) > 1.0) return false;
  if (pump.flow_control) {
    const FlowControl<T>& c = *pump.flow_control;
    if (!IsPositive(c.flow) || !IsNotNegative(c.droop, c.from_speed, c.metering_drop)) return false;
  }
  if (pump.relief) {
    const Relief<T>& r = *pump.relief;
    if (!IsPositive(r.cracking, r.full_flow) || !IsFinite(r.full_pressure)) return false;
    if (Value(r.full_pressure) <= Value(r.cracking)) return false;
  }
  if (pump.inlet) {
    const Inlet<T>& inlet = *pump.inlet;
    if (!IsSound(inlet.hose) || !IsFinite(inlet.head)) return false;
    if (!IsNotNegative(inlet.noise_limit, inlet.filling_limit)) return false;
  }
  return !pump.top_speed || IsPositive(*pump.top_speed);
}

#define STEERBENCH_INSTANTIATE(T)                                                                 \
  template T RegulatedFlow<T>(const T&, double, const T&, const T&);                              \
  template T LeakFrom<T>(const T&, const std::vector<PumpReading<T>>&);                           \
  template std::optional<DisplacementAndLeak<T>> PumpFrom<T>(const std::vector<PumpReading<T>>&); \
  template PumpLaw<T> MakePump<T>(const Pump<T>&, const T&, const FluidState<T>&, const T&);      \
  template FlowPoint<T> Delivered<T>(const PumpLaw<T>&, const T&);                                \
  template T ReliefFlow<T>(const PumpLaw<T>&, const T&);                                          \
  template PumpState<T> PumpStateAt<T>(const Pump<T>&, const PumpLaw<T>&, const T&,               \
                                       const FluidState<T>&, const T&, const T&, const T&);       \
  template bool IsSound<T>(const Pump<T>&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::hydraulics
