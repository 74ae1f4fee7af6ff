// Control valves without their current: named for the right reason, and each cure that is told of
// is a cure when it is made.
#include "engine/evaluate/control_trouble.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "engine/evaluate/propagate.h"
#include "fixtures/demo.h"
#include "fixtures/near.h"

namespace steerbench {
namespace {

using Car = Fitted<double>;
using enum Output;

// An invented car with two control valves one after another in the circuit: one lets the pump's oil
// past the rotary valve, the other lets oil across the piston; both shut with current.
Car TwoValves(CoilWiring wiring, bool second_powered) {
  Car f = fixtures::PlainDemo("keen");
  ControlValve<double> v = *f.control_valve;
  v.name = "crosswise";
  v.principle = ControlPrinciple::kPistonBypass;
  v.opening = {{0.0, 2.2e-3, {}}, {0.75, 0.0, {}}, {1.2, 0.0, {}}};
  v.coil = 9.4;
  v.pull_in = 0.45;
  f.second_control_valve = v;
  f.adjust.wiring = wiring;
  f.adjust.second_control_powered = second_powered;
  f.car.driver.coil_temperature.reset();  // cold, so that Ohm's law can be worked by hand
  return f;
}

const ControlTrouble::Trial& Told(const ControlTrouble& trouble, std::string_view change) {
  const auto found = std::ranges::find_if(trouble.trials, [change](const auto& t) {
    return t.change.find(change) != std::string::npos;
  });
  CAPTURE(change);
  REQUIRE(found != trouble.trials.end());
  return *found;
}

double Kerb(const Car& f) { return std::abs(Evaluate(f)[kKerbTorque].value()); }

TEST_CASE("A valve that has its current is no trouble") {
  CHECK_FALSE(Evaluate(fixtures::PlainDemo("keen")).control_trouble.has_value());
  CHECK_FALSE(Evaluate(fixtures::PlainDemo("calm")).control_trouble.has_value());
  CHECK_FALSE(Evaluate(TwoValves(CoilWiring::kOwnDrivers, true)).control_trouble.has_value());
}

TEST_CASE("A valve on a car without a pump is no trouble") {
  Car f = TwoValves(CoilWiring::kOwnDrivers, false);
  f.pump.reset();
  CHECK_FALSE(Evaluate(f).control_trouble.has_value());
}

TEST_CASE("One of two valves in the circuit unplugged: heavy for that reason, and what cures it") {
  const Car f = TwoValves(CoilWiring::kOwnDrivers, false);
  const auto trouble = Evaluate(f).control_trouble;
  REQUIRE(trouble.has_value());
  REQUIRE(trouble->weak.size() == 1);
  CHECK(trouble->weak[0].second);
  CHECK(trouble->weak[0].unplugged);
  CHECK(trouble->weight == kKerbTorque);
  CHECK(*trouble->torque == fixtures::Near(Kerb(f)));
  // The first valve, which has its current, is not the reason.
  Car none = f;
  none.second_control_valve.reset();
  CHECK(*trouble->torque > 2.0 * Kerb(none));
  const auto& out = Told(*trouble, "crosswise taken out");
  CHECK(out.cures);
  CHECK(*out.torque == fixtures::Near(Kerb(none)));
  const auto& plugged = Told(*trouble, "each on a driver");
  CHECK(plugged.cures);
  CHECK(*plugged.torque == fixtures::Near(Kerb(TwoValves(CoilWiring::kOwnDrivers, true))));
  // On the one driver the two coils in parallel get half each: no cure, and it says so.
  const auto& halved = Told(*trouble, "in parallel");
  CHECK_FALSE(halved.cures);
  CHECK(*halved.torque == fixtures::Near(Kerb(TwoValves(CoilWiring::kParallel, true))));
  CHECK(trouble->trials.front().cures);  // cures first
}

TEST_CASE(
    "Two coils in series on one driver: what is too little by hand is too little, and cured") {
  Car f = TwoValves(CoilWiring::kSeries, true);
  f.car.driver.voltage = 11.0;  // 0.3 + 6.12 + 9.42 ohm: 0.694 A of 0.8 A
  const auto trouble = Evaluate(f).control_trouble;
  REQUIRE(trouble.has_value());
  REQUIRE(trouble->weak.size() == 2);
  CHECK(trouble->weak[0].current == fixtures::Near(11.0 / 15.84));
  CHECK(trouble->weak[0].in_series);
  CHECK_FALSE(trouble->weak[0].unplugged);
  CHECK(*trouble->torque > Kerb(TwoValves(CoilWiring::kOwnDrivers, true)));
  // 11 V / 0.8 A = 13.75 ohm in all leaves 7.31 ohm for the second coil.
  const auto& slim = Told(*trouble, "a coil of 7.3 ohm at 20 °C for crosswise");
  CHECK(slim.cures);
  Car cured = f;
  cured.second_control_valve->coil = 11.0 / 0.8 - 0.3 - 6.12 - 0.02;
  CHECK(*slim.torque == fixtures::Near(Kerb(cured)));
  CHECK_FALSE(Evaluate(cured).control_trouble.has_value());
  const auto& own = Told(*trouble, "a driver like the present one for each coil");
  CHECK(own.cures);
  cured = f;
  cured.adjust.wiring = CoilWiring::kOwnDrivers;
  CHECK(*own.torque == fixtures::Near(Kerb(cured)));
  CHECK_FALSE(Evaluate(cured).control_trouble.has_value());
  // In parallel the driver must give what both take: 0.8 A of the second one is 7.54 V.
  const auto& strong = Told(*trouble, "in parallel, a driver that gives 2.03 A");
  CHECK(strong.cures);
}

TEST_CASE("Every change told of as a cure leaves no trouble, the others do") {
  for (const CoilWiring wiring : {CoilWiring::kSeries, CoilWiring::kParallel}) {
    for (const bool powered : {true, false}) {
      const Car f = TwoValves(wiring, powered);
      const auto trouble = Evaluate(f).control_trouble;
      if (!trouble) continue;
      for (const auto& t : trouble->trials) {
        CAPTURE(t.change);
        REQUIRE(t.torque.has_value());
        if (t.cures) CHECK(*t.torque <= *trouble->torque * (1.0 + 1e-9));
      }
    }
  }
}

// A reaction valve that is asked for current on the road alone.
// Reported 2026-11-25: the valve that is not there was written to.
TEST_CASE("A second control valve alone with too weak a coil is cured by one that suits it") {
  Car f = fixtures::PlainDemo("keen");
  f.second_control_valve = f.control_valve;
  f.control_valve.reset();
  f.adjust.second_control_powered = f.adjust.control_powered;
  f.adjust.control_powered.reset();
  f.second_control_valve->coil = 60.0;
  const auto trouble = Evaluate(f).control_trouble;
  REQUIRE(trouble.has_value());
  REQUIRE(trouble->weak.size() == 1);
  CHECK(trouble->weak[0].second);
  CHECK(Told(*trouble, "a coil of").cures);
}

TEST_CASE("A valve asked to move on the road alone is weighed on the road") {
  Car f = fixtures::PlainDemo("keen");
  auto& v = *f.control_valve;
  v.principle = ControlPrinciple::kReaction;
  v.reaction_torque = 3.0;
  v.reaction_onset = 0.03;
  v.opening = {{0.0, {}, 0.0}, {0.8, {}, 0.6}};
  v.pull_in = 0.15;
  f.car.driver.current = {{0.0, 0.0}, {80.0 / 3.6, 0.8}};
  CHECK_FALSE(Evaluate(f).control_trouble.has_value());
  f.adjust.control_powered = false;
  const auto trouble = Evaluate(f).control_trouble;
  REQUIRE(trouble.has_value());
  CHECK(trouble->weight == kRoadTorque);
  const auto& plugged = Told(*trouble, "plugged in");
  CHECK(plugged.cures);
  CHECK(*plugged.torque > *trouble->torque);  // without current it is light
}

// Each torque told has the plus-minus of the same car with that change made.
TEST_CASE("The plus-minus of a cure's weight is that of the car in which it was made") {
  Fitted<Quantity> f = fixtures::FittedSetup(fixtures::Example(), "keen");
  f.adjust.control_powered = false;
  const Propagated r = Propagate(f);
  REQUIRE(r.control_trouble.has_value());
  const auto& trials = r.control_trouble->trials;
  REQUIRE(r.control_torque.size() == trials.size() + 1);
  const auto same = [](const std::optional<Figure>& told, const Fitted<Quantity>& car) {
    REQUIRE(told.has_value());
    const Figure made = *Propagate(car)[kKerbTorque].figure;
    CHECK(told->value == fixtures::Near(made.value));
    CHECK(told->tolerance == fixtures::Near(made.tolerance));
    CHECK(told->tolerance > 0.0);
  };
  same(r.control_torque[0], f);
  bool plugged_in = false, taken_out = false;
  for (std::size_t i = 0; i < trials.size(); ++i) {
    CAPTURE(trials[i].change);
    Fitted<Quantity> made = f;
    if (trials[i].made.plugged) made.adjust.control_powered = true, plugged_in = true;
    if (trials[i].made.out) made.control_valve.reset(), taken_out = true;
    same(r.control_torque[i + 1], made);
  }
  CHECK(plugged_in);
  CHECK(taken_out);
}

}  // namespace
}  // namespace steerbench
