// The chain from tyre to hand wheel as a whole: physical sanity, a step-by-step recomputation,
// derivatives, and that nothing is taken for granted in silence.
#include "engine/evaluate/weigh.h"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <cmath>
#include <functional>

#include "engine/evaluate/chain.h"
#include "engine/evaluate/propagate.h"
#include "fixtures/corners.h"
#include "fixtures/demo.h"
#include "fixtures/drive.h"
#include "fixtures/figures.h"
#include "fixtures/near.h"
#include "fixtures/slower.h"
#include "reference/properties.h"

namespace steerbench {
namespace {

using fixtures::PlainDemo;
using reference::Between;
using enum Output;
using Car = Fitted<double>;

const std::array<std::string, 3> kAssisted{"first-try", "calm", "keen"};
constexpr effort::Direction kLeft = effort::Direction::kLeft, kRight = effort::Direction::kRight;
constexpr double kKmh = 1.0 / 3.6;  // [m/s]

double Of(const Car& f, Output id) {
  const Evaluation<double> e = Evaluate(f);
  CAPTURE(InfoOf(id).key);
  REQUIRE(e[id].has_value());
  return *e[id];
}

bool IsWeight(std::size_t i) { return fixtures::IsWeighed(i); }

// A chain with what it stands on.
struct Bench {
  explicit Bench(const Car& car) : f(car), front(AssembleFront(f)) {
    const auto rest = SeeWheel<double>(front, Side::kLeft, 0.0, 0.0);
    hand = HandToRackOf(f, rest->sample.steer_per_travel > 0.0, missing);
    chain.emplace(f, front, hand, missing, assumed);
    pump_speed =
        chain->HasAssist() ? std::optional(chain->PumpSpeedAt(*f.car.engine.idle)) : std::nullopt;
  }
  Bench(const Bench&) = delete;

  double Kerb(effort::Direction side, double travel = 0.0) {
    return chain->Turn(*chain->Standing({}, travel), side, pump_speed, 0.0)->to_left;
  }
  double Road(effort::Direction side, double speed, double ay) {
    return chain->Turn(*chain->InBend(speed, ay), side, pump_speed, speed)->to_left;
  }

