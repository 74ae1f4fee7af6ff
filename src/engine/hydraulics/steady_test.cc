#include "engine/hydraulics/steady.h"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>
#include <string>

#include "engine/hydraulics/curves.h"
#include "engine/hydraulics/heat.h"
#include "fixtures/hydraulics_random.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::hydraulics {
namespace {

using fixtures::CoilValve;
using fixtures::kBar;
using fixtures::kDegree;
using fixtures::kLitrePerMinute;
using fixtures::kRpm;
using reference::Between;

constexpr double kNoViscosity = 1e-16;  // [m^2/s]

// The open-centre bridge of the reference rows: constant flow, rack at rest, return at zero.
// Nodes: supply, side A, side B.
struct Bridge {
  Network<double> network;
  FluidState<double> oil;
  NodeVector<double> pressure;

  Bridge(const reference::Row& row, double opening, double closing)
      : oil{row.Input("rho"), kNoViscosity, row.Input("rho") * kNoViscosity, {}} {
    network.nodes = 3;
    network.pump.ideal = row.Input("Q");
    network.pump.regulated = network.pump.suction = kUnlimited;
    network.pump.corner = 1e-9;
    Add(row, 0, 1, opening);
    Add(row, 0, 2, closing);
    Add(row, 1, kReservoir, closing);
    Add(row, 2, kReservoir, opening);
    network.injected.setZero(3);
    pressure.setConstant(3, 1e5);
  }
  void Add(const reference::Row& row, int from, int to, double area) {
    network.orifices.Add({from, to, MakeRoundOrifice<double>(area, row.Input("Cd"), oil)});
  }
  void Solve() {
    NodalState state;
    REQUIRE(SolveNetwork(network, pressure, state).solved);
  }
};

SteadyState<double> Solved(const Circuit<double>& circuit, const Condition<double>& condition) {
  const auto s = SolveSteady<double>(circuit, condition);
  if (!s) throw std::runtime_error(std::string(Describe(s.why())));
  return *s;
}

double TorqueOf(const Circuit<double>& circuit, const Condition<double>& condition) {
  return Solved(circuit, condition).torque;
}

ControlBranch<double> Branch(Principle principle, std::vector<ControlValve<double>> valves) {
  ControlBranch<double> b;
  b.principle = principle;
  b.valves = std::move(valves);
  return b;
}

Condition<double> Loaded(double force) {
  Condition<double> c = fixtures::AtIdle<double>();
  c.rack_force = force;
  return c;
}

}  // namespace

TEST_CASE("bridge at constant flow: closed form of the reference row") {
  const reference::Row row = reference::Load("valve-bridge");
  Bridge bridge(row, row.Input("A1_opening"), row.Input("A2_closing"));
  bridge.Solve();
  REFERENCE_CHECK(row, "p_load", bridge.pressure[1] - bridge.pressure[2]);
  REFERENCE_CHECK(row, "p_supply_minus_return", bridge.pressure[0]);
}

TEST_CASE("bridge with a bypass from supply to return: closed form of the reference row") {
  const reference::Row row = reference::Load("bypass");
  Bridge bridge(row, row.Input("A1"), row.Input("A2"));
  bridge.Add(row, 0, kReservoir, row.Input("A_bypass"));
  bridge.Solve();
  REFERENCE_CHECK(row, "p_supply", bridge.pressure[0]);
  REFERENCE_CHECK(row, "p_load", bridge.pressure[1] - bridge.pressure[2]);
  const double past = FlowThrough<double>(bridge.network.orifices[4].law, bridge.pressure[0]).flow;
  REFERENCE_CHECK(row, "Q_bypass", past);
  REFERENCE_CHECK(row, "Q_valve", row.Input("Q") - past);
}

