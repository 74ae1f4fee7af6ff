// The catalogues of checks and of what ends the rack's travel.
#include "engine/evaluate/evaluate.h"

namespace steerbench {
namespace {

constexpr std::string_view kPractice = "common practice, no source";

constexpr std::array<CheckInfo, kChecks> kCheckCatalogue{{
    {Check::kInnerThread, "inner_thread", "Thread of inner joint in the rack", Kind::kLength,
     "engaged length beyond the least; a spacer takes its thickness off it",
     "one diameter steel on steel, 1.25 wanted: common practice, no source"},
    {Check::kOuterThreadLeft, "outer_thread_left", "Thread of outer joint, left", Kind::kLength,
     "engaged length beyond the least at this tie-rod length",
     "one diameter steel on steel, 1.25 wanted: common practice, no source"},
    {Check::kOuterThreadRight, "outer_thread_right", "Thread of outer joint, right", Kind::kLength,
     "engaged length beyond the least at this tie-rod length",
     "one diameter steel on steel, 1.25 wanted: common practice, no source"},
    {Check::kRodShortestLeft, "rod_shortest_left", "Left tie rod can be made this short",
     Kind::kLength, "length as adjusted less the shortest", "the part"},
    {Check::kRodShortestRight, "rod_shortest_right", "Right tie rod can be made this short",
     Kind::kLength, "length as adjusted less the shortest", "the part"},
    {Check::kRodLongestLeft, "rod_longest_left", "Left tie rod can be made this long",
     Kind::kLength, "the longest less the length as adjusted", "the part"},
    {Check::kRodLongestRight, "rod_longest_right", "Right tie rod can be made this long",
     Kind::kLength, "the longest less the length as adjusted", "the part"},
    {Check::kPumpTopSpeed, "pump_top_speed", "Pump not over-driven", Kind::kAngularSpeed,
     "the pump's top speed less its speed at the engine's top speed", "the part"},
    {Check::kPumpIdleSpeed, "pump_idle_speed", "Pump fast enough at idle", Kind::kAngularSpeed,
     "pump speed at idle less that of its full regulated flow", "the part"},
    {Check::kColumnJoint, "column_joint", "Column joints not bent too far", Kind::kAngle,
     "35 deg, or your own limit, less the greatest bend", kPractice},
    {Check::kInnerTilt, "inner_tilt", "Inner joints' tilt within the travel", Kind::kAngle,
     "the joint's limit less the greatest tilt up to the travel's ends, over the wheel travel",
     "the part"},
    {Check::kOuterTilt, "outer_tilt", "Outer joints' tilt within the travel", Kind::kAngle,
     "the joint's limit less the greatest tilt up to the travel's ends, over the wheel travel",
     "the part"},
    {Check::kRodArm, "rod_arm", "Angle between tie rod and arm", Kind::kAngle,
     "the least angle off straight up to the travel's ends, over the wheel travel, less the limit",
     "25 deg: common practice, no source"},
    {Check::kPressureReserve, "pressure_reserve", "Pressure at the kerb below the relief valve's",
     Kind::kPressureGauge, "pressure at which the relief valve begins less that used at the kerb",
     "the part"},
    {Check::kHose, "hose", "Hose made for the relief pressure", Kind::kPressureGauge,
     "the hose's working pressure less the pump's relief pressure", "the part"},
    {Check::kCatchUp, "catch_up", "Hand wheel not outrunning the pump at idle", Kind::kAngularSpeed,
     "catch-up speed at the kerb, of the slower side, less the speed wanted",
     "1 turn/s, 1.5 wanted: common practice, no source"},
    {Check::kInlet, "inlet", "Pump fills with the coldest oil", Kind::kPressureDifference,
     "absolute pressure at the pump's inlet less that at which it growls",
     "0.8 bar absolute: common practice, no source", Kind::kPressureAbsolute},
    {Check::kOilTemperature, "oil_temperature", "Oil not too hot in any duty",
     Kind::kTemperatureDifference, "the most it may have less the hottest it settles at",
     "120 °C: common practice, no source", Kind::kTemperature},
    {Check::kBeltNotShort, "belt_not_short", "Belt goes on", Kind::kLength,
     "its length less the shortest that fits", "geometry; docs/methods/belt.md"},
    {Check::kBeltNotLong, "belt_not_long", "Belt can be tensioned", Kind::kLength,
     "the longest that fits less its length", "geometry; docs/methods/belt.md"},
    {Check::kBeltGrip, "belt_grip", "Belt does not slip", Kind::kShare,
     "all its grip, or your own limit, less that used, pump at its relief, idling or at top speed",
     "Eytelwein; docs/methods/belt.md"},
    {Check::kCoil, "coil", "Coil of the control valve pulls in", Kind::kCurrent,
     "current where the driver asks for most less that from which it moves", "the part"},
    {Check::kSecondCoil, "second_coil", "Coil of the second one pulls in", Kind::kCurrent,
     "current where the driver asks for most less that from which it moves", "the part"},
}};

constexpr std::array<RackEndInfo, kRackEnds> kRackEndCatalogue{{
    {RackEnd::kHousingStop, "housing_stop", "housing stop", "the part"},
    {RackEnd::kLastTooth, "last_tooth", "last full tooth", "the part; docs/methods/gear.md"},
    {RackEnd::kInnerJoint, "inner_joint", "inner joint's tilt", "the part"},
    {RackEnd::kOuterJoint, "outer_joint", "outer joint's tilt", "the part"},
    {RackEnd::kDeadCentre, "dead_centre", "dead centre", "geometry; docs/methods/linkage.md"},
    {RackEnd::kTyreTouch, "tyre_touch", "tyre touches", "measured angle"},
    {RackEnd::kTyreObstacle, "tyre_obstacle", "tyre near", "points and gap stated"},
    {RackEnd::kColumnCoil, "column_coil", "column coil wound up", "the part"},
    {RackEnd::kRodArmAngle, "rod_arm_angle", "rod and arm near dead centre",
     "25 deg left between them: common practice, no source"},
}};

template <class Catalogue>
constexpr bool InOrder(const Catalogue& catalogue) {
  for (std::size_t i = 0; i < catalogue.size(); ++i) {
    if (static_cast<std::size_t>(catalogue[i].id) != i) return false;
  }
  return true;
}
static_assert(InOrder(kCheckCatalogue) && InOrder(kRackEndCatalogue));

}  // namespace

const std::array<CheckInfo, kChecks>& Checks() { return kCheckCatalogue; }
const std::array<RackEndInfo, kRackEnds>& RackEnds() { return kRackEndCatalogue; }

}  // namespace steerbench
