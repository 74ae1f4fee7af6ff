#include "engine/linkage/plan_view.h"

#include <Eigen/Geometry>
#include <cmath>

namespace steerbench::linkage {
namespace {

template <class T>
using Vec2 = Eigen::Matrix<T, 2, 1>;

template <class T>
T Cross(const Vec2<T>& a, const Vec2<T>& b) {
  return a.x() * b.y() - a.y() * b.x();
}

// Inner joint from the steering axis.
template <class T>
Vec2<T> InnerJoint(const PlanCorner<T>& c, const T& travel) {
  return {c.rack_offset, c.inner_joint - c.half_spacing + travel};
}

// Outer joint from the steering axis with the wheel at a steer angle.
template <class T>
Vec2<T> OuterJoint(const PlanCorner<T>& c, const T& steer) {
  using std::cos;
  using std::sin;
  // Of an arm that points backward, the inboard lean turns the other way round.
  const T along = c.arm_ahead ? c.arm_length : T(-c.arm_length);
  const T angle = c.arm_ahead ? T(steer - c.arm_angle) : T(steer + c.arm_angle);
  return {along * cos(angle), along * sin(angle)};
}

// +1 when the outer joint lies anticlockwise of the line axis - inner joint (x towards y).
template <class T>
double DrivenSide(const PlanCorner<T>& c) {
  const Vec2<T> ahead = OuterJoint<T>(c, T(0.0));
  return Value(Cross<T>(InnerJoint<T>(c, T(0.0)), ahead)) < 0.0 ? -1.0 : 1.0;
}

}  // namespace

template <class T>
std::optional<PlanState<T>> StateAt(const PlanCorner<T>& c, T travel, PlanBranch branch) {
  using std::abs;
  using std::atan2;
  using std::sqrt;
  const Vec2<T> inner = InnerJoint<T>(c, travel);
  const T along2 = inner.squaredNorm();
  const T arm2 = c.arm_length * c.arm_length;
  // Components of the outer joint along and across the line axis - inner joint, both times that
  // line's length.
  const T along = (arm2 + along2 - c.tie_rod_length * c.tie_rod_length) / 2.0;
  const T across2 = arm2 * along2 - along * along;
  if (!(Value(across2) > 0.0)) return std::nullopt;
  const T across = sqrt(across2) * (DrivenSide(c) * (branch == PlanBranch::kDriven ? 1.0 : -1.0));
  const Vec2<T> square(-inner.y(), inner.x());
  const Vec2<T> outer = (inner * along + square * across) / along2;
  const Vec2<T> ahead = OuterJoint<T>(c, T(0.0));
  const Vec2<T> rod = outer - inner;
  PlanState<T> s;
  s.steer = atan2(Cross<T>(ahead, outer), ahead.dot(outer));
  s.steer_per_travel = rod.y() / across;
  s.rod_arm_angle = atan2(abs(Cross<T>(outer, rod)), -outer.dot(rod));
  s.inner_tilt = atan2(abs(rod.x()), rod.y());
  return s;
}

template <class T>
std::optional<DeadCentres<T>> DeadCentreTravel(const PlanCorner<T>& c) {
  using std::abs;
  using std::sqrt;
  if (!StateAt<T>(c, T(0.0))) return std::nullopt;
  const T from_axis = c.inner_joint - c.half_spacing;
  const T straight = c.arm_length + c.tie_rod_length, folded = c.arm_length - c.tie_rod_length;
  const T far = sqrt(straight * straight - c.rack_offset * c.rack_offset);
  DeadCentres<T> d{T(-far - from_axis), T(far - from_axis)};
  const T near2 = folded * folded - c.rack_offset * c.rack_offset;
  if (!(Value(near2) > 0.0)) return d;  // the rack passes the axis without folding the linkage
  const T near = sqrt(near2);
  // The centred rack is outside the folded circle, so that it ends the travel on one side only.
  (Value(from_axis) < 0.0 ? d.outboard : d.inboard) =
      Value(from_axis) < 0.0 ? T(-near - from_axis) : T(near - from_axis);
  return d;
}

template <class T>
T TieRodLengthForToe(const PlanCorner<T>& c, T toe_in) {
  return (OuterJoint<T>(c, T(-toe_in)) - InnerJoint<T>(c, T(0.0))).norm();
}

#define STEERBENCH_INSTANTIATE(T)                                                       \
  template std::optional<PlanState<T>> StateAt<T>(const PlanCorner<T>&, T, PlanBranch); \
  template std::optional<DeadCentres<T>> DeadCentreTravel<T>(const PlanCorner<T>&);     \
  template T TieRodLengthForToe<T>(const PlanCorner<T>&, T)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::linkage
