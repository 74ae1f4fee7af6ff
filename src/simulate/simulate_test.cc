#include "simulate/simulate.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <limits>

#include "engine/hydraulics/steady.h"
#include "fixtures/demo.h"
#include "fixtures/near.h"
#include "simulate/plant.h"
#include "simulate/store.h"

namespace steerbench::simulate {
namespace {

constexpr std::array<Shape, 5> kShapes{Shape::kStep, Shape::kRamp, Shape::kSine, Shape::kParking,
                                       Shape::kLockImpact};

FittedPlant Fitted(const std::string& setup) {
  const auto fitted = fixtures::PlainDemo(setup);
  Missing missing;
  const auto made = PlantOf(fitted, Evaluate(fitted), {}, missing);
  REQUIRE(made);
  return *made;
}

Plant Calm() { return Fitted("calm").plant; }

// The demo rack against a road that pushes it back to centre, with no friction anywhere.
Plant OnSpring(double spring) {
  Plant p = Calm();
  p.load.friction = p.rack_friction = 0.0;
  p.mesh_efficiency = 1.0;
  p.load.spring = spring;
  return p;
}

double AtLock(const Plant& p) { return p.stops.high / p.circuit.cylinder.travel_per_radian; }

Run Of(const Plant& p, Shape shape) {
  Run run;
  run.manoeuvre = {shape, false, 1.0, 1.0};
  if (shape == Shape::kParking) run.manoeuvre.amplitude = 0.95 * AtLock(p);
  if (shape == Shape::kLockImpact) run.manoeuvre.amplitude = AtLock(p) + 0.09;
  run.duration = 4.0;
  run.samples = 201;
  return run;
}

History Done(const Plant& p, const Run& run) {
  const auto history = Simulate(p, run);
  REQUIRE_MESSAGE(history, (history ? "" : std::string(Describe(history.why()))));
  return *history;
}

// The steady solve under the force that oil and hand carried at a moment of a history.
hydraulics::SteadyState<double> Steady(const Plant& p, const Sample& s, double force) {
  hydraulics::Condition<double> condition = p.condition;
  condition.rack_force = force;
  condition.rack_speed = s.speed;
  const auto state = hydraulics::SolveSteady(p.circuit, condition);
  REQUIRE(state);
  return *state;
}

void CheckAgrees(const Sample& s, const hydraulics::SteadyState<double>& steady) {
  const auto near = [](double x) { return fixtures::Near(x, 1e-4); };
  CHECK(s.hand_torque == near(steady.torque));
  CHECK(s.twist == near(steady.twist));
  CHECK(s.outlet == near(steady.outlet));
  CHECK(s.assist == near(steady.assist));
  CHECK(s.delivered == near(steady.delivered));
}

TEST_CASE("Come to rest against a road spring it stands as the steady solve says") {
  for (const double spring : {5e3, 5e4, 1e5, 3e5, 8e5}) {
    CAPTURE(spring);
    const Plant p = OnSpring(spring);
    Run run = Of(p, Shape::kRamp);
    const Sample s = Done(p, run).samples.back();
    CHECK(std::abs(s.speed) < 1e-6);
    CheckAgrees(s, Steady(p, s, spring * s.travel));
  }
}

TEST_CASE("Held at the kerb the tyre's own wind-up is the load that the steady solve needs") {
  for (const char* setup : {"calm", "keen"}) {
    CAPTURE(setup);
    const Plant p = Fitted(setup).plant;
    const Sample s = Done(p, Of(p, Shape::kRamp)).samples.back();
    CheckAgrees(s, Steady(p, s, s.load + s.friction));
  }
}

// Here the mesh loses its share, which the steady solve of a fitted car holds in its pinion.
TEST_CASE("Turned at a steady speed it is what the steady solve says at that rack speed") {
  const Plant p = Calm();
  Run run = Of(p, Shape::kRamp);
  run.manoeuvre = {Shape::kRamp, false, 3.0, 2.0};
  run.duration = 1.6;  // the hand still turns
  const Sample s = Done(p, run).samples.back();
  Plant lossy = p;
  lossy.circuit.cylinder.travel_per_radian /= p.mesh_efficiency;
  CheckAgrees(s, Steady(lossy, s, s.load + p.rack_friction));
}

TEST_CASE("The demo's kerb pressure is reached at the end of a slow turn at the kerb") {
  const auto fitted = fixtures::PlainDemo("calm");
  Plant p = Calm();
  p.load.damping = 0.0;
  Run run = Of(p, Shape::kRamp);
  run.manoeuvre = {Shape::kRamp, false, 2.0, 20.0};
  run.duration = 18.0;
  // The evaluation knows no rack speed: slow is near enough, to the pressure loss of its flow.
  CHECK(Done(p, run).samples.back().outlet ==
        fixtures::Near(*Evaluate(fitted)[Output::kKerbPressure], 0.02));
}

TEST_CASE("Energy closes in every run, by angle and by torque, to a thousandth and far better") {
  for (const Shape shape : kShapes) {
    for (const bool of_torque : {false, true}) {
      for (const double air : {0.0, 0.02}) {
        CAPTURE(static_cast<int>(shape));
        CAPTURE(of_torque);
        Plant p = Calm();
        p.circuit.fluid.air = air;
        Run run = Of(p, shape);
        run.manoeuvre.of_torque = of_torque;
        if (of_torque) run.manoeuvre.amplitude = 5.0;
        const History h = Done(p, run);
        CHECK(h.turned_over > 100.0);
        CHECK(h.worst_unbalanced < 1e-5);
      }
    }
  }
}

TEST_CASE("Stored energy is the integral of what stores it") {
  const Plant p = Calm();
  const auto& valve = p.circuit.valve;
  double bar = 0.0;
  constexpr int kSteps = 200'000;
  const double most = 1.2 * valve.stop;
  for (int i = 0; i < kSteps; ++i) {
    bar += hydraulics::TwistTorque(valve, most * (i + 0.5) / kSteps).torque * most / kSteps;
  }
  CHECK(TwistEnergy(valve, most) == fixtures::Near(bar, 1e-6));
  Plant airy = p;
  airy.circuit.fluid.air = 0.03;
  for (const double pressure : {60e5, 2e5, -0.9e5}) {
    double oil = 0.0;
    for (int i = 0; i < kSteps; ++i) {
      const double x = pressure * (i + 0.5) / kSteps;
      const double absolute =
          std::max(x + airy.condition.air_pressure, airy.circuit.fluid.gas_release);
      oil += x / hydraulics::BulkModulusAt(airy.circuit.fluid, absolute) * pressure / kSteps;
    }
    CHECK(Elastic(airy, pressure) == fixtures::Near(oil, 1e-5));
  }
}

// Without a running pump the oil only drags: what the hand turns is what the rack resists.
TEST_CASE("With the pump stopped a slow turn weighs what a manual rack does") {
  Plant p = Calm();
  p.condition.pump_speed = 0.0;
  p.load.damping = 0.0;
  Run run = Of(p, Shape::kRamp);
  run.manoeuvre = {Shape::kRamp, false, 2.0, 200.0};
  run.duration = 180.0;
  const Sample s = Done(p, run).samples.back();
  const double manual = (p.load.friction + p.rack_friction) * p.circuit.cylinder.travel_per_radian /
                        p.mesh_efficiency;
  CHECK(s.hand_torque == fixtures::Near(manual, 2e-3));
  CHECK(std::abs(s.assist) < 1e-3 * p.load.friction);
}

TEST_CASE("A turn the other way is the mirror image") {
  const Plant p = Calm();
  for (const Shape shape : kShapes) {
    CAPTURE(static_cast<int>(shape));
    Run run = Of(p, shape);
    const History left = Done(p, run);
    run.manoeuvre.amplitude *= -1.0;
    const History right = Done(p, run);
    for (std::size_t i = 0; i < left.samples.size(); i += 10) {
      const Sample &l = left.samples[i], &r = right.samples[i];
      CHECK(std::abs(l.travel + r.travel) < 1e-6);  // [m]
      CHECK(std::abs(l.hand_torque + r.hand_torque) < 2e-3);
      CHECK(std::abs(l.chamber_a - r.chamber_b) < 5e3);
    }
  }
}

// With neither oil nor friction it is a mass on two springs: bar and road.
// Amplitude ratio k / (k + s - m w^2), any text on vibrations (Den Hartog, Mechanical Vibrations).
TEST_CASE("A sine without oil is that of a mass between two springs") {
  Plant p = OnSpring(2e5);
  p.load.damping = 2e3;
  p.condition.pump_speed = 0.0;
  // Pistons so small that the oil does not matter.
  p.circuit.cylinder.area_a = p.circuit.cylinder.area_b = 1e-9;
  p.rack_mass = 50.0;
  Run run = Of(p, Shape::kSine);
  run.manoeuvre = {Shape::kSine, false, 0.05, 0.1};
  run.duration = 4.0;
  run.samples = 4001;
  const History h = Done(p, run);
  double most = 0.0;
  for (std::size_t i = 3000; i < h.samples.size(); ++i) {
    most = std::max(most, h.samples[i].travel);
  }
  const double c = p.circuit.cylinder.travel_per_radian;
  const double bar = p.circuit.valve.stiffness / (c * c);
  const double w = 2.0 * M_PI / 0.1;
  const double dynamic = std::hypot(bar + p.load.spring - p.rack_mass * w * w, p.load.damping * w);
  CHECK(most == fixtures::Near(0.05 * c * bar / dynamic, 1e-3));
}

TEST_CASE("A ten times finer tolerance changes no sample by more than is stated") {
  const Plant p = Calm();
  for (const Shape shape : kShapes) {
    CAPTURE(static_cast<int>(shape));
    Run run = Of(p, shape);
    const History usual = Done(p, run);
    run.tolerance /= 10.0;
    const History fine = Done(p, run);
    for (std::size_t i = 0; i < usual.samples.size(); ++i) {
      const Sample &u = usual.samples[i], &f = fine.samples[i];
      CHECK(std::abs(u.travel - f.travel) < kTravelAccuracy);
      CHECK(std::abs(u.hand_torque - f.hand_torque) < kTorqueAccuracy);
      CHECK(std::abs(u.outlet - f.outlet) < kPressureAccuracy);
    }
  }
}

TEST_CASE("The rack stops at its stop and the relief valve holds the pressure") {
  const Plant p = Calm();
  Run run = Of(p, Shape::kLockImpact);
  run.manoeuvre.of_torque = true;
  run.manoeuvre.amplitude = 30.0;  // a strong driver hangs on
  const History h = Done(p, run);
  for (const Sample& s : h.samples) CHECK(s.travel < p.stops.high + 1e-3);
  CHECK(h.samples.back().outlet <= p.circuit.pump.relief->full_pressure);
  CHECK(h.samples.back().outlet > p.circuit.pump.relief->cracking);
}

TEST_CASE("Whatever cannot be run says why") {
  const double none = std::numeric_limits<double>::quiet_NaN();
  const Plant good = Calm();
  const Run run = Of(good, Shape::kStep);
  const auto why = [](const Plant& p, const Run& r) {
    const auto history = Simulate(p, r);
    REQUIRE_FALSE(history);
    CHECK_FALSE(Describe(history.why()).empty());
    return history.why();
  };
  const auto plant = [&](auto change) {
    Plant p = good;
    change(p);
    return why(p, run);
  };
  const auto with = [&](auto change) {
    Run r = run;
    change(r);
    return why(good, r);
  };
  CHECK(plant([&](Plant& p) { p.rack_mass = 0.0; }) == Why::kPlant);
  CHECK(plant([&](Plant& p) { p.load.wind_up = 0.0; }) == Why::kPlant);
  CHECK(plant([&](Plant& p) { p.stops.low = 0.01; }) == Why::kPlant);
  CHECK(plant([&](Plant& p) { p.mesh_efficiency = 1.2; }) == Why::kPlant);
  CHECK(plant([&](Plant& p) { p.load.spring = none; }) == Why::kPlant);
  CHECK(plant([&](Plant& p) { p.condition.pump_speed = -1.0; }) == Why::kCircuit);
  CHECK(plant([&](Plant& p) { p.circuit.fluid.air = 2.0; }) == Why::kCircuit);
  CHECK(with([&](Run& r) { r.manoeuvre.time = 0.0; }) == Why::kManoeuvre);
  CHECK(with([&](Run& r) { r.manoeuvre.amplitude = none; }) == Why::kManoeuvre);
  CHECK(with([&](Run& r) { r.duration = 1e9; }) == Why::kSpan);
  CHECK(with([&](Run& r) { r.samples = 1; }) == Why::kSpan);
  CHECK(with([&](Run& r) { r.manoeuvre.amplitude = 30.0; }) == Why::kBroken);
  CHECK(with([&](Run& r) { r.tolerance = 0.0; }) == Why::kTolerance);
}

// Extreme but possible: a history that is whole and balanced, or a reason.
TEST_CASE("Rough handling ends in a balanced history or in a reason") {
  for (const double amplitude : {1e-9, 50.0, -1e4}) {
    for (const double time : {1e-3, 0.05}) {
      for (const double mass : {0.1, 500.0}) {
        CAPTURE(amplitude);
        CAPTURE(time);
        CAPTURE(mass);
        Plant p = Calm();
        p.rack_mass = mass;
        Run run = Of(p, Shape::kStep);
        run.manoeuvre.amplitude = amplitude;
        run.manoeuvre.time = time;
        run.duration = 0.5;
        const auto h = Simulate(p, run);
        if (!h) {
          CHECK_FALSE(Describe(h.why()).empty());
          continue;
        }
        CHECK(std::isfinite(h->samples.back().travel));
        CHECK(std::abs(amplitude) < 1.0);  // the others go through the stop
      }
    }
  }
}

TEST_CASE("A car without a pump is told what is missing") {
  const auto fitted = fixtures::PlainDemo("works");
  Missing missing;
  CHECK_FALSE(PlantOf(fitted, Evaluate(fitted), {}, missing));
  CHECK(std::ranges::find(missing, "setup.pump") != missing.end());
}

TEST_CASE("Inputs begin at none, are continuous and end where they should") {
  for (const Shape shape : kShapes) {
    CAPTURE(static_cast<int>(shape));
    const Manoeuvre m{shape, false, 2.0, 0.8};
    CHECK(InputAt(m, 0.0).value == 0.0);
    constexpr double kStep = 1e-5;
    for (double t = 0.001; t < 3.0; t += 0.0137) {  // past the corner at the start
      const HandInput a = InputAt(m, t), b = InputAt(m, t + kStep);
      CHECK(b.value - a.value == fixtures::Near(kStep * (a.rate + b.rate) / 2.0, 1e-3));
    }
    const double end = shape == Shape::kSine || shape == Shape::kParking ? 0.0 : 2.0;
    CHECK(std::abs(InputAt(m, 8.0).value - end) < 1e-9);
  }
}

}  // namespace
}  // namespace steerbench::simulate
