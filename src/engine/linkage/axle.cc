#include "engine/linkage/axle.h"

#include <cmath>

namespace steerbench::linkage {
namespace {

constexpr double kParallel = 1e-12;  // sine of the angle below which two normals are parallel

// Each normal is the line of points p with tangent . (p - contact) = 0. Written so that swapping
// the wheels mirrors the result to the bit.
template <class T>
std::optional<RollCentre<T>> RollCentreOf(const WheelState<T>& left, const WheelState<T>& right) {
  const T &ly = left.contact_per_jounce.y(), &lz = left.contact_per_jounce.z();
  const T &ry = right.contact_per_jounce.y(), &rz = right.contact_per_jounce.z();
  const T l = ly * left.contact.y() + lz * left.contact.z();
  const T r = ry * right.contact.y() + rz * right.contact.z();
  const T determinant = ly * rz + ry * lz;
  const double scale = std::hypot(Value(ly), Value(lz)) * std::hypot(Value(ry), Value(rz));
  if (!(std::abs(Value(determinant)) > kParallel * scale)) return std::nullopt;
  RollCentre<T> c;
  c.y = (l * rz - r * lz) / determinant;
  c.z = (ly * r + ry * l) / determinant;
  const T to_left = left.contact.y() - c.y, to_right = right.contact.y() + c.y;
  const T ground =
      (left.contact.z() * to_right + right.contact.z() * to_left) / (to_left + to_right);
  c.height = c.z - ground;
  return c;
}

}  // namespace

template <class T>
AxleState<T> AxleOf(const WheelState<T>& left, const WheelState<T>& right) {
  AxleState<T> a;
  a.steer = {left.steer, -right.steer};
  a.steer_per_travel = {left.steer_per_travel, right.steer_per_travel};
  a.toe_per_jounce = {-left.steer_per_jounce, -right.steer_per_jounce};
  a.total_toe_in = -(left.steer + right.steer);
  // Body roll with the left side up by an angle lets the left wheel down by half a track times it.
  a.steer_per_roll =
      -(left.contact.y() * left.steer_per_jounce + right.contact.y() * right.steer_per_jounce) /
      2.0;
  a.roll_centre = RollCentreOf<T>(left, right);
  return a;
}

template <class T>
T ToeLength(T toe, T diameter) {
  using std::sin;
  return diameter * sin(toe);
}

#define STEERBENCH_INSTANTIATE(T)                                              \
  template AxleState<T> AxleOf<T>(const WheelState<T>&, const WheelState<T>&); \
  template T ToeLength<T>(T, T)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::linkage
