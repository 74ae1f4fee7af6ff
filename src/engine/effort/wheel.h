// What the ground does to one steered wheel, and the force on the rack that comes of it.
//
// Car axes (ISO 8855: x forward, y left, z up); turning is right-handed, so positive turns a wheel
// to the left, on both sides of the car.
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
  Vec3<T> axis_direction;   // of steering, unit vector, upward
  Vec3<T> contact, centre;  // lowest point, wheel centre
  Vec3<T> heading;          // where the wheel points in the ground plane, unit vector
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

// The parts of a force at the rack [N].
template <class T>
struct Parts {
  T vertical{}, lateral{}, longitudinal{}, aligning{};
};

// How the upright moves with the rack while the spring keeps its length (it would do a part of the
// work else): per metre of rack travel to the left.
template <class T>
struct Motion {
  Vec3<T> angular;  // [rad/m]
  Vec3<T> centre;   // of the wheel [m/m]
};

// What one wheel's upright does per metre of rack travel to the left: the work that each load of
// the ground, and each friction, does on the rack. A few numbers that say all of a pose.
template <class T>
struct Leverage {
  T vertical{}, lateral{}, held{}, rolling{};  // of the loads of the same name [m/m]
  T aligning{};                                // turn about the vertical [rad/m]
  T joints{};                                  // turn about the steering axis [rad/m]
};

// The power of the ground's forces on the upright per rack speed; needs no steering axis, so that
// it holds for virtual axes too. Problems: kAxis, kHeading, kNotFinite. Derived: principle of
// virtual work.
template <class T>
Outcome<Leverage<T>, Problem> LeverageOf(const Wheel<T>& wheel, const Motion<T>& motion);

// Force with which the ground pushes the rack to the left [N], by parts.
template <class T>
Parts<T> ForceOnRack(const Leverage<T>& leverage, const GroundLoad<T>& load) {
  return {leverage.vertical * load.vertical, leverage.lateral * load.lateral,
          leverage.held * load.held + leverage.rolling * load.rolling,
          leverage.aligning * load.aligning};
}

}  // namespace steerbench::effort
