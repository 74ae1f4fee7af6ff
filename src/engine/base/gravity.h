// Standard gravity.
#pragma once

namespace steerbench {

inline constexpr double kGravity = 9.80665;  // [m/s^2] (ISO 80000-3)

}  // namespace steerbench
