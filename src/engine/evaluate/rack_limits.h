// Where the rack's travel ends, each way: every limit as a travel, and the one that binds.
#pragma once

#include <array>
#include <optional>
#include <string_view>
#include <vector>

#include "engine/evaluate/front.h"
#include "engine/gear/column.h"
#include "engine/gear/rack_ratio.h"

namespace steerbench {

// What can end or spoil the travel.
enum class RackEnd : std::uint8_t {
  kHousingStop,   // the stop meant to end it
  kLastTooth,     // rack teeth leave the mesh
  kInnerJoint,    // inner joint at the end of its tilt
  kOuterJoint,    // outer joint at the end of its tilt
  kDeadCentre,    // tie rod and arm in line
  kTyreTouch,     // a tyre touches, by a measured angle
  kTyreObstacle,  // a tyre comes too near a given point
  kColumnCoil,    // contact coil in the column wound up
  kRodArmAngle    // not an end but a rule: least angle between tie rod and arm
};
inline constexpr std::size_t kRackEnds = 9;
inline constexpr std::array<RackEnd, kRackEnds> kAllRackEnds{
    RackEnd::kHousingStop,  RackEnd::kLastTooth,  RackEnd::kInnerJoint,
    RackEnd::kOuterJoint,   RackEnd::kDeadCentre, RackEnd::kTyreTouch,
    RackEnd::kTyreObstacle, RackEnd::kColumnCoil, RackEnd::kRodArmAngle};

// Direction of rack travel and of the turn that it is part of; named after travel.
enum class Way : std::uint8_t { kLeft, kRight };
constexpr double WaySign(Way way) { return way == Way::kLeft ? 1.0 : -1.0; }
constexpr std::size_t Index(Way way) { return static_cast<std::size_t>(way); }
constexpr std::array<Way, 2> kWays{Way::kLeft, Way::kRight};

template <class T>
struct RackLimit {
  RackEnd end = RackEnd::kHousingStop;
  std::optional<T> travel;    // from centre, positive [m]; unset when unknown or out of sight
  bool out_of_sight = false;  // known not to bind anywhere within the travel looked at
  bool absent = false;        // nothing of the kind is fitted or stated, so nothing to know
  Missing missing;            // what is needed to know it; with a travel: it may come sooner
  std::optional<Side> wheel;  // whose joint, arm or tyre
  double jounce = 0.0;        // wheel travel at which it is worst [m]
  std::optional<std::size_t> obstacle;  // which of the car's obstacles the tyre meets
  // For limits found by a search: how fast what is left runs out there [its unit per m], and a
  // solved pose from which its derivatives are taken, at travel `lifted_at` (signed).
  double slope = 0.0;
  double lifted_at = 0.0;
  std::optional<linkage::Pose> pose;
};

// From the hand wheel through column and pinion to the rack.
template <class T>
struct HandToRack {
  gear::RackRatio<T> ratio;
  std::vector<gear::CardanJoint<T>> joints;
  double turn = 1.0;  // +1 when rack travel to the left steers to the left, else -1

  // Hand-wheel angle, to the left positive, at a rack travel, to the left positive.
  [[nodiscard]] T HandAngle(const T& travel) const { return HandWheelAt(travel).angle; }
  // The same, and the column's ratio there.
  [[nodiscard]] gear::HandWheelState<T> HandWheelAt(const T& travel) const {
    return gear::HandWheelAt(joints, T(turn * gear::PinionAngle(ratio, travel)));
  }
  // The inverse.
  [[nodiscard]] T Travel(const T& hand) const {
    return gear::RackTravel(ratio, T(turn * gear::TurnColumn(joints, hand).angle));
  }
};

// Whether something is meant to end the travel.
enum class StopState : std::uint8_t { kKnown, kUnknown, kRemoved };

template <class T>
struct TravelEnds {
  std::vector<RackLimit<T>> limit;     // nearest first; unknown ones last
  std::optional<std::size_t> binding;  // the first that physically ends the travel
  StopState stop_state = StopState::kUnknown;
  std::optional<T> stop;              // where the housing stop ends it, when known
  bool wheel_travel_too_far = false;  // the linkage does not reach the wheel travel stated
};

// Ends that physically stop the rack (or break something); the others are rules.
constexpr bool EndsTravel(RackEnd end) { return end != RackEnd::kRodArmAngle; }

// All limits of the travel to one side. `hand` is needed for the column's coil only.
// Joints, dead centre and obstacles are looked at over the wheel travel stated (rebound, design
// height, jounce) and the worst is taken; the tyre-touch angles at design height.
// Derived: docs/methods/limits.md.
[[nodiscard]] TravelEnds<double> FindTravelEnds(const Fitted<double>& fitted,
                                                const Front<double>& front,
                                                const std::optional<HandToRack<double>>& hand,
                                                Way way);

// The same limits with their derivatives: nothing is searched again, each limit found moves with
// the inputs by the implicit function theorem.
[[nodiscard]] TravelEnds<Jet> LiftTravelEnds(const Fitted<Jet>& fitted, const Front<Jet>& front,
                                             const std::optional<HandToRack<Jet>>& hand, Way way,
                                             const TravelEnds<double>& found);

// Rack travel beyond which no limit is looked for [m]: well past any car rack's half stroke.
inline constexpr double kFarthestTravel = 0.12;

// Poses of such a search, at even steps from the centre: fine enough to bracket every crossing.
inline constexpr int kSearchSteps = 16;

}  // namespace steerbench
