// The rolling tyre under a slip angle: brush model with parabolic pressure.
// Signs of ISO 8855: a positive slip angle (the wheel moves to the left of where it points) gives
// a negative side force and a positive aligning moment, which turns the wheel towards its path.
// SI units and radians; T is double or Jet.
#pragma once

#include "engine/base/outcome.h"
#include "engine/base/scalar.h"
#include "engine/tyre/problem.h"

namespace steerbench::tyre {

// One tyre at one load.
template <class T>
struct Brush {
  T cornering_stiffness{};  // side force per slip angle at none, magnitude [N/rad]
  T half_length{};          // of the contact patch [m]
  T load{};                 // [N]
  T friction{};             // one value, sticking and sliding
};

template <class T>
struct BrushForce {
  T side{};       // [N]
  T aligning{};   // about the vertical through the patch's middle [N m]
  T trail{};      // pneumatic trail, the side force acts this far behind the middle [m]
  T slip_used{};  // share of the slip at which the whole patch slides; 1 and above: all slides
};

// Trail of real tyres over that of the brush, whose carcass is stiff: between the brush's a/3 and
// the a/2 commonly measured (Pacejka, ch. 3; from memory), so the middle and half the way between.
inline constexpr double kRealTrail = 1.25, kRealTrailSpread = 0.25;

// Force and moment at slip angle `slip` [rad, within +-pi/2].
//   y = C |tan slip| / (3 mu Fz);  F = mu Fz (1 - (1-y)^3);  M = mu Fz a y (1-y)^3;  y < 1
// No camber, no longitudinal slip, stiff carcass: the trail of real tyres is larger than the a/3
// at small slip. Problems: kNoStiffness, kNoLength, kNoLoad, kNoFriction, kNotFinite.
// Source: Pacejka, Tire and Vehicle Dynamics, sec. 3.2.1 (equation numbers not seen); verified by
// integrating the bristles in brush_test.cc.
template <class T>
Outcome<BrushForce<T>, Problem> ForceAtSlip(const Brush<T>& tyre, const T& slip);

}  // namespace steerbench::tyre
