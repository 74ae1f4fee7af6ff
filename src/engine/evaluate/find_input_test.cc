#include "engine/evaluate/find_input.h"

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <span>

#include "fixtures/demo.h"
#include "fixtures/draws.h"
#include "fixtures/near.h"
#include "fixtures/slower.h"

namespace steerbench {
namespace {

using enum Output;

constexpr std::string_view kHole = "control_valve.bypass.opening[0].diameter";

// The demo's setup with a control valve, its coil unplugged.
Fitted<Quantity> Unplugged() {
  Fitted<Quantity> f = fixtures::FittedSetup(fixtures::Example(), "keen");
  f.adjust.control_powered = false;
  return f;
}

const Quantity& At(const std::vector<Input>& inputs, std::string_view path) {
  return std::ranges::find(inputs, path, &Input::path)->quantity;
}

TEST_CASE("a number is found again from what it does") {
  const struct {
    std::string path;
    Output result;
  } kCases[] = {
      {std::string(kHole), kKerbTorque},       {std::string(kHole), kKerbPull},
      {std::string(kHole), kKerbPressure},     {"car.front.tyre.friction", kKerbLostPull},
      {"rack.slow.friction", kKerbLostTorque}, {"car.friction.column", kRoadTorque},
      {"pump.middle.relief", kPumpIdle},       {"pump.middle.flow", kCatchUpLeft},
      {"rack.slow.torsion_bar", kKerbTorque},  {"car.oil.cooling", kParkingOil},
      {"pulley.works.diameter", kPumpIdle},    {"car.front.left.lower_ball_joint.y", kScrubLeft}};
  const Fitted<Quantity> f = Unplugged();
  const Evaluation<double> e = Evaluate(fixtures::PlainOf(f));
  for (const auto& c : std::span(kCases).first(fixtures::kSlower > 1 ? 3 : std::size(kCases))) {
    CAPTURE(c.path);
    CAPTURE(InfoOf(c.result).key);
    const double value = At(Inputs(f), c.path).value;
    const FoundInput found =
        FindInput(f, {c.path, {c.result, *e[c.result], 0.0}, 0.6 * value, 1.7 * value});
    if (c.path == "pump.middle.relief") {  // no relief valve turns a pulley
      CHECK(found.status == FindStatus::kNoEffect);
      continue;
    }
    REQUIRE(found.status == FindStatus::kFound);
    CHECK(found.figure->value == fixtures::Near(value, 1e-6));
    CHECK(found.before == value);
    CHECK(found.result_before == e[c.result]);
  }
}

TEST_CASE("its plus-minus, where it can be worked by hand") {
  // Pump speed n = idle (crank + 2 b) / (d + 2 b), solved for the pulley's diameter d.
  Fitted<Quantity> f = Unplugged();
  f.car.drive.line_differential->tolerance = 0.0;  // stated without one, which would be marked
  const std::vector<Input> inputs = Inputs(f);
  const std::string path = "pulley.works.diameter";
  const double n = *Evaluate(fixtures::PlainOf(f))[kPumpIdle], half = 0.02 * n;
  const FoundInput found = FindInput(f, {path, {kPumpIdle, n, half}, 0.1, 0.2});
  REQUIRE(found.status == FindStatus::kFound);
  const Quantity &idle = At(inputs, "car.engine.idle"),
                 &crank = At(inputs, "car.engine.crank_pulley");
  const double d = At(inputs, path).value;
  const double b2 = 2.0 * At(inputs, "car.drive.line_differential").value;
  const double by_n = (d + b2) / n * half;
  const double by_idle = (d + b2) / idle.value * *idle.tolerance;
  const double by_crank = idle.value / n * *crank.tolerance;
  CHECK(found.by_measurement == fixtures::Near(by_n));
  CHECK(found.figure->tolerance ==
        fixtures::Near(std::sqrt(by_n * by_n + by_idle * by_idle + by_crank * by_crank)));
  CHECK(found.figure->from.front().input ==
        static_cast<std::size_t>(std::ranges::find(inputs, "car.engine.idle", &Input::path) -
                                 inputs.begin()));
  for (const Contribution& c : found.figure->from) CHECK(inputs[c.input].path != path);
  CHECK_FALSE(found.figure->too_narrow);
  CHECK(FindInput(f, {path, {kPumpIdle, n, {}}, 0.1, 0.2}).figure->too_narrow);
}

TEST_CASE("its plus-minus against Monte Carlo") {
  // Source: JCGM 101:2008. A draw's hole is where its own pressure is that drawn.
  const Fitted<Quantity> f = Unplugged();
  const std::vector<Input> inputs = Inputs(f);
  const double pressure = *Evaluate(fixtures::PlainOf(f))[kKerbPressure];
  const double half = 0.02 * pressure;
  const FoundInput found =
      FindInput(f, {std::string(kHole), {kKerbPressure, pressure, half}, 1e-3, 3e-3});
  REQUIRE(found.status == FindStatus::kFound);
  fixtures::Draws draws(20);
  std::mt19937_64 engine(21);
  std::normal_distribution<double> normal;
  fixtures::Moments moments;
  constexpr int kFew = 250 / fixtures::kSlower;
  for (int k = 0; k < kFew; ++k) {
    draws.Next();
    Fitted<double> car = draws.Of(f, inputs);
    const double seen = pressure + normal(engine) * half / 2.0;
    double x = found.figure->value;
    for (int step = 0; step < 4; ++step) {  // Newton's method with the slope of the middle
      car.control_valve->opening[0].diameter = x;
      x -= (*Evaluate(car)[kKerbPressure] - seen) / found.sensitivity;
    }
    moments.Add(x);
  }
  CHECK(moments.Tolerance() ==
        fixtures::Near(found.figure->tolerance, 4.0 / std::sqrt(2.0 * kFew)));
}

TEST_CASE("what cannot be found is said") {
  const Fitted<Quantity> f = Unplugged();
  const double torque = *Evaluate(fixtures::PlainOf(f))[kKerbTorque];
  const auto find = [](const Fitted<Quantity>& car, std::string path, Output of, double value,
                       double least, double most) {
    return FindInput(car, {std::move(path), {of, value, 0.0}, least, most});
  };
  // A larger hole makes it heavier, so a weight beyond reach lies nearest to the upper bound.
  const FoundInput none = find(f, std::string(kHole), kKerbTorque, 40.0 * torque, 1e-3, 3e-3);
  CHECK(none.status == FindStatus::kNone);
  CHECK(none.nearest == fixtures::Near(3e-3));
  CHECK(none.highest > none.lowest);
  CHECK_FALSE(none.figure);

  // Plugged in, the coil shuts the hole at the kerb: how large it is without current tells nothing.
  const Fitted<Quantity> plugged = fixtures::FittedSetup(fixtures::Example(), "keen");
  CHECK(find(plugged, std::string(kHole), kKerbTorque, torque, 1e-3, 3e-3).status ==
        FindStatus::kNoEffect);

  CHECK(find(f, "rack.quick.turns", kKerbTorque, torque, 1.0, 9.0).status ==
        FindStatus::kNoSuchInput);
  CHECK(find(f, std::string(kHole), kKerbTorque, torque, 3e-3, 3e-3).status ==
        FindStatus::kSenselessRange);
  CHECK(find(f, std::string(kHole), kKerbTorque, torque, 1e-3, NAN).status ==
        FindStatus::kSenselessRange);

  Fitted<Quantity> dry = f;
  dry.fluid.reset();
  const FoundInput unknown = find(dry, std::string(kHole), kKerbTorque, torque, 1e-3, 3e-3);
  CHECK(unknown.status == FindStatus::kNotKnown);
  CHECK(unknown.missing == std::vector<std::string>{"setup.keen.fluid"});
}

TEST_CASE("of several values all are told") {
  // Two joints even each other out at one phase, and are as uneven to both sides of it.
  const Fitted<Quantity> f = Unplugged();
  const Evaluation<double> e = Evaluate(fixtures::PlainOf(f));
  const double best = *e[kColumnBestPhase];
  const FoundInput found = FindInput(
      f, {"car.column.joint[1].phase", {kColumnUnevenness, 0.05, 0.0}, best - 1.0, best + 1.0});
  REQUIRE(found.status == FindStatus::kSeveral);
  REQUIRE(found.values.size() == 2);
  CHECK(std::abs(0.5 * (found.values[0] + found.values[1]) - best) < 1e-9);  // [rad]
  CHECK_FALSE(found.figure);
}

}  // namespace
}  // namespace steerbench
