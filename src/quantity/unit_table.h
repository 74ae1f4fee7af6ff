// The allow-list of unit spellings. Internal.
#pragma once

#include <span>
#include <string_view>

#include "quantity/kinds.h"

namespace steerbench {

// What a unit says beyond its dimension.
enum class Marker : std::uint8_t {
  kNone,
  kGauge,     // pressure above atmosphere
  kAbsolute,  // pressure above vacuum
  kPercent,
  kThings,  // a noun after a count: "16 teeth"
};

struct UnitDefinition {
  std::string_view spellings;  // separated by '|'
  double factor;               // SI units in one of it
  Dimension dimension;
  double zero = 0.0;  // SI value of a reading of zero; other than 0 for temperature points only
  Marker marker = Marker::kNone;
};

[[nodiscard]] std::span<const UnitDefinition> UnitDefinitions();

// The definition a spelling stands for when a value of this kind is read, or null. The kind
// decides what the trade's homonyms mean: "lb" is a force in a torque and a mass in a density, ' is
// a foot of length and a minute of angle.
[[nodiscard]] const UnitDefinition* FindUnit(std::string_view spelling, Kind kind);

// The known spelling nearest to an unknown one, among those that alone are a unit of `kind` when
// one is near enough, else among all; empty when none is near.
[[nodiscard]] std::string_view NearestSpelling(std::string_view unknown, Kind kind);

}  // namespace steerbench