TEST_CASE("the network's solution does not depend on the start") {
  const reference::Row row = reference::Load("bypass");
  // Half the flow goes through either side, an opening and a closing edge in series.
  const double side = row.Input("Q") / 2.0, a1 = row.Input("A1"), a2 = row.Input("A2");
  const double expected = row.Input("rho") * side * side /
                          (2.0 * row.Input("Cd") * row.Input("Cd")) *
                          (1.0 / (a1 * a1) + 1.0 / (a2 * a2));
  for (const double start : {-1e8, -1.0, 0.0, 1e3, 1e9}) {
    Bridge bridge(row, row.Input("A1"), row.Input("A2"));
    bridge.pressure.setConstant(3, start);
    bridge.Solve();
    CHECK(bridge.pressure[0] == fixtures::Near(expected, 1e-8));
    Bridge other(row, row.Input("A1"), row.Input("A2"));
    other.Solve();
    CHECK(bridge.pressure[0] == fixtures::Near(other.pressure[0], 1e-9));
  }
}

TEST_CASE("piston: area, force, speed at which it swallows a flow") {
  const reference::Row row = reference::Load("rack-piston");
  const double area = RingArea<double>(row.Input("bore"), row.Input("rod"));
  REFERENCE_CHECK(row, "A", area);
  REFERENCE_CHECK(row, "F", area * row.Input("dp"));
  const Cylinder<double> cylinder = {area, area, row.Input("C_factor")};
  // The hand-wheel speed of the row asks for just its flow.
  REFERENCE_CHECK(row, "rack_speed", row.Input("Q") / area);
  const double speed = row.Expected("handwheel_rpm") * cylinder.travel_per_radian;
  CHECK(Swallowed(cylinder, speed) == fixtures::Near(row.Input("Q"), 1e-6));
  CHECK(Swallowed(cylinder, -speed) == fixtures::Near(row.Input("Q"), 1e-6));
}

TEST_CASE("a symmetric circuit weighs the same both ways") {
  const Circuit<double> c = fixtures::DemoCircuit<double>();
  rc::check([&] {
    Condition<double> k = Loaded(Between(-9000.0, 9000.0));
    k.rack_speed = Between(-0.2, 0.2);
    const SteadyState<double> one = Solved(c, k);
    k.rack_force = -k.rack_force;
    k.rack_speed = -k.rack_speed;
    const SteadyState<double> other = Solved(c, k);
    RC_ASSERT(std::abs(one.torque + other.torque) < 1e-6 * (1.0 + std::abs(one.torque)));
    RC_ASSERT(std::abs(one.chamber_a - other.chamber_b) < 1.0);
    RC_ASSERT(std::abs(one.heat - other.heat) < 1e-3 * (1.0 + one.heat));
  });
}

TEST_CASE("at rest assist never pushes the wrong way, and torque rises with load") {
  rc::check([] {
    fixtures::Drawer drawer([](double low, double high) { return Between(low, high); }, 1.0);
    fixtures::RandomSetup s = drawer.Setup();
    s.condition.rack_speed = 0.0;
    s.circuit.cylinder.area_b = s.circuit.cylinder.area_a;
    const double force = Between(50.0, 12000.0);
    s.condition.rack_force = force;
    const SteadyState<double> one = Solved(s.circuit, s.condition);
    RC_ASSERT(one.assist >= -1e-6);
    RC_ASSERT(one.torque >= 0.0);
    s.condition.rack_force = force * 1.05;
    RC_ASSERT(TorqueOf(s.circuit, s.condition) > one.torque);
  });
}

TEST_CASE("power out is never above power in, and flows balance at the named places") {
  rc::check([] {
    fixtures::Drawer drawer([](double low, double high) { return Between(low, high); }, 1.0);
    const fixtures::RandomSetup setup = drawer.Setup();
    const SteadyState<double> s = Solved(setup.circuit, setup.condition);
    RC_ASSERT(s.heat >= -1e-6 * (1.0 + std::abs(s.useful)));
    RC_ASSERT(s.flow_residual < kFlowTolerance);
  });
  // By hand in the demo circuit: what the pump gives enters the valve; of that the piston takes its
  // part on one side and gives it back on the other.
  Condition<double> k = Loaded(3000.0);
  k.rack_speed = 0.04;
  const SteadyState<double> s = Solved(fixtures::DemoCircuit<double>(), k);
  CHECK(s.through_valve == fixtures::Near(s.delivered, 1e-9));
  CHECK(s.swallowed == fixtures::Near(725.7e-6 * 0.04));
  const LineLaw<double> back =
      MakeLine<double>(fixtures::DemoCircuit<double>().return_line,
                       StateAt<double>(fixtures::Oil<double>(), k.temperature));
  CHECK(FlowThrough<double>(back, s.back).flow == fixtures::Near(s.delivered, 1e-8));
}

