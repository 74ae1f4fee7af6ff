#include "engine/evaluate/draws.h"

#include <algorithm>
#include <cmath>
#include <random>
#include <string>

#include "engine/evaluate/sweep.h"

namespace steerbench {
namespace {

constexpr double kCovered = 0.95;
// A standard normal number below which (1 - kCovered) / 2 of all lie, by its size, and the density
// there (table of the normal distribution).
constexpr double kTail = 0.5 * (1.0 - kCovered), kDensityAtTail = 0.05845;

// One stream of random numbers for each path.
std::mt19937_64 EngineFor(const std::string& path, std::uint64_t seed) {
  std::vector<std::uint32_t> words{static_cast<std::uint32_t>(seed),
                                   static_cast<std::uint32_t>(seed >> 32)};
  for (const char c : path) words.push_back(static_cast<unsigned char>(c));
  std::seed_seq sequence(words.begin(), words.end());
  return std::mt19937_64(sequence);
}

// As the field allows; not for ever where the ± is wild.
double DrawnValue(const Input& input, std::normal_distribution<double>& normal,
                  std::mt19937_64& engine) {
  constexpr int kMostTries = 100;
  for (int i = 0; i < kMostTries; ++i) {
    const double drawn = normal(engine);
    if (Allows(input.range, drawn)) return drawn;
  }
  return input.quantity.value;
}

// The middle 95 % of what is known.
std::optional<Spread> SpreadOf(std::vector<double>& values) {
  if (values.empty()) return std::nullopt;
  std::ranges::sort(values);
  const std::size_t known = values.size();
  // Values are counted from one: the r-th and the (r + q)-th.
  const auto q = static_cast<std::size_t>(std::llround(kCovered * static_cast<double>(known)));
  const std::size_t r = std::max<std::size_t>((known - q + 1) / 2, 1);
  return Spread{values[r - 1], values[std::min(r + q, known) - 1], known};
}

void Count(DrawnShare& share, DrawnState state) {
  if (state == DrawnState::kUnknown) return;
  ++share.known;
  if (state == DrawnState::kExceeded) ++share.count;
  if (state == DrawnState::kHoldsSoFar) ++share.partly;
}

// `known`: whether there is a margin at all.
DrawnState StateOf(limits::Status status, bool known) {
  switch (status) {
    case limits::Status::kExceeded:
      return DrawnState::kExceeded;
    case limits::Status::kHolds:
    case limits::Status::kClose:  // less is left than is wanted
      return DrawnState::kHolds;
    case limits::Status::kUnknown:
      break;
  }
  return known ? DrawnState::kHoldsSoFar : DrawnState::kUnknown;
}

// As a limit with its ± would be looked at, that being none.
PropagatedEnd AsPropagated(const RackLimit<double>& limit, const Margin<double>& margin,
                           bool binds) {
  const auto figure = [](const std::optional<double>& value) {
    return value ? std::optional(Figure{*value, 0.0, {}, false, false}) : std::nullopt;
  };
  PropagatedEnd end;
  end.end = limit.end;
  end.travel = figure(limit.travel);
  end.binds = binds;
  end.margin.margin = figure(margin.value);
  end.margin.out_of_sight = margin.out_of_sight;
  end.margin.missing.assign(margin.missing.begin(), margin.missing.end());
  return end;
}

}  // namespace

InputDraws DrawInputs(const std::vector<Input>& inputs, std::size_t count, std::uint64_t seed) {
  InputDraws draws(inputs.size());
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    const Quantity& q = inputs[i].quantity;
    if (q.tolerance.value_or(0.0) == 0.0) continue;
    std::mt19937_64 engine = EngineFor(inputs[i].path, seed);
    std::normal_distribution<double> normal(q.value, *q.tolerance / kCoverageFactor);
    draws[i].reserve(count);
    for (std::size_t k = 0; k < count; ++k) {
      draws[i].push_back(DrawnValue(inputs[i], normal, engine));
    }
  }
  return draws;
}

DrawnCar EvaluateDrawn(const Fitted<Quantity>& fitted, const InputDraws& draws, std::size_t index) {
  const Evaluation<double> e =
      Evaluate(LiftTo<double>(fitted, [&](std::size_t input, double value) {
        return draws[input].empty() ? value : draws[input][index];
      }));
  DrawnCar car;
  for (std::size_t i = 0; i < kOutputs; ++i) car.result[i] = e.result[i].value.value_or(kNoValue);
  for (std::size_t i = 0; i < kChecks; ++i) {
    const Margin<double>& margin = e.check[i];
    if (!margin.absent)
      car.margin[i] = StateOf(MarginStatus(margin, 0.0), margin.value.has_value());
  }
  for (const Way way : kWays) {
    const TravelEnds<double>& ends = e.ends[Index(way)];
    if (ends.binding) car.first[Index(way)] = ends.limit[*ends.binding].end;
    for (std::size_t i = 0; i < ends.limit.size(); ++i) {
      const Margin<double>& margin = e.end_margin[Index(way)][i];
      if (margin.absent) continue;
      const PropagatedEnd end = AsPropagated(ends.limit[i], margin, ends.binding == i);
      car.end[Index(way)][static_cast<std::size_t>(end.end)] =
          StateOf(EndStatus(end, ends.stop_state), margin.value.has_value());
    }
  }
  return car;
}

DrawnOver Over(std::span<const DrawnCar> draws) {
  DrawnOver over;
  over.draws = draws.size();
  for (std::size_t i = 0; i < kOutputs; ++i) {
    std::vector<double> values;
    for (const DrawnCar& car : draws) {
      if (!std::isnan(car.result[i])) values.push_back(car.result[i]);
    }
    over.result[i] = SpreadOf(values);
  }
  for (const DrawnCar& car : draws) {
    for (std::size_t i = 0; i < kChecks; ++i) Count(over.exceeded[i], car.margin[i]);
    for (std::size_t way = 0; way < 2; ++way) {
      for (std::size_t end = 0; end < kRackEnds; ++end) {
        Count(over.end_exceeded[way][end], car.end[way][end]);
        if (!car.first[way]) continue;
        ++over.first[way][end].known;
        if (car.first[way] == static_cast<RackEnd>(end)) ++over.first[way][end].count;
      }
    }
  }
  return over;
}

bool SpreadsOtherwise(const Spread& spread, double value, double tolerance) {
  constexpr double kShare = 0.2, kDeviations = 5.0;
  // Standard deviation of a quantile, in those of the result.
  const double noise =
      std::sqrt(kTail * (1.0 - kTail) / static_cast<double>(spread.known)) / kDensityAtTail;
  const double open = std::max(kShare, kDeviations * noise / kCoverageFactor) * tolerance;
  const double rounding = 1e-9 * std::abs(value);
  return std::abs(spread.low - (value - tolerance)) > open + rounding ||
         std::abs(spread.high - (value + tolerance)) > open + rounding;
}

}  // namespace steerbench
