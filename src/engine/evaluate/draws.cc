#include "engine/evaluate/draws.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

namespace steerbench {
namespace {

constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();
constexpr double kCoverageFactor = 2.0;  // of every ± (JCGM 100:2008, 6.2)
constexpr double kCovered = 0.95;

// A number keeps its sign: it is drawn again, but not for ever where its ± is wild.
double DrawnValue(const Quantity& q, std::mt19937_64& engine) {
  if (q.tolerance.value_or(0.0) == 0.0) return q.value;
  std::normal_distribution<double> normal(q.value, *q.tolerance / kCoverageFactor);
  constexpr int kMostTries = 100;
  for (int i = 0; i < kMostTries; ++i) {
    const double drawn = normal(engine);
    if (MayChangeSign(q) || drawn * q.value > 0.0) return drawn;
  }
  return q.value;
}

DrawnCar AllUnknown() {
  DrawnCar car;
  car.result.fill(kUnknown);
  car.margin.fill(kUnknown);
  for (auto& margins : car.end_margin) margins.fill(kUnknown);
  return car;
}

// The middle 95 % of what is known. `values` are sorted.
std::optional<Spread> SpreadOf(const std::vector<double>& values, std::size_t draws) {
  const std::size_t known = values.size();
  if (2 * known < draws || known == 0) return std::nullopt;
  const auto inside = static_cast<std::size_t>(kCovered * static_cast<double>(known) + 0.5);
  const std::size_t first = (known - inside) / 2;
  return Spread{values[first], values[std::min(first + inside, known - 1)], known};
}

// Of the draws that know a margin, the share in which it is below zero.
template <class MarginIn>
std::optional<double> ShareBeyond(std::span<const DrawnCar> draws, MarginIn margin_in) {
  std::size_t known = 0, beyond = 0;
  for (const DrawnCar& car : draws) {
    const double margin = margin_in(car);
    if (std::isnan(margin)) continue;
    ++known;
    if (margin < 0.0) ++beyond;
  }
  if (known == 0) return std::nullopt;
  return static_cast<double>(beyond) / static_cast<double>(known);
}

}  // namespace

DrawnCar DrawCar(const Fitted<Quantity>& fitted, std::uint64_t seed, std::uint64_t index) {
  std::seed_seq both{static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32),
                     static_cast<std::uint32_t>(index), static_cast<std::uint32_t>(index >> 32)};
  std::mt19937_64 engine(both);
  Fitted<double> drawn;
  LiftQuantitiesInto<double>(
      fitted, drawn, [&](const Quantity& q, double& slot) { slot = DrawnValue(q, engine); });
  const Evaluation<double> e = Evaluate(drawn);
  DrawnCar car = AllUnknown();
  for (std::size_t i = 0; i < kOutputs; ++i) car.result[i] = e.result[i].value.value_or(kUnknown);
  for (std::size_t i = 0; i < kChecks; ++i) {
    if (!e.check[i].absent) car.margin[i] = e.check[i].value.value_or(kUnknown);
  }
  for (const Way way : kWays) {
    const TravelEnds<double>& ends = e.ends[Index(way)];
    if (ends.binding) car.first[Index(way)] = ends.limit[*ends.binding].end;
    for (std::size_t i = 0; i < ends.limit.size(); ++i) {
      const auto at = static_cast<std::size_t>(ends.limit[i].end);
      const Margin<double>& margin = e.end_margin[Index(way)][i];
      // Beyond the travel looked at it holds.
      car.end_margin[Index(way)][at] =
          margin.absent ? kUnknown
                        : margin.value.value_or(margin.out_of_sight ? kFarthestTravel : kUnknown);
    }
  }
  return car;
}

DrawnOver Over(std::span<const DrawnCar> draws) {
  DrawnOver over;
  over.draws = draws.size();
  std::vector<double> values;
  for (std::size_t i = 0; i < kOutputs; ++i) {
    values.clear();
    for (const DrawnCar& car : draws) {
      if (!std::isnan(car.result[i])) values.push_back(car.result[i]);
    }
    std::ranges::sort(values);
    over.result[i] = SpreadOf(values, draws.size());
  }
  for (std::size_t i = 0; i < kChecks; ++i) {
    over.beyond[i] = ShareBeyond(draws, [i](const DrawnCar& car) { return car.margin[i]; });
  }
  for (std::size_t way = 0; way < 2; ++way) {
    for (std::size_t end = 0; end < kRackEnds; ++end) {
      over.end_beyond[way][end] =
          ShareBeyond(draws, [way, end](const DrawnCar& car) { return car.end_margin[way][end]; });
      const auto first = std::ranges::count_if(draws, [way, end](const DrawnCar& car) {
        return car.first[way] == static_cast<RackEnd>(end);
      });
      over.first[way][end] = static_cast<double>(first) / static_cast<double>(draws.size());
    }
  }
  return over;
}

bool SpreadsOtherwise(const Spread& spread, double value, double tolerance) {
  const double open = kSpreadsOtherwise * tolerance;
  // What does not move at all leaves no more than rounding.
  const double rounding = 1e-9 * std::abs(value);
  return std::abs(spread.low - (value - tolerance)) > open + rounding ||
         std::abs(spread.high - (value + tolerance)) > open + rounding;
}

}  // namespace steerbench