TEST_CASE("a closed bypass equals no bypass, of any principle") {
  const Circuit<double> bare = fixtures::DemoCircuit<double>();
  Circuit<double> fitted = bare;
  fitted.control = {Branch(Principle::kPumpBypass, {CoilValve<double>(0.0, 4e-6)}),
                    Branch(Principle::kPistonBypass, {CoilValve<double>(0.0, 4e-6)}),
                    Branch(Principle::kReaction, {CoilValve<double>(0.0, 1.0)})};
  fitted.control[2].reaction = Reaction<double>{2e-7, 0.3 * kDegree};
  for (const double force : {0.0, 800.0, 4000.0, 9000.0}) {
    CHECK(TorqueOf(fitted, Loaded(force)) == fixtures::Near(TorqueOf(bare, Loaded(force))));
  }
}

TEST_CASE("each principle makes the wheel heavier the more its coil opens it") {
  for (const Principle principle :
       {Principle::kPumpBypass, Principle::kPistonBypass, Principle::kReaction}) {
    Circuit<double> c = fixtures::DemoCircuit<double>();
    const bool reacts = principle == Principle::kReaction;
    c.control = {Branch(principle, {CoilValve<double>(0.0, reacts ? 1.0 : 3e-6)})};
    if (reacts) c.control[0].reaction = Reaction<double>{3e-7, 0.3 * kDegree};
    Condition<double> k = Loaded(3000.0);
    double before = TorqueOf(c, k);
    for (const double current : {0.25, 0.5, 0.75, 1.0}) {
      k.currents[0] = current;
      const double torque = TorqueOf(c, k);
      CHECK(torque > before);
      before = torque;
    }
    k.currents[0] = 1.5;
    CHECK(Solved(c, k).marks.Has(Mark::kBeyondCurrent));
  }
}

TEST_CASE("control valves in series act as one, in parallel as one of the summed area") {
  // Turbulent closed forms: 1/A^2 adds in series, A adds in parallel; hot oil, so near turbulent.
  Condition<double> k = Loaded(3000.0);
  k.temperature = 413.15;
  const auto torque = [&](std::vector<ControlBranch<double>> control) {
    Circuit<double> c = fixtures::DemoCircuit<double>();
    c.control = std::move(control);
    return TorqueOf(c, k);
  };
  const double a = 1.5e-6, b = 0.9e-6;
  const auto fixed = [](double area) { return CoilValve<double>(area, area); };
  const double series = torque({Branch(Principle::kPumpBypass, {fixed(a), fixed(b)})});
  const double one = torque(
      {Branch(Principle::kPumpBypass, {fixed(1.0 / std::sqrt(1.0 / (a * a) + 1.0 / (b * b)))})});
  CHECK(series == fixtures::Near(one, 2e-3));
  const double parallel = torque(
      {Branch(Principle::kPumpBypass, {fixed(a)}), Branch(Principle::kPumpBypass, {fixed(b)})});
  const double sum = torque({Branch(Principle::kPumpBypass, {fixed(a + b)})});
  CHECK(parallel == fixtures::Near(sum, 2e-3));
  CHECK(parallel > series);
}

