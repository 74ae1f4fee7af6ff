// The linkage as measured on turn plates: pairs of rack travel and wheel angle (level 1).
#pragma once

#include <optional>
#include <vector>

#include "engine/base/scalar.h"

namespace steerbench::linkage {

// Readings of one wheel in any one frame, by increasing rack travel.
template <class T>
struct TurnPlate {
  std::vector<T> travel;  // [m]
  std::vector<T> steer;   // [rad], one per travel
};

template <class T>
struct PlateState {
  T steer{};             // [rad]
  T steer_per_travel{};  // [rad/m]
};

// The wheel at a rack travel [m], between the readings by a curve that does not overshoot them
// (engine/base/monotone_cubic.h), a straight line for two readings. Unset outside the readings,
// where nothing is known, and for a table of fewer than two rows, of unequal columns or out of
// order. Source: Fritsch & Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246.
template <class T>
[[nodiscard]] std::optional<PlateState<T>> StateAt(const TurnPlate<T>& plate, T travel);

// Effective steering arm [m] from one bench test: the joint at the arm's end moved by `moved` [m],
// square to the arm at the start, and the wheel turned by `turned` [rad, not 0] for it.
// Source: derived, moved = arm sin(turned).
template <class T>
[[nodiscard]] T EffectiveArm(T moved, T turned);

}  // namespace steerbench::linkage
