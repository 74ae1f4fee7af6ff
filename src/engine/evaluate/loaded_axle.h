// Both front wheels in one pose, with what the ground does to them.
// SI units and radians; T is double or Jet.
#pragma once

#include <array>

#include "engine/effort/hand_wheel.h"

namespace steerbench {

// Both front wheels under the load of the ground, and what lies between them and the hand there.
template <class T>
struct LoadedAxle {
  effort::WheelSide<T> left, right;
  effort::Mechanism<T> mechanism;  // seals rub once there is assistance
  T travel{};                      // of the rack, to the left positive [m]
  T steer{};                       // mean of both wheels, to the left positive [rad]
};

// Both front wheels under the car's weight, whatever the ground; by Side where there are two.
template <class T>
struct PosedAxle {
  LoadedAxle<T> axle;
  std::array<T, 2> scrub_radius{}, mechanical_trail{};
};

// The other way.
[[nodiscard]] constexpr effort::Direction Opposite(effort::Direction side) {
  return side == effort::Direction::kLeft ? effort::Direction::kRight : effort::Direction::kLeft;
}

// Where a turn to `side` has brought a standing car: its tyres, wound up, push back. Turned the
// other way all other friction helps to hold it there; a torque against `side`: it stays when let
// go.
template <class T>
[[nodiscard]] LoadedAxle<T> WoundUp(LoadedAxle<T> axle, effort::Direction side) {
  for (effort::WheelSide<T>* w : {&axle.left, &axle.right}) {
    w->load.aligning -= w->spin * static_cast<double>(side);
    w->spin = T(0.0);
  }
  return axle;
}

}  // namespace steerbench
