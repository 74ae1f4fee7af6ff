#include "engine/effort/wheel.h"

#include <cmath>

namespace steerbench::effort {
namespace {

// How far a direction may be from length one, or a heading from level, by rounding.
constexpr double kUnitTolerance = 1e-6;

template <class T>
bool IsUnit(const Vec3<T>& v) {
  return IsFinite(v.x(), v.y(), v.z()) &&
         std::abs(Value(T(v.squaredNorm())) - 1.0) < kUnitTolerance;
}

template <class T>
Vec3<T> Up() {
  return Vec3<T>::UnitZ();
}

// Direction to the left of a heading.
template <class T>
Vec3<T> LeftOf(const Vec3<T>& heading) {
  return Up<T>().cross(heading);
}

}  // namespace

std::string_view Describe(Problem problem) {
  switch (problem) {
    case Problem::kNotFinite:
      return "a number is missing, not finite, or too large to compute with";
    case Problem::kAxis:
      return "a steering axis does not point upwards";
    case Problem::kHeading:
      return "a wheel's heading is not a level unit vector";
    case Problem::kFriction:
      return "a friction is below zero";
    case Problem::kTravelPerTurn:
      return "the rack travel per pinion turn is not above zero";
    case Problem::kEfficiency:
      return "the efficiency of the mesh is not above zero and up to one";
    case Problem::kColumn:
      return "the column's ratio is not above zero";
    case Problem::kRim:
      return "the radius of the hand wheel is not above zero";
  }
  return "unknown";
}

template <class T>
Outcome<Leverage<T>, Problem> LeverageOf(const Wheel<T>& wheel, const Motion<T>& motion) {
  if (!IsUnit(wheel.axis_direction) || Value(wheel.axis_direction.z()) <= 0.0)
    return Problem::kAxis;
  if (!IsUnit(wheel.heading) || std::abs(Value(wheel.heading.z())) > kUnitTolerance)
    return Problem::kHeading;
  const Vec3<T> contact_rate = motion.centre + motion.angular.cross(wheel.contact - wheel.centre);
  Leverage<T> l;
  l.vertical = contact_rate.z();
  l.lateral = contact_rate.dot(LeftOf(wheel.heading));
  l.held = contact_rate.dot(wheel.heading);
  l.rolling = motion.centre.dot(wheel.heading);
  l.aligning = motion.angular.z();
  l.joints = motion.angular.dot(wheel.axis_direction);
  if (!IsFinite(l.vertical, l.lateral, l.held, l.rolling, l.aligning, l.joints))
    return Problem::kNotFinite;
  return l;
}

template Outcome<Leverage<double>, Problem> LeverageOf(const Wheel<double>&, const Motion<double>&);
template Outcome<Leverage<Jet>, Problem> LeverageOf(const Wheel<Jet>&, const Motion<Jet>&);

}  // namespace steerbench::effort
