// What the document does not say and was taken for granted.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace steerbench {

// What was taken for granted because the document does not say; shown with every result.
enum class Assumption : std::uint8_t {
  kMirrored,            // the right corner has no points: taken as the mirror of the left
  kToeAsMeasured,       // no toe or rod length: the wheels stand as when the points were measured
  kRackLikeMeasured,    // the rack does not say its joint span: joints where they were measured
  kMountedAlike,        // the rack does not say how its joints sit against those measured
  kStopsKept,           // stops of the rack neither kept nor removed: kept
  kNoColumnJoints,      // no column joint stated: the column turns evenly
  kSteersToOwnSide,     // no linkage: rack travel to the left taken to steer to the left
  kRatioHeldPastTable,  // the travel goes beyond the ratio table: its last row is held
  kPlateForThisRack,    // turn-plate readings taken as read with this rack, toe and tie rods
  kNoPumpLeak,          // no bench reading of the pump: no inner leak
  kBenchAsInCar,        // a bench reading of the pump without its oil's temperature
  kNoPumpFriction,      // pump.efficiency not stated: 100 %
  kNoMeteringDrop,      // pump.metering_drop not stated: none
  kReliefOpens,         // no cracking pressure: the relief valve opens over its last 5 %
  kNoLineLoss,          // an oil line is not known: it loses nothing
  kNoInletLoss,         // the hose from the reservoir is not known: the pump always fills
  kBeltAsItStands,      // a belt without a tensioner: the run of the pulleys as they are placed
  kDiametersAtCords,    // no line differential: pulley diameters are those of the belt's cords
  kEvenLoad,            // in a bend left and right tyres carry the same
  kStiffnessKept,       // a tyre's cornering stiffness does not change with its load
  kRigidSteering,       // in a bend the steering does not give way
  kAxesUpright,         // view from above: axes as far apart at the rods' height as at the ground
  kBenchApart,          // bench readings of the pump contradict each other or its displacement
  kSpringAtWheel,       // no steering axis: the spring taken to hold the wheel centre's height
  kSeaLevel,            // air pressure at the pump's inlet
  kPatchNotMeasured,  // contact patch not stated whole: from load and air, or left out at the kerb
  kLongPatch,         // so long that the tyre's model no longer holds
  kColdCoils,         // coils have the resistance of 20 degrees Celsius
  kPlateNotUsed,      // turn-plate readings are there, but a better level is known
  kFillsInPart,       // speed of full flow later than the displacement's: a share never arrives
  kFullFlowLater,     // the same, but bench readings tell of a leak
  kFullFlowComputed,  // speed of full flow not stated: from displacement, and what is known of leak
  kTwistByTorque,     // no torsion bar stated: a stand-in, for torque alone tells
  kControlsInLine,    // two control valves of one principle: one after the other in one passage
  kManualRack,        // nothing tells of assistance, and there is no pump: counted as manual
  kStopAtLastRow      // no valve stop, or no bar: it lies at the boost curve's last row
};
// The assumption in words, for people.
[[nodiscard]] std::string_view Describe(Assumption assumption);
[[nodiscard]] std::vector<std::string> InWords(const std::vector<Assumption>& assumptions);

}  // namespace steerbench