TEST_CASE(
    "two bypasses one after another in the feed, one without current: heavy through it alone") {
  // Both let oil past when their coil gets no current (their fail state).
  Circuit<double> c = fixtures::DemoCircuit<double>();
  c.control = {Branch(Principle::kPumpBypass, {CoilValve<double>(3e-6, 0.0)}),
               Branch(Principle::kPumpBypass, {CoilValve<double>(3e-6, 0.0)})};
  Condition<double> k = Loaded(4000.0);
  k.currents[0] = k.currents[1] = 1.0;
  const SteadyState<double> both = Solved(c, k);
  CHECK(both.torque == fixtures::Near(TorqueOf(fixtures::DemoCircuit<double>(), k)));
  k.currents[1] = 0.0;
  const SteadyState<double> one = Solved(c, k);
  CHECK(one.torque > 1.3 * both.torque);
  CHECK(one.pump_bypass > 0.3 * one.delivered);
  // In series in one passage the powered one shuts the way for both.
  c.control = {
      Branch(Principle::kPumpBypass, {CoilValve<double>(3e-6, 0.0), CoilValve<double>(3e-6, 0.0)})};
  CHECK(Solved(c, k).torque == fixtures::Near(both.torque));
}

TEST_CASE("a shut valve in the feed sends the pump to its relief valve and the hand to the stop") {
  Circuit<double> c = fixtures::DemoCircuit<double>();
  c.control = {Branch(Principle::kFeed, {CoilValve<double>(0.2e-6, 2e-5)})};
  Condition<double> k = Loaded(5000.0);
  k.rack_speed = 0.04;
  k.currents[0] = 1.0;
  const SteadyState<double> powered = Solved(c, k);
  k.currents[0] = 0.0;
  const SteadyState<double> shut = Solved(c, k);
  CHECK_FALSE(powered.marks.Has(Mark::kReliefOpen));
  CHECK(shut.marks.Has(Mark::kReliefOpen));
  CHECK(shut.marks.Has(Mark::kAtStop));
  CHECK(shut.torque > 2.0 * powered.torque);
}

TEST_CASE("engine stalled: the hand carries the load through the stop") {
  const Circuit<double> c = fixtures::DemoCircuit<double>();
  Condition<double> k = Loaded(4000.0);
  k.pump_speed = 0.0;
  const SteadyState<double> s = Solved(c, k);
  CHECK(s.torque == fixtures::Near(4000.0 * c.cylinder.travel_per_radian, 1e-3));
  CHECK(s.marks.Has(Mark::kNoAssist));
  CHECK(s.marks.Has(Mark::kAtStop));
}

TEST_CASE("the stop's stiffness does not matter to the hand") {
  // A rigid stop would leave the valve as it stands just at the stop, and the hand with the rest.
  const Circuit<double> c = fixtures::DemoCircuit<double>();
  const auto just_there = SolveAtTwist<double>(c, Loaded(0.0), c.valve.stop);
  REQUIRE(bool(just_there));
  const double rigid = (12000.0 - just_there->assist) * c.cylinder.travel_per_radian;
  CHECK(TorqueOf(c, Loaded(12000.0)) == fixtures::Near(rigid, 1e-3));
}

TEST_CASE("relief limits assist, more load goes to the hand alone") {
  const Circuit<double> c = fixtures::DemoCircuit<double>();
  const SteadyState<double> a = Solved(c, Loaded(10000.0)), b = Solved(c, Loaded(12000.0));
  CHECK(a.marks.Has(Mark::kReliefOpen));
  CHECK(a.outlet < c.pump.relief->full_pressure);
  CHECK(b.assist - a.assist < 10.0);
  CHECK(b.torque - a.torque == fixtures::Near(2000.0 * c.cylinder.travel_per_radian, 0.01));
}

