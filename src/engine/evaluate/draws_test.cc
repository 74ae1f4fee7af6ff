#include "engine/evaluate/draws.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <ranges>
#include <stdexcept>

#include "engine/evaluate/propagate.h"
#include "fixtures/demo.h"
#include "fixtures/near.h"
#include "fixtures/slower.h"
#include "reference/reference.h"

namespace steerbench {
namespace {

constexpr std::uint64_t kSeed = 20'261'130;
constexpr std::size_t kDraws = 1000 / fixtures::kSlower;

DrawnOver DrawnMany(const Fitted<Quantity>& fitted) {
  const InputDraws draws = DrawInputs(Inputs(fitted), kDraws, kSeed);
  std::vector<DrawnCar> cars;
  for (std::size_t i = 0; i < kDraws; ++i) cars.push_back(EvaluateDrawn(fitted, draws, i));
  return Over(cars);
}

std::size_t At(Output id) { return static_cast<std::size_t>(id); }
std::size_t At(Check id) { return static_cast<std::size_t>(id); }

// Takes the ± off every number.
struct Strip {
  template <class A>
  void operator()(const FieldInfo&, A& a) const {
    Of(a);
  }
  template <class A>
  void Of(A& a) const {
    if constexpr (std::same_as<A, Quantity>) {
      a.tolerance.reset();
    } else if constexpr (Described<A>) {
      A::Visit(*this, a);
    } else if constexpr (kIsOptional<A>) {
      if (a) Of(*a);
    } else if constexpr (std::ranges::range<A> && !std::same_as<A, std::string>) {
      for (auto& item : a) Of(item);
    }
  }
};

Fitted<Quantity> Exact(Fitted<Quantity> fitted) {
  Strip().Of(fitted);
  return fitted;
}

Fitted<Quantity> Calm() { return fixtures::FittedSetup(fixtures::Example(), "calm"); }

// Four standard deviations of a share of so many draws.
double Noise(double share) {
  return 4.0 * std::sqrt(share * (1.0 - share) / static_cast<double>(kDraws));
}

// Index of the input of a path.
std::size_t At(const std::vector<Input>& inputs, const std::string& path) {
  const auto found = std::ranges::find(inputs, path, &Input::path);
  REQUIRE(found != inputs.end());
  return static_cast<std::size_t>(found - inputs.begin());
}

TEST_CASE("What is drawn for an input depends on its path and the seed alone") {
  const std::vector<Input> calm = Inputs(Calm());
  const std::vector<Input> keen = Inputs(fixtures::FittedSetup(fixtures::Example(), "keen"));
  const InputDraws one = DrawInputs(calm, 20, 1), again = DrawInputs(calm, 20, 1);
  const InputDraws other_seed = DrawInputs(calm, 20, 2), other_setup = DrawInputs(keen, 20, 1);
  CHECK(one == again);
  const std::size_t mass = At(calm, "car.front_mass");
  CHECK(one[mass] != other_seed[mass]);
  CHECK(one[mass] == other_setup[At(keen, "car.front_mass")]);
  CHECK(one[mass] != one[At(calm, "car.rear_mass")]);
  // More of them begin alike.
  const InputDraws more = DrawInputs(calm, 40, 1);
  CHECK(std::equal(one[mass].begin(), one[mass].end(), more[mass].begin()));
}

TEST_CASE("Draws are normal, the ± being two of their standard deviations") {
  Input input{"x", {}, Range::kAny};
  input.quantity.value = 5.0;
  input.quantity.tolerance = 0.4;
  constexpr std::size_t kMany = 20000;
  const std::vector<double> x = DrawInputs({input}, kMany, kSeed)[0];
  double mean = 0.0, squares = 0.0;
  for (const double v : x) mean += v / kMany;
  for (const double v : x) squares += (v - mean) * (v - mean) / kMany;
  CHECK(std::abs(mean - 5.0) < 4.0 * 0.2 / std::sqrt(kMany));
  CHECK(std::abs(std::sqrt(squares) - 0.2) < 4.0 * 0.2 / std::sqrt(2.0 * kMany));
  // 4.55 % lie outside the ± (table of the normal distribution).
  const auto outside = std::ranges::count_if(x, [](double v) { return std::abs(v - 5.0) > 0.4; });
  constexpr double kShare = 0.0455;
  CHECK(std::abs(static_cast<double>(outside) / kMany - kShare) <
        4.0 * std::sqrt(kShare * (1.0 - kShare) / kMany));
}

// The additive model of JCGM 101:2008, 9.2.2: the middle 95 % of a sum of four.
TEST_CASE("jcgm101-add: the sum of four normal numbers") {
  const reference::Row row = reference::Load("jcgm101-add");
  constexpr std::size_t kMany = 20000;
  std::vector<Input> inputs;
  for (const char* name : {"a", "b", "c", "d"}) {
    Input& input = inputs.emplace_back(Input{name, {}, Range::kAny});
    input.quantity.tolerance = kCoverageFactor * row.Input("u_each");
  }
  const InputDraws draws = DrawInputs(inputs, kMany, kSeed);
  std::vector<DrawnCar> cars(kMany);
  for (std::size_t i = 0; i < kMany; ++i) {
    cars[i].result[At(Output::kTurns)] = draws[0][i] + draws[1][i] + draws[2][i] + draws[3][i];
  }
  const Spread spread = *Over(cars).result[At(Output::kTurns)];
  const double half = row.Expected("half_width95_normal"), u = row.Expected("u_y");
  // Four standard deviations of such a quantile.
  const double noise = 4.0 * u * std::sqrt(0.025 * 0.975 / kMany) / 0.0584;
  CHECK(std::abs(spread.high - half) < noise);
  CHECK(std::abs(spread.low + half) < noise);
}

TEST_CASE("Nothing is drawn that its field cannot have") {
  Input input{"x", {}, Range::kPositive};
  input.quantity.value = 0.1;
  input.quantity.tolerance = 1.0;
  CHECK(std::ranges::all_of(DrawInputs({input}, 500, kSeed)[0], [](double v) { return v > 0.0; }));
  input.quantity.value = 0.0;
  input.range = Range::kNotNegative;
  CHECK(std::ranges::all_of(DrawInputs({input}, 500, kSeed)[0], [](double v) { return v >= 0.0; }));
  input.range = Range::kAny;
  CHECK(std::ranges::any_of(DrawInputs({input}, 500, kSeed)[0], [](double v) { return v < 0.0; }));
  // What it states is kept where nothing else is allowed.
  input.range = Range::kPositive;
  input.quantity.value = -1.0;
  input.quantity.tolerance = 1e-6;
  CHECK(DrawInputs({input}, 1, kSeed)[0][0] == -1.0);
}

TEST_CASE("A car without a ± is drawn as it stands") {
  const Fitted<Quantity> exact = Exact(Calm());
  const Evaluation<double> e = Evaluate(fixtures::PlainOf(exact));
  const DrawnCar car = EvaluateDrawn(exact, DrawInputs(Inputs(exact), 8, kSeed), 7);
  for (std::size_t i = 0; i < kOutputs; ++i) {
    CHECK(std::isnan(car.result[i]) == !e.result[i].value.has_value());
    if (e.result[i].value) CHECK(car.result[i] == *e.result[i].value);
  }
}

// A margin of half its own ± is one standard deviation: it is below zero in 15.87 % of all draws
// (table of the normal distribution).
TEST_CASE("A limit is exceeded in as many draws as the normal distribution says") {
  Fitted<Quantity> f = Exact(Calm());
  const double speed = *Evaluate(fixtures::PlainOf(f))[Output::kPumpTop];
  Quantity& most = *f.pump->top_speed;
  most.tolerance = 0.02 * speed;
  most.value = speed + 0.01 * speed;
  const DrawnOver over = DrawnMany(f);
  constexpr double kShare = 0.1587;
  CHECK(std::abs(over.exceeded[At(Check::kPumpTopSpeed)].Value() - kShare) < Noise(kShare));
  // Nothing else of the pump's speed is doubtful.
  CHECK(over.exceeded[At(Check::kHose)].count == 0);
  CHECK(over.exceeded[At(Check::kHose)].known == kDraws);
  CHECK(over.result[At(Output::kPumpTop)]->low == over.result[At(Output::kPumpTop)]->high);
}

// In a straight line 95 % lie within 1.96 standard deviations (table of the normal distribution).
TEST_CASE("The middle 95 % of what depends on one number in a straight line") {
  Fitted<Quantity> f = Exact(Calm());
  Quantity& turns = *f.rack->turns;
  turns.tolerance = 0.01 * turns.value;
  const double ratio = *Evaluate(fixtures::PlainOf(f))[Output::kTurns];
  const Spread spread = *DrawnMany(f).result[At(Output::kTurns)];
  CHECK(spread.known == kDraws);
  const double sigma = 0.005 * ratio;
  // Standard deviation of such a quantile: sqrt(p (1 - p) / n) / density there, times four.
  const double noise = Noise(0.025) / (0.0584 / sigma);
  CHECK(std::abs(spread.high - (ratio + 1.96 * sigma)) < noise);
  CHECK(std::abs(spread.low - (ratio - 1.96 * sigma)) < noise);
  CHECK_FALSE(SpreadsOtherwise(spread, ratio, 2.0 * sigma));
}

// The stop and another limit are equally near: the lesser of the two ends the travel, which spreads
// less and lies lower than either.
TEST_CASE("Where one of two limits ends the travel the ± of first order does not hold") {
  const Document demo = fixtures::Example();
  Fitted<Quantity> f = Exact(fixtures::FittedSetup(demo, "first-try"));
  const auto travel_of = [&](RackEnd end) {
    const Evaluation<double> e = Evaluate(fixtures::PlainOf(f));
    for (const auto& limit : e.ends[Index(Way::kRight)].limit) {
      if (limit.end == end) return *limit.travel;
    }
    throw std::runtime_error("no such limit");
  };
  const double tooth = travel_of(RackEnd::kLastTooth), stop = travel_of(RackEnd::kHousingStop);
  // Moved so that both come at once, each as doubtful as the other.
  const double ahead = stop - tooth;
  f.rack->toothed_length->value += 2.0 * ahead;
  REQUIRE(std::abs(travel_of(RackEnd::kLastTooth) - travel_of(RackEnd::kHousingStop)) < 1e-9);
  f.rack->tooth_offset->tolerance = 1e-3;
  const DrawnOver over = DrawnMany(f);
  const auto& first = over.first[Index(Way::kRight)];
  const double tooth_first = first[static_cast<std::size_t>(RackEnd::kLastTooth)].Value();
  CHECK(std::abs(tooth_first - 0.5) < Noise(0.5));
  CHECK(first[static_cast<std::size_t>(RackEnd::kHousingStop)].Value() ==
        fixtures::Near(1.0 - tooth_first));
  const Spread right = *over.result[At(Output::kTravelRight)];
  CHECK(right.high < stop + 1e-9);
  const Propagated p = Propagate(f);
  const Figure& figure = *p[Output::kTravelRight].figure;
  CHECK(SpreadsOtherwise(right, figure.value, figure.tolerance));
}

// Friction cannot help the hand, however doubtful it is.
TEST_CASE("A friction is never drawn below zero") {
  Fitted<Quantity> f = Exact(Calm());
  f.rack->friction->tolerance = 20.0 * f.rack->friction->value;
  const DrawnOver over = DrawnMany(f);
  Fitted<Quantity> without = Exact(Calm());
  without.rack->friction->value = 0.0;
  const double least = *Evaluate(fixtures::PlainOf(without))[Output::kKerbLostTorque];
  const Spread spread = *over.result[At(Output::kKerbLostTorque)];
  CHECK(spread.known == kDraws);
  CHECK(spread.low > least);
  CHECK(spread.high > 2.0 * least);
}

TEST_CASE("A margin of which a part is not known holds in no draw") {
  Fitted<Quantity> f = Exact(Calm());
  f.car.engine.top.reset();  // the hill, of the three duties the hottest
  const auto oil = At(Check::kOilTemperature);
  REQUIRE(Evaluate(fixtures::PlainOf(f)).check[oil].value);
  const DrawnShare so_far = DrawnMany(f).exceeded[oil];
  CHECK(so_far.count == 0);
  CHECK(so_far.partly == kDraws);
  // But the part that is known may be beyond it.
  f.limits.oil_temperature.emplace().value = 300.0;
  const DrawnShare hot = DrawnMany(f).exceeded[oil];
  CHECK(hot.count == kDraws);
  CHECK(hot.partly == 0);
  // With a ± in some draws: a share of all of them, not of those that exceed.
  f.limits.oil_temperature->value = *Evaluate(fixtures::PlainOf(f))[Output::kParkingOil];
  f.limits.oil_temperature->tolerance = 2.0;
  const DrawnShare some = DrawnMany(f).exceeded[oil];
  CHECK(std::abs(some.Value() - 0.5) < Noise(0.5));
  CHECK(some.count + some.partly == kDraws);
}

TEST_CASE("Oil past the hottest that is looked at counts as too hot") {
  Fitted<Quantity> f = Exact(fixtures::FittedSetup(fixtures::Example(), "first-try"));
  f.car.oil.cooling->value = 7.0;
  const Evaluation<double> e = Evaluate(fixtures::PlainOf(f));
  REQUIRE(!e[Output::kHillOil]);
  const auto oil = At(Check::kOilTemperature);
  CHECK(*e.check[oil].value < -129.9);
  CHECK(MarginStatus(e.check[oil], 40.0) == limits::Status::kExceeded);
  CHECK(DrawnMany(f).exceeded[oil].count == kDraws);
}

TEST_CASE("A limit past the hottest that is looked at is not known to hold") {
  Fitted<Quantity> f = Exact(fixtures::FittedSetup(fixtures::Example(), "first-try"));
  f.car.oil.cooling->value = 1.0;
  f.limits.oil_temperature.emplace().value = 540.0;
  const Evaluation<double> e = Evaluate(fixtures::PlainOf(f));
  CHECK(MarginStatus(e.check[At(Check::kOilTemperature)], 0.0) == limits::Status::kUnknown);
  CHECK(e.result[At(Output::kHillOil)].failed);
  CHECK(e.result[At(Output::kHillOil)].missing.empty());
}

TEST_CASE("Without its stops a rack ends by what it runs into: exceeded in every draw") {
  Fitted<Quantity> f = Exact(Calm());
  f.adjust.stops = Stops::kRemoved;
  const DrawnOver over = DrawnMany(f);
  for (const Way way : kWays) {
    std::size_t exceeded = 0;
    for (const DrawnShare& end : over.end_exceeded[Index(way)]) exceeded += end.count;
    CHECK(exceeded >= kDraws);
  }
}

TEST_CASE("The middle 95 % of 1 to 2000 runs from 50 to 1950") {
  std::vector<DrawnCar> cars(
      2000, EvaluateDrawn(Exact(Calm()), DrawInputs(Inputs(Exact(Calm())), 1, 1), 0));
  for (std::size_t i = 0; i < cars.size(); ++i) {
    cars[i].result[At(Output::kTurns)] = static_cast<double>(2000 - i);
  }
  const Spread spread = *Over(cars).result[At(Output::kTurns)];
  CHECK(spread.low == 50.0);
  CHECK(spread.high == 1950.0);
  // Of what is not known nothing is counted.
  for (std::size_t i = 0; i < 1990; ++i) cars[i].result[At(Output::kTurns)] = std::nan("");
  CHECK(Over(cars).result[At(Output::kTurns)]->known == 10);
}

// What few draws leave open is no news: of a straight line nothing is told.
TEST_CASE("A straight line spreads as its ± says, however few the draws") {
  Input input{"x", {}, Range::kAny};
  input.quantity.tolerance = 1.0;
  for (const std::size_t count : {100u, 300u, 2000u}) {
    for (std::uint64_t seed = 0; seed < 200; ++seed) {
      std::vector<double> x = DrawInputs({input}, count, seed)[0];
      std::vector<DrawnCar> cars(count);
      for (std::size_t i = 0; i < count; ++i) cars[i].result[At(Output::kTurns)] = x[i];
      CHECK_FALSE(SpreadsOtherwise(*Over(cars).result[At(Output::kTurns)], 0.0, 1.0));
    }
  }
}

}  // namespace
}  // namespace steerbench
