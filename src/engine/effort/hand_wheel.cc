#include "engine/effort/hand_wheel.h"

#include <cmath>
#include <optional>

namespace steerbench::effort {
namespace {

// How far a direction may be from length one, or a heading from level, by rounding.
constexpr double kUnitTolerance = 1e-6;

template <class T>
T Magnitude(const T& x) {
  return Value(x) < 0.0 ? T(-x) : x;
}

template <class T>
bool IsFiniteVector(const Vec3<T>& v) {
  return IsFinite(v.x(), v.y(), v.z());
}

template <class T>
bool IsUnit(const Vec3<T>& v) {
  return IsFiniteVector(v) && std::abs(Value(T(v.squaredNorm())) - 1.0) < kUnitTolerance;
}

template <class T>
std::optional<Problem> WrongSide(const WheelSide<T>& s) {
  if (!IsUnit(s.wheel.axis_direction) || Value(s.wheel.axis_direction.z()) <= 0.0)
    return Problem::kAxis;
  if (!IsUnit(s.wheel.heading) || std::abs(Value(s.wheel.heading.z())) > kUnitTolerance)
    return Problem::kHeading;
  if (!IsNotNegative(s.spin, s.joint_friction)) return Problem::kFriction;
  if (!IsFiniteVector(s.motion.angular) || !IsFiniteVector(s.motion.centre))
    return Problem::kNotFinite;
  return std::nullopt;
}

template <class T>
std::optional<Problem> WrongMechanism(const Mechanism<T>& m) {
  if (!IsPositive(m.travel_per_radian)) return Problem::kTravelPerTurn;
  if (!IsPositive(m.mesh_efficiency) || Value(m.mesh_efficiency) > 1.0) return Problem::kEfficiency;
  if (!IsPositive(m.column_ratio)) return Problem::kColumn;
  if (!IsNotNegative(m.rack_friction, m.seal_friction, m.column_friction))
    return Problem::kFriction;
  if (!IsPositive(m.rim_radius)) return Problem::kRim;
  return std::nullopt;
}

// Forces that the rack needs because of one side [N].
template <class T>
void AddSide(Terms<T>& f, const WheelSide<T>& s, double direction) {
  const Parts<T> ground = ForceOnRack(s.wheel, s.motion, s.load);
  f[Term::kVertical] -= ground.vertical;
  f[Term::kLateral] -= ground.lateral;
  f[Term::kLongitudinal] -= ground.longitudinal;
  f[Term::kAligning] -= ground.aligning;
  // The patch turns about the vertical, the joints about the axis.
  f[Term::kSpin] += direction * s.spin * Magnitude<T>(s.motion.angular.z());
  f[Term::kJoints] +=
      direction * s.joint_friction * Magnitude<T>(s.motion.angular.dot(s.wheel.axis_direction));
}

}  // namespace

std::string_view NameOf(Term term) {
  static constexpr std::array<std::string_view, kTermCount> names{
      "weight lift",   "side force",       "drag and drive", "aligning moment",
      "assistance",    "tyre on the spot", "joints",         "rack friction",
      "seal friction", "mesh losses",      "column friction"};
  return names[static_cast<std::size_t>(term)];
}

template <class T>
Outcome<HandTorque<T>, Problem> TorqueToTurn(const WheelSide<T>& left, const WheelSide<T>& right,
                                             const Mechanism<T>& mechanism, const T& assist,
                                             Direction direction) {
  for (const auto& wrong : {WrongSide(left), WrongSide(right), WrongMechanism(mechanism)}) {
    if (wrong) return *wrong;
  }
  const double d = static_cast<double>(direction);
  Terms<T> f;
  AddSide(f, left, d);
  AddSide(f, right, d);
  f[Term::kAssist] = -assist;
  f[Term::kRack] = d * mechanism.rack_friction;
  f[Term::kSeals] = d * mechanism.seal_friction;
  HandTorque<T> h;
  for (const T& force : f.of) h.rack_force += force;
  const T& c = mechanism.travel_per_radian;
  f[Term::kMesh] = d * (1.0 / mechanism.mesh_efficiency - 1.0) * Magnitude(h.rack_force);
  h.pinion_torque = c * (h.rack_force + f[Term::kMesh]);
  for (std::size_t i = 0; i < kTermCount; ++i) h.terms.of[i] = f.of[i] * c * mechanism.column_ratio;
  h.terms[Term::kColumn] = d * mechanism.column_friction;
  for (const T& torque : h.terms.of) h.total += torque;
  h.rim_pull = h.total / mechanism.rim_radius;
  if (!IsFinite(h.total, h.rim_pull, h.pinion_torque)) return Problem::kNotFinite;
  return h;
}

template <class T>
Outcome<HoldBand<T>, Problem> Hold(const WheelSide<T>& left, const WheelSide<T>& right,
                                   const Mechanism<T>& mechanism, const T& assist) {
  const auto upper = TorqueToTurn(left, right, mechanism, assist, Direction::kLeft);
  if (!upper) return upper.why();
  const auto lower = TorqueToTurn(left, right, mechanism, assist, Direction::kRight);
  if (!lower) return lower.why();
  HoldBand<T> b;
  b.left = *upper;
  b.right = *lower;
  b.balance = (upper->total + lower->total) / 2.0;
  b.half_width = (upper->total - lower->total) / 2.0;
  // Where the balance is to the left, holding against it is turning right, and the other way round.
  const bool to_left = Value(b.balance) > 0.0;
  const HandTorque<T>& held = to_left ? *lower : *upper;
  b.back = held.terms;
  if (!to_left) {
    for (T& term : b.back.of) term = -term;
  }
  b.return_torque = to_left ? held.total : -held.total;
  return b;
}

#define STEERBENCH_INSTANTIATE(T)                                                                  \
  template Outcome<HandTorque<T>, Problem> TorqueToTurn(const WheelSide<T>&, const WheelSide<T>&,  \
                                                        const Mechanism<T>&, const T&, Direction); \
  template Outcome<HoldBand<T>, Problem> Hold(const WheelSide<T>&, const WheelSide<T>&,            \
                                              const Mechanism<T>&, const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::effort