TEST_CASE("turned faster than the pump can fill: assist collapses, and where is said by catch-up") {
  const Circuit<double> c = fixtures::DemoCircuit<double>();
  Condition<double> k = Loaded(3000.0);
  const SteadyState<double> slow = Solved(c, k);
  const auto catch_up = CatchUpAt<double>(c, k);
  REQUIRE(bool(catch_up));
  // There half of it is left, by a solve that is given the speed, and all oil delivered is told.
  k.rack_speed = catch_up->towards_a;
  const SteadyState<double> at = Solved(c, k);
  CHECK(at.assist == fixtures::Near(kAssistLeft * slow.assist, 1e-6));
  const OilTaken<double>& oil = catch_up->oil_a;
  CHECK(oil.piston == fixtures::Near(c.cylinder.area_a * catch_up->towards_a, 1e-12));
  CHECK(oil.piston + oil.valve + oil.control == fixtures::Near(at.delivered, 1e-6));
  k.rack_speed = 0.7 * catch_up->towards_a;
  CHECK_FALSE(Solved(c, k).marks.Has(Mark::kOutrun));
  k.rack_speed = 1.2 * catch_up->towards_a;
  const SteadyState<double> after = Solved(c, k);
  CHECK(after.marks.Has(Mark::kOutrun));
  CHECK(after.torque > 2.0 * slow.torque);
  // At least as fast with more engine speed.
  k.pump_speed = 600.0 * kRpm;
  CHECK(CatchUpAt<double>(c, k)->towards_a < catch_up->towards_a);
  k.pump_speed = 0.0;
  CHECK(CatchUpAt<double>(c, k).why() == Problem::kNoFlow);
}

TEST_CASE("what the pump leaks at the pressure of catch-up is lost to the piston") {
  Circuit<double> tight = fixtures::DemoCircuit<double>();
  tight.pump.flow_control.reset();
  tight.pump.leak = 0.0;
  Circuit<double> worn = tight;
  worn.pump.leak = 5e-14;
  const Condition<double> k = Loaded(3000.0);
  const auto before = CatchUpAt<double>(tight, k), after = CatchUpAt<double>(worn, k);
  REQUIRE(bool(before));
  REQUIRE(bool(after));
  const auto told = [](const OilTaken<double>& oil) {
    return oil.piston + oil.valve + oil.control;
  };
  Condition<double> turned = k;
  turned.rack_speed = after->towards_a;
  const SteadyState<double> at = Solved(worn, turned);
  CHECK(at.assist == fixtures::Near(kAssistLeft * Solved(worn, k).assist, 1e-6));
  const double lost = at.pump.leak;
  CHECK(lost > 0.05 * told(before->oil_a));
  CHECK(told(before->oil_a) - told(after->oil_a) == fixtures::Near(lost, 0.05));
  CHECK(after->towards_a < before->towards_a);
}

TEST_CASE("a control valve's bypass brings catch-up forward, in its speed and in its mark") {
  const Circuit<double> shut = fixtures::DemoCircuit<double>();
  Circuit<double> open = shut;
  ControlBranch<double> bypass;
  bypass.principle = Principle::kPumpBypass;
  bypass.valves.push_back(fixtures::CoilValve<double>(1e-6, 1e-6));
  open.control.push_back(bypass);
  Condition<double> k = Loaded(3000.0);
  const double before = CatchUpAt<double>(shut, k)->towards_a;
  const auto catch_up = CatchUpAt<double>(open, k);
  REQUIRE(bool(catch_up));
  CHECK(catch_up->oil_a.control > 0.05 * catch_up->oil_a.piston);
  CHECK(catch_up->towards_a < 0.95 * before);
  k.rack_speed = 0.7 * catch_up->towards_a;
  CHECK_FALSE(Solved(open, k).marks.Has(Mark::kOutrun));
  k.rack_speed = 1.3 * catch_up->towards_a;
  CHECK(Solved(open, k).marks.Has(Mark::kOutrun));
}

TEST_CASE("catch-up is found where the relief valve is open with the rack held") {
  // Too much pump for its valve: at rest all goes by the relief valve, and a first guess of the
  // speed pushes the emptying side past any pressure.
  for (const double relief : {60e5, 110e5, 120e5, 140e5}) {
    Circuit<double> c = fixtures::DemoCircuit<double>();
    c.pump.displacement *= 3.0;
    c.pump.flow_control->flow *= 3.0;
    c.pump.relief = Relief<double>{0.95 * relief, relief, c.pump.flow_control->flow};
    // From a load that the hand has to help with, too, for the oil gives all that it can.
    for (const double load : {2000.0, 2e4}) {
      const auto catch_up = CatchUpAt<double>(c, Loaded(load));
      REQUIRE(bool(catch_up));
      CHECK(catch_up->towards_a > 0.0);
    }
  }
}

