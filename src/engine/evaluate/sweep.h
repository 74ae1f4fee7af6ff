// Curves: every linkage output over rack travel and the wheel travel of each side. Weights have
// their own (weight_curves.h), in the same form.
#pragma once

#include <limits>
#include <string>
#include <string_view>
#include <vector>

#include "engine/evaluate/evaluate.h"
#include "engine/gear/rack_ratio.h"
#include "quantity/quantity.h"

namespace steerbench {

struct SweepColumn {
  std::string_view key, label;
  Kind kind;
};

// Why values of some columns must be doubted.
struct SweepDoubt {
  std::string_view why;
  std::vector<std::string_view> columns;  // their keys
};

// In a row, where there is no value: the linkage does not reach, or the level does not know.
inline constexpr double kNoValue = std::numeric_limits<double>::quiet_NaN();

// A grid over rack travel (slowest), left and right wheel travel (fastest). Values in SI
// or kNoValue.
struct Sweep {
  Level level = Level::kUnknown;
  std::vector<SweepColumn> column;
  std::vector<std::vector<double>> row;
  // Of the same shape: the plus-minus of every value (about 95 %), where it was asked for.
  std::vector<std::vector<double>> pm;
  std::vector<std::string> assumed{};  // what was taken for granted, in words
  std::vector<std::string> gaps{};     // why values are missing, in words
  std::vector<SweepDoubt> doubts{};    // models used outside the range they are good for
};

// A plus-minus up to this is none: it is what a difference of equal numbers leaves [SI].
inline constexpr double kRounding = 1e-12;

// Indices of the columns in which some value has a plus-minus.
[[nodiscard]] std::vector<std::size_t> DoubtfulColumns(const Sweep& sweep);

struct SweepGrid {
  std::vector<double> travel;                     // [m], to the left positive
  std::vector<double> jounce_left, jounce_right;  // [m], up positive
  bool wheels_together = true;                    // jounce_right follows jounce_left and is ignored
};

// Runs the grid. Cost: about 2 us a wheel and point.
[[nodiscard]] Sweep RunSweep(const Fitted<double>& fitted, const SweepGrid& grid);

// Evenly spaced numbers from `first` to `last`, both included; one number when count is 1.
[[nodiscard]] std::vector<double> EvenGrid(double first, double last, int count);

// The rack travel that a car has, so that a curve shows all of it and no more; 60 mm to a side
// where that is not known.
[[nodiscard]] std::vector<double> UsualTravel(const Evaluation<double>& results, int points);

}  // namespace steerbench
