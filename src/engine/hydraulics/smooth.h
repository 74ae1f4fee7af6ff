// A kink rounded off, for parts that begin to move at a threshold: a spring-loaded valve lifts
// gradually. Exact outside the rounding, smooth in slope everywhere.
#pragma once

#include "engine/base/scalar.h"

namespace steerbench::hydraulics {

// max(x, 0), with a parabola in -width/2 .. width/2; never negative, never falling. width > 0, in
// the unit of x.
template <class T>
T SoftPositive(const T& x, const T& width) {
  const double half = 0.5 * Value(width);
  if (Value(x) <= -half) return T(0.0);
  if (Value(x) >= half) return x;
  const T lift = x + 0.5 * width;
  return lift * lift / (2.0 * width);
}

// Its slope, 0..1.
inline double SoftPositiveSlope(double x, double width) {
  const double lift = x / width + 0.5;
  return lift <= 0.0 ? 0.0 : (lift >= 1.0 ? 1.0 : lift);
}

// min(a, b), with the same rounding where they cross; never above either by construction of the
// parabola (it takes off more, not less).
template <class T>
T SoftMin(const T& a, const T& b, const T& width) {
  return a - SoftPositive<T>(a - b, width);
}

}  // namespace steerbench::hydraulics