TEST_CASE("a chamber drawn empty stays at the pressure at which oil gives off gas") {
  const Circuit<double> c = fixtures::DemoCircuit<double>();
  Condition<double> k = Loaded(0.0);
  k.rack_speed = 0.5;
  const SteadyState<double> s = Solved(c, k);
  CHECK(s.marks.Has(Mark::kVoid));
  CHECK(s.chamber_a == fixtures::Near(0.2e5 - kAtmosphere, 0.05));
}

TEST_CASE("boost curve: pressure rises with torque, through the measured points") {
  Circuit<double> c = fixtures::DemoCircuit<double>();
  Condition<double> k = fixtures::AtIdle<double>();
  k.temperature = 323.15;  // at which the points were fitted
  double supply = 0.0, assist = -1e-6;
  for (int i = 0; i <= 40; ++i) {
    const auto s = SolveAtTorque<double>(c, k, 6.0 * i / 40);
    REQUIRE(bool(s));
    CHECK(s->supply > supply);
    CHECK(s->assist > assist);
    supply = s->supply;
    assist = s->assist;
  }
  // 4 N m gave 41 bar between supply and return at 8 L/min.
  const auto at = SolveAtTorque<double>(c, k, 4.0);
  REQUIRE(bool(at));
  CHECK(at->delivered == fixtures::Near(8.0 * kLitrePerMinute, 1e-3));
  CHECK(at->supply - at->back == fixtures::Near(41.0 * kBar, 2e-3));
  CHECK(at->torque == fixtures::Near(4.0));
}

TEST_CASE("oil temperature settles where heat made is heat shed, higher at lock than at cruise") {
  const Circuit<double> c = fixtures::DemoCircuit<double>();
  Duty<double> cruise;
  cruise.working = fixtures::AtIdle<double>();
  cruise.working.pump_speed = 3000.0 * kRpm;
  cruise.cooling = 12.0;
  cruise.surroundings = 293.15;
  const auto easy = SettleTemperature<double>(c, cruise);
  REQUIRE(bool(easy));
  CHECK(easy->heat == fixtures::Near(12.0 * (easy->temperature - 293.15), 1e-6));
  Duty<double> lock = cruise;
  lock.working = Loaded(12000.0);
  const auto hot = SettleTemperature<double>(c, lock);
  REQUIRE(bool(hot));
  CHECK(hot->temperature > easy->temperature);
  CHECK(hot->temperature > kZeroCelsius + 120.0);
  lock.cooling = 0.1;
  CHECK(SettleTemperature<double>(c, lock).why() == Problem::kTooHot);
  lock.cooling = 0.0;
  CHECK(SettleTemperature<double>(c, lock).why() == Problem::kNoCooling);
}