  Car f;
  Front<double> front;
  Missing missing;
  std::optional<HandToRack<double>> hand;
  std::vector<Assumption> assumed;
  std::optional<Chain<double>> chain;
  std::optional<double> pump_speed;
};

// Nothing differs between the sides; the forks of a column with joints stand one way.
Car Symmetric(const std::string& setup) {
  Car f = PlainDemo(setup);
  f.car.column.joint.clear();
  return f;
}

// The same car with rack and arms ahead of the axle instead of behind it.
Car Ahead(Car f) {
  auto& p = f.car.front.left;
  (*p.tie_rod_inner)[0] *= -1.0;
  (*p.tie_rod_outer)[0] *= -1.0;
  if (f.arms) (*f.arms->outer_joint)[0] *= -1.0;
  return f;
}

TEST_CASE("A symmetric car weighs the same both ways, standing, rolling and held") {
  constexpr double kSame = 1e-9;  // share; lefts and rights are solved from other ends
  for (const std::string setup : {"works", "first-try", "calm", "keen"}) {
    CAPTURE(setup);
    Bench b(Symmetric(setup));
    for (const double travel : {0.0, 0.03, 0.06}) {
      const double in = b.Kerb(kRight, travel), out = b.Kerb(kLeft, travel);
      CHECK(b.Kerb(kLeft, -travel) == fixtures::Near(-in, kSame));
      CHECK(b.Kerb(kRight, -travel) == fixtures::Near(-out, kSame));
    }
    for (const double ay : {1.0, 3.0}) {
      CHECK(b.Road(kLeft, 80 * kKmh, ay) == fixtures::Near(-b.Road(kRight, 80 * kKmh, -ay), kSame));
      CHECK(b.Road(kRight, 80 * kKmh, ay) == fixtures::Near(-b.Road(kLeft, 80 * kKmh, -ay), kSame));
    }
    const auto axle = b.chain->Standing({}, 0.0);
    const auto left = b.chain->Turn(WoundUp(*axle, kLeft), kRight, b.pump_speed, 0.0);
    const auto right = b.chain->Turn(WoundUp(*axle, kRight), kLeft, b.pump_speed, 0.0);
    CHECK(left->to_left == fixtures::Near(-right->to_left, kSame));
  }
}

TEST_CASE(
    "Arms ahead or behind: a left turn always pulls to the left, catch-up is alike each way") {
  for (const std::string setup : {"works", "first-try", "calm", "keen"}) {
    CAPTURE(setup);
    const Car behind = Symmetric(setup), ahead = Ahead(behind);
    const auto a = Evaluate(behind), b = Evaluate(ahead);
    CHECK_FALSE(a.steers_to_own_side.value());
    CHECK(b.steers_to_own_side.value());
    for (const Output id : {kKerbTorque, kKerbBrakeTorque, kRoadTorque, kMotorwayTorque}) {
      CAPTURE(InfoOf(id).key);
      CHECK(*a[id] > 0.0);
      // The arms are not quite as long seen from the other end, no more.
      CHECK(*b[id] == fixtures::Near(*a[id], 0.15));
    }
    if (!a[kCatchUpLeft]) continue;
    CHECK(*a[kCatchUpLeft] == fixtures::Near(*a[kCatchUpRight], 1e-9));
    CHECK(*b[kCatchUpLeft] == fixtures::Near(*b[kCatchUpRight], 1e-9));
  }
}

// Random in what a builder could have, so that no case rests on one demo's numbers.
Car RandomCar() {
  Car f = PlainDemo(kAssisted[static_cast<std::size_t>(reference::Whole(0, 2))]);
  *f.car.front_mass *= Between(0.7, 1.3);
  *f.car.front.tyre.pressure *= Between(0.8, 1.3);
  *f.rack->friction *= Between(0.3, 2.0);
  *f.car.oil.temperature += Between(-30.0, 30.0);
  *f.pump->flow *= Between(0.8, 1.2);
  return f;
}

TEST_CASE(
    "Weight rises with load, brake, grip and loss of assistance, and falls with tyre pressure") {
  rc::check("kerb", [] {
    const Car f = RandomCar();
    const auto e = Evaluate(f);
    Car loaded = f, pumped = f;
    *loaded.car.front_mass *= 1.05;
    *pumped.car.front.tyre.pressure *= 1.05;
    const auto more = Evaluate(loaded), less = Evaluate(pumped);
    for (const Output id : {kKerbTorque, kKerbBrakeTorque, kKerbWetTorque, kKerbLostTorque}) {
      RC_ASSERT(*more[id] > *e[id]);
      RC_ASSERT(*less[id] < *e[id]);
    }
    RC_ASSERT(*e[kKerbBrakeTorque] >= *e[kKerbTorque]);
    RC_ASSERT(*e[kKerbWetTorque] < *e[kKerbTorque]);
    RC_ASSERT(*e[kKerbLostTorque] > *e[kKerbTorque]);
    RC_ASSERT(*e[kRoadLostTorque] > *e[kRoadTorque]);
    RC_ASSERT(*e[kKerbPull] == *e[kKerbTorque] / (*f.car.column.rim_diameter / 2.0));
  });
}

// The valve throttles what the pump gives: more of it makes more pressure at the same twist.
TEST_CASE("More pump flow makes the road lighter") {
  for (const std::string& setup : kAssisted) {
    CAPTURE(setup);
    Car f = PlainDemo(setup);
    const auto before = Evaluate(f);
    *f.pump->flow *= 1.2;
    const auto after = Evaluate(f);
    for (const Output id : {kTownTorque, kRoadTorque, kFastTorque, kMotorwayTorque}) {
      CHECK(*after[id] < *before[id]);
      CHECK(*after[id] > 0.0);
    }
  }
}

TEST_CASE("A closed control valve equals none") {
  Car shut = PlainDemo("keen"), none = shut;
  for (auto& row : shut.control_valve->opening) row.diameter = 0.0;
  none.control_valve.reset();
  const auto a = Evaluate(shut), b = Evaluate(none);
  for (std::size_t i = 0; i < kOutputs; ++i) {
    if (!IsWeight(i) || Outputs()[i].group == OutputGroup::kElectrics) continue;
    const auto id = static_cast<Output>(i);
    if (id == Output::kCatchUpControlLeft || id == Output::kCatchUpControlRight)
      continue;  // its own
    CAPTURE(Outputs()[i].key);
    REQUIRE(a.result[i].value.has_value() == b.result[i].value.has_value());
    if (a.result[i].value) CHECK(*a.result[i].value == fixtures::Near(*b.result[i].value));
  }
}

// A control valve with an opening at no current and another from 0.75 A.
ControlValve<double> Valve(ControlPrinciple principle, double unpowered, double powered) {
  ControlValve<double> v = *PlainDemo("keen").control_valve;
  v.principle = principle;
  v.opening = {{0.0, unpowered, {}}, {0.75, powered, {}}, {1.2, powered, {}}};
  return v;
}

constexpr double kWide = 5e-3, kNarrow = 0.4e-3;  // [m]

Car With(const ControlValve<double>& valve, bool powered) {
  Car f = PlainDemo("keen");
  f.control_valve = valve;
  f.adjust.control_powered = powered;
  return f;
}

TEST_CASE("Without power a control valve weighs as its principle and its fail state say") {
  using enum ControlPrinciple;
  struct Case {
    ControlPrinciple principle;
    double unpowered, powered;
    bool heavy_unpowered;
  };
  for (const Case& c : {Case{kPumpBypass, 2e-3, 0.0, true}, Case{kPumpBypass, 0.0, 2e-3, false},
                        Case{kPistonBypass, 2e-3, 0.0, true}, Case{kPistonBypass, 0.0, 2e-3, false},
                        Case{kFeed, kNarrow, kWide, true}, Case{kFeed, kWide, kNarrow, false}}) {
    CAPTURE(WordOf(c.principle));
    CAPTURE(c.heavy_unpowered);
    const auto v = Valve(c.principle, c.unpowered, c.powered);
    const Car on = With(v, true), off = With(v, false);
    CHECK(Of(on, kCoilCurrent) == fixtures::Near(0.8));
    CHECK(Of(off, kCoilCurrent) == 0.0);
    CHECK((Of(off, kKerbTorque) > Of(on, kKerbTorque) + 0.2) == c.heavy_unpowered);
    CHECK((Of(off, kKerbTorque) < Of(on, kKerbTorque) - 0.2) == !c.heavy_unpowered);
  }
}

TEST_CASE("A reaction chamber makes the wheel firmer the more pressure it is given") {
  Car f = PlainDemo("keen");
  f.control_valve->principle = ControlPrinciple::kReaction;
  f.control_valve->opening = {{0.0, {}, 1.0}, {0.75, {}, 0.0}, {1.2, {}, 0.0}};
  f.control_valve->reaction_torque = 8.0;
  f.control_valve->reaction_onset = 0.5 * M_PI / 180.0;
  Car off = f, none = f;
  off.adjust.control_powered = false;
  none.control_valve.reset();
  CHECK(Of(off, kKerbTorque) > Of(f, kKerbTorque) + 0.2);
  CHECK(Of(f, kKerbTorque) == fixtures::Near(Of(none, kKerbTorque)));
}

Car Two(const ControlValve<double>& valve, bool second_powered, CoilWiring wiring) {
  Car f = With(valve, true);
  f.second_control_valve = valve;
  f.adjust.second_control_powered = second_powered;
  f.adjust.wiring = wiring;
  return f;
}

TEST_CASE(
    "Two control valves in the feed, one of them unpowered: heavy, and the currents say why") {
  const auto v = Valve(ControlPrinciple::kFeed, kNarrow, kWide);
  const auto both = Evaluate(Two(v, true, CoilWiring::kSeries));
  const auto one = Evaluate(Two(v, false, CoilWiring::kParallel));
  CHECK(*one[kKerbTorque] > *both[kKerbTorque] + 0.2);
  CHECK(*one[kCoilCurrent] > *v.pull_in);
  CHECK(*one[kSecondCoilCurrent] == 0.0);
  CHECK(*both[kSecondCoilCurrent] > *v.pull_in);
  // One open after another narrow: nearly as the narrow one alone.
  CHECK(*one[kKerbTorque] == fixtures::Near(Of(With(v, false), kKerbTorque), 0.01));
  // In a bypass it is the other way round: the one that is shut shuts the passage.
  const auto bypass = Valve(ControlPrinciple::kPumpBypass, 2e-3, 0.0);
  CHECK(Of(Two(bypass, false, CoilWiring::kParallel), kKerbTorque) ==
        fixtures::Near(Of(Two(bypass, true, CoilWiring::kSeries), kKerbTorque)));
}

TEST_CASE("A plug pulled off one of two coils in series leaves neither with a current") {
  for (const ControlPrinciple principle :
       {ControlPrinciple::kPumpBypass, ControlPrinciple::kFeed}) {
    const auto v = Valve(principle, 2e-3, 1e-3);
    const auto open = Evaluate(Two(v, false, CoilWiring::kSeries));
    CHECK(*open[kCoilCurrent] == 0.0);
    CHECK(*open[kSecondCoilCurrent] == 0.0);
    Car none = Two(v, false, CoilWiring::kSeries);
    none.adjust.control_powered = false;
    CHECK(*open[kKerbTorque] == Of(none, kKerbTorque));
    REQUIRE(open.control_trouble);
    REQUIRE(open.control_trouble->weak.size() == 2);
    CHECK(open.control_trouble->weak[0].open_loop);
    CHECK(open.control_trouble->weak[1].unplugged);
  }
}

TEST_CASE("A coil below its pull-in current leaves its valve where it stands without one") {
  auto v = Valve(ControlPrinciple::kPumpBypass, 2e-3, 0.0);
  const Car moved = With(v, true);
  v.pull_in = 2.0;  // more than the 0.8 A that it gets
  const Car still = With(v, true);
  CHECK(Of(still, kCoilCurrent) == Of(moved, kCoilCurrent));
  CHECK(Of(still, kKerbTorque) == Of(With(v, false), kKerbTorque));
  CHECK(Of(still, kOpening) > 3e-6);
  CHECK(Of(moved, kOpening) < 1e-12);
  CHECK(Evaluate(still).control_trouble.has_value());
  CHECK_FALSE(Evaluate(moved).control_trouble.has_value());
}

TEST_CASE("A driver that cannot give what its table asks for is named") {
  Car f = With(Valve(ControlPrinciple::kPumpBypass, 2e-3, 0.0), true);
  f.car.driver.limit = 0.5;
  const auto trouble = Evaluate(f).control_trouble;
  REQUIRE(trouble);
  REQUIRE(trouble->weak.size() == 1);
  REQUIRE(trouble->weak[0].driver_limit);
  CHECK(*trouble->weak[0].driver_limit == 0.5);
  CHECK(trouble->weak[0].asked == fixtures::Near(0.8));
  CHECK(trouble->trials.front().cures);
}

// A second control valve on its own is one valve, with its own coil and plug.
TEST_CASE("A second control valve without a first counts like a first") {
  Car f = PlainDemo("keen");
  const double as_first = Of(f, kMotorwayTorque);
  std::swap(f.control_valve, f.second_control_valve);
  CHECK(Of(f, kMotorwayTorque) == as_first);
  CHECK(Of(f, kKerbTorque) == Of(PlainDemo("keen"), kKerbTorque));
}

// Ohm's law and the divider of currents, worked by hand. Coils 6.1 and 9.1 ohm, 0.02 ohm of plug
// each, driver 13.6 V behind 0.3 ohm, asked for 0.8 A standing.
TEST_CASE("Series or parallel on one driver gives each coil what a hand calculation says") {
  auto v = Valve(ControlPrinciple::kPumpBypass, 2e-3, 0.0);
  const auto with = [&](CoilWiring wiring, double second_coil) {
    Car f = Two(v, true, wiring);
    f.second_control_valve->coil = second_coil;
    f.car.driver.coil_temperature.reset();  // cold
    return f;
  };
  const Car series = with(CoilWiring::kSeries, 9.1), parallel = with(CoilWiring::kParallel, 9.1);
  CHECK(Of(series, kCoilCurrent) == fixtures::Near(0.8));  // 13.6/15.54 = 0.875 would flow
  CHECK(Of(series, kSecondCoilCurrent) == fixtures::Near(0.8));
  CHECK(Of(parallel, kCoilCurrent) == fixtures::Near(0.8 * 9.12 / 15.24));
  CHECK(Of(parallel, kSecondCoilCurrent) == fixtures::Near(0.8 * 6.12 / 15.24));
  CHECK(Of(parallel, kKerbTorque) > Of(series, kKerbTorque));  // neither is shut any more
  // The voltage does not suffice for two long coils one after another.
  const Car starved = with(CoilWiring::kSeries, 18.0);
  CHECK(Of(starved, kCoilCurrent) == fixtures::Near(13.6 / (0.3 + 6.12 + 18.02)));
  CHECK(Of(starved, kKerbTorque) > Of(series, kKerbTorque));
  const Car own = with(CoilWiring::kOwnDrivers, 18.0);
  CHECK(Of(own, kCoilCurrent) == fixtures::Near(0.8));
  CHECK(Of(own, kSecondCoilCurrent) == fixtures::Near(13.6 / (0.3 + 18.02)));
}

TEST_CASE("Assist lost weighs as the same car that never had any, its seals left in") {
  for (const std::string& setup : kAssisted) {
    CAPTURE(setup);
    Car f = PlainDemo(setup);
    const auto assisted = Evaluate(f);
    f.pump.reset();
    f.control_valve.reset();
    f.rack->assisted = false;
    *f.rack->friction += *f.rack->seal_friction;
    const auto without = Evaluate(f);
    CHECK(*without[kKerbTorque] == fixtures::Near(*assisted[kKerbLostTorque], 1e-12));
    CHECK(*without[kRoadTorque] == fixtures::Near(*assisted[kRoadLostTorque], 1e-12));
    CHECK_FALSE(without[kKerbLostTorque].has_value());
  }
}

// Turn about the steering axis per rack travel that keeps the tie rod's length, the lower joint
// standing still; corner frame.
double TurnPerTravel(const linkage::WheelState<double>& s) {
  const Vec3<double> rod = s.tie_rod_outer - s.tie_rod_inner;
  return rod.y() / s.axis_direction.cross(s.tie_rod_outer - s.axis_point).dot(rod);
}

TEST_CASE(
    "the weight lift is what the spring on the lower arm gains, the wheel kept on the ground") {
  // Without any rate: only where the contact and the lower joint stand, in poses close to another.
  for (const linkage::Corner<double>& corner : {fixtures::Wishbone(), fixtures::Strut()}) {
    for (const double travel : {-0.05, -0.02, 0.0, 0.03, 0.05}) {
      CAPTURE(travel);
      constexpr double kLoad = 3000.0, kStep = 1e-4;  // [N], [m]
      const auto at = [&](double s, double q) { return fixtures::StateOf(corner, s, q); };
      const auto joint = [&](double s, double q) { return at(s, q).axis_point.z(); };
      const auto contact = [&](double s, double q) { return at(s, q).contact.z(); };
      const double ground = contact(travel, 0.0);
      const auto per_jounce = [&](auto height) {
        return (height(travel, kStep) - height(travel, -kStep)) / (2.0 * kStep);
      };
      // Statics of the corner at rest: load x contact's way = spring force x lower joint's way.
      const double spring = kLoad * per_jounce(contact) / per_jounce(joint);
      const auto on_ground = [&](double s) {
        double q = 0.0;
        for (int i = 0; i < 3; ++i) q -= (contact(s, q) - ground) / per_jounce(contact);
        return joint(s, q);
      };
      const double gained =
          spring * (on_ground(travel + kStep) - on_ground(travel - kStep)) / (2.0 * kStep);
      const auto state = at(travel, 0.0);
      const linkage::Rate<double> steered = linkage::SteeredAlone<double>(corner.axis, state);
      const Vec3<double> rate =
          steered.centre + steered.angular.cross(state.contact - state.centre);
      CHECK(std::abs(-kLoad * rate.z() - gained) < 0.01);  // of some hundred newtons
      CHECK((steered.angular - TurnPerTravel(state) * state.axis_direction).norm() < 1e-9);
    }
  }
}

// Composed anew from the modules: at the centre the weight lifts of both wheels cancel.
double RackForceAtKerb(const Car& f) {
  const Front<double> front = AssembleFront(f);
  double force = *f.rack->friction + *f.rack->seal_friction;
  for (const Side side : kSides) {
    const auto wheel = *SeeWheel<double>(front, side, 0.0, 0.0)->state;
    tyre::Standing<double> s;
    s.load = *f.car.front_mass / 2.0 * 9.80665;
    s.pressure = *f.car.front.tyre.pressure;
    s.friction = *f.car.front.tyre.friction;
    s.tyre_width = *f.car.front.tyre_width;
    s.mechanical_trail = wheel.mechanical_trail;
    s.patch = tyre::Patch<double>{*f.car.front.tyre.patch_length, *f.car.front.tyre.tread_width};
    const double turn = std::abs(TurnPerTravel(wheel));
    force += turn * (tyre::SpinTorqueStanding<double>(s)->middle * wheel.axis_direction.z() +
                     *f.car.friction.joints);
  }
  return force;
}

hydraulics::Circuit<double> CircuitByHand(const Car& f, double travel_per_radian) {
  hydraulics::Circuit<double> c;
  constexpr double kCelsius = 273.15;
  c.fluid.cold = {40.0 + kCelsius, *f.fluid->viscosity_40};
  c.fluid.hot = {100.0 + kCelsius, *f.fluid->viscosity_100};
  c.fluid.density = *f.fluid->density;
  c.pump.displacement = *f.pump->displacement;
  c.pump.flow_control = hydraulics::FlowControl<double>{*f.pump->flow, 0.0, 1.0, 0.0};
  c.pump.relief = {0.95 * *f.pump->relief, *f.pump->relief, *f.pump->flow};
  c.pressure_line.length = *f.car.oil.pressure_length;
  c.pressure_line.bore = *f.car.oil.pressure_bore;
  c.return_line.length = *f.car.oil.return_length;
  c.return_line.bore = *f.car.oil.return_bore;
  c.valve.stiffness = *f.rack->torsion_bar;
  c.valve.stop = *f.rack->valve_stop;
  std::vector<hydraulics::BoostPoint<double>> points;
  for (const auto& row : f.rack->boost) {
    points.push_back({*row.torque / *f.rack->torsion_bar, *row.pressure});
  }
  const auto oil = hydraulics::StateAt(c.fluid, *f.car.oil.temperature);
  c.valve.openings =
      *hydraulics::FitOpening<double>(points, *f.rack->boost_flow, hydraulics::kSharpEdge, oil);
  const double area =
      M_PI / 4.0 *
      (*f.rack->piston_bore * *f.rack->piston_bore - *f.rack->piston_rod * *f.rack->piston_rod);
  c.cylinder.area_a = c.cylinder.area_b = area;
  c.cylinder.travel_per_radian = travel_per_radian;
  return c;
}

TEST_CASE("The kerb's torque is that of the modules put together step by step") {
  for (const std::string setup : {"first-try", "calm"}) {
    CAPTURE(setup);
    const Car f = PlainDemo(setup);
    const double force = RackForceAtKerb(f);
    // Travel and turns as the rack's maker counts them: stop to stop, in radians.
    const double c = *f.rack->travel / *f.rack->turns;
    const auto circuit = CircuitByHand(f, c / *f.rack->mesh_efficiency);
    hydraulics::Condition<double> at;
    at.pump_speed = *f.car.engine.idle * *f.car.engine.crank_pulley / *f.pulley->diameter;
    at.temperature = *f.car.oil.temperature;
    // The pinion's torque at which oil and hand together carry the load, by halving.
    double low = 0.0, high = 20.0;
    for (int i = 0; i < 60; ++i) {
      const double torque = (low + high) / 2.0;
      const double carried = hydraulics::SolveAtTorque<double>(circuit, at, torque)->assist +
                             torque * *f.rack->mesh_efficiency / c;
      (carried < force ? low : high) = torque;
    }
    // Law of the Cardan joint at its fork's angle, straight ahead (Shigley, from memory).
    double column = 1.0;
    for (const auto& j : f.car.column.joint) {
      const double s = std::sin(*j.angle), p = std::cos(*j.phase);
      column *= std::cos(*j.angle) / (1.0 - s * s * p * p);
    }
    const double hand = low * column + *f.car.friction.column;
    CHECK(Of(f, kKerbTorque) == fixtures::Near(hand, 1e-7));
  }
}

// The torque at the valve is that of the pinion also where the mesh drives back, turning out.
TEST_CASE("Oil and hand agree on the pinion's torque, whichever of rack and pinion drives") {
  Bench b(PlainDemo("keen"));
  for (const effort::Direction side : {kLeft, kRight}) {
    for (const double ay : {0.5, 3.0}) {
      const auto w = b.chain->Turn(*b.chain->InBend(80 * kKmh, ay), side, b.pump_speed, 80 * kKmh);
      REQUIRE(w->oil.has_value());
      CHECK(w->oil->torque == fixtures::Near(w->hand.pinion_torque, 1e-6));
    }
  }
}

TEST_CASE("To hold takes less than to turn, and more than to turn back") {
  for (const std::string& setup : kAssisted) {
    CAPTURE(setup);
    Bench b(PlainDemo(setup));
    const auto axle = b.chain->Standing({}, 0.0);
    const double hold = b.chain->Turn(WoundUp(*axle, kLeft), kRight, b.pump_speed, 0.0)->to_left;
    CHECK(hold < b.Kerb(kLeft));
    CHECK(hold > b.Kerb(kRight));
  }
}

// ---- derivatives ------------------------------------------------------------------------------

Car Moved(const Fitted<Quantity>& f, std::size_t input, double step) {
  return LiftTo<double>(f, [&](std::size_t i, double x) { return i == input ? x + step : x; });
}

// The demo's driver table has two level rows, where monotone interpolation has a kink in its data,
// and ends just where one of the weights is taken. A kink has no derivative to compare.
Fitted<Quantity> AwayFromKinks(Fitted<Quantity> f) {
  f.car.driver.current[1].current->value = 0.78;
  f.car.driver.current[3].road_speed->value = 150 * kKmh;
  return f;
}

// Central differences: the rounding of a solve (1e-10 or so) over the step, and curvature times
// its square, both stay below this share of what the whole size of the input does.
constexpr double kDerivativeTolerance = 2e-4;

// Weights, and the belt and the checks of oil, hose and coils besides.
bool IsSolved(std::size_t i) {
  if (IsWeight(i)) return true;
  if (i < fixtures::kFirstCheck) return Outputs()[i].group == OutputGroup::kBelt;
  const auto check = static_cast<Check>(i - fixtures::kFirstCheck);
  return check >= Check::kPressureReserve && check <= Check::kSecondCoil;
}

TEST_CASE("Derivatives of every weight to every input are those of differences") {
  const Document demo = fixtures::Example();
  for (const std::string setup : {"works", "first-try", "calm", "keen"}) {
    const Fitted<Quantity> f = AwayFromKinks(fixtures::FittedSetup(demo, setup));
    const Propagated p = Propagate(f);
    const auto row = fixtures::Row(p);
    for (std::size_t k = 0; k < p.inputs.size(); k += fixtures::kSlower) {
      const Quantity& q = p.inputs[k].quantity;
      const double size = std::max(std::abs(q.value), q.tolerance.value_or(0.0));
      if (size == 0.0) continue;  // a stated zero at the end of its range has no neighbour below
      const double step = 1e-4 * size;
      const auto up = fixtures::Row(Evaluate(Moved(f, k, step)));
      const auto down = fixtures::Row(Evaluate(Moved(f, k, -step)));
      for (std::size_t i = 0; i < fixtures::kFirstEnd; ++i) {
        if (!IsSolved(i) || !row[i] || fixtures::IsCounted(i)) continue;
        const auto found = std::ranges::find(row[i]->from, k, &Contribution::input);
        const double exact = (found == row[i]->from.end() ? 0.0 : found->sensitivity) * size;
        const double difference = (*up[i] - *down[i]) / (2.0 * step) * size;
        const double scale = std::abs(row[i]->value) + std::abs(exact);
        INFO(setup, " ", fixtures::SlotName(i), " ", p.inputs[k].path, " ", exact, " ", difference);
        CHECK(std::abs(exact - difference) <= kDerivativeTolerance * scale);
      }
    }
  }
}

// ---- what is missing --------------------------------------------------------------------------

// Takes the n-th stated number of a car away. The walk goes the way of Inputs(), points whole.
class Remover {
 public:
  Remover(std::size_t nth, std::string parent, std::string& path, std::size_t& next)
      : nth_(nth), parent_(std::move(parent)), path_(path), next_(next) {}

