#include "fit/swaps.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "engine/evaluate/evaluate.h"
#include "fixtures/demo.h"

namespace steerbench {
namespace {

using fit::Swap;

fit::Values ResultsOf(const Fitted<Quantity>& fitted) {
  const Evaluation<double> e = Evaluate(fixtures::PlainOf(fitted));
  fit::Values values;
  for (std::size_t i = 0; i < kOutputs; ++i) values[i] = e.result[i].value;
  return values;
}

std::vector<Swap> SwapsBetween(const Fitted<Quantity>& a, const Fitted<Quantity>& b) {
  return fit::SwapsBetween(a, ResultsOf(a), b, ResultsOf(b));
}

std::optional<double> Of(const Fitted<Quantity>& fitted, Output id) {
  return Evaluate(fixtures::PlainOf(fitted))[id];
}
std::size_t At(Output id) { return static_cast<std::size_t>(id); }

std::vector<std::string> Fields(const Swap& swap) {
  std::vector<std::string> fields;
  for (const fit::Change& c : swap.changes) fields.push_back(c.field);
  return fields;
}

TEST_CASE("A setup against itself has no change, nor one that differs by a ± alone") {
  const Fitted<Quantity> calm = fixtures::FittedSetup(fixtures::Example(), "calm");
  CHECK(SwapsBetween(calm, calm).empty());
  Fitted<Quantity> surer = calm;
  surer.adjust.toe_length->tolerance = 0.1e-3;
  CHECK(SwapsBetween(calm, surer).empty());
}

TEST_CASE("What only works together changes together") {
  const Document demo = fixtures::Example();
  const auto works = fixtures::FittedSetup(demo, "works");
  const auto swaps = SwapsBetween(works, fixtures::FittedSetup(demo, "first-try"));
  REQUIRE(swaps.size() == 3);
  CHECK(Fields(swaps[0]) == std::vector<std::string>{"rack", "pump", "pulley", "belt", "fluid"});
  CHECK(Fields(swaps[1]) == std::vector<std::string>{"spacer"});
  CHECK(swaps[1].changes[0].from.empty());
  CHECK(swaps[1].changes[0].to == "thick");
  CHECK(Fields(swaps[2]) == std::vector<std::string>{"rack_up"});
  CHECK(swaps[2].changes[0].to == "9 ± 1 mm");
  // Both assisted: each part on its own.
  const auto calm = fixtures::FittedSetup(demo, "calm");
  const auto each = SwapsBetween(calm, fixtures::FittedSetup(demo, "first-try"));
  CHECK(std::ranges::all_of(each, [](const Swap& s) { return s.changes.size() == 1; }));
}

// A document with both would be refused, and so nothing is said of a car that nobody can have.
TEST_CASE("Toe stated another way is one change, and control valves go with what is set at them") {
  const Document demo = fixtures::Example();
  const auto calm = fixtures::FittedSetup(demo, "calm");
  Fitted<Quantity> by_angle = calm;
  Quantity& toe_angle = by_angle.adjust.toe.emplace();
  toe_angle.kind = Kind::kAngle;
  toe_angle.value = 0.001;
  by_angle.adjust.toe_length.reset();
  const auto toe = SwapsBetween(calm, by_angle);
  REQUIRE(toe.size() == 1);
  CHECK(Fields(toe[0]) == std::vector<std::string>{"toe", "toe_length"});
  // Both states it alike: an adjustment on its own.
  Fitted<Quantity> more = calm;
  more.adjust.toe_length->value *= 2.0;
  CHECK(Fields(SwapsBetween(calm, more).at(0)) == std::vector<std::string>{"toe_length"});

  const auto keen = fixtures::FittedSetup(demo, "keen");
  Fitted<Quantity> two = keen;
  two.second_control_valve = keen.control_valve;
  two.adjust.wiring = CoilWiring::kSeries;
  two.adjust.relief = keen.pump->relief;
  two.adjust.relief->value *= 0.9;
  const auto valves = SwapsBetween(keen, two);
  REQUIRE(valves.size() == 2);
  CHECK(Fields(valves[0]) == std::vector<std::string>{"second_control_valve", "wiring"});
  CHECK(Fields(valves[1]) == std::vector<std::string>{"relief"});
  Fitted<Quantity> pulled = keen;
  pulled.adjust.control_powered = false;
  CHECK(Fields(SwapsBetween(keen, pulled).at(0)) == std::vector<std::string>{"control_powered"});
}

TEST_CASE("One change alone is the whole difference") {
  const auto calm = fixtures::FittedSetup(fixtures::Example(), "calm");
  Fitted<Quantity> faster = calm;
  faster.pulley->name = "small";
  faster.pulley->diameter->value *= 0.8;
  const auto swaps = SwapsBetween(calm, faster);
  REQUIRE(swaps.size() == 1);
  for (const Output id : {Output::kPumpIdle, Output::kPumpTop, Output::kRoadOil}) {
    const double whole = *Of(faster, id) - *Of(calm, id);
    CHECK(std::abs(whole) > 1.0);
    CHECK(*swaps[0].alone[At(id)] == whole);
    CHECK(*swaps[0].last[At(id)] == whole);
  }
}

// Of two changes, one made first and the other after it make up the whole.
TEST_CASE("The first of two changes and the second as the last add up") {
  const Document demo = fixtures::Example();
  const auto calm = fixtures::FittedSetup(demo, "calm");
  Fitted<Quantity> other = calm;
  other.rack = fixtures::FittedSetup(demo, "first-try").rack;
  other.pump = fixtures::FittedSetup(demo, "first-try").pump;
  const auto swaps = SwapsBetween(calm, other);
  REQUIRE(swaps.size() == 2);
  int act_on_each_other = 0;
  for (std::size_t i = 0; i < kOutputs; ++i) {
    const auto before = Of(calm, static_cast<Output>(i)), after = Of(other, static_cast<Output>(i));
    if (!before || !after) continue;
    CAPTURE(InfoOf(static_cast<Output>(i)).key);
    const double scale = std::abs(*before) + std::abs(*after);
    const double whole = *after - *before, left = 1e-12 * scale;
    CHECK(std::abs(*swaps[0].alone[i] + *swaps[1].last[i] - whole) <= left);
    CHECK(std::abs(*swaps[1].alone[i] + *swaps[0].last[i] - whole) <= left);
    act_on_each_other += std::abs(*swaps[0].alone[i] - *swaps[0].last[i]) > 1e-3 * scale ? 1 : 0;
  }
  CHECK(act_on_each_other > 5);
}

TEST_CASE("The way back turns alone and last round, and their signs") {
  const Document demo = fixtures::Example();
  const auto a = fixtures::FittedSetup(demo, "calm"), b = fixtures::FittedSetup(demo, "first-try");
  const auto there = SwapsBetween(a, b), back = SwapsBetween(b, a);
  REQUIRE(there.size() == back.size());
  for (std::size_t k = 0; k < there.size(); ++k) {
    CHECK(there[k].changes[0].from == back[k].changes[0].to);
    for (std::size_t i = 0; i < kOutputs; ++i) {
      CHECK(there[k].alone[i].has_value() == back[k].last[i].has_value());
      if (!there[k].alone[i]) continue;
      // Solves that start elsewhere end within their tolerance.
      const double left = 1e-9 * (1.0 + std::abs(Of(a, static_cast<Output>(i)).value_or(0.0)));
      CHECK(std::abs(*there[k].alone[i] + *back[k].last[i]) <= left);
    }
  }
}

TEST_CASE("A rack for another is taken apart into what acts") {
  const Document demo = fixtures::Example();
  const auto calm = fixtures::FittedSetup(demo, "calm");
  const auto quick = fixtures::FittedSetup(demo, "first-try").rack;
  Fitted<Quantity> other = calm;
  other.rack = quick;
  const auto swaps = SwapsBetween(calm, other);
  REQUIRE(swaps.size() == 1);
  std::vector<std::string_view> names;
  for (const Swap& s : swaps[0].apart) names.push_back(s.changes[0].aspect);
  CHECK(names == std::vector<std::string_view>{"gearing and travel", "place and joints",
                                               "piston and seals", "steering valve"});
  // The piston alone, by hand.
  Fitted<Quantity> wider = calm;
  wider.rack->piston_bore = quick->piston_bore;
  wider.rack->piston_rod = quick->piston_rod;
  Fitted<Quantity> without = other;
  without.rack->piston_bore = calm.rack->piston_bore;
  without.rack->piston_rod = calm.rack->piston_rod;
  for (const Output id : {Output::kKerbTorque, Output::kKerbPressure, Output::kCatchUpLeft}) {
    CHECK(*swaps[0].apart[2].alone[At(id)] == *Of(wider, id) - *Of(calm, id));
    CHECK(*swaps[0].apart[2].last[At(id)] == *Of(other, id) - *Of(without, id));
    CHECK(std::abs(*swaps[0].apart[2].alone[At(id)]) > 1e-3 * *Of(calm, id));
  }
  CHECK(swaps[0].apart[2].alone[At(Output::kTurns)] == 0.0);

  // One aspect is the whole swap; where only one of the two has assistance, nothing is told apart.
  Fitted<Quantity> bored = wider;
  bored.rack->name = "bored";
  CHECK(SwapsBetween(calm, bored).at(0).apart.empty());
  for (const Swap& s : SwapsBetween(fixtures::FittedSetup(demo, "works"), calm)) {
    CHECK(s.apart.empty());
  }
}

TEST_CASE("Each aspect has the results that hang on it alone") {
  const auto calm = fixtures::FittedSetup(fixtures::Example(), "calm");
  Fitted<Quantity> other = calm;
  other.rack->name = "other";
  other.rack->turns->value *= 1.2;
  other.rack->joint_span->value += 4e-3;
  const Swap swap = SwapsBetween(calm, other).at(0);
  REQUIRE(swap.apart.size() == 2);
  // Turns bear on the gearing alone, the span on the bump steer alone.
  CHECK(swap.apart[0].alone[At(Output::kTurns)] == swap.alone[At(Output::kTurns)]);
  CHECK(swap.apart[1].alone[At(Output::kTurns)] == 0.0);
  CHECK(swap.apart[1].alone[At(Output::kBumpSteerLeft)] == swap.alone[At(Output::kBumpSteerLeft)]);
  CHECK(swap.apart[0].alone[At(Output::kBumpSteerLeft)] == 0.0);
}

TEST_CASE("What is not known with one change alone has no effect told") {
  const Document demo = fixtures::Example();
  const auto calm = fixtures::FittedSetup(demo, "calm");
  Fitted<Quantity> other = fixtures::FittedSetup(demo, "first-try");
  other.pulley->diameter.reset();
  const auto swaps = SwapsBetween(calm, other);
  const auto pulley = std::ranges::find(
      swaps, "pulley", [](const Swap& s) { return std::string_view(s.changes[0].field); });
  REQUIRE(pulley != swaps.end());
  CHECK(!pulley->alone[At(Output::kPumpIdle)]);
  CHECK(!pulley->last[At(Output::kPumpIdle)]);
  CHECK(pulley->alone[At(Output::kTurns)] == 0.0);
}

}  // namespace
}  // namespace steerbench
