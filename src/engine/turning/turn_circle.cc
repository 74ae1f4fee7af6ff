#include "engine/turning/turn_circle.h"

#include <cmath>

namespace steerbench::turning {
namespace {

constexpr double kLeft = 1.0;
constexpr double kRight = -1.0;

// The point `out` metres outboard of `from` along the axis of a wheel on that side.
template <class T>
GroundPoint<T> Outboard(const GroundPoint<T>& from, const T& steer, double side, const T& out) {
  using std::cos, std::sin;
  return {from.x - side * out * sin(steer), from.y + side * out * cos(steer)};
}

template <class T>
T OwnCentre(const T& wheelbase, const SteeredWheel<T>& wheel) {
  using std::cos, std::sin;
  return wheel.contact.y + (wheelbase + wheel.contact.x) * cos(wheel.steer) / sin(wheel.steer);
}

template <class T>
const SteeredWheel<T>& Outer(const Turn<T>& turn, const SteeredAxle<T>& axle) {
  return turn.to_left ? axle.right : axle.left;
}

template <class T>
double OuterSide(const Turn<T>& turn) {
  return turn.to_left ? kRight : kLeft;
}

template <class T>
T Slip(const Turn<T>& turn, const SteeredWheel<T>& wheel) {
  using std::atan2;
  const double sense = turn.to_left ? 1.0 : -1.0;
  const T forward = sense * (turn.centre - wheel.contact.y);
  const T leftward = sense * (turn.wheelbase + wheel.contact.x);
  return wheel.steer - atan2(leftward, forward);
}

}  // namespace

template <class T>
SteeredAxle<T> SwingAboutAxes(const T& spacing, const T& scrub_radius,
                              const WheelAngles<T>& angles) {
  const GroundPoint<T> left{T(0.0), spacing / 2.0};
  const GroundPoint<T> right{T(0.0), -spacing / 2.0};
  return {{Outboard(left, angles.left, kLeft, scrub_radius), angles.left},
          {Outboard(right, angles.right, kRight, scrub_radius), angles.right}};
}

template <class T>
std::optional<Turn<T>> FindTurn(const T& wheelbase, const SteeredAxle<T>& axle) {
  if (!(Value(axle.left.steer) * Value(axle.right.steer) > 0.0)) return std::nullopt;
  const T left = OwnCentre(wheelbase, axle.left);
  const T right = OwnCentre(wheelbase, axle.right);
  return Turn<T>{wheelbase, (left + right) / 2.0, left, right, Value(axle.left.steer) > 0.0};
}

template <class T>
T PathRadius(const Turn<T>& turn, const GroundPoint<T>& point) {
  using std::sqrt;
  const T along = turn.wheelbase + point.x;
  const T across = turn.centre - point.y;
  return sqrt(along * along + across * across);
}

template <class T>
FourPaths<T> WheelPaths(const Turn<T>& turn, const SteeredAxle<T>& axle, const T& rear_track) {
  const T rear = -turn.wheelbase;
  return {PathRadius(turn, axle.left.contact), PathRadius(turn, axle.right.contact),
          PathRadius(turn, {rear, rear_track / 2.0}), PathRadius(turn, {rear, -rear_track / 2.0})};
}

template <class T>
FourPaths<T> CornerPaths(const Turn<T>& turn, const T& body_width, const T& front_overhang,
                         const T& rear_overhang) {
  const T rear = -turn.wheelbase - rear_overhang;
  const T half = body_width / 2.0;
  return {PathRadius(turn, {front_overhang, half}), PathRadius(turn, {front_overhang, -half}),
          PathRadius(turn, {rear, half}), PathRadius(turn, {rear, -half})};
}

template <class T>
T TrackRadius(const Turn<T>& turn, const SteeredAxle<T>& axle) {
  return PathRadius(turn, Outer(turn, axle).contact);
}

template <class T>
T KerbRadius(const Turn<T>& turn, const SteeredAxle<T>& axle, const T& tyre_width) {
  const SteeredWheel<T>& wheel = Outer(turn, axle);
  return PathRadius(turn,
                    Outboard(wheel.contact, wheel.steer, OuterSide(turn), T(tyre_width / 2.0)));
}

template <class T>
T WallRadius(const Turn<T>& turn, const T& body_width, const T& front_overhang) {
  return PathRadius(turn, {front_overhang, OuterSide(turn) * body_width / 2.0});
}

template <class T>
T OffTracking(const Turn<T>& turn) {
  const T front = PathRadius(turn, {T(0.0), T(0.0)});
  const T rear = Value(turn.centre) < 0.0 ? T(-turn.centre) : turn.centre;
  // front - rear without the loss of digits of wide turns.
  return turn.wheelbase * turn.wheelbase / (front + rear);
}

template <class T>
WheelAngles<T> ForcedSlip(const Turn<T>& turn, const SteeredAxle<T>& axle) {
  return {Slip(turn, axle.left), Slip(turn, axle.right)};
}

#define STEERBENCH_INSTANTIATE(T)                                                       \
  template SteeredAxle<T> SwingAboutAxes<T>(const T&, const T&, const WheelAngles<T>&); \
  template std::optional<Turn<T>> FindTurn<T>(const T&, const SteeredAxle<T>&);         \
  template T PathRadius<T>(const Turn<T>&, const GroundPoint<T>&);                      \
  template FourPaths<T> WheelPaths<T>(const Turn<T>&, const SteeredAxle<T>&, const T&); \
  template FourPaths<T> CornerPaths<T>(const Turn<T>&, const T&, const T&, const T&);   \
  template T TrackRadius<T>(const Turn<T>&, const SteeredAxle<T>&);                     \
  template T KerbRadius<T>(const Turn<T>&, const SteeredAxle<T>&, const T&);            \
  template T WallRadius<T>(const Turn<T>&, const T&, const T&);                         \
  template T OffTracking<T>(const Turn<T>&);                                            \
  template WheelAngles<T> ForcedSlip<T>(const Turn<T>&, const SteeredAxle<T>&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::turning
