// Rack and pinion: how far the rack goes for an angle of the pinion, and back.
//
// Positive travel is to the car's left and positive angles turn the car to the left; travel per
// angle is always positive. SI units and radians: travel per angle in m/rad, which is the C-factor
// (travel per pinion turn) over 2 pi. T is double or Jet.
#pragma once

#include <cstddef>
#include <optional>
#include <string_view>
#include <vector>

#include "engine/base/monotone_cubic.h"
#include "engine/base/scalar.h"

namespace steerbench::gear {

// Travel per pinion angle [m/rad] from `travel` [m] made in `angle` [rad] of the pinion, stop to
// stop. Pre: angle > 0. Derived: their quotient.
template <class T>
[[nodiscard]] T MeasuredTravelPerAngle(const T& travel, const T& angle);

// The same from the pinion: normal module [m], number of teeth, and angle of the rack's teeth
// against square to the rack [rad] (the pinion's helix angle where the pinion stands square to the
// rack). Source: rolling relation, travel per turn = pi m z / cos(angle), of the reference row
// rack-c-factor.
template <class T>
[[nodiscard]] T PinionTravelPerAngle(const T& normal_module, const T& teeth,
                                     const T& rack_tooth_angle);

// Travel per angle at one distance from centre, the same both ways.
template <class T>
struct RatioAt {
  T distance, travel_per_angle;  // [m], [m/rad]
};

// A row of a ratio table that cannot be right.
struct RowFault {
  std::size_t row;  // counted from 0
  std::string_view what;
};

// The first faulty row: distances must be zero or more and strictly increase, and each travel per
// angle must be more than zero. Unset when all is well; an empty table is a fault of row 0.
template <class T>
[[nodiscard]] std::optional<RowFault> FindRowFault(const std::vector<RatioAt<T>>& rows);

// The ratio of a rack along its stroke. Made by ConstantRatio or TableRatio.
template <class T>
struct RackRatio {
  T end;                                             // travel per angle outside the table [m/rad]
  std::optional<MonotoneCubic<T>> angle_per_travel;  // [rad/m] over distance from centre [m]
};

template <class T>
[[nodiscard]] RackRatio<T> ConstantRatio(const T& travel_per_angle);

// A variable ratio. Its inverse, angle per travel, is interpolated without overshoot between the
// rows mirrored about centre, so that the travel per angle rises and falls as the rows do, has no
// kink at centre, and the pinion angle is an exact integral. Between centre and a first row that
// lies off centre, and outside the last row, the travel per angle stays that of the row: a table
// should reach the stops. Throws std::invalid_argument for a table with a fault (FindRowFault).
// Derived: angle = integral of d(travel) / (travel per angle).
template <class T>
[[nodiscard]] RackRatio<T> TableRatio(const std::vector<RatioAt<T>>& rows);

// Travel per pinion angle at a rack travel from centre [m/rad].
template <class T>
[[nodiscard]] T TravelPerAngle(const RackRatio<T>& ratio, const T& travel);

// Pinion angle from centre at a rack travel from centre [rad]; odd in the travel.
template <class T>
[[nodiscard]] T PinionAngle(const RackRatio<T>& ratio, const T& travel);

// The inverse: rack travel at a pinion angle [m], by Newton's method kept between bounds.
template <class T>
[[nodiscard]] T RackTravel(const RackRatio<T>& ratio, const T& angle);

// Overall ratio, hand-wheel angle per road-wheel angle [1], from the travel per pinion angle
// [m/rad], the wheel's steer per rack travel [rad/m] and the column's speed ratio, pinion to hand
// wheel [1]. Derived: chain rule. Near centre, with the tie rod square to an arm of length r, the
// steer per travel is 1/r and the ratio r / (travel per angle): reference row steer-ratio-centre.
template <class T>
[[nodiscard]] T OverallRatio(const T& travel_per_angle, const T& steer_per_travel,
                             const T& column_ratio);

// Force along the rack [N] that a pinion torque [N m] makes at the given efficiency [1].
// Derived: virtual work.
template <class T>
[[nodiscard]] T RackForce(const T& pinion_torque, const T& travel_per_angle, const T& efficiency);

}  // namespace steerbench::gear
