#include "engine/evaluate/outputs.h"

#include <algorithm>

namespace steerbench {
namespace {

using enum Output;
using G = OutputGroup;
using K = Kind;
using P = Pair;

constexpr std::string_view kIso = "ISO 8855:2011, axes and steering terms";
constexpr std::string_view kDerived = "derived from the pose, docs/methods/linkage.md";
constexpr std::string_view kGear = "rolling of pinion on rack, docs/methods/gear.md";
constexpr std::string_view kLimits = "docs/methods/limits.md";
constexpr std::string_view kDrive = "ratio of effective diameters, docs/methods/gear.md";
constexpr std::string_view kEffort = "virtual work, docs/methods/effort.md and tyre.md";
constexpr std::string_view kBelt = "closed path of the belt, Eytelwein; docs/methods/belt.md";
constexpr std::string_view kCopper = "IEC 60028; docs/methods/electrics.md";
constexpr std::string_view kTwoWheel =
    "linear two-wheel model (Gillespie, ch. 6), docs/methods/tyre.md";
constexpr std::string_view kTransfer = "statics (Gillespie, ch. 6), docs/methods/tyre.md";
constexpr std::string_view kOil = "circuit solved as a network, docs/methods/hydraulics.md";
constexpr std::string_view kWiring = "nodal analysis, docs/methods/electrics.md";
constexpr std::string_view kPlane = "plane geometry, docs/methods/turning.md";

constexpr std::array<OutputInfo, kOutputs> kCatalogue{{
    {kTravelPerTurn, "travel_per_turn", "Rack travel per pinion turn, on centre", P::kNone, false,
     G::kTurning, K::kTravelPerTurn, "C-factor where the rack stands centred", kGear},
    {kTurns, "turns", "Turns lock to lock", P::kNone, false, G::kTurning, K::kTurns,
     "hand wheel, from stop to stop; teeth that run out before a stop do not end it", kGear},
    {kTurnsLeft, "turns_left", "Turns from centre to what ends the travel", P::kRack, true,
     G::kTurning, K::kTurns, "hand wheel from straight ahead to where the rack's travel ends",
     kGear},
    {kTurnsRight, "turns_right", "Turns from centre to what ends the travel", P::kRack, false,
     G::kTurning, K::kTurns, "hand wheel from straight ahead to where the rack's travel ends",
     kGear},
    {kTravelLeft, "travel_left", "Rack travel", P::kRack, true, G::kTurning, K::kLength,
     "from centre to the first limit that ends it", kLimits},
    {kTravelRight, "travel_right", "Rack travel", P::kRack, false, G::kTurning, K::kLength,
     "from centre to the first limit that ends it", kLimits},
    {kRatioCentre, "ratio_centre", "Overall ratio on centre", P::kNone, false, G::kTurning,
     K::kRatio, "hand-wheel angle per road-wheel angle, mean of both wheels", kGear},
    {kRatioLockLeft, "ratio_lock_left", "Overall ratio at lock", P::kTurns, true, G::kTurning,
     K::kRatio, "hand-wheel angle per road-wheel angle, mean of both wheels", kGear},
    {kRatioLockRight, "ratio_lock_right", "Overall ratio at lock", P::kTurns, false, G::kTurning,
     K::kRatio, "hand-wheel angle per road-wheel angle, mean of both wheels", kGear},
    {kColumnUnevenness, "column_unevenness", "Column joints: ratio and torque swing", P::kNone,
     false, G::kTurning, K::kShare,
     "half the range of speed ratio over a turn, two swings per turn",
     "law of the Cardan joint, docs/methods/gear.md"},
    {kColumnBestPhase, "column_best_phase", "Column: phase of the lowest joint that evens it out",
     P::kNone, false, G::kTurning, K::kAngle,
     "upper fork of the lowest joint against the plane of its own bend, straight ahead",
     "law of the Cardan joint, docs/methods/gear.md"},
    {kColumnBestUnevenness, "column_best_unevenness", "Column: swing left at that phase", P::kNone,
     false, G::kTurning, K::kShare, "half the range of speed ratio over a turn",
     "law of the Cardan joint, docs/methods/gear.md"},
    {kInnerWheelLeft, "inner_wheel_left", "Inner wheel", P::kTurns, true, G::kCircle, K::kAngle,
     "steer angle at lock of the wheel on the inside of the turn, to the left positive", kIso},
    {kInnerWheelRight, "inner_wheel_right", "Inner wheel", P::kTurns, false, G::kCircle, K::kAngle,
     "steer angle at lock of the wheel on the inside of the turn, to the left positive", kIso},
    {kOuterWheelLeft, "outer_wheel_left", "Outer wheel", P::kTurns, true, G::kCircle, K::kAngle,
     "steer angle at lock of the wheel on the outside of the turn, to the left positive", kIso},
    {kOuterWheelRight, "outer_wheel_right", "Outer wheel", P::kTurns, false, G::kCircle, K::kAngle,
     "steer angle at lock of the wheel on the outside of the turn, to the left positive", kIso},
    {kKerbCircleLeft, "kerb_circle_left", "Turning circle kerb to kerb", P::kTurns, true,
     G::kCircle, K::kLength, "diameter swept by the outermost tyre edge", kPlane},
    {kKerbCircleRight, "kerb_circle_right", "Turning circle kerb to kerb", P::kTurns, false,
     G::kCircle, K::kLength, "diameter swept by the outermost tyre edge", kPlane},
    {kWallCircleLeft, "wall_circle_left", "Turning circle wall to wall", P::kTurns, true,
     G::kCircle, K::kLength, "diameter swept by the outer front corner of the body, square",
     kPlane},
    {kWallCircleRight, "wall_circle_right", "Turning circle wall to wall", P::kTurns, false,
     G::kCircle, K::kLength, "diameter swept by the outer front corner of the body, square",
     kPlane},
    {kOffTrackingLeft, "off_tracking_left", "Off-tracking", P::kTurns, true, G::kCircle, K::kLength,
     "how far the rear axle's middle runs inside the front axle's", kPlane},
    {kOffTrackingRight, "off_tracking_right", "Off-tracking", P::kTurns, false, G::kCircle,
     K::kLength, "how far the rear axle's middle runs inside the front axle's", kPlane},
    {kAckermannInnerLeft, "ackermann_inner_left", "Ackermann, same inner angle", P::kTurns, true,
     G::kCircle, K::kShare,
     "actual difference of the wheels over the ideal at the same inner angle", kPlane},
    {kAckermannInnerRight, "ackermann_inner_right", "Ackermann, same inner angle", P::kTurns, false,
     G::kCircle, K::kShare,
     "actual difference of the wheels over the ideal at the same inner angle", kPlane},
    {kAckermannCotLeft, "ackermann_cot_left", "Ackermann, by cotangents", P::kTurns, true,
     G::kCircle, K::kShare, "difference of cotangents over the ideal one", kPlane},
    {kAckermannCotRight, "ackermann_cot_right", "Ackermann, by cotangents", P::kTurns, false,
     G::kCircle, K::kShare, "difference of cotangents over the ideal one", kPlane},
    {kSteeringErrorLeft, "steering_error_left", "Outer wheel past the ideal", P::kTurns, true,
     G::kCircle, K::kAngle, "outer steer angle less the ideal one for the same inner angle",
     kPlane},
    {kSteeringErrorRight, "steering_error_right", "Outer wheel past the ideal", P::kTurns, false,
     G::kCircle, K::kAngle, "outer steer angle less the ideal one for the same inner angle",
     kPlane},
    {kForcedSlipLeft, "forced_slip_left", "Slip forced between the front wheels", P::kTurns, true,
     G::kCircle, K::kAngle,
     "how far the wheels point away from where the turn takes them, the two against each other",
     kPlane},
    {kForcedSlipRight, "forced_slip_right", "Slip forced between the front wheels", P::kTurns,
     false, G::kCircle, K::kAngle,
     "how far the wheels point away from where the turn takes them, the two against each other",
     kPlane},
    {kPlateLeft, "plate_left", "Turn plate less linkage, where they differ most", P::kWheels, true,
     G::kPlate, K::kAngle,
     "angle read less that solved at the same rack travel, to the left positive", kDerived},
    {kPlateRight, "plate_right", "Turn plate less linkage, where they differ most", P::kWheels,
     false, G::kPlate, K::kAngle,
     "angle read less that solved at the same rack travel, to the left positive", kDerived},
    {kToeLeft, "toe_left", "Toe", P::kWheels, true, G::kAlignment, K::kAngle, "toe-in positive",
     "ISO 8855:2011, 7.1.6"},
    {kToeRight, "toe_right", "Toe", P::kWheels, false, G::kAlignment, K::kAngle, "toe-in positive",
     "ISO 8855:2011, 7.1.6"},
    {kCamberLeft, "camber_left", "Camber", P::kWheels, true, G::kAlignment, K::kAngle,
     "true camber: fall of the wheel's axis, top out positive", kIso},
    {kCamberRight, "camber_right", "Camber", P::kWheels, false, G::kAlignment, K::kAngle,
     "true camber: fall of the wheel's axis, top out positive", kIso},
    {kCasterLeft, "caster_left", "Caster", P::kWheels, true, G::kAlignment, K::kAngle,
     "steering axis in side view, top rearward positive", kIso},
    {kCasterRight, "caster_right", "Caster", P::kWheels, false, G::kAlignment, K::kAngle,
     "steering axis in side view, top rearward positive", kIso},
    {kInclinationLeft, "inclination_left", "Steering-axis inclination", P::kWheels, true,
     G::kAlignment, K::kAngle, "steering axis in front view, top inboard positive", kIso},
    {kInclinationRight, "inclination_right", "Steering-axis inclination", P::kWheels, false,
     G::kAlignment, K::kAngle, "steering axis in front view, top inboard positive", kIso},
    {kScrubLeft, "scrub_left", "Scrub radius", P::kWheels, true, G::kAlignment, K::kLength,
     "axis to contact across the wheel's own frame, contact outboard positive", kIso},
    {kScrubRight, "scrub_right", "Scrub radius", P::kWheels, false, G::kAlignment, K::kLength,
     "axis to contact across the wheel's own frame, contact outboard positive", kIso},
    {kTrailLeft, "trail_left", "Mechanical trail", P::kWheels, true, G::kAlignment, K::kLength,
     "axis ahead of contact along the wheel's own frame, positive", kIso},
    {kTrailRight, "trail_right", "Mechanical trail", P::kWheels, false, G::kAlignment, K::kLength,
     "axis ahead of contact along the wheel's own frame, positive", kIso},
    {kBumpSteerLeft, "bump_steer_left", "Bump steer", P::kWheels, true, G::kBump,
     K::kAnglePerLength, "toe-in gained per wheel travel up, at design height", kDerived},
    {kBumpSteerRight, "bump_steer_right", "Bump steer", P::kWheels, false, G::kBump,
     K::kAnglePerLength, "toe-in gained per wheel travel up, at design height", kDerived},
    {kRollSteer, "roll_steer", "Roll steer", P::kNone, false, G::kBump, K::kRatio,
     "mean steer angle per body roll angle; positive turns the wheels left when the body rolls "
     "right",
     kDerived},
    {kRollCentre, "roll_centre", "Roll-centre height", P::kNone, false, G::kBump, K::kLength,
     "where the normals to both contact points' paths meet, above ground", kDerived},
    {kTieRodLeft, "tie_rod_left", "Tie rod, joint to joint", P::kWheels, true, G::kRods, K::kLength,
     "length at which the wheel stands as asked", kDerived},
    {kTieRodRight, "tie_rod_right", "Tie rod, joint to joint", P::kWheels, false, G::kRods,
     K::kLength, "length at which the wheel stands as asked", kDerived},
    {kPumpIdle, "pump_idle", "Pump speed at idle", P::kNone, false, G::kPump, K::kAngularSpeed,
     "engine idle times crank over pump pulley, no slip", kDrive},
    {kPumpCruise, "pump_cruise", "Pump speed at cruise", P::kNone, false, G::kPump,
     K::kAngularSpeed, "engine cruise speed times crank over pump pulley, no slip", kDrive},
    {kPumpTop, "pump_top", "Pump speed at the engine's top speed", P::kNone, false, G::kPump,
     K::kAngularSpeed, "engine top speed times crank over pump pulley, no slip", kDrive},
    {kKerbTorque, "kerb_torque", "Kerb, brake off, dry", P::kHand, true, G::kWeight, K::kTorque,
     "standing, rack centred, turned slowly to the left, engine idling", kEffort},
    {kKerbPull, "kerb_pull", "Kerb, brake off, dry", P::kHand, false, G::kWeight, K::kForce,
     "standing, rack centred, turned slowly to the left, engine idling", kEffort},
    {kKerbBrakeTorque, "kerb_brake_torque", "Kerb, brake on, dry", P::kHand, true, G::kWeight,
     K::kTorque, "standing, rack centred, turned slowly to the left, engine idling", kEffort},
    {kKerbBrakePull, "kerb_brake_pull", "Kerb, brake on, dry", P::kHand, false, G::kWeight,
     K::kForce, "standing, rack centred, turned slowly to the left, engine idling", kEffort},
    {kKerbWetTorque, "kerb_wet_torque", "Kerb, brake off, wet", P::kHand, true, G::kWeight,
     K::kTorque, "standing, rack centred, turned slowly to the left, engine idling", kEffort},
    {kKerbWetPull, "kerb_wet_pull", "Kerb, brake off, wet", P::kHand, false, G::kWeight, K::kForce,
     "standing, rack centred, turned slowly to the left, engine idling", kEffort},
    {kKerbLostTorque, "kerb_lost_torque", "Kerb, assist lost", P::kHand, true, G::kWeight,
     K::kTorque,
     "standing, brake off, dry, rack centred, turned slowly to the left, engine stalled", kEffort},
    {kKerbLostPull, "kerb_lost_pull", "Kerb, assist lost", P::kHand, false, G::kWeight, K::kForce,
     "standing, brake off, dry, rack centred, turned slowly to the left, engine stalled", kEffort},
    {kTownTorque, "town_torque", "Town: 50 km/h, 2 m/s²", P::kHand, true, G::kWeight, K::kTorque,
     "left bend, turning in slowly, engine at cruise speed", kEffort},
    {kTownPull, "town_pull", "Town: 50 km/h, 2 m/s²", P::kHand, false, G::kWeight, K::kForce,
     "left bend, turning in slowly, engine at cruise speed", kEffort},
    {kRoadTorque, "road_torque", "Road: 80 km/h, 3 m/s²", P::kHand, true, G::kWeight, K::kTorque,
     "left bend, turning in slowly, engine at cruise speed", kEffort},
    {kRoadPull, "road_pull", "Road: 80 km/h, 3 m/s²", P::kHand, false, G::kWeight, K::kForce,
     "left bend, turning in slowly, engine at cruise speed", kEffort},
    {kFastTorque, "fast_torque", "Fast road: 110 km/h, 3 m/s²", P::kHand, true, G::kWeight,
     K::kTorque, "left bend, turning in slowly, engine at cruise speed", kEffort},
    {kFastPull, "fast_pull", "Fast road: 110 km/h, 3 m/s²", P::kHand, false, G::kWeight, K::kForce,
     "left bend, turning in slowly, engine at cruise speed", kEffort},
    {kMotorwayTorque, "motorway_torque", "Motorway: 140 km/h, 2 m/s²", P::kHand, true, G::kWeight,
     K::kTorque, "left bend, turning in slowly, engine at cruise speed", kEffort},
    {kMotorwayPull, "motorway_pull", "Motorway: 140 km/h, 2 m/s²", P::kHand, false, G::kWeight,
     K::kForce, "left bend, turning in slowly, engine at cruise speed", kEffort},
    {kRoadLostTorque, "road_lost_torque", "Road, assist lost", P::kHand, true, G::kWeight,
     K::kTorque, "left bend at 80 km/h and 3 m/s², turning in slowly, engine stalled", kEffort},
    {kRoadLostPull, "road_lost_pull", "Road, assist lost", P::kHand, false, G::kWeight, K::kForce,
     "left bend at 80 km/h and 3 m/s², turning in slowly, engine stalled", kEffort},
    {kReturnTorque, "return_torque", "Return to centre, let go: 80 km/h, 3 m/s²", P::kNone, false,
     G::kWeight, K::kTorque,
     "torque with which the hand wheel comes back on its own; negative: it stays", kEffort},
    {kCentreGradient, "centre_gradient", "Torque per g of bend, on centre, 80 km/h", P::kNone,
     false, G::kWeight, K::kTorque, "middle between turning in and out, at 1 m/s², per g", kEffort},
    {kUndersteer, "understeer", "Understeer: steer per g beyond what the bend's shape asks",
     P::kNone, false, G::kHandling, K::kAngle,
     "of the road wheels; below zero the car oversteers; for gentle bends", kTwoWheel},
    {kCharacteristicSpeed, "characteristic_speed", "Characteristic speed", P::kNone, false,
     G::kHandling, K::kSpeed, "of an understeering car: where it answers most to the hand wheel",
     kTwoWheel},
    {kCriticalSpeed, "critical_speed", "Critical speed", P::kNone, false, G::kHandling, K::kSpeed,
     "of an oversteering car: from here on it runs away", kTwoWheel},
    {kOuterLoad, "outer_load", "Load on the outer front wheel, 3 m/s²", P::kNone, false,
     G::kHandling, K::kForce, "on the ground", kTransfer},
    {kInnerLoad, "inner_load", "Load on the inner front wheel, 3 m/s²", P::kNone, false,
     G::kHandling, K::kForce, "on the ground", kTransfer},
    {kRestPressure, "rest_pressure", "Hand wheel let go, engine idling", P::kPressure, true,
     G::kOil, K::kPressureGauge, "at the pump's outlet, rack at rest", kOil},
    {kRestFlow, "rest_flow", "Hand wheel let go, engine idling", P::kPressure, false, G::kOil,
     K::kFlow, "by the pump, at that pressure", kOil},
    {kKerbPressure, "kerb_pressure", "Kerb, brake off, dry", P::kPressure, true, G::kOil,
     K::kPressureGauge, "at the pump's outlet, engine idling, turned slowly", kOil},
    {kIdleFlow, "idle_flow", "Kerb, brake off, dry", P::kPressure, false, G::kOil, K::kFlow,
     "by the pump, at that pressure", kOil},
    {kTownPressure, "town_pressure", "Town: 50 km/h, 2 m/s²", P::kPressure, true, G::kOil,
     K::kPressureGauge, "at the pump's outlet, engine at cruise speed, turned slowly", kOil},
    {kTownFlow, "town_flow", "Town: 50 km/h, 2 m/s²", P::kPressure, false, G::kOil, K::kFlow,
     "by the pump, at that pressure", kOil},
    {kRoadPressure, "road_pressure", "Road: 80 km/h, 3 m/s²", P::kPressure, true, G::kOil,
     K::kPressureGauge, "at the pump's outlet, engine at cruise speed, turned slowly", kOil},
    {kRoadFlow, "road_flow", "Road: 80 km/h, 3 m/s²", P::kPressure, false, G::kOil, K::kFlow,
     "by the pump, at that pressure", kOil},
    {kFastPressure, "fast_pressure", "Fast road: 110 km/h, 3 m/s²", P::kPressure, true, G::kOil,
     K::kPressureGauge, "at the pump's outlet, engine at cruise speed, turned slowly", kOil},
    {kFastFlow, "fast_flow", "Fast road: 110 km/h, 3 m/s²", P::kPressure, false, G::kOil, K::kFlow,
     "by the pump, at that pressure", kOil},
    {kMotorwayPressure, "motorway_pressure", "Motorway: 140 km/h, 2 m/s²", P::kPressure, true,
     G::kOil, K::kPressureGauge, "at the pump's outlet, engine at cruise speed, turned slowly",
     kOil},
    {kMotorwayFlow, "motorway_flow", "Motorway: 140 km/h, 2 m/s²", P::kPressure, false, G::kOil,
     K::kFlow, "by the pump, at that pressure", kOil},
    {kFullFlowFrom, "full_flow_from",
     "Pump speed from which its flow is full, at the kerb's pressure", P::kNone, false, G::kOil,
     K::kAngularSpeed, "speed of the pump; beyond it a smaller pulley brings no more oil", kOil},
    {kAskedFlow, "asked_flow", "Flow asked for at 1 turn/s of the hand wheel, or your limit",
     P::kNone, false, G::kOil, K::kFlow,
     "by the piston, rack centred; limits.hand_wheel_speed is your own", kOil},
    {kInletPressure, "inlet_pressure", "Pressure at the pump's inlet, coldest oil, idling",
     P::kNone, false, G::kOil, K::kPressureAbsolute, "wheel straight ahead, just started", kOil},
    {kRackPush, "rack_push", "Push of the oil on the rack at its relief pressure", P::kNone, false,
     G::kOil, K::kForce, "piston ring times relief pressure: rack, joints and arms must bear it",
     "force of a piston"},
    {kCatchUpLeft, "catch_up_left", "Hand wheel outruns the pump at", P::kTurns, true, G::kOil,
     K::kAngularSpeed, "hand-wheel speed at idle at which half of the kerb's assistance is left",
     kOil},
    {kCatchUpRight, "catch_up_right", "Hand wheel outruns the pump at", P::kTurns, false, G::kOil,
     K::kAngularSpeed, "hand-wheel speed at idle at which half of the kerb's assistance is left",
     kOil},
    {kCatchUpPistonLeft, "catch_up_piston_left", "Its oil then: taken by the piston", P::kTurns,
     true, G::kOil, K::kFlow, "piston ring times rack speed, at the speed that outruns the pump",
     kOil},
    {kCatchUpPistonRight, "catch_up_piston_right", "Its oil then: taken by the piston", P::kTurns,
     false, G::kOil, K::kFlow, "piston ring times rack speed, at the speed that outruns the pump",
     kOil},
    {kCatchUpValveLeft, "catch_up_valve_left", "Its oil then: let past by the steering valve",
     P::kTurns, true, G::kOil, K::kFlow, "to the return, its twist at the stop", kOil},
    {kCatchUpValveRight, "catch_up_valve_right", "Its oil then: let past by the steering valve",
     P::kTurns, false, G::kOil, K::kFlow, "to the return, its twist at the stop", kOil},
    {kCatchUpControlLeft, "catch_up_control_left", "Its oil then: let past by control valves",
     P::kTurns, true, G::kOil, K::kFlow, "around the steering valve or the piston", kOil},
    {kCatchUpControlRight, "catch_up_control_right", "Its oil then: let past by control valves",
     P::kTurns, false, G::kOil, K::kFlow, "around the steering valve or the piston", kOil},
    {kParkingOil, "parking_oil", "Turning at the kerb on and on, engine idling", P::kOil, true,
     G::kHeat, K::kTemperature, "where the oil's temperature settles", kOil},
    {kParkingHeat, "parking_heat", "Turning at the kerb on and on, engine idling", P::kOil, false,
     G::kHeat, K::kPower, "taken from the engine and turned to heat, at that temperature", kOil},
    {kParkingHeatPump, "parking_heat_pump", "Turning at the kerb on and on, engine idling",
     P::kHeat, true, G::kHeat, K::kPower,
     "of that heat: by the pump's friction and leak, and by what its flow control and relief valve "
     "send back",
     kOil},
    {kParkingHeatCircuit, "parking_heat_circuit", "Turning at the kerb on and on, engine idling",
     P::kHeat, false, G::kHeat, K::kPower,
     "of that heat: outlet pressure and what the inlet hose loses, times flow delivered, less the "
     "work on the rack (none, it is held)",
     kOil},
    {kRoadOil, "road_oil", "Road: straight ahead, cruise speed", P::kOil, true, G::kHeat,
     K::kTemperature, "where the oil's temperature settles", kOil},
    {kRoadHeat, "road_heat", "Road: straight ahead, cruise speed", P::kOil, false, G::kHeat,
     K::kPower, "taken from the engine and turned to heat, at that temperature", kOil},
    {kRoadHeatPump, "road_heat_pump", "Road: straight ahead, cruise speed", P::kHeat, true,
     G::kHeat, K::kPower,
     "of that heat: by the pump's friction and leak, and by what its flow control and relief valve "
     "send back",
     kOil},
    {kRoadHeatCircuit, "road_heat_circuit", "Road: straight ahead, cruise speed", P::kHeat, false,
     G::kHeat, K::kPower,
     "of that heat: outlet pressure and what the inlet hose loses, times flow delivered, less the "
     "work on the rack (none, it is held)",
     kOil},
    {kHillOil, "hill_oil", "Hill or track: 80 km/h, 3 m/s² on and on, top engine speed", P::kOil,
     true, G::kHeat, K::kTemperature, "where the oil's temperature settles", kOil},
    {kHillHeat, "hill_heat", "Hill or track: 80 km/h, 3 m/s² on and on, top engine speed", P::kOil,
     false, G::kHeat, K::kPower, "taken from the engine and turned to heat, at that temperature",
     kOil},
    {kHillHeatPump, "hill_heat_pump", "Hill or track: 80 km/h, 3 m/s² on and on, top engine speed",
     P::kHeat, true, G::kHeat, K::kPower,
     "of that heat: by the pump's friction and leak, and by what its flow control and relief valve "
     "send back",
     kOil},
    {kHillHeatCircuit, "hill_heat_circuit",
     "Hill or track: 80 km/h, 3 m/s² on and on, top engine speed", P::kHeat, false, G::kHeat,
     K::kPower,
     "of that heat: outlet pressure and what the inlet hose loses, times flow delivered, less the "
     "work on the rack (none, it is held)",
     kOil},
    {kLockHeat, "lock_heat", "Held against the lock, engine idling: heat made", P::kNone, false,
     G::kHeat, K::kPower,
     "steering valve at its stop, rack held, at the oil's usual temperature: for seconds only, no "
     "cooler carries it off",
     kOil},
    {kBeltWrap, "belt_wrap", "Wrap of the belt on the pump", P::kNone, false, G::kBelt, K::kAngle,
     "angle over which the belt touches, with the belt fitted, else slackest", kBelt},
    {kBeltShortest, "belt_shortest", "Belt that fits, effective length", P::kBelt, true, G::kBelt,
     K::kLength, "with the tensioner at the slack end of its range", kBelt},
    {kBeltLongest, "belt_longest", "Belt that fits, effective length", P::kBelt, false, G::kBelt,
     K::kLength, "with the tensioner at the tight end of its range", kBelt},
    {kBeltSizeBelow, "belt_size_below", "Sizes sold next to the middle of that", P::kBelt, true,
     G::kBelt, K::kLength, "whole number of the steps in which such belts are sold", kBelt},
    {kBeltSizeAbove, "belt_size_above", "Sizes sold next to the middle of that", P::kBelt, false,
     G::kBelt, K::kLength, "whole number of the steps in which such belts are sold", kBelt},
    {kTensioner, "tensioner", "Tensioner in its slot, with the belt fitted", P::kNone, false,
     G::kBelt, K::kLength, "from the slack end", kBelt},
    {kTensionerArm, "tensioner_arm", "Tensioner's arm swung, with the belt fitted", P::kNone, false,
     G::kBelt, K::kAngle, "from where the belt is slackest", kBelt},
    {kSpringTension, "spring_tension", "Tension that the tensioner's spring gives the belt",
     P::kNone, false, G::kBelt, K::kForce, "beside the tensioner, with the belt fitted", kBelt},
    {kBeltGripKerb, "belt_grip_kerb", "Grip used where most, turning at the kerb, engine idling",
     P::kNone, false, G::kBelt, K::kShare, "100 % slips", kBelt},
    {kBeltGripIdle, "belt_grip_idle", "Grip used where most, pump at its relief, engine idling",
     P::kNone, false, G::kBelt, K::kShare, "100 % slips", kBelt},
    {kBeltGripTop, "belt_grip_top", "Grip used where most, pump at its relief, top engine speed",
     P::kNone, false, G::kBelt, K::kShare, "100 % slips", kBelt},
    {kCoilCurrent, "coil_current", "Coil current, standing", P::kValves, true, G::kElectrics,
     K::kCurrent, "as driver and wiring give it", kWiring},
    {kSecondCoilCurrent, "second_coil_current", "Coil current, standing", P::kValves, false,
     G::kElectrics, K::kCurrent, "as driver and wiring give it", kWiring},
    {kCoilRoadCurrent, "coil_road_current", "Coil current at 80 km/h", P::kValves, true,
     G::kElectrics, K::kCurrent, "as driver and wiring give it", kWiring},
    {kSecondCoilRoadCurrent, "second_coil_road_current", "Coil current at 80 km/h", P::kValves,
     false, G::kElectrics, K::kCurrent, "as driver and wiring give it", kWiring},
    {kCoilResistance, "coil_resistance", "Meter on the coil, plug off, warm", P::kValves, true,
     G::kElectrics, K::kResistance, "copper at the temperature of the coils", kCopper},
    {kSecondCoilResistance, "second_coil_resistance", "Meter on the coil, plug off, warm",
     P::kValves, false, G::kElectrics, K::kResistance, "copper at the temperature of the coils",
     kCopper},
    {kCoilVoltage, "coil_voltage", "Meter across the coil, plugged in, standing", P::kValves, true,
     G::kElectrics, K::kVoltage, "mean, when the driver switches", kWiring},
    {kSecondCoilVoltage, "second_coil_voltage", "Meter across the coil, plugged in, standing",
     P::kValves, false, G::kElectrics, K::kVoltage, "mean, when the driver switches", kWiring},
    {kCoilDuty, "coil_duty", "Share of time switched on, standing", P::kValves, true, G::kElectrics,
     K::kShare, "of a driver that switches, its diode's drop left out", kWiring},
    {kSecondCoilDuty, "second_coil_duty", "Share of time switched on, standing", P::kValves, false,
     G::kElectrics, K::kShare, "of a driver that switches, its diode's drop left out", kWiring},
    {kOpening, "opening", "Opening, standing", P::kValves, true, G::kElectrics, K::kArea,
     "of a round hole that passes as much", kOil},
    {kSecondOpening, "second_opening", "Opening, standing", P::kValves, false, G::kElectrics,
     K::kArea, "of a round hole that passes as much", kOil},
    {kRoadOpening, "road_opening", "Opening at 80 km/h", P::kValves, true, G::kElectrics, K::kArea,
     "of a round hole that passes as much", kOil},
    {kSecondRoadOpening, "second_road_opening", "Opening at 80 km/h", P::kValves, false,
     G::kElectrics, K::kArea, "of a round hole that passes as much", kOil},
    {kShareLetIn, "share_let_in", "Share of the supply pressure let in, standing", P::kValves, true,
     G::kElectrics, K::kShare, "of a reaction valve", kOil},
    {kSecondShareLetIn, "second_share_let_in", "Share of the supply pressure let in, standing",
     P::kValves, false, G::kElectrics, K::kShare, "of a reaction valve", kOil},
    {kRoadShareLetIn, "road_share_let_in", "Share of the supply pressure let in, 80 km/h",
     P::kValves, true, G::kElectrics, K::kShare, "of a reaction valve", kOil},
    {kSecondRoadShareLetIn, "second_road_share_let_in",
     "Share of the supply pressure let in, 80 km/h", P::kValves, false, G::kElectrics, K::kShare,
     "of a reaction valve", kOil},
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

bool DecidesChoice(Output id) {
  using enum Output;
  constexpr std::array kDeciding{kTurns,           kRatioCentre,        kKerbCircleLeft,
                                 kKerbCircleRight, kAckermannInnerLeft, kAckermannInnerRight,
                                 kScrubLeft,       kTrailLeft,          kBumpSteerLeft,
                                 kBumpSteerRight,  kPumpIdle,           kPumpTop,
                                 kKerbTorque,      kKerbLostTorque,     kRoadTorque,
                                 kFastTorque,      kMotorwayTorque,     kReturnTorque,
                                 kCentreGradient,  kRestPressure,       kKerbPressure,
                                 kIdleFlow,        kRoadPressure,       kCatchUpLeft,
                                 kCatchUpRight,    kParkingOil,         kHillOil,
                                 kBeltGripTop};
  return std::ranges::find(kDeciding, id) != kDeciding.end();
}

std::string_view SideOf(Pair pair, bool left) {
  switch (pair) {
    case P::kWheels:
      return left ? "left wheel" : "right wheel";
    case P::kTurns:
      return left ? "left turn" : "right turn";
    case P::kRack:
      return left ? "rack to the left" : "rack to the right";
    case P::kHand:
      return left ? "torque" : "pull at the rim";
    case P::kPressure:
      return left ? "pressure" : "flow delivered";
    case P::kOil:
      return left ? "oil settles at" : "heat made";
    case P::kHeat:
      return left ? "heat in pump" : "heat in circuit";
    case P::kBelt:
      return left ? "shorter" : "longer";
    case P::kValves:
      return left ? "control valve" : "second one";
    case P::kNone:
      break;
  }
  return "";
}

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
    case G::kWeight:
      return "What the hand wheel weighs, turned slowly: kerb at idle, rack centred; road at "
             "cruise speed";
    case G::kHandling:
      return "The car in a bend";
    case G::kOil:
      return "Oil, the hand wheel turned slowly: kerb at idle, road at cruise speed";
    case G::kHeat:
      return "How hot the oil gets";
    case G::kBelt:
      return "Belt";
    case G::kElectrics:
      return "Control valves and their coils";
    case G::kPlate:
      return "Turn-plate readings against the linkage";
  }
  return "";
}

}  // namespace steerbench
