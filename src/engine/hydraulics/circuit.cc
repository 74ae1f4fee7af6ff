#include "engine/hydraulics/circuit.h"

#include <array>
#include <cmath>

namespace steerbench::hydraulics {
namespace {

// A line that loses less than kNoLoss at kUsualFlow is no line: its two ends would differ by less
// than rounding makes of their flow.
constexpr double kUsualFlow = 1e-4;  // [m^3/s] 6 L/min
constexpr double kNoLoss = 10.0;     // [Pa] a ten-thousandth of a bar

template <class T>
bool IsFelt(const LineLaw<T>& law) {
  return Value(DropAt<T>(law, T(kUsualFlow)).drop) >= kNoLoss;
}

// A node beyond a line, or the same node when the line loses nothing.
template <class T>
int Beyond(Built<T>& built, int node, const Line<T>& line) {
  if (!HasLoss(line)) return node;
  const LineLaw<T> law = MakeLine<T>(line, built.fluid);
  if (!IsFelt(law)) return node;
  const int next = built.network.nodes++;
  built.network.lines.Add({node, next, law});
  return next;
}

// The chain of control valves of a branch from one node to another. `first` is the index of its
// first valve's current.
template <class T>
void Chain(Built<T>& built, const ControlBranch<T>& branch, const Condition<T>& condition,
           int first, int from, int to) {
  int node = from;
  for (std::size_t i = 0; i < branch.valves.size(); ++i) {
    const ControlValve<T>& valve = branch.valves[i];
    const T& current = condition.currents[static_cast<std::size_t>(first) + i];
    const ControlOpening<T> opening = OpeningAt<T>(valve, current);
    built.marks.Set(Mark::kBeyondCurrent, opening.beyond);
    const bool last = i + 1 == branch.valves.size();
    const int next = last ? to : built.network.nodes++;
    built.network.orifices.Add(
        {node, next, MakeRoundOrifice<T>(opening.opening, valve.coefficient, built.fluid)});
    node = next;
  }
}

// A chamber that gets a share of the supply pressure: shares of valves in series multiply.
template <class T>
T ShareOf(Built<T>& built, const ControlBranch<T>& branch, const Condition<T>& condition,
          int first) {
  T share(1.0);
  for (std::size_t i = 0; i < branch.valves.size(); ++i) {
    const ControlOpening<T> opening =
        OpeningAt<T>(branch.valves[i], condition.currents[static_cast<std::size_t>(first) + i]);
    built.marks.Set(Mark::kBeyondCurrent, opening.beyond);
    share *= opening.opening;
  }
  return share;
}

template <class T>
void AddBranch(Built<T>& built, const ControlBranch<T>& branch, const Condition<T>& condition,
               int first) {
  const Places& at = built.at;
  const int orifice = built.network.orifices.count;
  switch (branch.principle) {
    case Principle::kPumpBypass:
      built.pump_bypasses.Add(orifice);
      Chain<T>(built, branch, condition, first, at.supply, at.back);
      break;
    case Principle::kPistonBypass:
      built.piston_bypasses.Add(orifice);
      Chain<T>(built, branch, condition, first, at.chamber_a, at.chamber_b);
      break;
    case Principle::kReaction:
      built.reactions.Add({ShareOf<T>(built, branch, condition, first),
                           branch.reaction->torque_per_pressure, branch.reaction->onset});
      break;
    case Principle::kFeed:
      Chain<T>(built, branch, condition, first, at.outlet, at.feed);
      break;
  }
}

template <class T>
bool HasFeedValve(const Circuit<T>& circuit) {
  for (const ControlBranch<T>& branch : circuit.control) {
    if (branch.principle == Principle::kFeed) return true;
  }
  return false;
}

template <class T>
void PlaceNodes(Built<T>& built, const Circuit<T>& circuit) {
  Places& at = built.at;
  Network<T>& net = built.network;
  at.outlet = net.nodes++;
  at.feed = HasFeedValve(circuit) ? net.nodes++ : at.outlet;
  at.supply = Beyond<T>(built, at.feed, circuit.pressure_line);
  at.chamber_a = net.nodes++;
  at.chamber_b = net.nodes++;
  at.back = Beyond<T>(built, kReservoir, circuit.return_line);
  net.pump_node = at.outlet;
}

template <class T>
void AddValve(Built<T>& built, const Circuit<T>& circuit, const Condition<T>& condition) {
  const Places& at = built.at;
  Network<T>& net = built.network;
  net.orifices.Add({at.supply, at.chamber_a, {}});
  net.orifices.Add({at.supply, at.chamber_b, {}});
  net.orifices.Add({at.chamber_a, at.back, {}});
  net.orifices.Add({at.chamber_b, at.back, {}});
  // A chamber drawn empty fills with gas at the pressure at which the oil gives it off.
  const T below_air = condition.air_pressure - circuit.fluid.gas_release;
  for (const int node : {at.supply, at.chamber_a, at.chamber_b}) {
    net.checks.Add({kReservoir, node, {below_air}});
  }
}

template <class T>
bool AreFinite(const std::array<T, kMostControlValves>& currents) {
  for (const T& current : currents) {
    if (!IsFinite(current)) return false;
  }
  return true;
}

}  // namespace

template <class T>
std::optional<Problem> WhyUnsound(const Circuit<T>& c) {
  if (!IsSound(c.fluid)) return Problem::kFluid;
  if (!IsSound(c.pump)) return Problem::kPump;
  for (const Line<T>* line : {&c.pressure_line, &c.return_line}) {
    if (!IsSound(*line)) return Problem::kLine;
  }
  if (!IsSound(c.valve)) return Problem::kValve;
  if (!IsPositive(c.cylinder.area_a, c.cylinder.area_b, c.cylinder.travel_per_radian)) {
    return Problem::kCylinder;
  }
  std::size_t valves = 0;
  for (const ControlBranch<T>& branch : c.control) {
    if (!IsSound(branch)) return Problem::kControl;
    valves += branch.valves.size();
  }
  if (valves > kMostControlValves) return Problem::kTooBig;
  return std::nullopt;
}

template <class T>
std::optional<Problem> WhyUnsound(const Condition<T>& c) {
  if (!IsFinite(c.rack_force, c.rack_speed) || !AreFinite(c.currents)) return Problem::kNotFinite;
  if (!IsNotNegative(c.pump_speed) || !IsPositive(c.temperature, c.air_pressure)) {
    return Problem::kCondition;
  }
  return std::nullopt;
}

template <class T>
Built<T> Build(const Circuit<T>& circuit, const Condition<T>& condition) {
  Built<T> built;
  built.fluid = StateAt<T>(circuit.fluid, condition.temperature);
  built.marks = built.fluid.marks;
  built.network.pump =
      MakePump<T>(circuit.pump, condition.pump_speed, built.fluid, condition.air_pressure);
  PlaceNodes<T>(built, circuit);
  AddValve<T>(built, circuit, condition);
  int first = 0;
  for (const ControlBranch<T>& branch : circuit.control) {
    AddBranch<T>(built, branch, condition, first);
    first += static_cast<int>(branch.valves.size());
  }
  built.network.injected.setZero(built.network.nodes);
  return built;
}

template <class T>
void SetTwist(Built<T>& built, const Circuit<T>& circuit, const T& twist) {
  const RotaryValve<T>& valve = circuit.valve;
  const bool to_a = Value(twist) > 0.0;
  const Opening<T> shut = OpeningAt<T>(valve, to_a ? T(-twist) : twist);
  // What one edge closes the other opens, and as fast.
  Opening<T> open{T(2.0 * valve.openings.centre - shut.area), shut.area_slope};
  // Centred they are one to the last bit, so that no force is left of their difference.
  if (Value(twist) == 0.0) open.area += Value(shut.area) - Value(open.area);
  const auto set = [&](std::array<int, 2> orifices, const Opening<T>& o, double sign) {
    const OrificeLaw<T> law = MakeRoundOrifice<T>(o.area, valve.coefficient, built.fluid);
    for (const int i : orifices) {
      built.network.orifices[i].law = law;
      const auto k = static_cast<std::size_t>(i);
      built.area_slope[k] = sign * Value(o.area_slope);
      // The laminar term goes as one over the diameter, that as the root of the area.
      built.laminar_slope[k] = -Value(law.laminar) * built.area_slope[k] / (2.0 * Value(o.area));
    }
  };
  set({kSupplyToA, kBToReturn}, to_a ? open : shut, 1.0);
  set({kSupplyToB, kAToReturn}, to_a ? shut : open, -1.0);
}

template <class T>
void SetRackSpeed(Built<T>& built, const Circuit<T>& circuit, const T& speed) {
  built.network.injected[built.at.chamber_a] = -circuit.cylinder.area_a * speed;
  built.network.injected[built.at.chamber_b] = circuit.cylinder.area_b * speed;
}

NodeVector<double> SurplusByTwist(const Built<double>& built, const NodeVector<double>& p) {
  NodeVector<double> rate = NodeVector<double>::Zero(built.network.nodes);
  for (int i = kSupplyToA; i <= kBToReturn; ++i) {
    const Passage<OrificeLaw<double>>& o = built.network.orifices[i];
    const double drop = PressureAt(p, o.from) - PressureAt(p, o.to);
    const FlowPoint<double> at = FlowThrough<double>(o.law, drop);
    const auto k = static_cast<std::size_t>(i);
    // dQ/dA = Q/A and, since slope = A/root, dQ/d(laminar) = -Q slope / A.
    const double by_twist =
        at.flow / o.law.area * (built.area_slope[k] - at.slope * built.laminar_slope[k]);
    if (o.from != kReservoir) rate[o.from] += by_twist;
    if (o.to != kReservoir) rate[o.to] -= by_twist;
  }
  return rate;
}

#define STEERBENCH_INSTANTIATE(T)                                     \
  template std::optional<Problem> WhyUnsound<T>(const Circuit<T>&);   \
  template std::optional<Problem> WhyUnsound<T>(const Condition<T>&); \
  template Built<T> Build<T>(const Circuit<T>&, const Condition<T>&); \
  template void SetTwist<T>(Built<T>&, const Circuit<T>&, const T&);  \
  template void SetRackSpeed<T>(Built<T>&, const Circuit<T>&, const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::hydraulics