TEST_CASE("bad input is refused with its reason") {
  const Circuit<double> good = fixtures::DemoCircuit<double>();
  const auto why = [](const Circuit<double>& c, const Condition<double>& k) {
    const auto s = SolveSteady<double>(c, k);
    return s ? std::optional<Problem>() : std::optional(s.why());
  };
  const auto with = [&](auto&& change) {
    Circuit<double> c = good;
    change(c);
    return why(c, fixtures::AtIdle<double>());
  };
  CHECK(with([](auto&) {}) == std::nullopt);
  CHECK(with([](auto& c) { c.fluid.density = -1.0; }) == Problem::kFluid);
  CHECK(with([](auto& c) { c.pump.displacement = 0.0; }) == Problem::kPump);
  CHECK(with([](auto& c) { c.pressure_line.bore = 0.0; }) == Problem::kLine);
  CHECK(with([](auto& c) { c.valve.stiffness = 0.0; }) == Problem::kValve);
  CHECK(with([](auto& c) { c.cylinder.area_b = std::nan(""); }) == Problem::kCylinder);
  CHECK(with([](auto& c) { c.control.emplace_back(); }) == Problem::kControl);
  CHECK(with([](auto& c) {
          c.control.push_back(
              Branch(Principle::kPumpBypass, std::vector(9, CoilValve<double>(1e-6, 1e-6))));
        }) == Problem::kTooBig);
  CHECK(with([](auto& c) {
          c.pump.relief.reset();
          c.control.push_back(Branch(Principle::kFeed, {CoilValve<double>(0.0, 0.0)}));
          c.pump.leak = 0.0;
        }) == Problem::kPressure);
  Condition<double> k = Loaded(INFINITY);
  CHECK(why(good, k) == Problem::kNotFinite);
  k = Loaded(0.0);
  k.pump_speed = -1.0;
  CHECK(why(good, k) == Problem::kCondition);
  for (int i = 0; i <= static_cast<int>(Problem::kTooHot); ++i) {
    CHECK(Describe(static_cast<Problem>(i)) != "unknown");
  }
}

TEST_CASE("derivatives of a solve are those of its values") {
  const auto solve = []<class T>(const std::vector<T>& x, int result) {
    Circuit<T> c = fixtures::DemoCircuit<T>();
    c.pump.displacement *= x[0];
    c.cylinder.area_a *= x[1];
    c.cylinder.travel_per_radian *= x[2];
    c.valve.stiffness *= x[3];
    c.return_line.resistance *= x[4];
    c.pressure_line.bore *= x[5];
    c.control.resize(2);
    c.control[0].valves = {CoilValve<T>(0.5e-6, 2e-6)};
    c.control[1].principle = Principle::kReaction;
    c.control[1].valves = {CoilValve<T>(0.2, 0.6)};
    c.control[1].reaction = Reaction<T>{T(1e-7), T(0.3 * kDegree)};
    Condition<T> k = fixtures::AtIdle<T>();
    k.rack_force = 2500.0 * x[6];
    k.rack_speed = 0.02 * x[7];
    k.temperature *= x[8];
    k.currents[0] = 0.5 * x[9];
    k.currents[1] = 0.4 * x[10];
    const auto s = SolveSteady<T>(c, k);
    switch (result) {
      case 0:
        return T(s->torque);
      case 1:
        return T(s->supply * 1e-6);
      case 2:
        return T(s->heat * 1e-3);
      default:
        return T(s->delivered * 1e4);
    }
  };
  rc::check([&] {
    std::vector<double> at;
    for (int i = 0; i < 11; ++i) at.push_back(Between(0.97, 1.03));
    for (int result = 0; result < 4; ++result) {
      const auto f = [&]<class T>(const std::vector<T>& x) { return solve(x, result); };
      // The second derivative jumps at measured points of the valve; a difference across one is
      // off.
      RC_ASSERT(reference::DerivativesHold(f, at, 2e-3));
    }
  });
}

TEST_CASE("derivatives of catch-up and of the oil's temperature are those of their values") {
  for (const double load : {3000.0, 300.0}) {
    const auto speed = [load]<class T>(const std::vector<T>& x) {
      Circuit<T> c = fixtures::DemoCircuit<T>();
      c.pump.displacement *= x[0];
      c.cylinder.area_a *= x[1];
      Condition<T> k = fixtures::AtIdle<T>();
      k.pump_speed = 70.0 * x[2];
      k.rack_force = load * x[3];
      return T(CatchUpAt<T>(c, k)->towards_a);
    };
    CHECK(reference::DerivativesHold(speed, {1.0, 1.0, 1.0, 1.0}, 1e-4));
  }
  const auto kelvin = []<class T>(const std::vector<T>& x) {
    Duty<T> duty;
    duty.working = fixtures::AtIdle<T>();
    duty.working.rack_force = 4000.0 * x[0];
    duty.cooling = 12.0 * x[1];
    duty.surroundings = T(293.15);
    return T(0.01 * SettleTemperature<T>(fixtures::DemoCircuit<T>(), duty)->temperature);
  };
  CHECK(reference::DerivativesHold(kelvin, {1.0, 1.0}, 1e-4));
}

