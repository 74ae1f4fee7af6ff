// The linkage as measured on turn plates: pairs of rack travel and wheel angle (level 1).
#pragma once

#include <optional>
#include <vector>

#include "engine/base/monotone_cubic.h"
#include "engine/base/scalar.h"

namespace steerbench::linkage {

// The curve through the readings of one wheel in any one frame: travel [m] to steer angle [rad],
// without overshoot (engine/base/monotone_cubic.h), a straight line for two readings.
// Source: Fritsch & Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246.
template <class T>
struct TurnPlate {
  MonotoneCubic<T> curve;
};

// From readings by increasing rack travel. Unset for fewer than two, unequal columns, or travels
// out of order or twice the same.
template <class T>
[[nodiscard]] std::optional<TurnPlate<T>> FitTurnPlate(std::vector<T> travel, std::vector<T> steer);

template <class T>
struct PlateState {
  T steer{};             // [rad]
  T steer_per_travel{};  // [rad/m]
};

// The wheel at a rack travel [m]. Unset outside the readings, where nothing is known.
template <class T>
[[nodiscard]] std::optional<PlateState<T>> StateAt(const TurnPlate<T>& plate, T travel);

// Effective steering arm [m] from one bench test: the joint at the arm's end moved by `moved` [m],
// square to the arm at the start, and the wheel turned by `turned` [rad, not 0] for it.
// Source: derived, moved = arm sin(turned).
template <class T>
[[nodiscard]] T EffectiveArm(T moved, T turned);

}  // namespace steerbench::linkage
