// Unit expressions: from "lbf·ft/deg" to the numbers that convert it. Internal.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "quantity/unit_table.h"

namespace steerbench {

// SI value = zero + reading * multiply / divide.
struct UnitScale {
  double multiply = 1.0;
  // 1000 for mm: dividing by it is exact to the last bit, multiplying by 0.001 is not.
  double divide = 1.0;
  double zero = 0.0;
  Marker marker = Marker::kNone;

  [[nodiscard]] double DifferenceToSi(double reading) const { return reading * multiply / divide; }
  [[nodiscard]] double DifferenceFromSi(double si) const { return si * divide / multiply; }
  [[nodiscard]] double ToSi(double reading) const { return zero + DifferenceToSi(reading); }
  [[nodiscard]] double FromSi(double si) const { return DifferenceFromSi(si - zero); }
};

struct UnitResult {
  std::optional<UnitScale> scale;
  std::string problem;    // what is wrong with it, when `scale` is unset
  std::size_t begin = 0;  // the part of the text that is wrong
  std::size_t end = 0;
};

// Whether a unit belongs to a value or to its plus-minus, which is a difference of two values.
enum class Role : std::uint8_t { kValue, kSpread };

// Reads a unit in plain ASCII (plain_text.h), without blanks around it: names joined by
// * . - or a blank, one or more / or "per", each with an exponent ("mm2", "mm^2", "s^-2"); after
// a / a whole number may stand before the unit ("deg/25 mm"); for kRatio also ":1".
// Errors: unknown name, another dimension than the kind's, a marker the kind does not take.
[[nodiscard]] UnitResult ResolveUnit(std::string_view text, Kind kind, Role role);

}  // namespace steerbench
