#include "engine/evaluate/outputs.h"

namespace steerbench {
namespace {

using enum Output;
using G = OutputGroup;
using K = Kind;

constexpr std::string_view kIso = "ISO 8855:2011, axes and steering terms";
constexpr std::string_view kDerived = "derived from the pose, docs/methods/linkage.md";
constexpr std::string_view kGear = "rolling of pinion on rack, docs/methods/gear.md";
constexpr std::string_view kPlane = "plane geometry, docs/methods/turning.md";

constexpr std::array<OutputInfo, kOutputs> kCatalogue{{
    {kTravelPerTurn, "travel_per_turn", "Rack travel per pinion turn, on centre", G::kTurning,
     K::kTravelPerTurn, "C-factor where the rack stands centred", kGear},
    {kTurns, "turns", "Turns lock to lock", G::kTurning, K::kTurns,
     "hand wheel, from where the rack ends one way to where it ends the other", kGear},
    {kTurnsLeft, "turns_left", "Turns from centre, rack to the left", G::kTurning, K::kTurns,
     "hand wheel from straight ahead to where the rack's travel to the left ends", kGear},
    {kTurnsRight, "turns_right", "Turns from centre, rack to the right", G::kTurning, K::kTurns,
     "hand wheel from straight ahead to where the rack's travel to the right ends", kGear},
    {kTravelLeft, "travel_left", "Rack travel to the left", G::kTurning, K::kLength,
     "from centre to the first limit that ends it", "docs/methods/limits.md"},
    {kTravelRight, "travel_right", "Rack travel to the right", G::kTurning, K::kLength,
     "from centre to the first limit that ends it", "docs/methods/limits.md"},
    {kRatioCentre, "ratio_centre", "Overall ratio on centre", G::kTurning, K::kRatio,
     "hand-wheel angle per road-wheel angle, mean of both wheels", kGear},
    {kRatioLockLeft, "ratio_lock_left", "Overall ratio at lock, left turn", G::kTurning, K::kRatio,
     "hand-wheel angle per road-wheel angle, mean of both wheels", kGear},
    {kRatioLockRight, "ratio_lock_right", "Overall ratio at lock, right turn", G::kTurning,
     K::kRatio, "hand-wheel angle per road-wheel angle, mean of both wheels", kGear},
    {kColumnUnevenness, "column_unevenness", "Column joints: ratio and torque swing", G::kTurning,
     K::kShare, "half the range of speed ratio over a turn, two swings per turn",
     "law of the Cardan joint, docs/methods/gear.md"},
    {kLeftWheelLockLeft, "left_wheel_lock_left", "Left wheel at lock, left turn (inner)",
     G::kCircle, K::kAngle, "steer angle, to the left positive", kIso},
    {kRightWheelLockLeft, "right_wheel_lock_left", "Right wheel at lock, left turn (outer)",
     G::kCircle, K::kAngle, "steer angle, to the left positive", kIso},
    {kLeftWheelLockRight, "left_wheel_lock_right", "Left wheel at lock, right turn (outer)",
     G::kCircle, K::kAngle, "steer angle, to the left positive", kIso},
    {kRightWheelLockRight, "right_wheel_lock_right", "Right wheel at lock, right turn (inner)",
     G::kCircle, K::kAngle, "steer angle, to the left positive", kIso},
    {kKerbCircleLeft, "kerb_circle_left", "Turning circle kerb to kerb, left", G::kCircle,
     K::kLength, "diameter swept by the outermost tyre edge", kPlane},
    {kKerbCircleRight, "kerb_circle_right", "Turning circle kerb to kerb, right", G::kCircle,
     K::kLength, "diameter swept by the outermost tyre edge", kPlane},
    {kWallCircleLeft, "wall_circle_left", "Turning circle wall to wall, left", G::kCircle,
     K::kLength, "diameter swept by the outer front corner of the body, square", kPlane},
    {kWallCircleRight, "wall_circle_right", "Turning circle wall to wall, right", G::kCircle,
     K::kLength, "diameter swept by the outer front corner of the body, square", kPlane},
    {kOffTrackingLeft, "off_tracking_left", "Off-tracking at lock, left", G::kCircle, K::kLength,
     "how far the rear axle's middle runs inside the front axle's", kPlane},
    {kOffTrackingRight, "off_tracking_right", "Off-tracking at lock, right", G::kCircle, K::kLength,
     "how far the rear axle's middle runs inside the front axle's", kPlane},
    {kAckermannInnerLeft, "ackermann_inner_left", "Ackermann at lock, same inner angle, left",
     G::kCircle, K::kShare,
     "actual difference of the wheels over the ideal at the same inner angle", kPlane},
    {kAckermannInnerRight, "ackermann_inner_right", "Ackermann at lock, same inner angle, right",
     G::kCircle, K::kShare,
     "actual difference of the wheels over the ideal at the same inner angle", kPlane},
    {kAckermannCotLeft, "ackermann_cot_left", "Ackermann at lock, by cotangents, left", G::kCircle,
     K::kShare, "difference of cotangents over the ideal one", kPlane},
    {kAckermannCotRight, "ackermann_cot_right", "Ackermann at lock, by cotangents, right",
     G::kCircle, K::kShare, "difference of cotangents over the ideal one", kPlane},
    {kSteeringErrorLeft, "steering_error_left", "Outer wheel turned too far at lock, left",
     G::kCircle, K::kAngle, "outer steer angle less the ideal one for the same inner angle",
     kPlane},
    {kSteeringErrorRight, "steering_error_right", "Outer wheel turned too far at lock, right",
     G::kCircle, K::kAngle, "outer steer angle less the ideal one for the same inner angle",
     kPlane},
    {kToeLeft, "toe_left", "Toe, left wheel", G::kAlignment, K::kAngle, "toe-in positive",
     "ISO 8855:2011, 7.1.6"},
    {kToeRight, "toe_right", "Toe, right wheel", G::kAlignment, K::kAngle, "toe-in positive",
     "ISO 8855:2011, 7.1.6"},
    {kCamberLeft, "camber_left", "Camber, left wheel", G::kAlignment, K::kAngle,
     "true camber: fall of the wheel's axis, top out positive", kIso},
    {kCamberRight, "camber_right", "Camber, right wheel", G::kAlignment, K::kAngle,
     "true camber: fall of the wheel's axis, top out positive", kIso},
    {kCasterLeft, "caster_left", "Caster, left wheel", G::kAlignment, K::kAngle,
     "steering axis in side view, top rearward positive", kIso},
    {kCasterRight, "caster_right", "Caster, right wheel", G::kAlignment, K::kAngle,
     "steering axis in side view, top rearward positive", kIso},
    {kInclinationLeft, "inclination_left", "Steering-axis inclination, left", G::kAlignment,
     K::kAngle, "steering axis in front view, top inboard positive", kIso},
    {kInclinationRight, "inclination_right", "Steering-axis inclination, right", G::kAlignment,
     K::kAngle, "steering axis in front view, top inboard positive", kIso},
    {kScrubLeft, "scrub_left", "Scrub radius, left", G::kAlignment, K::kLength,
     "axis to contact across the wheel's own frame, contact outboard positive", kIso},
    {kScrubRight, "scrub_right", "Scrub radius, right", G::kAlignment, K::kLength,
     "axis to contact across the wheel's own frame, contact outboard positive", kIso},
    {kTrailLeft, "trail_left", "Mechanical trail, left", G::kAlignment, K::kLength,
     "axis ahead of contact along the wheel's own frame, positive", kIso},
    {kTrailRight, "trail_right", "Mechanical trail, right", G::kAlignment, K::kLength,
     "axis ahead of contact along the wheel's own frame, positive", kIso},
    {kBumpSteerLeft, "bump_steer_left", "Bump steer, left wheel", G::kBump, K::kAnglePerLength,
     "toe-in gained per wheel travel up, at design height", kDerived},
    {kBumpSteerRight, "bump_steer_right", "Bump steer, right wheel", G::kBump, K::kAnglePerLength,
     "toe-in gained per wheel travel up, at design height", kDerived},
    {kRollSteer, "roll_steer", "Roll steer", G::kBump, K::kRatio,
     "mean steer angle per body roll angle; positive turns the wheels left when the body rolls "
     "right",
     kDerived},
    {kRollCentre, "roll_centre", "Roll-centre height", G::kBump, K::kLength,
     "where the normals to both contact points' paths meet, above ground", kDerived},
    {kTieRodLeft, "tie_rod_left", "Tie rod, left, joint to joint", G::kRods, K::kLength,
     "length at which the wheel stands as asked", kDerived},
    {kTieRodRight, "tie_rod_right", "Tie rod, right, joint to joint", G::kRods, K::kLength,
     "length at which the wheel stands as asked", kDerived},
    {kPumpIdle, "pump_idle", "Pump speed at idle", G::kPump, K::kAngularSpeed,
     "engine idle times crank over pump pulley, no slip", "ratio of effective diameters"},
    {kPumpCruise, "pump_cruise", "Pump speed on a fast road", G::kPump, K::kAngularSpeed,
     "engine cruise speed times crank over pump pulley, no slip", "ratio of effective diameters"},
    {kPumpTop, "pump_top", "Pump speed at the engine's top speed", G::kPump, K::kAngularSpeed,
     "engine top speed times crank over pump pulley, no slip", "ratio of effective diameters"},
}};

constexpr bool InOrder() {
  for (std::size_t i = 0; i < kOutputs; ++i) {
    if (static_cast<std::size_t>(kCatalogue[i].id) != i) return false;
  }
  return true;
}
static_assert(InOrder(), "the catalogue must list every Output once, in order");

}  // namespace

const std::array<OutputInfo, kOutputs>& Outputs() { return kCatalogue; }

std::string_view TitleOf(OutputGroup group) {
  switch (group) {
    case G::kTurning:
      return "Turning the wheel";
    case G::kCircle:
      return "At lock";
    case G::kAlignment:
      return "Standing straight ahead";
    case G::kBump:
      return "Over bumps and in roll";
    case G::kRods:
      return "Tie rods";
    case G::kPump:
      return "Pump drive";
  }
  return "";
}

}  // namespace steerbench
