#include "engine/hydraulics/rotary_valve.h"

#include <cmath>

#include "engine/hydraulics/smooth.h"

namespace steerbench::hydraulics {
namespace {

constexpr int kMostNewtonSteps = 60;     // Newton's method on a convex function: 3 to 6 needed
constexpr double kFitAccuracy = 1e-14;   // of the area, relative
constexpr double kLeastClosing = 1e-12;  // [m^2] below it an area is no area
constexpr double kLeastLogArea = -30.0;  // ln of 1e-13 m^2, where an extrapolation must end

template <class T>
T SquareRoot(const T& x) {
  using std::sqrt;
  return sqrt(x);
}

// Area of a closing orifice at a twist not below zero; past the last point ln(area) goes straight
// on.
template <class T>
CurvePoint<T> Closing(const FittedOpening<T>& f, const T& twist) {
  using std::exp;
  CurvePoint<T> log_area;
  if (Value(twist) <= Value(f.log_area.x.back())) {
    log_area = *PointAt<T>(f.log_area, twist);
  } else {
    log_area.slope = f.log_area.slope.back();
    log_area.value = f.log_area.y.back() + log_area.slope * (twist - f.log_area.x.back());
  }
  if (Value(log_area.value) < kLeastLogArea) log_area = {T(kLeastLogArea), T(0.0)};
  const T area = exp(log_area.value);
  return {area, area * log_area.slope};
}

template <class T>
Opening<T> Of(const FittedOpening<T>& f, const T& twist) {
  const bool opens = Value(twist) > 0.0;
  const CurvePoint<T> closing = Closing<T>(f, opens ? twist : T(-twist));
  return {opens ? T(2.0 * f.centre - closing.value) : closing.value, -closing.slope};
}

// Pressure lost by `flow` in a round orifice, and its rate with the area.
template <class T>
CurvePoint<T> DropOf(const T& area, const T& flow, double coefficient, const FluidState<T>& fluid) {
  const OrificeLaw<T> law = MakeRoundOrifice<T>(area, coefficient, fluid);
  const T speed = flow / area;
  // d/dA: the laminar part goes as A^-3/2, the quadratic one as A^-2.
  const T viscous = law.laminar * speed;
  const T kinetic = law.quadratic * speed * speed / 4.0;
  return {viscous + kinetic, -(1.5 * viscous + 2.0 * kinetic) / area};
}

// The centre area from the pressure with the wheel free: two like orifices in each branch.
template <class T>
T CentreArea(const T& pressure, const T& half_flow, double coefficient,
             const FluidState<T>& fluid) {
  T area = half_flow / (coefficient * SquareRoot<T>(pressure / fluid.density));  // turbulent alone
  for (int i = 0; i < kMostNewtonSteps; ++i) {
    const CurvePoint<T> drop = DropOf<T>(area, half_flow, coefficient, fluid);
    const T step = (drop.value - 0.5 * pressure) / drop.slope;
    area -= step;
    if (std::abs(Value(step)) <= kFitAccuracy * Value(area)) break;
  }
  return area;
}

// The closing area at a higher pressure. Start: the turbulent closed form, which lies on the side
// from which Newton's method on this convex function cannot overshoot.
template <class T>
T ClosingArea(const T& pressure, const T& at_centre, const T& centre, const T& half_flow,
              double coefficient, const FluidState<T>& fluid) {
  const T ratio = pressure / at_centre;
  // p/p0 = (1 + y)/(1 - y)^2 with y = (1 - closing/centre)^2.
  const T y = (2.0 * ratio + 1.0 - SquareRoot<T>(8.0 * ratio + 1.0)) / (2.0 * ratio);
  T area = centre * (1.0 - SquareRoot<T>(y));
  for (int i = 0; i < kMostNewtonSteps; ++i) {
    const CurvePoint<T> closing = DropOf<T>(area, half_flow, coefficient, fluid);
    const CurvePoint<T> opening = DropOf<T>(T(2.0 * centre - area), half_flow, coefficient, fluid);
    const T step = (closing.value + opening.value - pressure) / (closing.slope - opening.slope);
    area -= step;
    if (std::abs(Value(step)) <= kFitAccuracy * Value(area)) break;
  }
  return area;
}

template <class T>
bool AreUsable(const std::vector<BoostPoint<T>>& points) {
  if (points.size() < 2 || Value(points.front().twist) != 0.0) return false;
  if (!IsPositive(points.front().pressure)) return false;
  for (std::size_t i = 1; i < points.size(); ++i) {
    if (!IsFinite(points[i].twist, points[i].pressure)) return false;
    if (Value(points[i].twist) <= Value(points[i - 1].twist)) return false;
    if (Value(points[i].pressure) <= Value(points[i - 1].pressure)) return false;
  }
  return true;
}

template <class T>
bool IsSound(const FittedOpening<T>& f) {
  if (f.log_area.x.size() < 2 || !IsPositive(f.centre)) return false;
  for (std::size_t i = 1; i < f.log_area.y.size(); ++i) {
    if (!(Value(f.log_area.y[i]) < Value(f.log_area.y[i - 1]))) return false;
  }
  return Value(f.log_area.x.front()) == 0.0 &&
         std::exp(Value(f.log_area.y.front())) < 2.0 * Value(f.centre);
}

}  // namespace

template <class T>
Outcome<FittedOpening<T>, Problem> FitOpening(const std::vector<BoostPoint<T>>& points,
                                              const T& flow, double coefficient,
                                              const FluidState<T>& fluid) {
  using std::log;
  if (!AreUsable(points) || !IsPositive(flow) || !(coefficient > 0.0)) {
    return Problem::kValvePoints;
  }
  const T half = 0.5 * flow;
  const T at_centre = points.front().pressure;
  FittedOpening<T> fitted;
  fitted.centre = CentreArea<T>(at_centre, half, coefficient, fluid);
  std::vector<T> twist = {points.front().twist};
  std::vector<T> log_area = {log(fitted.centre)};
  for (std::size_t i = 1; i < points.size(); ++i) {
    const T area =
        ClosingArea<T>(points[i].pressure, at_centre, fitted.centre, half, coefficient, fluid);
    if (!(Value(area) > kLeastClosing && Value(area) < Value(fitted.centre))) {
      return Problem::kValvePoints;
    }
    twist.push_back(points[i].twist);
    log_area.push_back(log(area));
  }
  fitted.log_area = FitMonotoneCubic<T>(std::move(twist), std::move(log_area));
  return fitted;
}

template <class T>
Opening<T> OpeningAt(const RotaryValve<T>& valve, const T& twist) {
  const bool back = Value(twist) < 0.0;
  const T size = back ? T(-twist) : twist;
  const T rounding = kStopRounding * valve.stop;
  const double moves = 1.0 - SoftPositiveSlope(Value(size - valve.stop), Value(rounding));
  const T held = SoftMin<T>(size, valve.stop, rounding);
  Opening<T> o = Of<T>(valve.openings, back ? T(-held) : held);
  o.area_slope *= moves;
  return o;
}

template <class T>
TorquePoint<T> TwistTorque(const RotaryValve<T>& valve, const T& twist) {
  const bool back = Value(twist) < 0.0;
  const T size = back ? T(-twist) : twist;
  const T rounding = kStopRounding * valve.stop;
  const T past = SoftPositive<T>(size - valve.stop, rounding);
  const double share = SoftPositiveSlope(Value(size - valve.stop), Value(rounding));
  const T torque = valve.stiffness * (size + kStopStiffness * past);
  return {back ? T(-torque) : torque, valve.stiffness * (1.0 + kStopStiffness * share)};
}

// Newton's method from the bar's own twist, the stop left out: on this convex function it cannot
// overshoot. The last step carries the derivatives.
template <class T>
T TwistAt(const RotaryValve<T>& valve, const T& torque) {
  const double sign = Value(torque) < 0.0 ? -1.0 : 1.0;
  T twist = T(Value(torque) / Value(valve.stiffness));
  for (int i = 0; i < kMostNewtonSteps; ++i) {
    const TorquePoint<T> at = TwistTorque<T>(valve, twist);
    const T step = (at.torque - torque) / at.slope;
    twist -= step;
    if (sign * Value(step) <= kFitAccuracy * std::abs(Value(twist))) break;
  }
  return twist;
}

template <class T>
bool BeyondPoints(const RotaryValve<T>& valve, double twist) {
  return std::abs(twist) > Value(valve.openings.log_area.x.back());
}

template <class T>
bool IsSound(const RotaryValve<T>& valve) {
  return IsPositive(valve.stiffness, valve.stop) && valve.coefficient > 0.0 &&
         IsSound<T>(valve.openings);
}

#define STEERBENCH_INSTANTIATE(T)                                                 \
  template Outcome<FittedOpening<T>, Problem> FitOpening<T>(                      \
      const std::vector<BoostPoint<T>>&, const T&, double, const FluidState<T>&); \
  template Opening<T> OpeningAt<T>(const RotaryValve<T>&, const T&);              \
  template TorquePoint<T> TwistTorque<T>(const RotaryValve<T>&, const T&);        \
  template T TwistAt<T>(const RotaryValve<T>&, const T&);                         \
  template bool BeyondPoints<T>(const RotaryValve<T>&, double);                   \
  template bool IsSound<T>(const RotaryValve<T>&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::hydraulics
