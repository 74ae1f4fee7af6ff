// Steering column with any number of universal (Cardan) joints, from the hand wheel down.
//
// Angles are positive in the sense that turns the car to the left, and zero straight ahead. Each
// joint has a bend between its two shafts, and a phase: the angle of that joint's INPUT fork from
// the plane of that joint's OWN bend (the plane that holds its two shafts), hand wheel straight
// ahead, about the input shaft, in the positive sense. So the phase of a second joint holds both
// how its fork sits on the shaft between and how its bend lies in space; PhaseOfNextJoint finds it
// from those two. Forks look the same after half a turn: phases count modulo pi.
// Joints run without friction, play or twist. Radians; T is double or Jet.
#pragma once

#include <optional>
#include <vector>

#include "engine/base/scalar.h"

namespace steerbench::gear {

template <class T>
struct CardanJoint {
  T bend, phase;  // bend: 0 (straight) up to, not including, pi/2
};

// Output angle of one joint [rad], from the position in which its input fork lies in the plane of
// the bend. Unwrapped: it follows the input through any number of turns without a jump, as input
// plus atan(t sin 2a / (1 - t cos 2a)), t = tan^2(bend / 2), whose denominator is never zero.
// Source: tan(out) = tan(in) / cos(bend), the usual law of the joint (Shigley); the form without
// jumps is derived from it in docs/methods/gear.md.
template <class T>
[[nodiscard]] T JointOutput(const T& bend, const T& input);

// The inverse of JointOutput.
template <class T>
[[nodiscard]] T JointInput(const T& bend, const T& output);

// Speed of the output per speed of the input, cos b / (1 - sin^2 b cos^2 a) [1]. Source as above.
template <class T>
[[nodiscard]] T JointSpeedRatio(const T& bend, const T& input);

template <class T>
struct ColumnState {
  T angle;  // of the pinion, from straight ahead [rad]
  T ratio;  // d(pinion)/d(hand wheel) [1]; hand-wheel torque = ratio x pinion torque
};

// The column's lower end at a hand-wheel angle. No joints: the two turn as one.
template <class T>
[[nodiscard]] ColumnState<T> TurnColumn(const std::vector<CardanJoint<T>>& joints, const T& hand);

// The inverse: hand-wheel angle at a pinion angle [rad], and the ratio of TurnColumn there.
template <class T>
struct HandWheelState {
  T angle, ratio;
};
template <class T>
[[nodiscard]] HandWheelState<T> HandWheelAt(const std::vector<CardanJoint<T>>& joints,
                                            const T& pinion);

// How unevenly a column turns. The torque at the hand per pinion torque is the speed ratio itself,
// and the pinion torque per hand torque its inverse, so all three range between the same bounds.
template <class T>
struct Unevenness {
  T greatest, least;  // speed ratio over a turn [1]; least = 1 / greatest
  T half_range;       // (greatest - least) / 2: the +- share of ratio and of torque [1]
  T lead;             // most that the pinion leads or trails a joint-free column, about the
                      // mean of the turn [rad]
  std::optional<T> hand_at_greatest;  // hand-wheel angle, modulo pi, where the ratio is greatest,
                                      // thus the steering heaviest; unset when the column is even
};

// Every joint maps the direction (cos, sin) of its fork by a matrix diag(1, 1 / cos bend), so a
// whole column is one 2 x 2 matrix M and the ratio is det M / |M u|^2: its greatest value is the
// quotient of the singular values of M, its least the inverse, twice each per turn. A column
// therefore acts as one joint with cos(bend) = least. Derivatives at a column that is exactly even
// are given as zero: the greatest ratio has a kink there.
// Derived: docs/methods/gear.md. Checked against the extremes cos b1 / cos b2 of two joints in
// phase and 1 / (cos b1 cos b2) of two joints a quarter turn out.
template <class T>
[[nodiscard]] Unevenness<T> FindUnevenness(const std::vector<CardanJoint<T>>& joints);

template <class T>
struct Cancelling {
  T phase;                 // for the next joint, from -pi/2 to pi/2 [rad]
  Unevenness<T> residual;  // of the column with it
};

// The phase of one more joint, of the given bend, below `above` that evens the column out as far as
// it can: wholly where its bend equals that of the one joint above (or of the one joint that the
// joints above act as). Unset when the joints above are even as they are: then any phase is as bad.
template <class T>
[[nodiscard]] std::optional<Cancelling<T>> CancelWithNextJoint(
    const std::vector<CardanJoint<T>>& above, const T& bend);

// Phase of the joint that follows `joint` down the column, from -pi/2 to pi/2 [rad].
// `fork_twist`: angle of its input fork from the output fork of `joint`, the two forks of the shaft
// between; 0 when they are in line. `plane_twist`: angle of its bend plane from the bend plane of
// `joint`; 0 when all three shafts lie in one plane. Both about the shaft between, positive sense.
// Derived: the output fork stands square to the bend plane when the input fork lies in it.
template <class T>
[[nodiscard]] T PhaseOfNextJoint(const CardanJoint<T>& joint, const T& fork_twist,
                                 const T& plane_twist);

}  // namespace steerbench::gear
