#include "engine/gear/column.h"

#include <cmath>
#include <numbers>

namespace steerbench::gear {
namespace {

using std::numbers::pi;

// Share of the mean below which the two singular values differ by rounding only.
constexpr double kEven = 1e-12;

// How far the output leads the input when tan(out) = tan(in) (1 + t) / (1 - t).
template <class T>
T Lead(const T& t, const T& input) {
  using std::atan2, std::cos, std::sin;
  return atan2(t * sin(2.0 * input), 1.0 - t * cos(2.0 * input));
}

template <class T>
T SquareOfHalfTangent(const T& bend) {
  using std::tan;
  const T half = tan(bend / 2.0);
  return half * half;
}

// Into (-pi/2, pi/2]: a fork looks the same after half a turn.
template <class T>
T ModuloHalfTurn(const T& angle) {
  return angle - pi * std::round(Value(angle) / pi);
}

template <class T>
using Matrix2 = Eigen::Matrix<T, 2, 2>;

template <class T>
Matrix2<T> JointMatrix(const T& bend, const T& turned) {
  using std::cos, std::sin;
  const T c = cos(turned), s = sin(turned), stretch = 1.0 / cos(bend);
  Matrix2<T> m;
  m << c, -s, stretch * s, stretch * c;
  return m;
}

// Fork direction at the hand wheel to that below the last joint, and the last joint's output
// reading straight ahead.
template <class T>
struct Mapping {
  Matrix2<T> matrix = Matrix2<T>::Identity();
  T straight = T(0.0);
};

template <class T>
Mapping<T> MappingOf(const std::vector<CardanJoint<T>>& joints) {
  Mapping<T> m;
  for (const CardanJoint<T>& joint : joints) {
    m.matrix = (JointMatrix(joint.bend, T(joint.phase - m.straight)) * m.matrix).eval();
    m.straight = JointOutput(joint.bend, joint.phase);
  }
  return m;
}

// Mean and half difference of the squares of the singular values, and the direction of the greater
// one, of the symmetric matrix M^T M or M M^T.
template <class T>
struct Stretch {
  T mean, half_difference, direction;
};

// Unset when it stretches all directions alike.
template <class T>
std::optional<Stretch<T>> StretchOf(const Matrix2<T>& square) {
  using std::atan2, std::sqrt;
  const T mean = (square(0, 0) + square(1, 1)) / 2.0;
  const T along = (square(0, 0) - square(1, 1)) / 2.0;
  const T& across = square(0, 1);
  const T squared = along * along + across * across;
  if (Value(squared) <= kEven * kEven * Value(mean) * Value(mean)) return std::nullopt;
  return Stretch<T>{mean, sqrt(squared), atan2(across, along) / 2.0};
}

template <class T>
Unevenness<T> UnevennessOf(const T& greatest, std::optional<T> hand) {
  using std::asin;
  return {greatest, 1.0 / greatest, (greatest - 1.0 / greatest) / 2.0,
          asin((greatest - 1.0) / (greatest + 1.0)), std::move(hand)};
}

}  // namespace

template <class T>
T JointOutput(const T& bend, const T& input) {
  return input + Lead(SquareOfHalfTangent(bend), input);
}

template <class T>
T JointInput(const T& bend, const T& output) {
  return output + Lead(T(-SquareOfHalfTangent(bend)), output);
}

template <class T>
T JointSpeedRatio(const T& bend, const T& input) {
  using std::cos, std::sin;
  const T part = sin(bend) * cos(input);
  return cos(bend) / (1.0 - part * part);
}

template <class T>
ColumnState<T> TurnColumn(const std::vector<CardanJoint<T>>& joints, const T& hand) {
  ColumnState<T> state{hand, T(1.0)};
  for (const CardanJoint<T>& joint : joints) {
    const T input = joint.phase + state.angle;
    state.ratio *= JointSpeedRatio(joint.bend, input);
    state.angle = JointOutput(joint.bend, input) - JointOutput(joint.bend, joint.phase);
  }
  return state;
}

template <class T>
HandWheelState<T> HandWheelAt(const std::vector<CardanJoint<T>>& joints, const T& pinion) {
  HandWheelState<T> state{pinion, T(1.0)};
  for (auto joint = joints.rbegin(); joint != joints.rend(); ++joint) {
    const T output = state.angle + JointOutput(joint->bend, joint->phase);
    const T input = JointInput(joint->bend, output);
    state.ratio *= JointSpeedRatio(joint->bend, input);
    state.angle = input - joint->phase;
  }
  return state;
}

template <class T>
Unevenness<T> FindUnevenness(const std::vector<CardanJoint<T>>& joints) {
  const Matrix2<T> m = MappingOf(joints).matrix;
  const auto stretch = StretchOf(Matrix2<T>(m.transpose() * m));
  if (!stretch) return UnevennessOf(T(1.0), std::optional<T>());
  const T determinant = m(0, 0) * m(1, 1) - m(0, 1) * m(1, 0);
  const T greatest = (stretch->mean + stretch->half_difference) / determinant;
  // The output turns fastest where the fork's direction is stretched least, square to the most.
  return UnevennessOf(greatest, std::optional<T>(ModuloHalfTurn(T(stretch->direction + pi / 2.0))));
}

template <class T>
std::optional<Cancelling<T>> CancelWithNextJoint(const std::vector<CardanJoint<T>>& above,
                                                 const T& bend) {
  const Mapping<T> m = MappingOf(above);
  const auto stretch = StretchOf(Matrix2<T>(m.matrix * m.matrix.transpose()));
  if (!stretch) return std::nullopt;
  // Where the joints above stretch most, the next fork must lie in its plane, stretched least.
  const T phase = ModuloHalfTurn(T(m.straight - stretch->direction));
  std::vector<CardanJoint<T>> joints = above;
  joints.push_back({bend, phase});
  return Cancelling<T>{phase, FindUnevenness(joints)};
}

template <class T>
T PhaseOfNextJoint(const CardanJoint<T>& joint, const T& fork_twist, const T& plane_twist) {
  const T output_fork = JointOutput(joint.bend, joint.phase) + pi / 2.0;
  return ModuloHalfTurn(T(output_fork + fork_twist - plane_twist));
}

#define STEERBENCH_INSTANTIATE(T)                                                                  \
  template T JointOutput<T>(const T&, const T&);                                                   \
  template T JointInput<T>(const T&, const T&);                                                    \
  template T JointSpeedRatio<T>(const T&, const T&);                                               \
  template ColumnState<T> TurnColumn<T>(const std::vector<CardanJoint<T>>&, const T&);             \
  template HandWheelState<T> HandWheelAt<T>(const std::vector<CardanJoint<T>>&, const T&);         \
  template Unevenness<T> FindUnevenness<T>(const std::vector<CardanJoint<T>>&);                    \
  template std::optional<Cancelling<T>> CancelWithNextJoint<T>(const std::vector<CardanJoint<T>>&, \
                                                               const T&);                          \
  template T PhaseOfNextJoint<T>(const CardanJoint<T>&, const T&, const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::gear
