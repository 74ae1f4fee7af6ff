#include "engine/evaluate/evaluate.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "engine/evaluate/propagate.h"
#include "fixtures/demo.h"
#include "fixtures/figures.h"
#include "fixtures/near.h"

namespace steerbench {
namespace {

using fixtures::PlainDemo;

template <class E>
bool Holds(const std::vector<E>& said, E what) {
  return std::ranges::find(said, what) != said.end();
}

std::set<std::string> ExceededOf(const Propagated& p) {
  std::set<std::string> exceeded;
  for (std::size_t i = 0; i < kChecks; ++i) {
    if (p.check[i].status == limits::Status::kExceeded) exceeded.emplace(Checks()[i].key);
  }
  for (const Way way : kWays) {
    for (const PropagatedEnd& e : p.ends[Index(way)]) {
      if (e.margin.status != limits::Status::kExceeded) continue;
      exceeded.insert(fixtures::SlotName(fixtures::EndSlot(way, e.end, false)));
    }
  }
  return exceeded;
}

// The demo tells a story; these are its points.
TEST_CASE(
    "The demo's first try runs out of teeth and thread, over-drives its pump, which cooks the oil "
    "and starves in the cold, and the others run out of nothing") {
  const Document demo = fixtures::Example();
  const auto exceeded = [&](const char* setup) {
    return ExceededOf(Propagate(fixtures::FittedSetup(demo, setup)));
  };
  CHECK(exceeded("first-try") == std::set<std::string>{"inner_thread", "pump_top_speed", "inlet",
                                                       "oil_temperature",
                                                       "last_tooth travel, rack to the right"});
  CHECK(exceeded("works").empty());
  CHECK(exceeded("calm").empty());
  CHECK(exceeded("keen").empty());
}

TEST_CASE("The demo's first try steers over bumps five times as much as the works rack") {
  const auto works = Evaluate(PlainDemo("works"))[Output::kBumpSteerLeft].value();
  const auto first = Evaluate(PlainDemo("first-try"))[Output::kBumpSteerLeft].value();
  CHECK(std::abs(first) > 5.0 * std::abs(works));
}

// Turn-plate readings know nothing of travel without a rack, nor of heights.
TEST_CASE("The light van answers turns and circles from turn plates alone") {
  const Document van = fixtures::Example("light-van.toml");
  const Evaluation<double> e = Evaluate(fixtures::PlainOf(fixtures::FittedSetup(van, "quicker")));
  CHECK(e.level == Level::kTurnPlate);
  // 3.1 turns as the document says; no column joints are stated, so none are added.
  CHECK(e[Output::kTurns].value() == fixtures::Near(3.1 * 2.0 * M_PI));
  CHECK(e[Output::kKerbCircleLeft].has_value());
  CHECK_FALSE(e[Output::kCasterLeft].has_value());
}

TEST_CASE("A car without anything is not an error: every result says what it waits for") {
  const Evaluation<double> e = Evaluate(Fitted<double>{});
  CHECK(e.level == Level::kUnknown);
  for (std::size_t i = 0; i < kOutputs; ++i) {
    const auto& r = e.result[i];
    CAPTURE(Outputs()[i].key);
    CHECK_FALSE(r.value.has_value());
    // Nothing is waited for of a setup without pump and pulley, nor of what was never begun.
    if (Outputs()[i].group < OutputGroup::kPump) CHECK_FALSE(r.missing.empty());
  }
  CHECK_NOTHROW((void)Propagate(Fitted<Quantity>{}));
}

TEST_CASE("Travel that is not known is not made up from what comes later") {
  Fitted<double> f = PlainDemo("works");
  f.rack->travel.reset();
  const Evaluation<double> e = Evaluate(f);
  CHECK_FALSE(e[Output::kTravelLeft].has_value());
  CHECK_FALSE(e[Output::kInnerWheelLeft].has_value());
  const auto& ends = e.ends[Index(Way::kLeft)];
  CHECK(ends.binding.has_value());  // the first known limit is still shown
  CHECK_FALSE(ends.stop.has_value());
}

TEST_CASE("Toe as a length is the same as the angle whose sine it is over the rim") {
  Fitted<double> by_length = PlainDemo("calm");
  Fitted<double> by_angle = by_length;
  by_angle.adjust.toe = std::asin(*by_length.adjust.toe_length / *by_length.car.front.rim_diameter);
  by_angle.adjust.toe_length.reset();
  const auto a = fixtures::Row(Evaluate(by_length));
  const auto b = fixtures::Row(Evaluate(by_angle));
  CHECK(a == b);
  CHECK(*a[static_cast<std::size_t>(Output::kToeLeft)] == fixtures::Near(*by_angle.adjust.toe));
}

TEST_CASE("Tie rods set to the lengths that a toe gave stand at that toe") {
  for (const char* setup : {"works", "first-try", "calm", "keen"}) {
    CAPTURE(setup);
    Fitted<double> f = PlainDemo(setup);
    const Evaluation<double> by_toe = Evaluate(f);
    f.adjust.toe_length.reset();
    f.adjust.tie_rod_left = by_toe[Output::kTieRodLeft].value();
    f.adjust.tie_rod_right = by_toe[Output::kTieRodRight].value();
    const Evaluation<double> by_length = Evaluate(f);
    CHECK(std::abs(*by_length[Output::kToeLeft] - *by_toe[Output::kToeLeft]) < 1e-10);
    CHECK(std::abs(*by_length[Output::kToeRight] - *by_toe[Output::kToeRight]) < 1e-10);
    CHECK_FALSE(Holds(by_length.assumed, Assumption::kToeAsMeasured));
  }
}

// Unequal rods turn the wheels the same way: the car still drives straight with the rack off
// centre, which the tool must show rather than average away.
TEST_CASE("Tie rods of unequal length give each wheel its own toe") {
  Fitted<double> f = PlainDemo("calm");
  const Evaluation<double> even = Evaluate(f);
  constexpr double kLonger = 0.002;
  f.adjust.toe_length.reset();
  f.adjust.tie_rod_left = even[Output::kTieRodLeft].value() + kLonger;
  f.adjust.tie_rod_right = even[Output::kTieRodRight].value();
  const Evaluation<double> uneven = Evaluate(f);
  // The arm lies behind the axis, so a longer rod turns the wheel in, by about its share of the
  // arm of 140 mm.
  const double in = *uneven[Output::kToeLeft] - *even[Output::kToeLeft];
  CHECK(in == fixtures::Near(kLonger / 0.140, 0.1));
  CHECK(*uneven[Output::kToeRight] == *even[Output::kToeRight]);
}

TEST_CASE("Tie rods that cannot reach are said to, and no angle is given") {
  Fitted<double> f = PlainDemo("calm");
  f.adjust.toe_length.reset();
  f.adjust.tie_rod_left = f.adjust.tie_rod_right = 0.9;
  const Evaluation<double> e = Evaluate(f);
  CHECK(Holds(e.trouble, Trouble::kDoesNotClose));
  CHECK_FALSE(e[Output::kToeLeft].has_value());
  CHECK_FALSE(e[Output::kInnerWheelLeft].has_value());
}

TEST_CASE("No toe stated: the wheels stand as measured, and it is said") {
  Fitted<double> f = PlainDemo("calm");
  f.adjust.toe_length.reset();
  const Evaluation<double> e = Evaluate(f);
  CHECK(Holds(e.assumed, Assumption::kToeAsMeasured));
  CHECK(*e[Output::kToeLeft] == fixtures::Near(*f.car.front.left.toe, 1e-9));
}

// Common practice, no source: gear ratio and speeds of two pulleys go by their diameters.
TEST_CASE("A smaller pump pulley turns the pump faster by the ratio of diameters") {
  Fitted<double> f = PlainDemo("calm");
  f.car.drive.line_differential = 0.0;  // diameters at the cords
  const Evaluation<double> before = Evaluate(f);
  const double old = *f.pulley->diameter;
  f.pulley->diameter = old * 5.0 / 5.75;
  const Evaluation<double> after = Evaluate(f);
  CHECK(*after[Output::kPumpIdle] / *before[Output::kPumpIdle] == fixtures::Near(1.15));
  CHECK(*after[Output::kPumpTop] / *before[Output::kPumpTop] == fixtures::Near(1.15));
}

TEST_CASE(
    "Column joints do not change turns lock to lock of a whole turn each way by much, nor a "
    "straight column at all") {
  Fitted<double> f = PlainDemo("works");
  f.car.column.joint.clear();
  const double even = Evaluate(f)[Output::kTurns].value();
  CHECK(even == fixtures::Near(*f.rack->turns, 1e-12));
  f.car.column.joint = {{0.0, 0.3}, {0.0, 1.1}};
  CHECK(Evaluate(f)[Output::kTurns].value() == fixtures::Near(even, 1e-12));
  CHECK(std::abs(Evaluate(f)[Output::kColumnUnevenness].value()) < 1e-12);
}

}  // namespace
}  // namespace steerbench
