// What both front wheels give together. Vehicle frame (ISO 8855: x forward, y left, z up): steer
// angles and rack travel are positive to the left for both wheels, so that the right wheel's are
// the negatives of its corner frame's. Index 0 is the left wheel, 1 the right. SI and radians.
#pragma once

#include <array>
#include <optional>

#include "engine/linkage/corner.h"

namespace steerbench::linkage {

// Where the normals to the paths of the two contact points meet in the front view.
template <class T>
struct RollCentre {
  T y{}, z{};  // vehicle frame
  T height{};  // above the line through both contact points
};

template <class T>
struct AxleState {
  std::array<T, 2> steer{};                  // heading of the wheel, left positive
  std::array<T, 2> steer_per_travel{};       // instantaneous linkage ratio [rad/m]
  std::array<T, 2> toe_per_jounce{};         // bump steer, toe-in with the wheel going up [rad/m]
  T total_toe_in{};                          // of both wheels; turned, minus their toe-out on turns
  T steer_per_roll{};                        // mean steer per body roll (left side up positive) [1]
  std::optional<RollCentre<T>> roll_centre;  // unset when the normals are parallel
};

// From both wheels' states, each in its own corner frame. Roll and roll centre are kinematic: the
// wheels stay on the ground, and the path is that of the geometric contact point of a rolling
// wheel. Source: ISO 8855:2011 for frame (clause 2) and toe (7.1.6, 7.1.7); the roll centre by the
// usual construction (Gillespie, Fundamentals of Vehicle Dynamics, 1992, from memory); the
// formulas derived in docs/methods/linkage.md.
template <class T>
[[nodiscard]] AxleState<T> AxleOf(const WheelState<T>& left, const WheelState<T>& right);

// Toe of one wheel as a length at a diameter d [m], the difference front to rear across the rim:
// d sin(toe). Source: geometry; that toe is told so is common practice, no source. d tan(toe), also
// in use, differs by less than 1 in 10^4 below half a degree.
template <class T>
[[nodiscard]] T ToeLength(T toe, T diameter);

}  // namespace steerbench::linkage
