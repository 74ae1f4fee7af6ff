// What a fitted car does all over the ± of its numbers: it is drawn and evaluated many times.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "engine/evaluate/propagate.h"

namespace steerbench {

// Values drawn for each input, by its index; none for an input without a ±, which stays.
using InputDraws = std::vector<std::vector<double>>;

// Draws every input around its value, `count` times: normal, its ± as two standard deviations, each
// independent of the others; drawn again while it is a value that the field cannot have (a friction
// below zero). What is drawn for an input depends on its path and the seed alone, so that setups
// which share a part share its draws. Source: JCGM 101:2008, 6.4.7, with the tail cut off by sign.
[[nodiscard]] InputDraws DrawInputs(const std::vector<Input>& inputs, std::size_t count,
                                    std::uint64_t seed);

// Which values are drawn is the same from run to run.
inline constexpr std::uint64_t kUsualSeed = 1;

// How a limit stands in one draw, where numbers have no ±. `kHoldsSoFar`: by what is known of it.
enum class DrawnState : std::uint8_t { kUnknown, kHolds, kHoldsSoFar, kExceeded };

// One car drawn.
struct DrawnCar {
  std::array<double, kOutputs> result{};  // [SI], not a number where it is not known
  std::array<DrawnState, kChecks> margin{};
  std::array<std::array<DrawnState, kRackEnds>, 2> end{};  // by Way and RackEnd
  std::array<std::optional<RackEnd>, 2> first;             // by Way: what ends the travel
};

// The car with the inputs of draw `index`, evaluated. Cost: that of Evaluate.
[[nodiscard]] DrawnCar EvaluateDrawn(const Fitted<Quantity>& fitted, const InputDraws& draws,
                                     std::size_t index);

// In how many draws something is so, of those in which it is known; in `partly` of these a part of
// it is not, and it may be so for all that is known.
struct DrawnShare {
  std::size_t count = 0, known = 0, partly = 0;
  [[nodiscard]] double Value() const {
    return known > 0 ? static_cast<double>(count) / static_cast<double>(known) : 0.0;
  }
};

// Where the middle 95 % of a result lie [SI], of the draws that know it.
struct Spread {
  double low = 0.0, high = 0.0;
  std::size_t known = 0;
};

// Many draws together.
struct DrawnOver {
  std::size_t draws = 0;
  std::array<std::optional<Spread>, kOutputs> result;  // unset where no draw knows it
  std::array<DrawnShare, kChecks> exceeded;
  std::array<std::array<DrawnShare, kRackEnds>, 2> end_exceeded;
  std::array<std::array<DrawnShare, kRackEnds>, 2> first;  // what ends the travel
};

// Pre: at least one draw. Source: JCGM 101:2008, 7.7.2 (probabilistically symmetric interval).
[[nodiscard]] DrawnOver Over(std::span<const DrawnCar> draws);

// Whether a result with this value and ± of first order spreads otherwise than these say: an end of
// the spread lies elsewhere by more than a fifth of the ±, and by five standard deviations of what
// so few draws leave open.
[[nodiscard]] bool SpreadsOtherwise(const Spread& spread, double value, double tolerance);

}  // namespace steerbench
