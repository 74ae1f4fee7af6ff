#include "engine/effort/wheel.h"

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

template Parts<double> ForceOnRack(const Wheel<double>&, const Motion<double>&,
                                   const GroundLoad<double>&);
template Parts<Jet> ForceOnRack(const Wheel<Jet>&, const Motion<Jet>&, const GroundLoad<Jet>&);

}  // namespace steerbench::effort
