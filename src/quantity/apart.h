// Whether two values differ by more than what is not known of them.
#pragma once

#include <algorithm>
#include <cmath>

#include "quantity/quantity.h"

namespace steerbench {

// Whether two values lie further apart than both their ± combined in quadrature (JCGM 100:2008,
// 5.1.2). One without a ± is exact (docs/conventions.md), but for what is lost where the same
// number was written in another unit.
[[nodiscard]] inline bool FurtherApart(const Quantity& one, const Quantity& other) {
  constexpr double kRounding = 1e-9;  // of the greater
  const double both = std::hypot(one.tolerance.value_or(0.0), other.tolerance.value_or(0.0));
  const double size = std::max(std::abs(one.value), std::abs(other.value));
  return std::abs(one.value - other.value) > both + kRounding * size;
}

}  // namespace steerbench
