// One front corner in space: links, strut and tie rod that carry and steer an upright (level 3).
//
// Corner frame: x forward, y OUTBOARD, z up; the right corner is the mirror image of its points
// (y negated), so that left and right run through the same arithmetic and a symmetric car gives
// bit-for-bit mirrored results. In this frame `travel` is the outboard displacement of the inner
// tie-rod joint and `steer` is positive when the front of the wheel turns outboard (toe-out).
// Wheel travel (`jounce`) is the vertical travel of the wheel centre, up positive.
// SI units and radians throughout; T is double or Jet.
#pragma once

#include <Eigen/Geometry>
#include <cstdint>
#include <optional>
#include <vector>

#include "engine/base/scalar.h"

namespace steerbench::linkage {

// A rigid link between a point fixed to the body and a point of the upright, both given at design
// position.
template <class T>
struct Link {
  Vec3<T> inner, outer;

  friend bool operator==(const Link&, const Link&) = default;
};

// What the steering axis of a corner is.
enum class AxisKind : std::uint8_t {
  kBallJoints,  // through a lower and an upper ball joint, both of the upright
  kStrut,       // through the lower ball joint of the upright and the top mount of the body
  kVirtual      // instantaneous screw axis while the rack moves and the wheel centre keeps height
};

template <class T>
struct Corner {
  AxisKind axis = AxisKind::kBallJoints;
  std::vector<Link<T>> links;        // 4 without a strut; 2 with one
  Vec3<T> strut_top, strut_lower;    // kStrut: top mount, another point of the sliding line
  Vec3<T> lower_joint, upper_joint;  // kBallJoints both; kStrut the lower one
  Link<T> tie_rod;                   // joints at design position, rack centred
  T tie_rod_length{};                // as adjusted; may differ from the design distance
  Vec3<T> rack_axis;                 // unit vector of positive travel, mostly (0, 1, 0)
  Vec3<T> wheel_centre, spin_axis;   // design position; spin axis a unit vector, outboard
  T loaded_radius{};                 // wheel centre to contact, in the wheel's plane
  std::optional<Vec3<T>> stud;       // direction of the outer joint's stud, a unit vector

