// What the hand does over time. Pure functions of time; SI units and radians.
#pragma once

#include <cstdint>

namespace steerbench::simulate {

enum class Shape : std::uint8_t {
  kStep,       // up within `time`, then held
  kRamp,       // up at one speed within `time`, then held
  kSine,       // full sine waves of period `time`
  kParking,    // up within `time`, held for kParkingHold of it, back within `time`, held
  kLockImpact  // a ramp whose amplitude lies beyond the stop
};

struct Manoeuvre {
  Shape shape = Shape::kStep;
  bool of_torque = false;  // the hand's torque is given, else its angle
  double amplitude = 0.0;  // [rad] at the pinion, or [N m]; either sign
  double time = 1.0;       // [s], above 0
};

inline constexpr double kParkingHold = 0.5;  // of the time of one turn
// Share of a rise over which a hand gathers speed, and loses it again; a step is all of it.
inline constexpr double kEase = 0.1;

struct HandInput {
  double value = 0.0;  // [rad] or [N m]
  double rate = 0.0;   // [rad/s] or [N m/s]
};

// The input at a time [s]; zero before 0. Continuous in rate, but for the start of a sine.
[[nodiscard]] HandInput InputAt(const Manoeuvre& manoeuvre, double time);

}  // namespace steerbench::simulate
