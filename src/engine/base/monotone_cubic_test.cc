#include "engine/base/monotone_cubic.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "fixtures/near.h"
#include "reference/properties.h"

namespace steerbench {
namespace {

using reference::Between;
using reference::Whole;
using Numbers = std::vector<double>;

Numbers Abscissae(int rows) {
  Numbers x{Between(-2.0, 2.0)};
  for (int i = 1; i < rows; ++i) x.push_back(x.back() + Between(0.05, 1.0));
  return x;
}

Numbers Ordinates(int rows) {
  Numbers y;
  for (int i = 0; i < rows; ++i) y.push_back(Between(-1.0, 1.0));
  return y;
}

MonotoneCubic<double> AnyCurve() {
  const int rows = Whole(2, 8);
  return FitMonotoneCubic(Abscissae(rows), Ordinates(rows));
}

double Inside(const MonotoneCubic<double>& curve) {
  return Between(curve.x.front(), curve.x.back());
}

TEST_CASE("the first row out of order is named") {
  CHECK_FALSE(FirstRowOutOfOrder(Numbers{}));
  CHECK_FALSE(FirstRowOutOfOrder(Numbers{1.0, 2.0, 3.0}));
  CHECK(FirstRowOutOfOrder(Numbers{1.0, 2.0, 2.0, 1.0}) == 2);
  CHECK(FirstRowOutOfOrder(Numbers{1.0, std::numeric_limits<double>::quiet_NaN(), 3.0}) == 1);
  CHECK_THROWS_WITH_AS((void)FitMonotoneCubic(Numbers{0.0, 1.0, 0.5}, Numbers{0.0, 1.0, 2.0}),
                       "row 3 does not follow the row before it in increasing order",
                       std::invalid_argument);
  CHECK_THROWS_AS((void)FitMonotoneCubic(Numbers{0.0}, Numbers{0.0}), std::invalid_argument);
  CHECK_THROWS_AS((void)FitMonotoneCubic(Numbers{0.0, 1.0}, Numbers{0.0}), std::invalid_argument);
}

// RPN 14 data of Fritsch & Carlson (1980), table 1, from memory: their example of a steep rise
// between two flats, on which an ordinary cubic spline overshoots.
TEST_CASE("data of Fritsch and Carlson are followed without overshoot") {
  const Numbers x{7.99, 8.09, 8.19, 8.7, 9.2, 10.0, 12.0, 15.0, 20.0};
  const Numbers y{0.0,      2.76429e-5, 4.37498e-2, 0.169183, 0.469428,
                  0.943740, 0.998636,   0.999919,   0.999994};
  const auto curve = FitMonotoneCubic(x, y);
  double before = 0.0;
  for (double at = 7.99; at <= 20.0; at += 0.001) {
    const auto point = PointAt(curve, at);
    REQUIRE(point);
    CHECK(point->value >= before);
    CHECK(point->slope >= 0.0);
    CHECK(point->value <= 0.999994);
    before = point->value;
  }
}

TEST_CASE("a parabola that rises gently is reproduced exactly") {
  Numbers x{0.0, 0.3, 1.0, 1.4}, y;
  for (const double v : x) y.push_back(v * v + 2.0 * v);
  const auto curve = FitMonotoneCubic(x, y);
  CHECK(PointAt(curve, 0.7)->value == fixtures::Near(0.7 * 0.7 + 1.4, 1e-14));
  CHECK(PointAt(curve, 0.7)->slope == fixtures::Near(3.4, 1e-14));
  CHECK(*IntegralTo(curve, 1.2) == fixtures::Near(1.728 / 3.0 + 1.44, 1e-14));
}

TEST_CASE("the curve stays between its neighbours, passes them, and ends at its ends") {
  CHECK(rc::check("between", [] {
    const auto curve = AnyCurve();
    const double x = Inside(curve);
    const auto above = std::upper_bound(curve.x.begin() + 1, curve.x.end() - 1, x);
    const auto i = static_cast<std::size_t>(above - curve.x.begin());
    const double low = std::min(curve.y[i - 1], curve.y[i]);
    const double high = std::max(curve.y[i - 1], curve.y[i]);
    const double value = PointAt(curve, x)->value;
    RC_ASSERT(value >= low - 1e-13);
    RC_ASSERT(value <= high + 1e-13);
  }));
  CHECK(rc::check("points and ends", [] {
    const auto curve = AnyCurve();
    for (std::size_t i = 0; i < curve.x.size(); ++i) {
      RC_ASSERT(std::abs(PointAt(curve, curve.x[i])->value - curve.y[i]) < 1e-14);
    }
    RC_ASSERT(!PointAt(curve, curve.x.front() - 1e-9));
    RC_ASSERT(!PointAt(curve, curve.x.back() + 1e-9));
    RC_ASSERT(!IntegralTo(curve, curve.x.back() + 1e-9));
    RC_ASSERT(!PointAt(curve, std::numeric_limits<double>::quiet_NaN()));
  }));
}

TEST_CASE("slope and integral belong to the value") {
  CHECK(rc::check("slope and integral", [] {
    const auto curve = AnyCurve();
    const double step = 1e-6;
    const double x = Between(curve.x.front() + step, curve.x.back() - step);
    const double rise = PointAt(curve, x + step)->value - PointAt(curve, x - step)->value;
    RC_ASSERT(std::abs(PointAt(curve, x)->slope - rise / (2.0 * step)) < 1e-2);
    const double area = *IntegralTo(curve, x + step) - *IntegralTo(curve, x - step);
    RC_ASSERT(std::abs(PointAt(curve, x)->value - area / (2.0 * step)) < 1e-8);
  }));
}

TEST_CASE("a mirrored table gives the mirrored curve") {
  CHECK(rc::check("mirror", [] {
    const auto curve = AnyCurve();
    Numbers x(curve.x.rbegin(), curve.x.rend()), y(curve.y.rbegin(), curve.y.rend());
    for (double& v : x) v = -v;
    for (double& v : y) v = -v;
    const auto mirrored = FitMonotoneCubic(x, y);
    const double at = Inside(curve);
    RC_ASSERT(std::abs(PointAt(mirrored, -at)->value + PointAt(curve, at)->value) < 1e-13);
  }));
}

TEST_CASE("derivatives to the table and the place flow through") {
  const auto value = []<class T>(const std::vector<T>& v) {
    const auto curve = FitMonotoneCubic<T>({v[0], v[1], v[2], v[3]}, {v[4], v[5], v[6], v[7]});
    return T(PointAt(curve, v[8])->value + PointAt(curve, v[8])->slope + *IntegralTo(curve, v[8]));
  };
  CHECK(reference::DerivativesHold(value, {0.0, 0.4, 1.1, 2.0, 0.1, 0.7, 1.2, 3.0, 0.6}));
  // Slopes reduced: a steep interval between flat ones.
  CHECK(reference::DerivativesHold(value, {0.0, 0.4, 1.1, 2.0, 0.1, 0.2, 1.9, 2.0, 0.6}, 1e-5));
  // A turning point: the slope rests at zero.
  CHECK(reference::DerivativesHold(value, {0.0, 0.4, 1.1, 2.0, 0.1, 0.9, 0.2, 2.0, 0.6}, 1e-5));
}

}  // namespace
}  // namespace steerbench