  friend bool operator==(const Corner&, const Corner&) = default;
};

// Unit spin axis of a wheel with given toe-in and camber (top out), both true angles:
// sin(camber) = -z component (physics: docs/conventions.md).
template <class T>
Vec3<T> SpinAxis(T toe_in, T camber);

// Where the upright is: a point p of the design position goes to
// centre + rotation (p - wheel_centre). And the drive that holds it there.
struct Pose {
  Eigen::Quaterniond rotation = Eigen::Quaterniond::Identity();
  Vec3<double> centre = Vec3<double>::Zero();  // of the wheel
  Vec3<double> tie_rod_inner = Vec3<double>::Zero();
  double tie_rod_length = 0.0;
  double orientation = 0.0;  // sign of the closure equations' determinant on this branch
};

// How a solve ended.
enum class SolveStatus : std::uint8_t {
  kNotRun,
  kConverged,
  kDeadCentre,  // the branch ends before the target: tie rod and arm (or the arms) are straight
  kBadGeometry  // the design position itself is singular or has a link of no length
};

struct Solve {
  SolveStatus status = SolveStatus::kNotRun;
  Pose pose;              // at the target when converged, else the last pose on the way
  double reached = 0.0;   // share of the way made, 1 when converged
  double residual = 0.0;  // largest closure error [m]
  int iterations = 0;     // Newton steps in all
};

// Closure error below which a pose counts as solved [m]: a thousandth of the promised 1e-9 m.
inline constexpr double kClosureTolerance = 1e-12;

// The same corner without derivatives.
template <class T>
[[nodiscard]] Corner<double> Plain(const Corner<T>& corner);

// The design position: every link at its design length. kBadGeometry when two joints of a link
// coincide or the closure equations are singular there.
[[nodiscard]] Solve DesignPose(const Corner<double>& corner);

// Moves from a solved pose to rack travel `travel` and wheel travel `jounce`, with the tie rod at
// the corner's adjusted length. Newton's method on five closure equations (link lengths; for a
// strut, the top mount on the sliding line) in rotation vector and centre, along the straight way
// between the two drives with the step halved whenever it fails, turns the upright by more than
// kLargestTurn, or lands on another branch (sign of the determinant); a share of the way that
// failed is tried again from a quarter of the distance.
// Source: standard position analysis with continuation, e.g. Haug, Computer Aided Kinematics and
// Dynamics of Mechanical Systems (1989), ch. 4; here derived in docs/methods/linkage.md.
// `finest` is the share of the way at which halving gives up, so how well the end of the reach is
// found. `guess`, unless null, is what the pose may be like at the target: the whole way is tried
// from there first.
inline constexpr double kFinestStep = 1e-7;
[[nodiscard]] Solve MoveTo(const Corner<double>& corner, const Pose& from, double travel,
                           double jounce, double finest = kFinestStep, const Pose* guess = nullptr);
inline constexpr double kLargestTurn = 0.25;  // [rad] in one step

// How fast the upright moves with a drive: angular velocity, velocity of the wheel centre.
template <class T>
struct Rate {
  Vec3<T> angular, centre;
};

// Everything known of one wheel in one pose. Angles in rad, lengths in m, corner frame.
template <class T>
struct WheelState {
  T steer{};                    // heading of the wheel plane at the ground, outboard positive
  T camber{};                   // true: asin of the spin axis' fall, top out positive
  T camber_front_view{};        // the same projected into the front view
  T caster{};                   // projected into the side view, top rearward positive
  T inclination{};              // steering axis in the front view, top inboard positive
  T scrub_radius{};             // in the wheel's own frame, contact outboard of the axis positive
  T mechanical_trail{};         // in the wheel's own frame, axis meets the ground ahead positive
  T rod_arm_angle{};            // between arm and tie rod seen along the steering axis, 0..pi
  T inner_tilt{};               // of the inner joint against the rack's axis
  std::optional<T> outer_tilt;  // of the outer joint against square to its stud
  T side_load_share{};          // force across the rack per force along it
  Vec3<T> centre, spin_axis, contact, axis_point, axis_direction, axis_ground;
  Vec3<T> tie_rod_inner, tie_rod_outer;
  // Rates per rack travel and per wheel travel.
  Rate<T> per_travel, per_jounce;
  T steer_per_travel{}, steer_per_jounce{}, camber_per_jounce{};  // [rad/m]
  Vec3<T> contact_per_travel, contact_per_jounce;                 // geometric contact point [m/m]
};

// How the upright moves per rack travel while the spring keeps its length: forces on the wheel do
// their work on the rack in this motion alone, for in any other the spring takes a part of it. With
// a steering axis the arms stand still then and the upright turns about it, axis_point being its
// lower ball joint. For kVirtual the spring is taken to keep the wheel centre's height.
template <class T>
[[nodiscard]] Rate<T> SteeredAlone(AxisKind axis, const WheelState<T>& state);

// A number with its derivative to the rack travel alone.
using AlongTravel = ceres::Jet<double, 1>;

// The state at a converged pose and its rates with the travel; where derivatives come in by the
// travel alone, Along makes the state with all of them from it, at a small part of StateAt's cost.
[[nodiscard]] WheelState<AlongTravel> StateAlong(const Corner<double>& corner, const Pose& pose,
                                                 double travel, double jounce);
[[nodiscard]] WheelState<Jet> Along(const WheelState<AlongTravel>& state, const Jet& travel);

// Whether a number, or any figure of a corner, carries a derivative that is not zero.
[[nodiscard]] bool Varies(const Jet& x);
[[nodiscard]] bool Varies(const Corner<Jet>& corner);

// A state without derivatives as one whose derivatives are all zero.
[[nodiscard]] WheelState<Jet> AsConstants(const WheelState<double>& state);

// The wheel's state at a converged pose, with exact derivatives when T is a Jet: the pose's own
// derivatives come from the implicit function theorem, one Newton step in T at the solution.
// `travel` and `jounce` are those of the pose, in T so that they may carry derivatives too.
// Pre: the pose was solved at Value(travel), Value(jounce) for this corner.
template <class T>
[[nodiscard]] WheelState<T> StateAt(const Corner<T>& corner, const Pose& pose, T travel, T jounce);

// Steer angle alone in T, exact derivatives as StateAt's, at less than half its cost.
template <class T>
[[nodiscard]] T SteerAt(const Corner<T>& corner, const Pose& pose, T travel, T jounce);

// Steer angle alone, for hot paths [rad].
[[nodiscard]] double SteerOf(const Corner<double>& corner, const Pose& pose);

// Smallest singular value of the closure equations' Jacobian, rotations scaled by the length of
// the steering arm so that all entries are of one kind [1]; zero at dead centre.
[[nodiscard]] double SmallestSingularValue(const Corner<double>& corner, const Pose& pose);

// Tie-rod length at which the wheel stands at a given toe-in with the rack centred at design
// height. Unset when the wheel cannot be steered there. Pre: DesignPose converged.
template <class T>
[[nodiscard]] std::optional<T> TieRodLengthForToe(const Corner<T>& corner, T toe_in);

}  // namespace steerbench::linkage
