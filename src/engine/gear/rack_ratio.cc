#include "engine/gear/rack_ratio.h"

#include <cmath>
#include <stdexcept>
#include <string>

namespace steerbench::gear {
namespace {

// Newton's method needs about five steps; one that has not ended by now only bisects.
constexpr int kMostSteps = 100;
constexpr double kRoundOff = 1e-15;  // of the table's length, below which a step changes nothing

template <class T>
T AngleOfDistance(const RackRatio<T>& ratio, const T& distance) {
  if (!ratio.angle_per_travel) return distance / ratio.end;
  const MonotoneCubic<T>& curve = *ratio.angle_per_travel;
  if (const auto angle = IntegralTo(curve, distance)) return *angle;
  return *IntegralTo(curve, curve.x.back()) + (distance - curve.x.back()) / ratio.end;
}

template <class T>
T AnglePerTravel(const RackRatio<T>& ratio, const T& distance) {
  if (ratio.angle_per_travel) {
    if (const auto point = PointAt(*ratio.angle_per_travel, distance)) return point->value;
  }
  return 1.0 / ratio.end;
}

// Each step is taken in T: the last one, at the solution, carries the exact derivatives.
template <class T>
T DistanceInsideTable(const RackRatio<T>& ratio, const T& angle, const T& end, const T& end_angle) {
  double low = 0.0, high = Value(end);
  T distance = end * angle / end_angle;
  for (int step = 0; step < kMostSteps; ++step) {
    const T error = AngleOfDistance(ratio, distance) - angle;
    (Value(error) > 0.0 ? high : low) = Value(distance);
    T next = distance - error / AnglePerTravel(ratio, distance);
    if (!(Value(next) >= low && Value(next) <= high)) next = T((low + high) / 2.0);
    const double change = std::abs(Value(next) - Value(distance));
    distance = next;
    if (change <= kRoundOff * Value(end)) break;
  }
  return distance - (AngleOfDistance(ratio, distance) - angle) / AnglePerTravel(ratio, distance);
}

template <class T>
T DistanceOfAngle(const RackRatio<T>& ratio, const T& angle) {
  if (!ratio.angle_per_travel) return angle * ratio.end;
  const T& end = ratio.angle_per_travel->x.back();
  const T end_angle = AngleOfDistance(ratio, end);
  if (Value(angle) >= Value(end_angle)) return end + (angle - end_angle) * ratio.end;
  return DistanceInsideTable(ratio, angle, end, end_angle);
}

template <class T>
bool LeftOfCentre(const T& x) {
  return Value(x) >= 0.0;
}

// The part of a curve, symmetric about zero, that starts at zero.
template <class T>
MonotoneCubic<T> RightHalf(const MonotoneCubic<T>& c) {
  const auto middle = static_cast<std::ptrdiff_t>(c.x.size() / 2);
  return {{c.x.begin() + middle, c.x.end()},
          {c.y.begin() + middle, c.y.end()},
          {c.slope.begin() + middle, c.slope.end()}};
}

}  // namespace

template <class T>
T MeasuredTravelPerAngle(const T& travel, const T& angle) {
  return travel / angle;
}

template <class T>
T PinionTravelPerAngle(const T& normal_module, const T& teeth, const T& rack_tooth_angle) {
  using std::cos;
  return normal_module * teeth / (2.0 * cos(rack_tooth_angle));
}

template <class T>
std::optional<RowFault> FindRowFault(const std::vector<RatioAt<T>>& rows) {
  if (rows.empty()) return RowFault{0, "the table has no rows"};
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (!(Value(rows[i].distance) >= 0.0)) return RowFault{i, "the distance is below zero"};
    if (i > 0 && !(Value(rows[i].distance) > Value(rows[i - 1].distance))) {
      return RowFault{i, "the distance is not greater than in the row before"};
    }
    if (!(Value(rows[i].travel_per_angle) > 0.0)) {
      return RowFault{i, "the travel per angle is not above zero"};
    }
  }
  return std::nullopt;
}

template <class T>
RackRatio<T> ConstantRatio(const T& travel_per_angle) {
  return {travel_per_angle, std::nullopt};
}

template <class T>
RackRatio<T> TableRatio(const std::vector<RatioAt<T>>& rows) {
  if (const auto fault = FindRowFault(rows)) {
    throw std::invalid_argument("row " + std::to_string(fault->row + 1) + ": " +
                                std::string(fault->what));
  }
  const T& end = rows.back().travel_per_angle;
  if (Value(rows.back().distance) == 0.0) return ConstantRatio(end);

  const std::size_t first = Value(rows.front().distance) > 0.0 ? 0 : 1;
  std::vector<T> x, y;
  for (std::size_t i = rows.size(); i-- > first;) {
    x.push_back(-rows[i].distance);
    y.push_back(1.0 / rows[i].travel_per_angle);
  }
  x.push_back(T(0.0));
  y.push_back(1.0 / rows.front().travel_per_angle);
  for (std::size_t i = first; i < rows.size(); ++i) {
    x.push_back(rows[i].distance);
    y.push_back(1.0 / rows[i].travel_per_angle);
  }
  return {end, RightHalf(FitMonotoneCubic(std::move(x), std::move(y)))};
}

template <class T>
T TravelPerAngle(const RackRatio<T>& ratio, const T& travel) {
  return 1.0 / AnglePerTravel(ratio, LeftOfCentre(travel) ? travel : T(-travel));
}

template <class T>
T PinionAngle(const RackRatio<T>& ratio, const T& travel) {
  if (LeftOfCentre(travel)) return AngleOfDistance(ratio, travel);
  return -AngleOfDistance(ratio, T(-travel));
}

template <class T>
T RackTravel(const RackRatio<T>& ratio, const T& angle) {
  if (LeftOfCentre(angle)) return DistanceOfAngle(ratio, angle);
  return -DistanceOfAngle(ratio, T(-angle));
}

template <class T>
T OverallRatio(const T& travel_per_angle, const T& steer_per_travel, const T& column_ratio) {
  return 1.0 / (travel_per_angle * steer_per_travel * column_ratio);
}

template <class T>
T RackForce(const T& pinion_torque, const T& travel_per_angle, const T& efficiency) {
  return efficiency * pinion_torque / travel_per_angle;
}

#define STEERBENCH_INSTANTIATE(T)                                                   \
  template T MeasuredTravelPerAngle<T>(const T&, const T&);                         \
  template T PinionTravelPerAngle<T>(const T&, const T&, const T&);                 \
  template std::optional<RowFault> FindRowFault<T>(const std::vector<RatioAt<T>>&); \
  template RackRatio<T> ConstantRatio<T>(const T&);                                 \
  template RackRatio<T> TableRatio<T>(const std::vector<RatioAt<T>>&);              \
  template T TravelPerAngle<T>(const RackRatio<T>&, const T&);                      \
  template T PinionAngle<T>(const RackRatio<T>&, const T&);                         \
  template T RackTravel<T>(const RackRatio<T>&, const T&);                          \
  template T OverallRatio<T>(const T&, const T&, const T&);                         \
  template T RackForce<T>(const T&, const T&, const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::gear
