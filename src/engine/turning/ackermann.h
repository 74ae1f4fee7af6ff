// How the two front wheels' angles fit each other: the Ackermann condition and departures from it.
//
// Angles of wheels are road-wheel steer angles, positive to the left (ISO 8855). `Layout::spacing`
// is the distance between the steering axes where they meet the ground; some texts take the track
// instead and get other percentages. Radians and metres; T is double or Jet.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>

#include "engine/base/scalar.h"

namespace steerbench::turning {

template <class T>
struct Layout {
  T wheelbase, spacing;  // [m], both > 0
};

template <class T>
struct WheelAngles {
  T left, right;  // [rad], to the left positive
};

// Outer-wheel angle that lets both front wheels roll about one centre on the rear axle's line,
// given the inner one, and the reverse: cot(outer) - cot(inner) = spacing / wheelbase.
// Odd in the angle: positive for a left turn, negative for a right one. Valid for low speed and
// unsteered rear wheels, angles below a half turn. IdealInner may exceed a right angle: then the
// centre lies between the wheels.
// Source: the usual condition (ISO 8855:2011, 7.1.9; Jazar, Gillespie and Wong, steering chapters).
template <class T>
[[nodiscard]] T IdealOuter(const Layout<T>& layout, const T& inner);
template <class T>
[[nodiscard]] T IdealInner(const Layout<T>& layout, const T& outer);

// Against what the actual difference of the wheels' angles is held. Definitions differ by ten
// percentage points and more at lock, so each percentage is shown with its name.
enum class AckermannBasis : std::uint8_t {
  kSameInner,      // ideal outer angle at the same inner angle
  kSameOuter,      // ideal inner angle at the same outer angle
  kCotangents,     // difference of the cotangents: wheelbase per distance behind the front axle at
                   // which the front wheels' normals cross
  kSameMeanRadius  // ideal angles at the same mean of the cotangents
};

inline constexpr std::array kAckermannBases{AckermannBasis::kSameInner, AckermannBasis::kSameOuter,
                                            AckermannBasis::kCotangents,
                                            AckermannBasis::kSameMeanRadius};

// Name for people, to stand after "Ackermann": "against the same inner angle".
[[nodiscard]] std::string_view NameOf(AckermannBasis basis);

// Mean steer angle below which static toe rules the percentage and none is given [rad]: 10 deg
// (common practice, no source).
inline constexpr double kLeastAckermannSteer = 0.17453292519943295;

// Ackermann share [1]: 0 for parallel wheels, 1 for the ideal, negative when the outer wheel turns
// more than the inner one. Unset when the mean steer is under kLeastAckermannSteer or the wheels
// are not turned to the same side. Source: definitions in general use, stated in
// docs/methods/turning.md; reference row ack-percent.
template <class T>
[[nodiscard]] std::optional<T> AckermannShare(AckermannBasis basis, const Layout<T>& layout,
                                              const WheelAngles<T>& angles);

// Steering error [rad]: by how much the outer wheel turns further than the ideal for the inner
// angle; positive for too much, in left and right turns alike. Unset as AckermannShare, save that
// there is no least angle.
// Source: the measure of German texts (Reimpell, The Automotive Chassis, from memory).
template <class T>
[[nodiscard]] std::optional<T> SteeringError(const Layout<T>& layout, const WheelAngles<T>& angles);

// Distance behind the front axle at which the front wheels' normals cross [m]: the wheelbase when
// ideal, negative ahead of the axle. Unset for wheels that are parallel or not turned to the same
// side. Derived: spacing / (cot outer - cot inner).
template <class T>
[[nodiscard]] std::optional<T> NormalsCrossing(const Layout<T>& layout,
                                               const WheelAngles<T>& angles);

}  // namespace steerbench::turning
