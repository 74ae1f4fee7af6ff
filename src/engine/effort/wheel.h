// Moments of the ground on one steered wheel, about its steering axis and onto the rack.
//
// Car axes (ISO 8855: x forward, y left, z up); every moment about a steering axis is right-handed
// about its upward direction, so positive turns the wheel to the left, on both sides of the car.
// SI units and radians; T is double or Jet. Derivations: docs/methods/effort.md.
#pragma once

#include <Eigen/Geometry>
#include <cstdint>
#include <string_view>

#include "engine/base/outcome.h"
#include "engine/base/scalar.h"

namespace steerbench::effort {

enum class Problem : std::uint8_t {
  kNotFinite,
  kAxis,
  kHeading,
  kRadius,
  kSteerUnreachable,
  kFriction,
  kTravelPerTurn,
  kEfficiency,
  kColumn,
  kRim,
};

// The reason in words, without a full stop.
std::string_view Describe(Problem problem);

// Where one wheel is. The linkage's WheelState holds all of it once it is turned to car axes.
template <class T>
struct Wheel {
  Vec3<T> axis_point, axis_direction;  // unit vector, upward
  Vec3<T> contact, centre;             // lowest point, wheel centre
  Vec3<T> heading;                     // where the wheel points in the ground plane, unit vector
};

// What the ground does to one wheel.
template <class T>
struct GroundLoad {
  T vertical{};  // up [N]
  T lateral{};   // square to the heading, left + [N]
  T held{};      // along the heading, forward +, held by a brake in the wheel [N]
  T rolling{};   // along the heading, forward +, of a wheel that turns on its bearing or is driven
                 // through a shaft: it reaches the upright at the wheel centre [N]
  T aligning{};  // about the vertical through the contact, left + [N m]
};

// The parts of a moment [N m] or of a force at the rack [N].
template <class T>
struct Parts {
  T vertical{}, lateral{}, longitudinal{}, aligning{};
  T Sum() const { return vertical + lateral + longitudinal + aligning; }
};

// Moment of the ground about the steering axis [N m], by parts: (r x F) . u and M . u.
// Pre: unit vectors. Derived: statics.
template <class T>
Parts<T> MomentsAboutAxis(const Wheel<T>& wheel, const GroundLoad<T>& load);

// How the upright moves with the rack: per metre of rack travel to the left.
template <class T>
struct Motion {
  Vec3<T> angular;  // [rad/m]
  Vec3<T> centre;   // of the wheel [m/m]
};

// The motion about a fixed steering axis that turns by `rate` per rack travel [rad/m].
template <class T>
Motion<T> MotionAbout(const Wheel<T>& wheel, const T& rate);

// Force with which the ground pushes the rack to the left [N], by parts: the power of the ground's
// forces on the upright per rack speed. Needs no steering axis, so that it holds for virtual axes
// too. Derived: principle of virtual work.
template <class T>
Parts<T> ForceOnRack(const Wheel<T>& wheel, const Motion<T>& motion, const GroundLoad<T>& load);

// A wheel known by angles only, as read off an alignment bench, car standing straight ahead.
template <class T>
struct WheelAngles {
  T caster{}, inclination{}, camber{};   // trade signs: top rearward, top inboard, top out
  T scrub_radius{}, mechanical_trail{};  // contact outboard, contact behind the axis' ground point
  T radius{};                            // loaded [m]
  double side = 1.0;                     // +1 left wheel, -1 right wheel
};

template <class T>
struct TurnedWheel {
  Wheel<T> wheel;          // origin: the contact point straight ahead
  T steer{};               // left + [rad]
  T steer_per_rotation{};  // [rad/rad]
  T lift_per_rotation{};   // rise of the lowest point against the body, which sinks [m/rad]
};

// That wheel, turned rigidly by `rotation` about its steering axis, left + [rad]. The moment of
// the weight is vertical * lift_per_rotation, by virtual work, and the same as MomentsAboutAxis'.
// Problems: kNotFinite, kAxis (an angle of 90 degrees or more), kRadius.
// Derived: rotation of a thin disc (docs/methods/effort.md).
template <class T>
Outcome<TurnedWheel<T>, Problem> TurnBy(const WheelAngles<T>& angles, const T& rotation);

// Rotation about the axis at which the wheel stands at `steer` [rad, within +-90 degrees], in
// closed form. Problems: those of TurnBy, kSteerUnreachable.
template <class T>
Outcome<T, Problem> RotationForSteer(const WheelAngles<T>& angles, const T& steer);

// Textbook moment of weight lift, magnitude [N m]: W d sin(k) cos(k) sin(a), with d the offset at
// the ground, k the inclination, a the steer angle. Takes the contact for a point of the upright
// and leaves out caster. Source: Barton & Fieldhouse, Automotive Chassis Engineering (Springer),
// sec. 2, example E2.1. For comparison only: TurnBy is exact.
template <class T>
T TextbookLift(const T& load, const T& offset, const T& inclination, const T& steer);

}  // namespace steerbench::effort
