#include "engine/evaluate/assumption.h"

#include <algorithm>
#include <array>
#include <utility>

namespace steerbench {
namespace {

using enum Assumption;

// In the order of the enumeration.
constexpr std::array<std::pair<Assumption, std::string_view>, 36> kWords{{
    {kMirrored, "the right corner is the mirror of the left"},
    {kToeAsMeasured, "tie rods set so that each wheel stands at the toe measured with the points"},
    {kRackLikeMeasured, "this rack's joint span is that of the measured points"},
    {kMountedAlike,
     "this rack's joints sit where they were measured, save for what mount_up, mount_forward and "
     "shims say"},
    {kStopsKept, "the rack's stops are kept"},
    {kNoColumnJoints, "the column has no universal joints"},
    {kSteersToOwnSide,
     "rack travel to the left steers to the left (no linkage to tell): it decides which side an "
     "uneven column favours"},
    {kRatioHeldPastTable, "beyond the rack's ratio table its last row holds"},
    {kPlateForThisRack, "the turn-plate readings were taken with this rack, toe and tie rods"},
    {kNoPumpLeak, "the pump leaks nothing inside (no bench reading)"},
    {kBenchAsInCar,
     "the pump's bench readings were made with the oil as warm as in the car (their temperature "
     "not stated): in colder oil a worn pump leaks less than in the car"},
    {kNoPumpFriction,
     "the pump has no friction (pump.efficiency not stated): its heat and what it asks of the belt "
     "are somewhat more"},
    {kNoMeteringDrop,
     "the pump's flow control takes no pressure (pump.metering_drop not stated): the oil gets "
     "somewhat hotter, most so where the pump turns fast"},
    {kReliefOpens, "the relief valve opens over the last 5 % of its pressure"},
    {kNoLineLoss, "oil lines that are not stated lose no pressure"},
    {kNoInletLoss, "the pump always fills (inlet hose or head not stated)"},
    {kBeltAsItStands,
     "no pulley of the drive has a slot or an arm: the belt runs over them as they are placed"},
    {kDiametersAtCords, "pulley diameters are those at the belt's cords (no line differential)"},
    {kEvenLoad,
     "in a bend both tyres of an axle carry the same (cg_height, roll_share or a track not "
     "stated)"},
    {kStiffnessKept, "a tyre's cornering stiffness does not change with its load"},
    {kRigidSteering, "in a bend the steering does not give way"},
    {kAxesUpright,
     "the steering axes stand as far apart at the tie rods' height as at the ground "
     "(car.front.plan.axis_spacing not stated): where they lean, tie rods come out too long by "
     "half of the difference"},
    {kBenchApart,
     "the pump's bench readings do not lie on one leak, by more than a tenth of a flow: one of "
     "them, or the displacement, is off; measure again"},
    {kSpringAtWheel,
     "without a steering axis through joints the spring is taken to keep the wheel centre's height "
     "while the rack moves: it bears on the weight lift"},
    {kSeaLevel,
     "the air has the pressure of sea level: 1000 m up, the pump's inlet has 0.11 bar less"},
    {kPatchNotMeasured,
     "a contact patch that is not stated whole is as long as load and air make it (without a tread "
     "width it is left out at the kerb)"},
    {kLongPatch,
     "the front tyres stand as firm as the model takes them, though their contact patch comes out "
     "longer than 0.7 of their radius: check load and pressure, for weights at the kerb are "
     "doubtful"},
    {kColdCoils,
     "the control valves' coils have their resistance of 20 °C: warm ones take less current where "
     "the driver does not hold it"},
    {kPlateNotUsed, "turn-plate readings are used as a check alone, the linkage itself is known"},
    {kFillsInPart,
     "the pump delivers at any speed the share of its displacement that its full_flow_speed tells "
     "of (a bench reading with its pressure tells it better)"},
    {kFullFlowLater,
     "the pump's full_flow_speed is later than displacement and bench readings make it: it counts "
     "as a limit, and as where flow_at_top begins to tell"},
    {kFullFlowComputed,
     "the pump gives its full flow from the speed at which its displacement makes it "
     "(pump.full_flow_speed not stated): a worn one reaches it later, so let it be seen on the "
     "bench"},
    {kTwistByTorque,
     "the valve's openings go by torque (rack.torsion_bar not stated): its twist and its feel are "
     "not known"},
    {kControlsInLine,
     "both control valves stand one after the other in one passage of the oil, so that "
     "the narrower rules (they are of one principle)"},
    {kManualRack,
     "the rack is a manual one (it states no piston or valve, and there is no pump; say "
     "rack.assisted)"},
    {kStopAtLastRow,
     "the valve meets its twist stop at the last row of its boost curve (rack.valve_stop or "
     "torsion_bar not stated)"},
}};

}  // namespace

std::string_view Describe(Assumption assumption) {
  return std::ranges::find(kWords, assumption, &std::pair<Assumption, std::string_view>::first)
      ->second;
}

std::vector<std::string> InWords(const std::vector<Assumption>& assumptions) {
  std::vector<std::string> words;
  for (const Assumption a : assumptions) words.emplace_back(Describe(a));
  return words;
}

}  // namespace steerbench
