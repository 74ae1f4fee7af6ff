// One number of a car from one measurement on the assembled car: Evaluate the other way round.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "engine/evaluate/propagate.h"

namespace steerbench {

// A result as it was measured on the car, SI.
struct Seen {
  Output of = Output::kKerbTorque;
  double value = 0.0;
  std::optional<double> tolerance;  // about 95 %, as Quantity::tolerance
};

// Which number is sought, and between which values [SI].
struct FindTask {
  std::string path;  // as Inputs() names it; the number there is not looked at
  Seen seen;
  double least = 0.0, most = 0.0;
};

enum class FindStatus : std::uint8_t {
  kFound,
  kNone,         // no value of the range gives what was seen
  kSeveral,      // more than one does
  kNoEffect,     // the result is the same over the whole range
  kNotKnown,     // the result cannot be had at any value of the range
  kNoSuchInput,  // the fitted car has no number of this path
  kSenselessRange
};

struct FoundInput {
  FindStatus status = FindStatus::kSenselessRange;
  std::vector<double> values;  // all that give what was seen, in order [SI]
  // The one value with its ±: those of the measurement and of every other input together, both
  // carried through the model (`from` has its indices in `inputs`). Only when found.
  std::optional<Figure> figure;
  double by_measurement = 0.0;  // the part of that ± that is the measurement's own
  double sensitivity = 0.0;     // d(result)/d(value) where it was found
  std::vector<Input> inputs;
  double lowest = 0.0, highest = 0.0;  // of the result over the range
  double nearest = 0.0;                // value of the range that comes nearest to what was seen
  double before = 0.0;                 // value that the car states now
  std::optional<double> result_before;
  std::vector<std::string> missing;  // kNotKnown: full document paths
  std::size_t unknown = 0;           // places of the range at which the result could not be had
};

// Places at which the range is looked up: evenly, or by equal ratios where it lies above zero.
inline constexpr int kFindSteps = 48;

// Finds the value at which Evaluate gives the result seen: the range is looked up at kFindSteps + 1
// places and every change of sign is closed in on by Alefeld, Potra & Shi's algorithm 748; a jump
// across the value seen is no solution. The ± follows from the derivatives there by the implicit
// function theorem: a result r(x, p) = m gives dx = (dm - sum dr/dp dp) / (dr/dx), combined in
// quadrature with the input sought left out (JCGM 100:2008, 5.1.2). Holds where r is near straight
// over that ±. A path that two parts share counts as one number. Deterministic; never throws on a
// car that was read from a document.
[[nodiscard]] FoundInput FindInput(const Fitted<Quantity>& fitted, const FindTask& task);

}  // namespace steerbench
