#include "engine/evaluate/draws.h"

#include <doctest/doctest.h>

#include <cmath>
#include <ranges>
#include <stdexcept>

#include "engine/evaluate/propagate.h"
#include "fixtures/demo.h"
#include "fixtures/near.h"
#include "fixtures/slower.h"

namespace steerbench {
namespace {

constexpr std::uint64_t kSeed = 20'261'130;
constexpr std::size_t kDraws = 1000 / fixtures::kSlower;

DrawnOver DrawnMany(const Fitted<Quantity>& fitted) {
  std::vector<DrawnCar> cars;
  for (std::size_t i = 0; i < kDraws; ++i) cars.push_back(DrawCar(fitted, kSeed, i));
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

TEST_CASE("The same seed and index draw the same car, others another") {
  const Fitted<Quantity> calm = Calm();
  const double one = DrawCar(calm, 1, 0).result[At(Output::kTurns)];
  CHECK(DrawCar(calm, 1, 0).result[At(Output::kTurns)] == one);
  CHECK(DrawCar(calm, 1, 1).result[At(Output::kTurns)] != one);
  CHECK(DrawCar(calm, 2, 0).result[At(Output::kTurns)] != one);
}

TEST_CASE("A car without a ± is drawn as it stands") {
  const Fitted<Quantity> exact = Exact(Calm());
  const Evaluation<double> e = Evaluate(fixtures::PlainOf(exact));
  const DrawnCar car = DrawCar(exact, kSeed, 7);
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
  CHECK(std::abs(*over.beyond[At(Check::kPumpTopSpeed)] - kShare) < Noise(kShare));
  // Nothing else of the pump's speed is doubtful.
  CHECK(over.beyond[At(Check::kHose)] == 0.0);
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
  const double tooth_first = first[static_cast<std::size_t>(RackEnd::kLastTooth)];
  CHECK(std::abs(tooth_first - 0.5) < Noise(0.5));
  CHECK(first[static_cast<std::size_t>(RackEnd::kHousingStop)] ==
        fixtures::Near(1.0 - tooth_first));
  const Spread right = *over.result[At(Output::kTravelRight)];
  CHECK(right.high < stop + 1e-9);
  const Propagated p = Propagate(f);
  const Figure& figure = *p[Output::kTravelRight].figure;
  CHECK(SpreadsOtherwise(right, figure.value, figure.tolerance));
}

TEST_CASE("A number that is neither a length nor an angle keeps its sign") {
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

TEST_CASE("What is known in few draws has no spread") {
  std::vector<DrawnCar> cars(10, DrawCar(Exact(Calm()), kSeed, 0));
  for (std::size_t i = 0; i < 6; ++i) cars[i].result[At(Output::kTurns)] = std::nan("");
  CHECK_FALSE(Over(cars).result[At(Output::kTurns)]);
  cars[0].result[At(Output::kTurns)] = 1.0;
  CHECK(Over(cars).result[At(Output::kTurns)]->known == 5);
}

}  // namespace
}  // namespace steerbench
