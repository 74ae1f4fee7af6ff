// A smooth curve through measured points that never overshoots them.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "engine/base/scalar.h"

namespace steerbench {

// A piecewise cubic with continuous slope, the abscissae strictly increasing. As FitMonotoneCubic
// makes it, it rises, falls or rests between two points as they do; made of slopes that are known,
// it may overshoot.
template <class T>
struct MonotoneCubic {
  std::vector<T> x, y, slope;  // of equal length, at least two
};

template <class T>
struct CurvePoint {
  T value, slope;
};

// The first row, counted from 0, whose abscissa is not greater than that of the row before it (a
// not-a-number is not). Unset when all rows are in order.
template <class T>
[[nodiscard]] std::optional<std::size_t> FirstRowOutOfOrder(const std::vector<T>& x);

// The curve through the points (x, y), in any units. Two points give a straight line. Slopes are
// those of the parabola through a point and its neighbours, reduced where the curve would
// overshoot. The reduction is made for both ends of an interval at once, so that a mirrored table
// gives the mirrored curve. Derivatives to x and y flow through a Jet; where a slope is just about
// to be reduced they are those of one side. Throws std::invalid_argument for fewer than two rows,
// columns of unequal length, or rows out of order, naming the row (counted from 1, as a reader
// counts). Source: Fritsch & Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246, their circle of
// radius 3.
template <class T>
[[nodiscard]] MonotoneCubic<T> FitMonotoneCubic(std::vector<T> x, std::vector<T> y);

// The curve and its slope at x. Unset outside the points: nothing was measured there.
template <class T>
[[nodiscard]] std::optional<CurvePoint<T>> PointAt(const MonotoneCubic<T>& curve, const T& x);

// The same by the cubic from point i to the next, for who knows that x lies there. Pre: there is a
// next one.
template <class T>
[[nodiscard]] CurvePoint<T> PointIn(const MonotoneCubic<T>& curve, std::size_t i, const T& x);

// Integral of the curve from its first point to x, exact for the cubics. Unset outside the points.
template <class T>
[[nodiscard]] std::optional<T> IntegralTo(const MonotoneCubic<T>& curve, const T& x);

}  // namespace steerbench
