// The closed path of a belt over pulleys: length, wraps, spans, and where a tensioner stands.
//
// Front view of the engine, x to the right and y up as seen; radii to the belt's pitch line.
// SI units and radians; T is double or Jet. Derivations: docs/methods/belt.md.
#pragma once

#include <Eigen/Core>
#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

#include "engine/base/outcome.h"
#include "engine/base/scalar.h"

namespace steerbench::belt {

enum class Problem : std::uint8_t {
  kNotFinite,
  kTooFew,
  kRadius,
  kOverlap,
  kInsideOut,
  kMisses,
  kSpanHits,
  kCrossed,
  kTooLong,
  kTooShort,
  kNoRange,
  kNoSuchPulley,
  kStep,
  kSpeed,
  kPower,
  kTension,
  kFriction,
  kWrap,
  kSlack,
  kCapacity,
};

// The reason in words, without a full stop.
std::string_view Describe(Problem problem);

// A reason and the pulleys (or the span, named by the pulley it leaves) that it concerns.
struct Fault {
  Problem problem;
  int first = -1, second = -1;
};

template <class T>
using Vec2 = Eigen::Matrix<T, 2, 1>;

// Which side of the belt lies on the pulley.
enum class Face : std::uint8_t { kInside, kBack };

template <class T>
struct Pulley {
  Vec2<T> centre;
  T radius{};  // to the pitch line [m]
  Face face = Face::kInside;
};

// Pitch radius [m] of a grooved pulley from its effective diameter, with the line differential
// that lies between the two lines (drive::kPkLineDifferential for PK). Source: ISO 9981 (extract).
template <class T>
T GroovedRadius(const T& effective_diameter, double line_differential);

// Pitch radius [m] of a pulley on the belt's back: half its diameter and the distance from the
// back to the pitch line. Derived.
template <class T>
T BackRadius(const T& diameter, const T& back_to_pitch);

template <class T>
struct Path {
  T length{};                            // along the pitch line [m]
  std::vector<T> wrap;                   // of each pulley [rad]
  std::vector<T> span;                   // free length from each pulley to the next [m]
  std::vector<Vec2<T>> direction;        // of that span, from each pulley to the next
  std::vector<Vec2<T>> leaves, arrives;  // where that span leaves this, meets the next pulley
};

// The path over the pulleys in the order in which the belt meets them, either way round; the last
// leads to the first. Common tangents with signed radii: a span between centres D apart makes the
// angle asin((r2 - r1)/|D|) with their line, and the wraps, back ones negative, sum to one turn.
// Faults: kNotFinite, kTooFew (under two), kRadius, kOverlap (two pulleys), kMisses (a pulley the
// belt does not touch in this order), kInsideOut (no closed belt has these faces in this order),
// kSpanHits (span, pulley), kCrossed (two spans).
// Derived: docs/methods/belt.md; for two pulleys it is the handbooks' exact open belt (Shigley,
// Mechanical Engineering Design, ch. 17).
template <class T>
Outcome<Path<T>, Fault> PathOver(const std::vector<Pulley<T>>& pulleys);

// How much longer the belt must be when one pulley's pitch radius changes [m], the others staying
// where they are. For a small change it is wrap times change. Faults: those of PathOver,
// kNoSuchPulley. Derived: difference of two paths.
template <class T>
Outcome<T, Fault> LengthChange(const std::vector<Pulley<T>>& pulleys, std::size_t changed,
                               const T& new_radius);

// Effective length of a belt by which PK belts are sold [m]: its pitch line runs one line
// differential further out all round, so length - 2 pi differential. Derived: parallel curve.
template <class T>
T EffectiveLength(const T& pitch_length, double line_differential);

// Standard lengths next to a length: the largest not above, the smallest not below [m].
struct Standard {
  double below = 0.0, above = 0.0;
};
// Common practice, no source: PK belts are sold in steps of 5 mm of effective length, many in 1.
inline constexpr double kUsualStep = 0.005;
Outcome<Standard, Fault> StandardNear(double effective_length, double step);

// Where a pulley that tensions can stand: on an arm, or along a straight slot.
enum class GuideKind : std::uint8_t { kArm, kSlot };
template <class T>
struct Guide {
  GuideKind kind = GuideKind::kArm;
  std::size_t pulley = 0;  // which of the list
  Vec2<T> origin;          // pivot of the arm, or the slot's point of position zero
  T arm{};                 // pivot to pulley centre [m]; kArm
  T slot_angle{};          // direction of the slot against x [rad]; kSlot
  T from{}, to{};          // ends of its range: angle of the arm against x [rad], or position [m]
};

// The pulleys with the guided one at a position of its guide.
template <class T>
std::vector<Pulley<T>> PlacedAt(std::vector<Pulley<T>> pulleys, const Guide<T>& guide,
                                const T& position);

// Path lengths that the guide's range can take [m], looked up at kGuideSteps + 1 places. Places at
// which no path is possible are left out. Faults: kNoSuchPulley, kNotFinite, kNoRange (no place
// possible).
inline constexpr int kGuideSteps = 64;
struct Reach {
  double shortest = 0.0, longest = 0.0;
};
template <class T>
Outcome<Reach, Fault> ReachOf(const std::vector<Pulley<T>>& pulleys, const Guide<T>& guide);

template <class T>
struct Placed {
  T position{};
  Path<T> path;
};
// Where the guided pulley stands with a belt of this pitch length: the place nearest to the
// guide's `from`, to 1e-12 of its range. Faults: those of ReachOf, kTooShort, kTooLong.
template <class T>
Outcome<Placed<T>, Fault> PlaceFor(const std::vector<Pulley<T>>& pulleys, const Guide<T>& guide,
                                   const T& pitch_length);

// The same with derivatives at the place that PlaceFor found for the same values: nothing is
// searched again (implicit function theorem). Faults: those of PathOver, kNotFinite.
template <class T>
Outcome<Placed<T>, Fault> PlacedFrom(const std::vector<Pulley<T>>& pulleys, const Guide<T>& guide,
                                     const T& pitch_length, double place);

}  // namespace steerbench::belt
