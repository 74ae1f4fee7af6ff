// Low-speed turning: the centre about which the car turns, and the circles it sweeps.
//
// Ground plan in car axes (ISO 8855: x forward, y left, origin midway between the front wheel
// centres). Steer angles are positive to the left. The rear wheels are unsteered and roll without
// slip, so the centre lies on the rear axle's line at x = -wheelbase; its y is the signed radius of
// the rear axle's middle, positive in a left turn. Path radii are positive lengths.
// Metres and radians; T is double or Jet.
#pragma once

#include <optional>

#include "engine/base/scalar.h"
#include "engine/turning/ackermann.h"

namespace steerbench::turning {

template <class T>
struct GroundPoint {
  T x, y;
};

template <class T>
struct SteeredWheel {
  GroundPoint<T> contact;  // centre of the contact patch, where it is at this steer angle
  T steer;
};

template <class T>
struct SteeredAxle {
  SteeredWheel<T> left, right;
};

// Front wheels whose contact points swing about vertical axes `spacing` apart, at a scrub radius
// (contact outboard of the axis: positive) and no trail. For linkages known from above only; where
// the linkage is solved in space take its contact points. Derived: plane geometry.
template <class T>
[[nodiscard]] SteeredAxle<T> SwingAboutAxes(const T& spacing, const T& scrub_radius,
                                            const WheelAngles<T>& angles);

template <class T>
struct Turn {
  T wheelbase;
  T centre;                     // y of the turn's centre
  T centre_left, centre_right;  // where the left and right wheel's own normals meet that line
  bool to_left;
};

// The turn's centre from the actual angles of both wheels. Each wheel asks for a centre of its own,
// y + (wheelbase + x) cot(steer); the car's is taken midway, which is the radius of the mean
// cotangent. Unset when the wheels are not turned to the same side (straight ahead included): no
// radius follows from toe.
// Source: mean cotangent, Jazar, Vehicle Dynamics, steering chapter (from memory; reference row
// ack-jazar-inch); contact points that move: derived.
template <class T>
[[nodiscard]] std::optional<Turn<T>> FindTurn(const T& wheelbase, const SteeredAxle<T>& axle);

// Radius of the path of a point of the car.
template <class T>
[[nodiscard]] T PathRadius(const Turn<T>& turn, const GroundPoint<T>& point);

template <class T>
struct FourPaths {
  T front_left, front_right, rear_left, rear_right;
};

// Paths of the four tyres' contact points.
template <class T>
[[nodiscard]] FourPaths<T> WheelPaths(const Turn<T>& turn, const SteeredAxle<T>& axle,
                                      const T& rear_track);

// Paths of the body's four corners, taken as square. `front_overhang`: front wheel centres to the
// foremost point; `rear_overhang`: rear wheel centres to the rearmost.
template <class T>
[[nodiscard]] FourPaths<T> CornerPaths(const Turn<T>& turn, const T& body_width,
                                       const T& front_overhang, const T& rear_overhang);

// Track circle: radius of the outer front contact point's path.
template <class T>
[[nodiscard]] T TrackRadius(const Turn<T>& turn, const SteeredAxle<T>& axle);

// Kerb to kerb: radius of the outermost tyre edge, half a tyre width outboard of the outer front
// contact point along that wheel's axis. Turning circles are quoted as diameters: twice this.
template <class T>
[[nodiscard]] T KerbRadius(const Turn<T>& turn, const SteeredAxle<T>& axle, const T& tyre_width);

// Wall to wall: radius of the outer front corner of the body, square; a rounded one needs less.
template <class T>
[[nodiscard]] T WallRadius(const Turn<T>& turn, const T& body_width, const T& front_overhang);

// Off-tracking: by how much the rear axle's middle runs inside the front axle's.
template <class T>
[[nodiscard]] T OffTracking(const Turn<T>& turn);

// Angle by which each front wheel points away from where the turn takes it [rad], because the two
// wheels ask for different centres: its steer less the direction of travel of its contact point.
// Positive when it points further left than it goes (the tyre's slip angle of ISO 8855 with the
// sign reversed, from memory). Both zero at the ideal. Derived.
template <class T>
[[nodiscard]] WheelAngles<T> ForcedSlip(const Turn<T>& turn, const SteeredAxle<T>& axle);

}  // namespace steerbench::turning
