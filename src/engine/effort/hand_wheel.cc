#include "engine/effort/hand_wheel.h"

#include <cmath>
#include <optional>

namespace steerbench::effort {
namespace {

template <class T>
T Magnitude(const T& x) {
  return Value(x) < 0.0 ? T(-x) : x;
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
  const Parts<T> ground = ForceOnRack(s.leverage, s.load);
  f[Term::kVertical] -= ground.vertical;
  f[Term::kLateral] -= ground.lateral;
  f[Term::kLongitudinal] -= ground.longitudinal;
  f[Term::kAligning] -= ground.aligning;
  // The patch turns about the vertical, the joints about the axis.
  f[Term::kSpin] += direction * s.spin * Magnitude<T>(s.leverage.aligning);
  f[Term::kJoints] += direction * s.joint_friction * Magnitude<T>(s.leverage.joints);
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
Outcome<RackLoad<T>, Problem> LoadToTurn(const WheelSide<T>& left, const WheelSide<T>& right,
                                         const Mechanism<T>& mechanism, Direction direction) {
  if (!IsNotNegative(left.spin, left.joint_friction, right.spin, right.joint_friction,
                     mechanism.rack_friction, mechanism.seal_friction)) {
    return Problem::kFriction;
  }
  const double d = static_cast<double>(direction);
  RackLoad<T> load;
  load.direction = direction;
  AddSide(load.terms, left, d);
  AddSide(load.terms, right, d);
  load.terms[Term::kRack] = d * mechanism.rack_friction;
  load.terms[Term::kSeals] = d * mechanism.seal_friction;
  return load;
}

template <class T>
Outcome<HandTorque<T>, Problem> TorqueUnder(const RackLoad<T>& load, const Mechanism<T>& mechanism,
                                            const T& assist) {
  if (const auto wrong = WrongMechanism(mechanism)) return *wrong;
  const double d = static_cast<double>(load.direction);
  Terms<T> f = load.terms;
  f[Term::kAssist] = -assist;
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
Outcome<HandTorque<T>, Problem> TorqueToTurn(const WheelSide<T>& left, const WheelSide<T>& right,
                                             const Mechanism<T>& mechanism, const T& assist,
                                             Direction direction) {
  const auto load = LoadToTurn(left, right, mechanism, direction);
  if (!load) return load.why();
  return TorqueUnder(*load, mechanism, assist);
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
  template Outcome<RackLoad<T>, Problem> LoadToTurn(const WheelSide<T>&, const WheelSide<T>&,      \
                                                    const Mechanism<T>&, Direction);               \
  template Outcome<HandTorque<T>, Problem> TorqueUnder(const RackLoad<T>&, const Mechanism<T>&,    \
                                                       const T&);                                  \
  template Outcome<HandTorque<T>, Problem> TorqueToTurn(const WheelSide<T>&, const WheelSide<T>&,  \
                                                        const Mechanism<T>&, const T&, Direction); \
  template Outcome<HoldBand<T>, Problem> Hold(const WheelSide<T>&, const WheelSide<T>&,            \
                                              const Mechanism<T>&, const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::effort