TEST_CASE("what a circuit's solves found is found again, and for the same question only") {
  KnownRoots known;
  Circuit<Jet> circuit = fixtures::DemoCircuit<Jet>();
  Condition<Jet> loaded = fixtures::AtIdle<Jet>();
  loaded.rack_force = Jet(2500.0, 0);
  const auto alone = SolveSteady<Jet>(circuit, loaded);
  REQUIRE(alone);
  circuit.known = &known;
  for (int derivative : {0, 1}) {
    loaded.rack_force = Jet(2500.0, derivative);
    const auto shared = SolveSteady<Jet>(circuit, loaded);
    REQUIRE(shared);
    CHECK(shared->torque.a == alone->torque.a);
    CHECK(shared->torque.v[derivative] == alone->torque.v[0]);
    CHECK(known.Count() == 1);
  }
  loaded.rack_force = Jet(2500.1, 0);
  CHECK(SolveSteady<Jet>(circuit, loaded)->torque.a > alone->torque.a);
  circuit.cylinder.travel_per_radian *= 1.1;
  CHECK(SolveSteady<Jet>(circuit, loaded)->torque.a != alone->torque.a);
  CHECK(SolveAtTwist<Jet>(circuit, loaded, Jet(0.01))->twist.a == 0.01);
  CHECK(known.Count() == 4);
}

TEST_CASE("a valve is at its stop once the stop carries anything, and not before") {
  const Circuit<double> circuit = fixtures::DemoCircuit<double>();
  const Condition<double> idle = fixtures::AtIdle<double>();
  const double stop = circuit.valve.stop, bar = circuit.valve.stiffness;
  const auto at = [&](double share) { return *SolveAtTwist<double>(circuit, idle, share * stop); };
  CHECK_FALSE(at(0.99).marks.Has(Mark::kAtStop));
  CHECK(TwistTorque<double>(circuit.valve, 0.99 * stop).torque ==
        fixtures::Near(0.99 * bar * stop));
  CHECK(at(0.999).marks.Has(Mark::kAtStop));
  CHECK(TwistTorque<double>(circuit.valve, 0.999 * stop).torque > 1.1 * bar * stop);
}

TEST_CASE("a current that misses the end of a control valve's table by rounding is not beyond it") {
  const ControlValve<double> valve{FitMonotoneCubic<double>({0.0, 0.9}, {2e-6, 1e-6}), kSharpEdge};
  for (const double off : {-1e-12, 0.0, 1e-12}) {
    const auto at = OpeningAt<double>(valve, 0.9 * (1.0 + off));
    CHECK_FALSE(at.beyond);
    CHECK(at.opening == fixtures::Near(1e-6, 1e-9));
  }
  CHECK(OpeningAt<double>(valve, 0.9 * (1.0 + 1e-6)).beyond);
}

TEST_CASE("one way of catch-up stands for both where the piston's sides are alike") {
  CHECK(rc::check([] {
    Circuit<double> alike = fixtures::DemoCircuit<double>();
    alike.cylinder.area_b = alike.cylinder.area_a;
    Circuit<double> nearly = alike;
    nearly.cylinder.area_b *= 1.0 + 1e-9;
    Condition<double> condition = fixtures::AtIdle<double>();
    condition.rack_force = Between(-6000.0, 6000.0);
    condition.pump_speed = Between(20.0, 500.0);
    const auto one = CatchUpAt<double>(alike, condition);
    const auto both = CatchUpAt<double>(nearly, condition);
    RC_ASSERT(one && both);
    RC_ASSERT(one->towards_a == one->towards_b);
    RC_ASSERT(std::abs(one->towards_a - both->towards_a) < 1e-6);
    RC_ASSERT(std::abs(one->towards_b - both->towards_b) < 1e-6);
  }));
}

}  // namespace steerbench::hydraulics
