// One corner of the steering linkage seen from above: arm, tie rod and rack in one plane (level 2).
//
// Corner frame as in corner.h: x forward, y outboard; travel is the outboard displacement of the
// inner joint, steer is positive when the front of the wheel turns outboard. The steering axis is
// taken as upright; what it really leans is the error of this level.
#pragma once

#include <cstdint>
#include <optional>

#include "engine/base/scalar.h"

namespace steerbench::linkage {

// Lengths [m] and angles [rad] of one corner. `arm_angle` is that of the line from steering axis
// to outer joint against the car's length WITH THE WHEEL STRAIGHT AHEAD (toe 0), positive when the
// joint lies inboard of the axis; so it belongs to the upright, and static toe enters through
// `tie_rod_length` alone.
template <class T>
struct PlanCorner {
  T half_spacing{};    // of the two steering axes
  T arm_length{};      // steering axis to outer joint
  T arm_angle{};       // see above
  bool arm_ahead{};    // outer joint ahead of the axis, else behind
  T rack_offset{};     // inner joint ahead of the line of the axes, behind is negative
  T inner_joint{};     // from the car's centre line with the rack centred: half the joint span
  T tie_rod_length{};  // joint to joint
};

// Two poses close the triangle axis - outer joint - inner joint: mirror images of each other in
// the line from the axis to the inner joint.
enum class PlanBranch : std::uint8_t {
  kDriven,  // outer joint on the side on which it lies with the wheel ahead and the rack centred
  kOther    // the other side: reached only by taking the linkage apart
};

template <class T>
struct PlanState {
  T steer{};             // [rad], within (-pi, pi]
  T steer_per_travel{};  // [rad/m]
  T rod_arm_angle{};     // between arm and tie rod, 0 drawn straight .. pi folded, as corner.h's
  T inner_tilt{};        // of the inner joint against the rack's axis [rad]
};

// Pose at a rack travel [m]; unset where the linkage does not reach (past a dead centre) and at
// the dead centre itself, where the steer angle has no rate.
// Source: derived (cosine rule in the triangle axis - inner joint - outer joint); the same
// triangle as in any text on four-bar linkages.
template <class T>
[[nodiscard]] std::optional<PlanState<T>> StateAt(const PlanCorner<T>& corner, T travel,
                                                  PlanBranch branch = PlanBranch::kDriven);

// Rack travels [m] at which tie rod and arm lie in one line, drawn straight or folded: the nearest
// one on each side of the centre.
template <class T>
struct DeadCentres {
  T inboard{};   // negative
  T outboard{};  // positive
};

// Unset when the linkage does not close with the rack centred. Source: derived; the inner joint
// is then arm + rod, or |arm - rod|, away from the axis.
template <class T>
[[nodiscard]] std::optional<DeadCentres<T>> DeadCentreTravel(const PlanCorner<T>& corner);

// Tie-rod length [m] at which the wheel has a given toe-in [rad] with the rack centred. Derived.
template <class T>
[[nodiscard]] T TieRodLengthForToe(const PlanCorner<T>& corner, T toe_in);

}  // namespace steerbench::linkage
