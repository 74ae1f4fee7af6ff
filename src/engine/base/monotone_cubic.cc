#include "engine/base/monotone_cubic.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <string>
#include <utility>

namespace steerbench {
namespace {

// Slopes at both ends of an interval, as multiples of its secant, inside the circle of this radius
// keep the cubic monotone (Fritsch & Carlson 1980, section 4).
constexpr double kMonotoneRadius = 3.0;

// Slope at the middle one of three points of the parabola through them, from the two secants.
template <class T>
T MiddleSlope(const T& h0, const T& h1, const T& secant0, const T& secant1) {
  return (h1 * secant0 + h0 * secant1) / (h0 + h1);
}

// The same at the outer point beside h0.
template <class T>
T EndSlope(const T& h0, const T& h1, const T& secant0, const T& secant1) {
  return ((2.0 * h0 + h1) * secant0 - h0 * secant1) / (h0 + h1);
}

// Slopes at the points before any is reduced.
template <class T>
std::vector<T> ParabolaSlopes(const std::vector<T>& h, const std::vector<T>& secant) {
  const std::size_t last = h.size();
  std::vector<T> slope(last + 1, secant[0]);
  if (last == 1) return slope;
  slope[0] = EndSlope(h[0], h[1], secant[0], secant[1]);
  for (std::size_t i = 1; i < last; ++i) {
    slope[i] = MiddleSlope(h[i - 1], h[i], secant[i - 1], secant[i]);
  }
  slope[last] = EndSlope(h[last - 1], h[last - 2], secant[last - 1], secant[last - 2]);
  return slope;
}

// The factor (at most 1) by which both slopes of an interval must shrink; its secant is not zero
// and neither slope points against it.
template <class T>
T Shrink(const T& slope0, const T& slope1, const T& secant) {
  using std::sqrt;
  const T a = slope0 / secant;
  const T b = slope1 / secant;
  const T square = a * a + b * b;
  if (Value(square) <= kMonotoneRadius * kMonotoneRadius) return T(1.0);
  return kMonotoneRadius / sqrt(square);
}

template <class T>
bool Against(const T& slope, const T& secant) {
  return Value(slope) * Value(secant) <= 0.0;
}

template <class T>
void MakeMonotone(std::vector<T>& slope, const std::vector<T>& secant) {
  for (std::size_t i = 0; i < secant.size(); ++i) {
    if (Against(slope[i], secant[i])) slope[i] = T(0.0);
    if (Against(slope[i + 1], secant[i])) slope[i + 1] = T(0.0);
  }
  std::vector<T> factor(slope.size(), T(1.0));
  for (std::size_t i = 0; i < secant.size(); ++i) {
    if (Value(secant[i]) == 0.0) continue;
    const T shrink = Shrink(slope[i], slope[i + 1], secant[i]);
    for (const std::size_t end : {i, i + 1}) {
      if (Value(shrink) < Value(factor[end])) factor[end] = shrink;
    }
  }
  for (std::size_t i = 0; i < slope.size(); ++i) slope[i] *= factor[i];
}

// Coefficients of y + t (b + t (c + t d)) over the interval that holds x; t = 0..1.
template <class T>
struct Piece {
  std::size_t index;
  T width, t, a, b, c, d;
};

template <class T>
Piece<T> PieceOf(const MonotoneCubic<T>& curve, std::size_t i) {
  const T h = curve.x[i + 1] - curve.x[i];
  const T rise = curve.y[i + 1] - curve.y[i];
  const T b = h * curve.slope[i];
  const T end = h * curve.slope[i + 1];
  return {i, h, T(1.0), curve.y[i], b, 3.0 * rise - 2.0 * b - end, b + end - 2.0 * rise};
}

template <class T>
Piece<T> PieceAt(const MonotoneCubic<T>& curve, std::size_t i, const T& x) {
  Piece<T> piece = PieceOf(curve, i);
  piece.t = (x - curve.x[i]) / piece.width;
  return piece;
}

template <class T>
std::optional<Piece<T>> PieceAt(const MonotoneCubic<T>& curve, const T& x) {
  const double at = Value(x);
  if (!(at >= Value(curve.x.front()) && at <= Value(curve.x.back()))) return std::nullopt;
  const auto beyond = std::upper_bound(curve.x.begin() + 1, curve.x.end() - 1, at,
                                       [](double v, const T& knot) { return v < Value(knot); });
  const auto i = static_cast<std::size_t>(beyond - curve.x.begin() - 1);
  return PieceAt(curve, i, x);
}

template <class T>
CurvePoint<T> PointOn(const Piece<T>& p) {
  return {p.a + p.t * (p.b + p.t * (p.c + p.t * p.d)),
          (p.b + p.t * (2.0 * p.c + p.t * 3.0 * p.d)) / p.width};
}

// Integral from the start of the piece to t.
template <class T>
T PieceIntegral(const Piece<T>& p) {
  const T& t = p.t;
  return p.width * t * (p.a + t * (p.b / 2.0 + t * (p.c / 3.0 + t * p.d / 4.0)));
}

}  // namespace

template <class T>
std::optional<std::size_t> FirstRowOutOfOrder(const std::vector<T>& x) {
  for (std::size_t i = 0; i < x.size(); ++i) {
    const bool in_order = i == 0 ? !std::isnan(Value(x[0])) : Value(x[i]) > Value(x[i - 1]);
    if (!in_order) return i;
  }
  return std::nullopt;
}

template <class T>
MonotoneCubic<T> FitMonotoneCubic(std::vector<T> x, std::vector<T> y) {
  if (x.size() < 2) throw std::invalid_argument("a curve needs at least two rows");
  if (x.size() != y.size()) throw std::invalid_argument("columns of unequal length");
  if (const auto row = FirstRowOutOfOrder(x)) {
    throw std::invalid_argument("row " + std::to_string(*row + 1) +
                                " does not follow the row before it in increasing order");
  }
  std::vector<T> h, secant;
  for (std::size_t i = 0; i + 1 < x.size(); ++i) {
    h.push_back(x[i + 1] - x[i]);
    secant.push_back((y[i + 1] - y[i]) / h.back());
  }
  std::vector<T> slope = ParabolaSlopes(h, secant);
  MakeMonotone(slope, secant);
  return {std::move(x), std::move(y), std::move(slope)};
}

template <class T>
std::optional<CurvePoint<T>> PointAt(const MonotoneCubic<T>& curve, const T& x) {
  const auto p = PieceAt(curve, x);
  if (!p) return std::nullopt;
  return PointOn(*p);
}

template <class T>
CurvePoint<T> PointIn(const MonotoneCubic<T>& curve, std::size_t i, const T& x) {
  return PointOn(PieceAt(curve, i, x));
}

template <class T>
std::optional<T> IntegralTo(const MonotoneCubic<T>& curve, const T& x) {
  const auto last = PieceAt(curve, x);
  if (!last) return std::nullopt;
  T sum = PieceIntegral(*last);
  for (std::size_t i = 0; i < last->index; ++i) sum += PieceIntegral(PieceOf(curve, i));
  return sum;
}

#define STEERBENCH_INSTANTIATE(T)                                                      \
  template std::optional<std::size_t> FirstRowOutOfOrder<T>(const std::vector<T>&);    \
  template MonotoneCubic<T> FitMonotoneCubic<T>(std::vector<T>, std::vector<T>);       \
  template std::optional<CurvePoint<T>> PointAt<T>(const MonotoneCubic<T>&, const T&); \
  template CurvePoint<T> PointIn<T>(const MonotoneCubic<T>&, std::size_t, const T&);   \
  template std::optional<T> IntegralTo<T>(const MonotoneCubic<T>&, const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench
