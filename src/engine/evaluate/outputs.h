// The catalogue of results: what each is called, what it means, where its definition comes from.
// Reports, JSON, the docs and 'where from?' all read it, so a result is described in one place.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>

#include "quantity/quantity.h"

namespace steerbench {

enum class Output : std::uint8_t {
  kTravelPerTurn,
  kTurns,
  kTurnsLeft,
  kTurnsRight,
  kTravelLeft,
  kTravelRight,
  kRatioCentre,
  kRatioLockLeft,
  kRatioLockRight,
  kColumnUnevenness,
  kColumnBestPhase,
  kColumnBestUnevenness,
  kInnerWheelLeft,
  kInnerWheelRight,
  kOuterWheelLeft,
  kOuterWheelRight,
  kKerbCircleLeft,
  kKerbCircleRight,
  kWallCircleLeft,
  kWallCircleRight,
  kOffTrackingLeft,
  kOffTrackingRight,
  kAckermannInnerLeft,
  kAckermannInnerRight,
  kAckermannCotLeft,
  kAckermannCotRight,
  kSteeringErrorLeft,
  kSteeringErrorRight,
  kForcedSlipLeft,
  kForcedSlipRight,
  kPlateLeft,
  kPlateRight,
  kToeLeft,
  kToeRight,
  kCamberLeft,
  kCamberRight,
  kCasterLeft,
  kCasterRight,
  kInclinationLeft,
  kInclinationRight,
  kScrubLeft,
  kScrubRight,
  kTrailLeft,
  kTrailRight,
  kBumpSteerLeft,
  kBumpSteerRight,
  kRollSteer,
  kRollCentre,
  kTieRodLeft,
  kTieRodRight,
  kPumpIdle,
  kPumpCruise,
  kPumpTop,
  kKerbTorque,
  kKerbPull,
  kKerbBrakeTorque,
  kKerbBrakePull,
  kKerbWetTorque,
  kKerbWetPull,
  kKerbLostTorque,
  kKerbLostPull,
  kTownTorque,
  kTownPull,
  kRoadTorque,
  kRoadPull,
  kFastTorque,
  kFastPull,
  kMotorwayTorque,
  kMotorwayPull,
  kRoadLostTorque,
  kRoadLostPull,
  kReturnTorque,
  kCentreGradient,
  kUndersteer,
  kCharacteristicSpeed,
  kCriticalSpeed,
  kOuterLoad,
  kInnerLoad,
  kRestPressure,
  kRestFlow,
  kKerbPressure,
  kIdleFlow,
  kTownPressure,
  kTownFlow,
  kRoadPressure,
  kRoadFlow,
  kFastPressure,
  kFastFlow,
  kMotorwayPressure,
  kMotorwayFlow,
  kFullFlowFrom,
  kAskedFlow,
  kInletPressure,
  kRackPush,
  kCatchUpLeft,
  kCatchUpRight,
  kCatchUpPistonLeft,
  kCatchUpPistonRight,
  kCatchUpValveLeft,
  kCatchUpValveRight,
  kCatchUpControlLeft,
  kCatchUpControlRight,
  kParkingOil,
  kParkingHeat,
  kParkingHeatPump,
  kParkingHeatCircuit,
  kRoadOil,
  kRoadHeat,
  kRoadHeatPump,
  kRoadHeatCircuit,
  kHillOil,
  kHillHeat,
  kHillHeatPump,
  kHillHeatCircuit,
  kLockHeat,
  kBeltWrap,
  kBeltShortest,
  kBeltLongest,
  kBeltSizeBelow,
  kBeltSizeAbove,
  kTensioner,
  kTensionerArm,
  kSpringTension,
  kBeltGripKerb,
  kBeltGripIdle,
  kBeltGripTop,
  kCoilCurrent,
  kSecondCoilCurrent,
  kCoilRoadCurrent,
  kSecondCoilRoadCurrent,
  kCoilResistance,
  kSecondCoilResistance,
  kCoilVoltage,
  kSecondCoilVoltage,
  kCoilDuty,
  kSecondCoilDuty,
  kOpening,
  kSecondOpening,
  kRoadOpening,
  kSecondRoadOpening,
  kShareLetIn,
  kSecondShareLetIn,
  kRoadShareLetIn,
  kSecondRoadShareLetIn,
};
inline constexpr std::size_t kOutputs = static_cast<std::size_t>(Output::kSecondRoadShareLetIn) + 1;

enum class OutputGroup : std::uint8_t {
  kTurning,
  kCircle,
  kAlignment,
  kBump,
  kRods,
  kPump,
  kWeight,
  kHandling,
  kOil,
  kHeat,
  kBelt,
  kElectrics,
  kPlate
};
inline constexpr int kOutputGroups = static_cast<int>(OutputGroup::kPlate) + 1;

// Results that come twice, once for each side of something, and what that something is.
enum class Pair : std::uint8_t {
  kNone,
  kWheels,
  kTurns,
  kRack,
  kHand,
  kPressure,
  kOil,
  kHeat,
  kBelt,
  kValves
};

struct OutputInfo {
  Output id;
  std::string_view key;    // in JSON and options
  std::string_view label;  // for people; the two of a pair share it
  Pair pair;
  bool left;  // of a pair: the left one; the right one follows it
  OutputGroup group;
  Kind kind;
  std::string_view meaning;  // one sentence, with sign and frame
  std::string_view source;   // of the definition or formula
};

// The whole catalogue, in the order of Output.
[[nodiscard]] const std::array<OutputInfo, kOutputs>& Outputs();
[[nodiscard]] inline const OutputInfo& InfoOf(Output id) {
  return Outputs()[static_cast<std::size_t>(id)];
}
[[nodiscard]] std::string_view TitleOf(OutputGroup group);

// The other one of a pair: the right one follows the left one.
[[nodiscard]] constexpr Output RightOf(Output left) {
  return static_cast<Output>(static_cast<int>(left) + 1);
}

// Whether a result is one of those by which people mostly choose between setups.
[[nodiscard]] bool DecidesChoice(Output id);

// "left wheel", "right turn", "rack to the left": which of a pair; empty for kNone.
[[nodiscard]] std::string_view SideOf(Pair pair, bool left);

}  // namespace steerbench
