#include "engine/evaluate/hold_against.h"

#include <doctest/doctest.h>

#include <cmath>

#include "fixtures/demo.h"

namespace steerbench {
namespace {

using enum Output;

// Two numbers with their ±, and results that are straight lines in them.
struct Line {
  Output of;
  double a, b;
};
Propagated Made(double x, double x_pm, double y, double y_pm, const std::vector<Line>& lines) {
  Propagated made;
  made.inputs = {{"x", {}}, {"y", {}}};
  const std::array values{x, y}, pm{x_pm, y_pm};
  for (std::size_t i = 0; i < 2; ++i) {
    made.inputs[i].quantity.value = values[i];
    made.inputs[i].quantity.tolerance = pm[i];
    made.inputs[i].quantity.kind = Kind::kForce;
  }
  for (const Line& line : lines) {
    Figure f;
    f.value = line.a * x + line.b * y;
    f.tolerance = std::hypot(line.a * x_pm, line.b * y_pm);
    f.from = {{0, line.a, std::abs(line.a) * x_pm}, {1, line.b, std::abs(line.b) * y_pm}};
    made.result[static_cast<std::size_t>(line.of)].figure = f;
  }
  return made;
}

const Counted& At(const std::vector<Counted>& counted, std::size_t of) {
  const auto found = std::ranges::find(counted, of, &Counted::of);
  REQUIRE(found != counted.end());
  return *found;
}

// J. R. Taylor, An Introduction to Error Analysis, 2nd ed., section 7.2, worked example: one
// resistance read as 11 ± 1, 12 ± 1 and 10 ± 3 ohm is 11.42 ± 0.69 ohm (from memory).
TEST_CASE("readings of one number are combined as the weighted mean of the textbook") {
  const Propagated made =
      Made(11.0, 1.0, 5.0, 0.1, {{kTurns, 1.0, 0.0}, {kKerbPull, 1.0, 0.0}, {kIdleFlow, 0.0, 1.0}});
  const HeldAgainst held =
      HoldAgainst(made, std::vector<Seen>{{kTurns, 12.0, 1.0}, {kKerbPull, 10.0, 3.0}});
  CHECK(held.agree);
  REQUIRE(held.inputs.size() == 1);
  CHECK(held.inputs[0].of == 0);
  CHECK(std::abs(held.inputs[0].value - 11.42) < 0.005);
  CHECK(std::abs(held.inputs[0].tolerance - 0.69) < 0.005);
  // What hangs on it alone follows; what does not is left as it is.
  CHECK(held.results.size() == 2);
  CHECK(std::abs(At(held.results, static_cast<std::size_t>(kTurns)).value - 11.42) < 0.005);
}

TEST_CASE("a sum that was read binds its parts together") {
  // x + y was read exactly enough to leave only x - y open.
  const Propagated made =
      Made(1.0, 0.3, 2.0, 0.4, {{kTurns, 1.0, 1.0}, {kKerbPull, 1.0, 0.0}, {kIdleFlow, 1.0, -1.0}});
  const HeldAgainst held = HoldAgainst(made, std::vector<Seen>{{kTurns, 3.25, 1e-3}});
  REQUIRE(held.agree);
  // 0.25 is shared as the squares of the ±: 0.09 to 0.16.
  CHECK(std::abs(At(held.inputs, 0).value - 1.09) < 1e-4);
  CHECK(std::abs(At(held.inputs, 1).value - 2.16) < 1e-4);
  // Each keeps 0.3 x 0.4 / 0.5.
  CHECK(std::abs(At(held.inputs, 0).tolerance - 0.24) < 1e-4);
  CHECK(std::abs(At(held.inputs, 1).tolerance - 0.24) < 1e-4);
  const Counted& sum = At(held.results, static_cast<std::size_t>(kTurns));
  CHECK(std::abs(sum.value - 3.25) < 1e-4);
  CHECK(std::abs(sum.tolerance - 1e-3) < 1e-5);
}

TEST_CASE("a reading that differs names the number that alone explains it") {
  const std::vector<Line> lines{{kTurns, 1.0, 0.0}, {kKerbPull, 2.0, 0.0}, {kIdleFlow, 1.0, 1.0}};
  const Propagated made = Made(10.0, 0.5, 20.0, 0.5, lines);
  // x is in truth 12, four of its ±.
  const HeldAgainst held = HoldAgainst(
      made, std::vector<Seen>{{kTurns, 12.0, 0.1}, {kKerbPull, 24.0, 0.1}, {kIdleFlow, 32.0, 0.1}});
  CHECK_FALSE(held.agree);
  CHECK(held.inputs.empty());
  CHECK(held.results.empty());
  REQUIRE(!held.suspects.empty());
  const Suspect& first = held.suspects.front();
  CHECK(first.input == 0);
  CHECK(first.explains);
  CHECK(std::abs(first.value - 12.0) < 1e-3);
  CHECK(std::abs(first.times - 4.0) < 1e-2);
  CHECK(first.tolerance < 0.1);
  for (std::size_t i = 1; i < held.suspects.size(); ++i) CHECK_FALSE(held.suspects[i].explains);
}

TEST_CASE("a number is no suspect that would have to turn negative or lie far outside") {
  Propagated made = Made(1.0, 0.3, 1.5, 0.01, {{kTurns, 1.0, 1.0}});
  // Where x may be negative it is one.
  CHECK(HoldAgainst(made, std::vector<Seen>{{kTurns, 0.5, 0.1}}).suspects.size() == 1);
  for (Input& input : made.inputs) input.range = Range::kNotNegative;
  const HeldAgainst less = HoldAgainst(made, std::vector<Seen>{{kTurns, 0.5, 0.1}});
  CHECK_FALSE(less.agree);
  CHECK(less.suspects.empty());  // neither x at -1 nor y two hundred of its ± off
  const HeldAgainst more = HoldAgainst(made, std::vector<Seen>{{kTurns, 3.5, 0.1}});
  REQUIRE(more.suspects.size() == 1);
  CHECK(more.suspects[0].input == 0);
  // A slip by many of its own ± that is a small share of the number is looked at.
  const HeldAgainst slip = HoldAgainst(made, std::vector<Seen>{{kTurns, 3.0, 0.1}});
  REQUIRE(slip.suspects.size() == 2);
  CHECK(std::abs(slip.suspects[1].value - 2.0) < 1e-2);
}

TEST_CASE("two readings may each agree and contradict each other") {
  const Propagated made = Made(10.0, 1.0, 1.0, 0.1, {{kTurns, 1.0, 0.0}, {kKerbPull, 1.0, 0.0}});
  const HeldAgainst held =
      HoldAgainst(made, std::vector<Seen>{{kTurns, 9.2, 0.1}, {kKerbPull, 10.8, 0.1}});
  CHECK(held.compared[0].agrees);
  CHECK(held.compared[1].agrees);
  CHECK_FALSE(held.agree);
}

TEST_CASE("a reading of what is not known, or without any ±, only compares") {
  Propagated made = Made(10.0, 0.0, 1.0, 0.0, {{kTurns, 1.0, 0.0}});
  const std::vector<Seen> seen{{kTurns, 10.0, {}}, {kKerbPull, 3.0, 1.0}};
  const HeldAgainst same = HoldAgainst(made, seen);
  CHECK(same.agree);
  CHECK_FALSE(same.compared[1].computed);
  CHECK(same.inputs.empty());
  const HeldAgainst other = HoldAgainst(made, std::vector<Seen>{{kTurns, 10.1, {}}});
  CHECK_FALSE(other.agree);
  CHECK(other.suspects.empty());
}

TEST_CASE("readings and numbers of any size are answered") {
  for (const double size : {1e-300, 1e-150, 1.0, 1e150, 1e300}) {
    for (const double pm : {0.0, 1e-300, 1e-9, 1.0, 1e300}) {
      const Propagated made =
          Made(size, pm, 1.0, 0.1, {{kTurns, 1.0, 0.0}, {kKerbPull, size, 1.0}, {kIdleFlow, 0, 1}});
      const HeldAgainst held = HoldAgainst(
          made, std::vector<Seen>{{kTurns, 1.0, pm}, {kKerbPull, size, {}}, {kIdleFlow, 2.0, 0.1}});
      CHECK(held.compared.size() == 3);
      for (const Suspect& s : held.suspects) CHECK(std::isfinite(s.value));
      for (const Counted& c : held.inputs) CHECK(std::isfinite(c.value + c.tolerance));
    }
  }
}

TEST_CASE("every reading of the document is one of a result of its kind, signs as computed") {
  SeenOnCar<Quantity> all;
  std::size_t fields = 0;
  SeenOnCar<Quantity>::Visit(
      [&](const FieldInfo& info, std::optional<Quantity>& field) {
        CAPTURE(info.key);
        const auto of = std::ranges::find(Outputs(), info.key, &OutputInfo::key);
        REQUIRE(of != Outputs().end());
        CHECK(of->kind == info.kind);
        field.emplace().value = 1.0;
        ++fields;
      },
      all);
  const std::vector<Seen> seen = SeenIn(all);
  CHECK(seen.size() == fields);
  // To the right the demo's wheels turn to negative angles.
  const Propagated demo = Propagate(fixtures::FittedSetup(fixtures::Example(), "first-try"));
  for (const Output of : {kInnerWheelLeft, kInnerWheelRight, kOuterWheelLeft, kOuterWheelRight}) {
    const auto reading = std::ranges::find(seen, of, &Seen::of);
    CHECK(reading->value * demo[of].figure->value > 0.0);
  }
}

// What is computed at other values of the inputs, read without error, is explained by them.
TEST_CASE("a demo whose tyre grips better than the file says shows it in its readings") {
  const Fitted<Quantity> stated = fixtures::FittedSetup(fixtures::Example(), "first-try");
  Fitted<Quantity> real = stated;
  real.car.front.tyre.friction->value += 0.5 * *stated.car.front.tyre.friction->tolerance;
  const Evaluation<double> truth = Evaluate(fixtures::PlainOf(real));
  std::vector<Seen> seen;
  for (const Output of : {kKerbLostPull, kKerbPull, kKerbPressure}) {
    seen.push_back({of, *truth[of], 0.01 * *truth[of]});
  }
  const Propagated results = Propagate(stated);
  const HeldAgainst held = HoldAgainst(results, seen);
  CHECK(held.agree);
  for (const Seen& s : seen) {
    const Counted& c = At(held.results, static_cast<std::size_t>(s.of));
    CHECK(std::abs(c.value - s.value) <= 1.5 * *s.tolerance);
    CHECK(c.tolerance <= *s.tolerance);
  }
}

}  // namespace
}  // namespace steerbench