  template <class A>
  void operator()(const FieldInfo& info, A& a) {
    Visit(parent_.empty() ? std::string(info.key) : parent_ + "." + std::string(info.key), a);
  }

 private:
  template <class A>
  void Visit(const std::string& path, A& a) {
    if constexpr (Described<A>) {
      A::Visit(Remover(nth_, path, path_, next_), a);
    } else if constexpr (requires { a.has_value(); }) {
      using Item = std::remove_cvref_t<decltype(*a)>;
      if (!a) return;
      if constexpr (Described<Item>) {
        Visit(path, *a);
      } else if constexpr (std::same_as<Item, double> || std::same_as<Item, Point<double>>) {
        if (next_++ != nth_) return;
        path_ = path;
        a.reset();
      }
    } else if constexpr (requires { a.resize(1); } && !std::same_as<A, std::string>) {
      for (auto& item : a) Visit(path, item);
    }
  }

  std::size_t nth_;
  std::string parent_;
  std::string& path_;
  std::size_t& next_;
};

bool Begins(std::string_view a, std::string_view b) { return a.starts_with(b) || b.starts_with(a); }

TEST_CASE("What a weight needs and has not is named, nothing is taken for granted in silence") {
  int named = 0, assumed = 0;
  for (const std::string setup : {"works", "keen"}) {
    const Car whole = PlainDemo(setup);
    const auto before = Evaluate(whole);
    for (std::size_t nth = 0;; ++nth) {
      Car f = whole;
      std::string path;
      std::size_t next = 0;
      Car::Visit(Remover(nth, "", path, next), f);
      if (path.empty()) break;
      const auto after = Evaluate(f);
      const bool said = std::ranges::any_of(after.assumed, [&](const Assumption a) {
        return std::ranges::find(before.assumed, a) == before.assumed.end();
      });
      for (std::size_t i = 0; i < kOutputs; ++i) {
        if (!IsWeight(i) || !before.result[i].value) continue;
        CAPTURE(path);
        CAPTURE(Outputs()[i].key);
        const auto& r = after.result[i];
        if (r.value) {
          CHECK((*r.value == *before.result[i].value || said));
          assumed += *r.value != *before.result[i].value;
        } else {
          CHECK(std::ranges::any_of(r.missing, [&](auto m) { return Begins(path, m); }));
          ++named;
        }
      }
    }
  }
  CHECK(named > 500);
  CHECK(assumed > 10);
}

TEST_CASE("A boost curve read at the rim is that read at the pinion, past column and joints") {
  Car f = PlainDemo("calm");
  const double angle = 0.35, friction = 0.4;  // [rad, N m]
  f.car.column.joint = {{angle, 0.0}};
  f.car.friction.column = friction;
  const auto at_pinion = Evaluate(f);
  // One joint, its upper fork in the plane of its bend straight ahead: there the lower shaft turns
  // 1/cos times as fast, so that much more torque is at the hand (Cardan's joint; Seherr-Thoss,
  // Universal Joints and Driveshafts, from memory).
  for (auto& row : f.rack->boost) {
    const double hand = *row.torque / std::cos(angle) + (*row.torque > 0.0 ? friction : 0.0);
    row.pull = hand / (*f.car.column.rim_diameter / 2.0);
    row.torque.reset();
  }
  const auto at_rim = Evaluate(f);
  for (const Output id : {kKerbTorque, kKerbPressure, kRoadTorque}) {
    CHECK(*at_rim[id] == fixtures::Near(*at_pinion[id], 1e-12));
  }
  f.car.friction.column.reset();
  CHECK_FALSE(Evaluate(f)[kKerbTorque].has_value());
}

TEST_CASE("A manual rack is weighed as one, also beside a pump") {
  Car f = PlainDemo("works");
  const auto alone = Evaluate(f);
  const Car calm = PlainDemo("calm");
  f.pump = calm.pump;
  f.pulley = calm.pulley;
  f.fluid = calm.fluid;
  const auto open = Evaluate(f);  // may be one whose cylinder is not measured
  for (const Output id : {kKerbTorque, kKerbLostTorque, kRoadLostTorque, kReturnTorque}) {
    CHECK(open.result[static_cast<std::size_t>(id)].missing == Missing{"rack.assisted"});
  }
  f.rack->assisted = false;
  const auto beside = Evaluate(f);
  CHECK(*beside[kKerbTorque] == *alone[kKerbTorque]);
  CHECK(*beside[kRoadTorque] == *alone[kRoadTorque]);
  CHECK(beside[kPumpIdle].has_value());
  CHECK_FALSE(beside[kKerbPressure].has_value());
}

TEST_CASE("A bend beyond the tyres' grip has no weight, and it is said why") {
  Car f = PlainDemo("keen");
  f.car.front.tyre.friction = 0.2;
  const auto e = Evaluate(f);
  CHECK_FALSE(e[kRoadTorque].has_value());
  CHECK(std::ranges::any_of(e.notes, [](const std::string& n) {
    return n.find("Road: 80") != n.npos && n.find("not known") != n.npos;
  }));
}

}  // namespace
}  // namespace steerbench
