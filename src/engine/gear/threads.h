// Threads of the tie rod's two joints, and what a spacer under the inner one does to thread and
// travel. SI units; T is double or Jet.
#pragma once

#include <cstdint>

#include "engine/base/scalar.h"

namespace steerbench::gear {

// Engaged length of the inner joint in the rack [m] with a spacer of the given thickness, from the
// engaged length without one. Negative: the thread does not reach. Derived: the spacer holds the
// joint away by its thickness, and that much thread comes out of the rack.
template <class T>
[[nodiscard]] T InnerEngagement(const T& engaged, const T& spacer);

// Engaged length of the outer joint [m] at a tie-rod length (joint to joint), from that at the
// shortest length, screwed fully on. Negative: the thread does not reach. Derived likewise.
template <class T>
[[nodiscard]] T OuterEngagement(const T& engaged_at_shortest, const T& shortest, const T& length);

// Engaged length in thread diameters [1].
template <class T>
[[nodiscard]] T EngagedDiameters(const T& engaged, const T& diameter);

// Dimensions of a thread pair that decide its strength.
template <class T>
struct ThreadPair {
  T pitch;           // [m]
  T stress_area;     // of the external thread in tension [m2]
  T minor_diameter;  // of the internal thread, greatest [m]
  T pitch_diameter;  // of the external thread, least [m]
};

// Basic dimensions, without tolerances, of an ISO metric thread of diameter and pitch [m].
// Source: ISO 724 (diameters) and ISO 898-1 (stress area), both from memory.
template <class T>
[[nodiscard]] ThreadPair<T> MetricThread(const T& diameter, const T& pitch);

// Least engaged length [m] at which an external and an internal thread of equally strong steel
// break in tension before they strip. Strength alone: tolerance, fatigue and locking are why
// practice asks for a diameter or more.
// Source: FED-STD-H28/2, minimum engagement; reference row thread-engage-1/2-13.
template <class T>
[[nodiscard]] T StrengthEngagement(const ThreadPair<T>& thread);

// What meets the housing at the end of the rack's travel.
enum class Striker : std::uint8_t { kInnerJoint, kRack, kSpacer };

// Rack travel gained at a stop by a spacer [m], the same each way. A joint that strikes has moved
// outward by the thickness. A face of the rack has not moved. A spacer that itself strikes does so
// where the joint did before, so nothing is gained either. Derived. The joint itself, and with it
// the tie rod's inner end, moves outward by the thickness in every case.
template <class T>
[[nodiscard]] T SpacerTravelGain(const T& thickness, Striker striker);

}  // namespace steerbench::gear
