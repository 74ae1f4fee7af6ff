// What a fitted car does all over the ± of its numbers: it is drawn and evaluated many times.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "engine/evaluate/evaluate.h"
#include "model/lift.h"

namespace steerbench {

// One car drawn: its results and margins [SI], not a number where they are not known.
struct DrawnCar {
  std::array<double, kOutputs> result;
  std::array<double, kChecks> margin;
  std::array<std::array<double, kRackEnds>, 2> end_margin;  // by Way and RackEnd
  std::array<std::optional<RackEnd>, 2> first;              // by Way: what ends the travel
};

// Evaluates the car with every input drawn around its value: normal, half of its ± (coverage factor
// 2) as standard deviation, independent of the others; drawn again where a number that is no length
// or angle would change its sign; an input without a ± stays. The same `seed` and `index` draw the
// same car, so that many can be drawn side by side. Where one cannot be evaluated nothing is known.
// Cost: that of Evaluate. Source: JCGM 101:2008, 6.4.7 and 7.2 to 7.4.
[[nodiscard]] DrawnCar DrawCar(const Fitted<Quantity>& fitted, std::uint64_t seed,
                               std::uint64_t index);

// Which cars are drawn is the same from run to run.
inline constexpr std::uint64_t kUsualSeed = 1;

// Where the middle 95 % of a result lie [SI].
struct Spread {
  double low = 0.0, high = 0.0;
  std::size_t known = 0;  // in how many of the draws
};

// Many draws together. Shares are of the draws in which a thing is known, unset where it never is.
struct DrawnOver {
  std::size_t draws = 0;
  std::array<std::optional<Spread>, kOutputs> result;  // unset where fewer than half know it
  std::array<std::optional<double>, kChecks> beyond;   // share in which a limit is exceeded
  std::array<std::array<std::optional<double>, kRackEnds>, 2> end_beyond;
  std::array<std::array<double, kRackEnds>, 2> first;  // share in which it is what ends the travel
};

// Pre: at least one draw. Source: JCGM 101:2008, 7.7.2 (probabilistically symmetric interval).
[[nodiscard]] DrawnOver Over(std::span<const DrawnCar> draws);

// By how much of its ± an end of the spread may lie elsewhere than value ± tolerance says before
// that is worth saying: several times what so few draws as kUsualDraws leave open.
inline constexpr double kSpreadsOtherwise = 0.2;
inline constexpr std::size_t kUsualDraws = 2000;

// Whether a result with this value and ± of first order spreads otherwise than these say.
[[nodiscard]] bool SpreadsOtherwise(const Spread& spread, double value, double tolerance);

}  // namespace steerbench
