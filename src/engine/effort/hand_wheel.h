// From both wheels through rack, mesh and column to the hand wheel.
// SI units and radians, left positive; T is double or Jet. Derivations: docs/methods/effort.md.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "engine/base/outcome.h"
#include "engine/base/scalar.h"
#include "engine/effort/wheel.h"

namespace steerbench::effort {

// Where hand-wheel torque comes from. The first five keep their sign whichever way one turns; the
// rest are friction and change sides with the turning.
enum class Term : std::uint8_t {
  kVertical,      // weight lift
  kLateral,       // side force on the trail
  kLongitudinal,  // braking, drag, drive on the scrub arm
  kAligning,      // aligning moment of the rolling tyre
  kAssist,        // what the assistance takes off
  kSpin,          // the standing tyre turned on the spot
  kJoints,        // ball joints, strut bearings
  kRack,          // yoke and bushes
  kSeals,         // piston and rod seals
  kMesh,          // losses of rack and pinion in proportion to the force
  kColumn,        // column joints and bearings
};
inline constexpr std::size_t kTermCount = 11;

// The term's name in words.
std::string_view NameOf(Term term);

template <class T>
struct Terms {
  std::array<T, kTermCount> of{};
  T& operator[](Term t) { return of[static_cast<std::size_t>(t)]; }
  const T& operator[](Term t) const { return of[static_cast<std::size_t>(t)]; }
};

// One wheel and what resists on its side.
template <class T>
struct WheelSide {
  Leverage<T> leverage;
  GroundLoad<T> load;
  T spin{};            // limit of the standing tyre's torque, magnitude [N m]; 0 when it rolls
  T joint_friction{};  // of its joints, about the steering axis, magnitude [N m]
};

template <class T>
struct Mechanism {
  T travel_per_radian{};  // rack travel per pinion angle, C / 2 pi [m/rad]
  T mesh_efficiency{};    // of rack and pinion, driving the rack, above 0 to 1
  T column_ratio{};       // pinion turn per hand-wheel turn at this angle; 1 on average
  T rack_friction{};      // [N], magnitude
  T seal_friction{};      // [N], magnitude
  T column_friction{};    // at the hand wheel [N m], magnitude
  T rim_radius{};         // [m]
};

enum class Direction : std::int8_t { kLeft = 1, kRight = -1 };

// Torque at the hand wheel while it turns slowly one way.
template <class T>
struct HandTorque {
  Terms<T> terms;     // at the hand wheel, positive turns left [N m]
  T total{};          // their sum [N m]
  T rim_pull{};       // total / rim radius [N]
  T pinion_torque{};  // [N m]
  T rack_force{};     // that the pinion gives the rack, left + [N]
};

// What the rack must be pushed with to turn slowly one way, before assistance and mesh.
template <class T>
struct RackLoad {
  Terms<T> terms;  // [N], left +
  Direction direction = Direction::kLeft;
};
// Problems: kFriction.
template <class T>
Outcome<RackLoad<T>, Problem> LoadToTurn(const WheelSide<T>& left, const WheelSide<T>& right,
                                         const Mechanism<T>& mechanism, Direction direction);

// Torque that turns the hand wheel under a load. `assist` is the force of the assistance on the
// rack, left + [N]; 0 when lost.
//   rack force F = - sum of the ground's forces - assist + direction * frictions
//   pinion torque = F c + direction (1/efficiency - 1) |F| c
// The mesh loss is a share of the force, alike in both directions, so a worn mesh widens the band
// when it drives back as well. Slow turning: no inertia.
// Problems: kNotFinite, kFriction, kTravelPerTurn, kEfficiency, kColumn, kRim.
// Derived: virtual work over both wheels; friction opposes motion.
template <class T>
Outcome<HandTorque<T>, Problem> TorqueUnder(const RackLoad<T>& load, const Mechanism<T>& mechanism,
                                            const T& assist);

// Both in one.
template <class T>
Outcome<HandTorque<T>, Problem> TorqueToTurn(const WheelSide<T>& left, const WheelSide<T>& right,
                                             const Mechanism<T>& mechanism, const T& assist,
                                             Direction direction);

// The torques between which the hand wheel stays where it is.
template <class T>
struct HoldBand {
  HandTorque<T> left, right;  // upper end: turning left; lower end: turning right
  T balance{};                // middle of the band: what it would take without friction [N m]
  T half_width{};             // [N m]
  // What the let-go hand wheel turns by itself with: the balance, all friction taken off. Positive
  // towards the balance; a sum below zero: it stays, and the size says how much friction is too
  // much for a return.
  Terms<T> back;
  T return_torque{};  // the sum of `back` [N m]
};
template <class T>
Outcome<HoldBand<T>, Problem> Hold(const WheelSide<T>& left, const WheelSide<T>& right,
                                   const Mechanism<T>& mechanism, const T& assist);

}  // namespace steerbench::effort
