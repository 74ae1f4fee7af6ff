// A distance to a limit and what it says.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>

#include "model/field.h"

namespace steerbench::limits {

enum class Status : std::uint8_t { kUnknown, kHolds, kClose, kExceeded };

// Status of a margin [any unit] with its plus-minus in the same unit: `kHolds` when it stays
// positive over the whole plus-minus and above `wanted`, `kExceeded` when it is negative over the
// whole of it, `kClose` between. A margin without a plus-minus is taken at its word.
// Source: decision by a guarded interval in the manner of JCGM 106:2012, clause 8.
[[nodiscard]] Status StatusOf(double margin, std::optional<double> tolerance, double wanted = 0.0);

// Word for people and programs: "holds", "close", "exceeded", "unknown".
[[nodiscard]] std::string_view WordFor(Status status);

// Usual limits of the trade where the document states none of its own. Each is 'common practice,
// no source' unless it says otherwise.
inline constexpr double kLeastRodArmAngle = 25.0 * 0.017453292519943295;     // [rad]
inline constexpr double kLeastThreadDiameters = 1.0;                         // steel on steel
inline constexpr double kWantedThreadDiameters = 1.25;                       // below it, a warning
inline constexpr double kMostColumnBend = 35.0 * 0.017453292519943295;       // [rad]
inline constexpr double kLeastHandWheelSpeed = 6.283185307179586;            // [rad/s] 1 turn/s
inline constexpr double kWantedHandWheelSpeed = 1.5 * kLeastHandWheelSpeed;  // below, a warning
inline constexpr double kLeastInletPressure = 0.8e5;   // [Pa] absolute, below it a pump growls
inline constexpr double kMostOilTemperature = 393.15;  // [K] 120 degC, beyond it oil and seals age
inline constexpr double kMostBeltGrip = 1.0;           // all of it; the belt's own limit
inline constexpr double kLeastToothReserve = 0.0;      // [m]; the mesh itself is the limit

// The same as a list, by the key under which a document states its own (model/setup.h).
struct UsualLimit {
  std::string_view key;
  Kind kind;
  double value;  // SI
  bool at_least;
  std::optional<double> wanted = {};  // below it, a warning
};
inline constexpr std::array<UsualLimit, 8> kUsualLimits{{
    {"rod_arm_angle", Kind::kAngle, kLeastRodArmAngle, true},
    {"thread_engagement", Kind::kRatio, kLeastThreadDiameters, true, kWantedThreadDiameters},
    {"tooth_reserve", Kind::kLength, kLeastToothReserve, true},
    {"column_joint", Kind::kAngle, kMostColumnBend, false},
    {"hand_wheel_speed", Kind::kAngularSpeed, kLeastHandWheelSpeed, true, kWantedHandWheelSpeed},
    {"oil_temperature", Kind::kTemperature, kMostOilTemperature, false},
    {"inlet_pressure", Kind::kPressureAbsolute, kLeastInletPressure, true},
    {"belt_grip", Kind::kShare, kMostBeltGrip, false},
}};

}  // namespace steerbench::limits
