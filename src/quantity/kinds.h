// What each Kind is: its dimension, its words for messages and its usual units. Internal.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

#include "quantity/quantity.h"

namespace steerbench {

// Exponents of the base units. The radian is one of them, unlike in SI, so that torque and
// torsional stiffness, or revolutions and events per second, cannot be taken for each other.
struct Dimension {
  std::int8_t metre = 0;
  std::int8_t kilogram = 0;
  std::int8_t second = 0;
  std::int8_t kelvin = 0;
  std::int8_t ampere = 0;
  std::int8_t radian = 0;
};

// The unit in which a value is usually given: `large` from `from_si` upwards, else `small`.
struct UsualUnit {
  std::string_view small;
  std::string_view large = {};
  double from_si = 0.0;
};

struct KindInfo {
  Kind kind;
  std::string_view name;     // "a length"
  std::string_view example;  // "117.5 mm"
  std::string_view si_symbol;
  std::string_view accepted;  // the common units, for messages; empty where none is needed
  Dimension dimension;
  UsualUnit metric;
  UsualUnit imperial;
};

inline constexpr int kKindCount = static_cast<int>(Kind::kMoney) + 1;

[[nodiscard]] const KindInfo& InfoOf(Kind kind);

// Whether values of the kind are written without a unit.
[[nodiscard]] bool IsBare(Kind kind);
[[nodiscard]] bool IsPressure(Kind kind);

}  // namespace steerbench
