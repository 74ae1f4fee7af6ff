// The front axle as fitted: from the model's fields to wheel angles, at the best level known.
#pragma once

#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <string_view>
#include <tuple>
#include <vector>

#include "engine/evaluate/assumption.h"
#include "engine/linkage/corner.h"
#include "engine/linkage/plan_view.h"
#include "engine/linkage/turn_plate.h"
#include "model/setup.h"

namespace steerbench {

// How much is known of the linkage; a result says which level it comes from.
enum class Level : std::uint8_t { kUnknown, kTurnPlate, kPlanView, kPoints };

// Names of fields that are missing, as paths of a fitted car ("rack.travel").
using Missing = std::vector<std::string_view>;
inline void Append(Missing& to, const Missing& more) {
  for (const std::string_view field : more) {
    if (std::ranges::find(to, field) == to.end()) to.push_back(field);
  }
}

// Adds to a list what is not on it yet.
template <class Item>
void Note(std::vector<Item>& list, const Item& item) {
  if (std::ranges::find(list, item) == list.end()) list.push_back(item);
}

// Why the linkage gives no angles although its fields are there.
enum class Trouble : std::uint8_t {
  kDoesNotClose,        // the tie rods cannot be set as asked, or points lie on one another
  kWheelTravelTooFar,   // the linkage does not reach the wheel travel stated
  kPlateForOtherParts,  // turn-plate readings were taken without these arms, spacers or shims
  kDeadCentreLeft,      // rack to the left: dead centre before any stop, so no lock
  kDeadCentreRight
};
[[nodiscard]] std::string_view Describe(Trouble trouble);

// Poses of one axle that were solved before, and the states there once asked for: by corner (the
// left one for both where they mirror each other), rack travel and wheel travel in its frame [m].
// Passes that differ in their derivatives alone share them. For one thread.
struct KnownPoses {
  struct Known {
    linkage::Solve solve;
    std::optional<linkage::WheelState<double>> state;
    std::optional<linkage::WheelState<linkage::AlongTravel>> along;
  };
  std::map<std::tuple<Side, double, double>, Known> at;
};

// Vehicle frame from here on: rack travel and steer angles positive to the left, both wheels.
// Wheels are indexed by Side.
template <class T>
struct Front {
  Level level = Level::kUnknown;
  Missing missing;     // what the next better level lacks
  bool begun = false;  // whether points or a plan are stated at least in part
  std::vector<Assumption> assumed;
  std::vector<Trouble> trouble;
  std::array<linkage::Corner<T>, 2> corner;        // kPoints
  std::array<linkage::Corner<double>, 2> plain;    // the same without derivatives
  std::array<linkage::Solve, 2> rest;              // rack centred, design height
  bool mirrored = false;                           // the corners without derivatives are the same
  std::array<bool, 2> varies{};                    // whether a corner carries derivatives
  KnownPoses* known = nullptr;                     // where poses are looked up first; null: nowhere
  std::array<linkage::PlanCorner<T>, 2> plan;      // kPlanView
  std::array<linkage::TurnPlate<T>, 2> plate;      // kTurnPlate
  std::array<std::optional<T>, 2> tie_rod_length;  // joint to joint as adjusted [m]
};

// What is missing for all that turn plates know nothing of: camber, rods, joints, weights.
template <class T>
[[nodiscard]] Missing SpaceLacks(const Front<T>& front) {
  return front.begun && !front.missing.empty() ? front.missing : Missing{"car.front.left"};
}

// `known`, unless null, is kept: poses are looked up there and left there.
template <class T>
[[nodiscard]] Front<T> AssembleFront(const Fitted<T>& fitted, KnownPoses* known = nullptr);

// Length of the left arm, steering axis to outer joint, square to the axis [m]; unset of a front
// that is known by turn plates alone, or whose axis no two joints fix.
[[nodiscard]] std::optional<double> ArmLengthOf(const Front<double>& front);

// What a limit of the rack's travel looks at, in one pose of one wheel.
template <class T>
struct WheelSample {
  T steer{};                                               // [rad], to the left positive
  T steer_per_travel{};                                    // [rad/m]
  std::optional<T> rod_arm_angle, inner_tilt, outer_tilt;  // [rad], as linkage::WheelState
};

// One wheel in one pose: what any level gives, and its whole state where the linkage is solved in
// space (corner frame, see linkage::WheelState).
template <class T>
struct SeenWheel {
  WheelSample<T> sample;
  std::optional<linkage::WheelState<T>> state;
};

// A run of poses of one wheel from the rack's centre outward one way, at one wheel travel.
struct Run {
  double jounce = 0.0;
  std::vector<double> travel;  // [m], vehicle frame, from centre outward
  std::vector<SeenWheel<double>> seen;
  std::vector<linkage::Pose> pose;    // kPoints only
  std::optional<double> dead_centre;  // travel at which the linkage's reach ends
};

// Poses of one wheel towards `end` (signed travel [m]) in `steps` equal steps, at a wheel travel;
// they stop short where the linkage's reach or the readings end.
[[nodiscard]] Run RunOf(const Front<double>& front, Side side, double end, int steps,
                        double jounce);

// The solved pose nearest to a travel of a run, to start from; unset when there is none.
[[nodiscard]] std::optional<linkage::Pose> NearestPose(const Run& run, double travel);

// One wheel at a rack travel and a wheel travel, which may carry derivatives. `from` is a solved
// pose nearby, or unset to start from a known one. Unset beyond reach. `at`, when given, takes
// how the solve ended (kPoints only); `guess` as for linkage::MoveTo.
template <class T>
[[nodiscard]] std::optional<SeenWheel<T>> SeeWheel(const Front<T>& front, Side side, T travel,
                                                   T jounce,
                                                   const std::optional<linkage::Pose>& from = {},
                                                   linkage::Solve* at = nullptr,
                                                   const linkage::Pose* guess = nullptr);

// The same, what a limit looks at alone: where the pose is known, without copying its whole state.
template <class T>
[[nodiscard]] std::optional<WheelSample<T>> SampleAt(const Front<T>& front, Side side,
                                                     const T& travel, const T& jounce);

// Pose of one wheel at a rack travel and a wheel travel in its corner's frame, solved from one
// nearby (null: from a known one), and its state there. Pre: level kPoints; of the state: the pose
// was solved there.
template <class T>
[[nodiscard]] linkage::Solve PoseAt(const Front<T>& front, Side side, double travel, double jounce,
                                    const linkage::Pose* from,
                                    const linkage::Pose* guess = nullptr);
template <class T>
[[nodiscard]] linkage::WheelState<double> PlainStateAt(const Front<T>& front, Side side,
                                                       const linkage::Pose& pose, double travel,
                                                       double jounce);

// Sign that takes a wheel's corner frame to the vehicle frame: +1 left, -1 right.
constexpr double SideSign(Side side) { return side == Side::kLeft ? 1.0 : -1.0; }
constexpr std::size_t Index(Side side) { return static_cast<std::size_t>(side); }
constexpr std::array<Side, 2> kSides{Side::kLeft, Side::kRight};

}  // namespace steerbench
