#include "engine/effort/wheel.h"

#include <cmath>
#include <numbers>
#include <optional>

namespace steerbench::effort {
namespace {

template <class T>
Vec3<T> Up() {
  return Vec3<T>::UnitZ();
}

// Direction to the left of a heading.
template <class T>
Vec3<T> LeftOf(const Vec3<T>& heading) {
  return Up<T>().cross(heading);
}

// v turned about the unit vector u by an angle (Rodrigues).
template <class T>
Vec3<T> Turned(const Vec3<T>& v, const Vec3<T>& u, const T& angle) {
  using std::cos;
  using std::sin;
  return u * (u.dot(v) * (1.0 - cos(angle))) + v * cos(angle) + u.cross(v) * sin(angle);
}

template <class T>
struct StraightAhead {
  Vec3<T> axis, spin;  // unit vectors; spin points left
  Vec3<T> axis_ground, centre;
};

template <class T>
bool IsUpright(const T& angle) {
  return std::abs(Value(angle)) < std::numbers::pi / 2.0;
}

// Direction from a wheel's centre to its lowest point.
template <class T>
Vec3<T> Down(const Vec3<T>& spin) {
  using std::sqrt;
  return (spin * spin.z() - Up<T>()) / sqrt(1.0 - spin.z() * spin.z());
}

template <class T>
StraightAhead<T> Place(const WheelAngles<T>& a) {
  using std::cos;
  using std::sin;
  using std::tan;
  StraightAhead<T> s;
  s.axis = Vec3<T>(-tan(a.caster), -a.side * tan(a.inclination), T(1.0)).normalized();
  // Top out means that the outboard end of the axle points down.
  s.spin = Vec3<T>(T(0.0), cos(a.camber), -a.side * sin(a.camber));
  s.axis_ground = Vec3<T>(a.mechanical_trail, -a.side * a.scrub_radius, T(0.0));
  s.centre = -Down<T>(s.spin) * a.radius;
  return s;
}

template <class T>
std::optional<Problem> WhatIsWrong(const WheelAngles<T>& a) {
  if (!IsFinite(a.caster, a.inclination, a.camber, a.scrub_radius, a.mechanical_trail))
    return Problem::kNotFinite;
  if (!IsUpright(a.caster) || !IsUpright(a.inclination) || !IsUpright(a.camber))
    return Problem::kAxis;
  if (!IsPositive(a.radius)) return Problem::kRadius;
  return std::nullopt;
}

}  // namespace

std::string_view Describe(Problem problem) {
  switch (problem) {
    case Problem::kNotFinite:
      return "a number is missing, not finite, or too large to compute with";
    case Problem::kAxis:
      return "a steering axis does not point upwards, or an angle of it reaches 90 degrees";
    case Problem::kHeading:
      return "a wheel's heading is not a level unit vector";
    case Problem::kRadius:
      return "the wheel's radius is not above zero";
    case Problem::kSteerUnreachable:
      return "the wheel cannot be turned to this steer angle about its axis";
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
Parts<T> MomentsAboutAxis(const Wheel<T>& wheel, const GroundLoad<T>& load) {
  const Vec3<T>& u = wheel.axis_direction;
  const auto about = [&](const Vec3<T>& at, const Vec3<T>& direction) -> T {
    return (at - wheel.axis_point).cross(direction).dot(u);
  };
  Parts<T> m;
  m.vertical = load.vertical * about(wheel.contact, Up<T>());
  m.lateral = load.lateral * about(wheel.contact, LeftOf(wheel.heading));
  m.longitudinal = load.held * about(wheel.contact, wheel.heading) +
                   load.rolling * about(wheel.centre, wheel.heading);
  m.aligning = load.aligning * u.z();
  return m;
}

template <class T>
Motion<T> MotionAbout(const Wheel<T>& wheel, const T& rate) {
  const Vec3<T> angular = wheel.axis_direction * rate;
  return {angular, angular.cross(wheel.centre - wheel.axis_point)};
}

template <class T>
Parts<T> ForceOnRack(const Wheel<T>& wheel, const Motion<T>& motion, const GroundLoad<T>& load) {
  const Vec3<T> contact_rate = motion.centre + motion.angular.cross(wheel.contact - wheel.centre);
  Parts<T> f;
  f.vertical = load.vertical * contact_rate.z();
  f.lateral = load.lateral * contact_rate.dot(LeftOf(wheel.heading));
  f.longitudinal =
      load.held * contact_rate.dot(wheel.heading) + load.rolling * motion.centre.dot(wheel.heading);
  f.aligning = load.aligning * motion.angular.z();
  return f;
}

template <class T>
Outcome<TurnedWheel<T>, Problem> TurnBy(const WheelAngles<T>& angles, const T& rotation) {
  using std::atan2;
  if (const auto wrong = WhatIsWrong(angles)) return *wrong;
  if (!IsFinite(rotation)) return Problem::kNotFinite;
  const StraightAhead<T> s = Place(angles);
  const Vec3<T> spin = Turned<T>(s.spin, s.axis, rotation);
  const T level_squared = spin.x() * spin.x() + spin.y() * spin.y();
  if (!IsPositive(level_squared)) return Problem::kAxis;
  const Vec3<T> spin_rate = s.axis.cross(spin);
  TurnedWheel<T> t;
  Wheel<T>& w = t.wheel;
  w.axis_point = s.axis_ground;
  w.axis_direction = s.axis;
  w.centre = s.axis_ground + Turned<T>(s.centre - s.axis_ground, s.axis, rotation);
  w.contact = w.centre + Down<T>(spin) * angles.radius;
  w.heading = spin.cross(Up<T>()).normalized();
  t.steer = atan2(-spin.x(), spin.y());
  t.steer_per_rotation = (spin.x() * spin_rate.y() - spin.y() * spin_rate.x()) / level_squared;
  // The lowest point is the lowest, so that to first order it rises as the point of the wheel that
  // is there does.
  t.lift_per_rotation = s.axis.cross(w.contact - w.axis_point).z();
  if (!IsFinite(t.steer, t.steer_per_rotation, t.lift_per_rotation)) return Problem::kNotFinite;
  return t;
}

template <class T>
Outcome<T, Problem> RotationForSteer(const WheelAngles<T>& angles, const T& steer) {
  using std::acos;
  using std::atan2;
  using std::cos;
  using std::sin;
  using std::sqrt;
  if (const auto wrong = WhatIsWrong(angles)) return *wrong;
  if (!IsFinite(steer)) return Problem::kNotFinite;
  if (!IsUpright(steer)) return Problem::kSteerUnreachable;
  const StraightAhead<T> s = Place(angles);
  // The turned spin axis is square to the heading: p + q cos(r) + w sin(r) = 0.
  const Vec3<T> heading(cos(steer), sin(steer), T(0.0));
  const T p = s.axis.dot(s.spin) * s.axis.dot(heading);
  const T q = s.spin.dot(heading) - p;
  const T w = s.axis.cross(s.spin).dot(heading);
  const T reach = sqrt(q * q + w * w);
  if (!(std::abs(Value(p)) < Value(reach))) return Problem::kSteerUnreachable;
  const T middle = atan2(w, q), apart = acos(-p / reach);
  // Of the two the one that is near the steer angle; the other points the wheel backwards.
  const auto near = [&](T r) -> T {
    r -= 2.0 * std::numbers::pi * std::round(Value(r - steer) / (2.0 * std::numbers::pi));
    return r;
  };
  const T one = near(middle + apart), two = near(middle - apart);
  return std::abs(Value(one - steer)) < std::abs(Value(two - steer)) ? one : two;
}

template <class T>
T TextbookLift(const T& load, const T& offset, const T& inclination, const T& steer) {
  using std::cos;
  using std::sin;
  return load * offset * sin(inclination) * cos(inclination) * sin(steer);
}

#define STEERBENCH_INSTANTIATE(T)                                                         \
  template Parts<T> MomentsAboutAxis(const Wheel<T>&, const GroundLoad<T>&);              \
  template Motion<T> MotionAbout(const Wheel<T>&, const T&);                              \
  template Parts<T> ForceOnRack(const Wheel<T>&, const Motion<T>&, const GroundLoad<T>&); \
  template Outcome<TurnedWheel<T>, Problem> TurnBy(const WheelAngles<T>&, const T&);      \
  template Outcome<T, Problem> RotationForSteer(const WheelAngles<T>&, const T&);         \
  template T TextbookLift(const T&, const T&, const T&, const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::effort
