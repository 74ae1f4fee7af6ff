// The car: what stays whatever parts are fitted. Plain data; S is Quantity in a document and a
// scalar of the engine (SI, radians) when computed with. Unset means unknown.
#pragma once

#include "model/fitting.h"

namespace steerbench {

enum class Suspension : std::uint8_t { kDoubleWishbone, kFiveLink, kStrut };
template <>
struct Words<Suspension> {
  static constexpr std::array<std::string_view, 3> value{"double wishbone", "five-link", "strut"};
};

enum class Side : std::uint8_t { kLeft, kRight };
template <>
struct Words<Side> {
  static constexpr std::array<std::string_view, 2> value{"left", "right"};
};

// Which way the steering arm points from the steering axis to the outer joint.
enum class ArmDirection : std::uint8_t { kAhead, kBehind };
template <>
struct Words<ArmDirection> {
  static constexpr std::array<std::string_view, 2> value{"ahead", "behind"};
};

// Points of one front corner at design position, in car axes: x forward, y left, z up, origin on
// the ground midway between the front wheel centres. The left corner has positive y.
template <class S>
struct CornerPoints {
  // Double wishbone: two inner pivots and one ball joint per arm.
  std::optional<Point<S>> upper_pivot_front, upper_pivot_rear, upper_ball_joint;
  // Double wishbone and strut.
  std::optional<Point<S>> lower_pivot_front, lower_pivot_rear, lower_ball_joint;
  // Strut: its top mount, and any other point on the line along which it slides.
  std::optional<Point<S>> strut_top, strut_lower;
  // Five-link: four single links, inner and outer end (the tie rod is the fifth).
  std::optional<Point<S>> link_1_inner, link_1_outer, link_2_inner, link_2_outer;
  std::optional<Point<S>> link_3_inner, link_3_outer, link_4_inner, link_4_outer;
  // All kinds.
  std::optional<Point<S>> tie_rod_inner, tie_rod_outer, wheel_centre;
  std::optional<Point<S>> outer_joint_stud;  // direction of the outer joint's stud
  std::optional<S> toe, camber;              // as the points were measured

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kLength;
    v(FieldInfo{"upper_pivot_front", k, "upper arm, front inner pivot"}, a.upper_pivot_front...);
    v(FieldInfo{"upper_pivot_rear", k, "upper arm, rear inner pivot"}, a.upper_pivot_rear...);
    v(FieldInfo{"upper_ball_joint", k, "upper ball joint, centre of its ball"},
      a.upper_ball_joint...);
    v(FieldInfo{"lower_pivot_front", k, "lower arm, front inner pivot"}, a.lower_pivot_front...);
    v(FieldInfo{"lower_pivot_rear", k, "lower arm, rear inner pivot"}, a.lower_pivot_rear...);
    v(FieldInfo{"lower_ball_joint", k, "lower ball joint, centre of its ball"},
      a.lower_ball_joint...);
    v(FieldInfo{"strut_top", k, "strut: pivot centre of the top mount"}, a.strut_top...);
    v(FieldInfo{"strut_lower", k, "strut: any other point on the line it slides along"},
      a.strut_lower...);
    v(FieldInfo{"link_1_inner", k, "five-link: inner end of link 1"}, a.link_1_inner...);
    v(FieldInfo{"link_1_outer", k, "five-link: outer end of link 1"}, a.link_1_outer...);
    v(FieldInfo{"link_2_inner", k, "five-link: inner end of link 2"}, a.link_2_inner...);
    v(FieldInfo{"link_2_outer", k, "five-link: outer end of link 2"}, a.link_2_outer...);
    v(FieldInfo{"link_3_inner", k, "five-link: inner end of link 3"}, a.link_3_inner...);
    v(FieldInfo{"link_3_outer", k, "five-link: outer end of link 3"}, a.link_3_outer...);
    v(FieldInfo{"link_4_inner", k, "five-link: inner end of link 4"}, a.link_4_inner...);
    v(FieldInfo{"link_4_outer", k, "five-link: outer end of link 4"}, a.link_4_outer...);
    v(FieldInfo{"tie_rod_inner", k, "inner tie-rod joint, rack centred, no spacer fitted"},
      a.tie_rod_inner...);
    v(FieldInfo{"tie_rod_outer", k, "outer tie-rod joint, centre of its ball"}, a.tie_rod_outer...);
    v(FieldInfo{"wheel_centre", k, "wheel centre; its height is the loaded radius"},
      a.wheel_centre...);
    v(FieldInfo{"outer_joint_stud", k, "direction of the outer joint's stud, any length"},
      a.outer_joint_stud...);
    v(FieldInfo{"toe", Kind::kAngle, "toe of this wheel when the points were measured, in is +"},
      a.toe...);
    v(FieldInfo{"camber", Kind::kAngle, "camber when the points were measured, top out is +"},
      a.camber...);
  }
};

// Front axle from above (both sides alike): what a tape finds without points in space.
template <class S>
struct PlanView {
  std::optional<S> axis_spacing, arm_length, arm_angle, rack_offset, joint_span;
  std::optional<ArmDirection> arm;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"axis_spacing", Kind::kLength,
                "distance of the two steering axes at the height of the outer tie-rod joints",
                Range::kPositive},
      a.axis_spacing...);
    v(FieldInfo{"arm_length", Kind::kLength, "steering axis to outer joint, square to the axis",
                Range::kPositive},
      a.arm_length...);
    v(FieldInfo{"arm_angle", Kind::kAngle,
                "arm against the car's length, outer joint inboard is +"},
      a.arm_angle...);
    v(FieldInfo{"arm", Kind::kRatio, "outer joint ahead of or behind the steering axis"}, a.arm...);
    v(FieldInfo{"rack_offset", Kind::kLength,
                "inner joints ahead (+) or behind (-) the line between the steering axes"},
      a.rack_offset...);
    v(FieldInfo{"joint_span", Kind::kLength, "inner joint to inner joint, rack centred",
                Range::kPositive},
      a.joint_span...);
  }
};

// One row of a turn-plate reading.
template <class S>
struct TurnPlateRow {
  std::optional<S> travel, left, right;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"travel", Kind::kLength, "rack travel from centre, to the car's left is +"},
      a.travel...);
    v(FieldInfo{"left", Kind::kAngle, "left wheel, turned to the left is +"}, a.left...);
    v(FieldInfo{"right", Kind::kAngle, "right wheel, turned to the left is +"}, a.right...);
  }
};

// A thing that the tyre must not touch.
template <class S>
struct Obstacle {
  std::string name;
  std::optional<Point<S>> at;
  std::optional<S> gap;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"name", Kind::kRatio, "what it is: rail, arm, brake hose"}, a.name...);
    v(FieldInfo{"at", Kind::kLength, "its nearest point to the tyre"}, a.at...);
    v(FieldInfo{"gap", Kind::kLength, "gap that must be left", Range::kNotNegative}, a.gap...);
  }
};

// Steer angles at which a tyre touches something, measured by turning the wheel by hand.
template <class S>
struct TyreTouch {
  std::optional<S> left_wheel_left, left_wheel_right, right_wheel_left, right_wheel_right;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kAngle;
    v(FieldInfo{"left_wheel_left", k, "left wheel turned left: angle at which the tyre touches",
                Range::kPositive},
      a.left_wheel_left...);
    v(FieldInfo{"left_wheel_right", k, "left wheel turned right: angle at which the tyre touches",
                Range::kPositive},
      a.left_wheel_right...);
    v(FieldInfo{"right_wheel_left", k, "right wheel turned left: angle at which the tyre touches",
                Range::kPositive},
      a.right_wheel_left...);
    v(FieldInfo{"right_wheel_right", k, "right wheel turned right: angle at which the tyre touches",
                Range::kPositive},
      a.right_wheel_right...);
  }
};

// The tyres of one axle.
template <class S>
struct Tyre {
  std::optional<S> pressure, friction, friction_wet, tread_width, patch_length, cornering_stiffness;
  std::optional<S> load_exponent;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"pressure", Kind::kPressureGauge, "inflation pressure, cold", Range::kPositive},
      a.pressure...);
    v(FieldInfo{"friction", Kind::kRatio, "friction on dry ground, from a pull with a locked wheel",
                Range::kPositive},
      a.friction...);
    v(FieldInfo{"friction_wet", Kind::kRatio, "friction on wet ground", Range::kPositive},
      a.friction_wet...);
    v(FieldInfo{"tread_width", Kind::kLength, "width of the tread on the ground", Range::kPositive},
      a.tread_width...);
    v(FieldInfo{"patch_length", Kind::kLength,
                "length of the patch on the ground: slide two cards in, tape between",
                Range::kPositive},
      a.patch_length...);
    v(FieldInfo{"cornering_stiffness", Kind::kForcePerAngle,
                "side force of one tyre per slip angle, at small angles", Range::kPositive},
      a.cornering_stiffness...);
    v(FieldInfo{"load_exponent", Kind::kRatio,
                "cornering stiffness goes as this power of the load: 0 not at all, 1 in proportion",
                Range::kNotNegative},
      a.load_exponent...);
  }
};

template <class S>
struct FrontAxle {
  std::optional<Suspension> suspension;
  CornerPoints<S> left, right;  // an empty right corner mirrors the left one
  PlanView<S> plan;
  std::vector<TurnPlateRow<S>> turn_plate;
  std::optional<S> track, axis_spacing, jounce, rebound;
  std::optional<S> tyre_width, tyre_radius, rim_diameter;
  Tyre<S> tyre;
  TyreTouch<S> tyre_touch;
  std::vector<Obstacle<S>> obstacle;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kLength;
    v(FieldInfo{"suspension", Kind::kRatio, "how each front wheel is carried"}, a.suspension...);
    v(FieldInfo{"left", k, "points of the left corner"}, a.left...);
    v(FieldInfo{"right", k, "points of the right corner; leave out when it mirrors the left"},
      a.right...);
    v(FieldInfo{"plan", k, "the linkage from above, where points in space are not known"},
      a.plan...);
    v(FieldInfo{"turn_plate", k, "wheel angles read on turn plates"}, a.turn_plate...);
    v(FieldInfo{"track", k, "centre to centre of the front tyres at the ground", Range::kPositive},
      a.track...);
    v(FieldInfo{"axis_spacing", k, "distance of the two steering axes at the ground",
                Range::kPositive},
      a.axis_spacing...);
    v(FieldInfo{"jounce", k, "wheel travel up from design position to the bump stop",
                Range::kNotNegative},
      a.jounce...);
    v(FieldInfo{"rebound", k, "wheel travel down to full droop, as a positive length",
                Range::kNotNegative},
      a.rebound...);
    v(FieldInfo{"tyre_width", k, "tyre section width", Range::kPositive}, a.tyre_width...);
    v(FieldInfo{"tyre_radius", k, "tyre radius unloaded", Range::kPositive}, a.tyre_radius...);
    v(FieldInfo{"rim_diameter", k, "rim diameter at which toe is measured as a length",
                Range::kPositive},
      a.rim_diameter...);
    v(FieldInfo{"tyre", k, "the front tyres"}, a.tyre...);
    v(FieldInfo{"tyre_touch", k, "steer angles at which a tyre touches"}, a.tyre_touch...);
    v(FieldInfo{"obstacle", k, "points that a tyre must stay clear of"}, a.obstacle...);
  }
};

// A universal joint of the steering column.
template <class S>
struct ColumnJoint {
  std::optional<S> angle, phase;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"angle", Kind::kAngle, "bend between the two shafts of this joint"}, a.angle...);
    v(
        FieldInfo{
            "phase", Kind::kAngle,
            "its upper fork against the plane of its own bend, straight ahead, to the left is +"},
        a.phase...);
  }
};

template <class S>
struct Column {
  std::vector<ColumnJoint<S>> joint;
  std::optional<S> coil_turns, rim_diameter;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"joint", Kind::kAngle, "universal joints, from the hand wheel down"}, a.joint...);
    v(FieldInfo{"coil_turns", Kind::kAngle,
                "turns that a contact coil in the column allows, in all", Range::kPositive},
      a.coil_turns...);
    v(FieldInfo{"rim_diameter", Kind::kLength, "hand-wheel diameter, over the middle of the rim",
                Range::kPositive},
      a.rim_diameter...);
  }
};

template <class S>
struct Engine {
  std::optional<S> idle, cruise, top, crank_pulley;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"idle", Kind::kAngularSpeed, "engine speed at idle", Range::kPositive}, a.idle...);
    v(FieldInfo{"cruise", Kind::kAngularSpeed, "engine speed on a fast road", Range::kPositive},
      a.cruise...);
    v(FieldInfo{"top", Kind::kAngularSpeed, "highest engine speed used", Range::kPositive},
      a.top...);
    v(FieldInfo{"crank_pulley", Kind::kLength, "effective diameter of the crank pulley",
                Range::kPositive},
      a.crank_pulley...);
  }
};

// What a pulley of the belt drive belongs to.
enum class PulleyOf : std::uint8_t { kCrank, kPump, kOther };
template <>
struct Words<PulleyOf> {
  static constexpr std::array<std::string_view, 3> value{"crank", "pump", "other"};
};

// One pulley of the belt drive, seen from the front of the engine.
template <class S>
struct DrivePulley {
  std::string name;
  std::optional<PulleyOf> of;
  std::optional<S> right, up, diameter, power;
  std::optional<bool> back;
  std::optional<S> slot, slot_angle;
  std::optional<S> pivot_right, pivot_up, swing, spring;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kLength;
    v(FieldInfo{"name", Kind::kRatio, "what it is: crank, pump, alternator, idler"}, a.name...);
    v(FieldInfo{"of", Kind::kRatio, "whose diameter it has: the engine's, the setup's, or its own"},
      a.of...);
    v(FieldInfo{"right", k, "its centre, to the right of the crank's as seen from the front"},
      a.right...);
    v(FieldInfo{"up", k, "its centre, above the crank's"}, a.up...);
    v(FieldInfo{"diameter", k, "other: diameter, measured as the crank pulley's", Range::kPositive},
      a.diameter...);
    v(FieldInfo{"back", Kind::kRatio, "true when the belt's back runs on it"}, a.back...);
    v(FieldInfo{"power", Kind::kPower, "other: what it takes from the belt, an idler none",
                Range::kNotNegative},
      a.power...);
    v(FieldInfo{"slot", k,
                "one that tensions: length of its slot; its centre given is the slot's "
                "end with the slackest belt",
                Range::kPositive},
      a.slot...);
    v(FieldInfo{"slot_angle", Kind::kAngle,
                "direction in which it moves to tension, from the right towards up"},
      a.slot_angle...);
    v(FieldInfo{"pivot_right", k,
                "one that tensions on an arm: the arm's pivot, to the right of the crank's centre; "
                "the pulley's centre given is that with the slackest belt"},
      a.pivot_right...);
    v(FieldInfo{"pivot_up", k, "that pivot, above the crank's centre"}, a.pivot_up...);
    v(FieldInfo{"swing", Kind::kAngle,
                "how far that arm swings to tension until its end, from the right towards up is +"},
      a.swing...);
    v(FieldInfo{"spring", Kind::kTorque,
                "of an arm that is sprung: torque about its pivot where the belt holds it",
                Range::kPositive},
      a.spring...);
  }
};

// The belt that drives the pump.
template <class S>
struct BeltDrive {
  std::optional<S> line_differential, back_distance, length_step, tension;
  std::vector<DrivePulley<S>> pulley;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kLength;
    v(FieldInfo{"line_differential", k,
                "belt's cords outside the diameters stated: 2 mm for PK belts, 0 where measured at "
                "the cords",
                Range::kNotNegative},
      a.line_differential...);
    v(FieldInfo{"back_distance", k, "belt's back to its cords, where a pulley runs on the back",
                Range::kNotNegative},
      a.back_distance...);
    v(FieldInfo{"length_step", k, "step in which such belts are sold", Range::kPositive},
      a.length_step...);
    v(FieldInfo{"tension", Kind::kForce,
                "tension of the belt at rest, bolted tight; a spring makes its own",
                Range::kPositive},
      a.tension...);
    v(FieldInfo{"pulley", k, "its pulleys, in the order in which the running belt meets them"},
      a.pulley...);
  }
};

// Friction of the steering outside rack and pinion.
template <class S>
struct SteeringFriction {
  std::optional<S> joints, column;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"joints", Kind::kTorque,
                "to turn one wheel about its steering axis, off the ground, tie rod off",
                Range::kNotNegative},
      a.joints...);
    v(FieldInfo{"column", Kind::kTorque, "to turn the hand wheel with the column off the rack",
                Range::kNotNegative},
      a.column...);
  }
};

// Lines and oil as laid in the car.
template <class S>
struct OilCircuit {
  std::optional<S> pressure_length, pressure_bore, return_length, return_bore, hose_working;
  std::optional<S> temperature, cooling, surroundings;
  std::optional<S> inlet_length, inlet_bore, inlet_head, coldest;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kLength;
    v(FieldInfo{"pressure_length", k, "pump to rack: length", Range::kPositive},
      a.pressure_length...);
    v(FieldInfo{"pressure_bore", k, "pump to rack: inner diameter", Range::kPositive},
      a.pressure_bore...);
    v(FieldInfo{"return_length", k, "rack through cooler to reservoir: length", Range::kPositive},
      a.return_length...);
    v(FieldInfo{"return_bore", k, "rack to reservoir: inner diameter", Range::kPositive},
      a.return_bore...);
    v(FieldInfo{"hose_working", Kind::kPressureGauge, "working pressure printed on the hose",
                Range::kPositive},
      a.hose_working...);
    v(FieldInfo{"temperature", Kind::kTemperature, "oil temperature to compute at", Range::kOnCar},
      a.temperature...);
    v(FieldInfo{"cooling", Kind::kCooling,
                "heat shed by cooler, lines and reservoir per degree over the air",
                Range::kPositive},
      a.cooling...);
    v(FieldInfo{"surroundings", Kind::kTemperature, "air around cooler and lines", Range::kOnCar},
      a.surroundings...);
    v(FieldInfo{"inlet_length", k, "reservoir to pump: length of the hose", Range::kPositive},
      a.inlet_length...);
    v(FieldInfo{"inlet_bore", k, "reservoir to pump: inner diameter", Range::kPositive},
      a.inlet_bore...);
    v(FieldInfo{"inlet_head", k, "oil level above the pump's inlet"}, a.inlet_head...);
    v(FieldInfo{"coldest", Kind::kTemperature, "coldest oil with which the engine is started",
                Range::kOnCar},
      a.coldest...);
  }
};

// What the driver of the control valves asks for at a road speed.
template <class S>
struct CurrentRow {
  std::optional<S> road_speed, current;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"road_speed", Kind::kSpeed, "road speed", Range::kNotNegative}, a.road_speed...);
    v(FieldInfo{"current", Kind::kCurrent, "current it asks for there", Range::kNotNegative},
      a.current...);
  }
};

// The driver of the control valves.
template <class S>
struct Driver {
  std::optional<S> voltage, resistance, limit, coil_temperature;
  std::vector<CurrentRow<S>> current;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"voltage", Kind::kVoltage, "supply, engine running", Range::kPositive},
      a.voltage...);
    v(FieldInfo{"resistance", Kind::kResistance, "inside the driver and its wires",
                Range::kNotNegative},
      a.resistance...);
    v(FieldInfo{"limit", Kind::kCurrent, "most that it gives", Range::kPositive}, a.limit...);
    v(FieldInfo{"coil_temperature", Kind::kTemperature, "of the coils, warm from driving",
                Range::kOnCar},
      a.coil_temperature...);
    v(FieldInfo{"current", Kind::kCurrent, "what it asks for against road speed"}, a.current...);
  }
};

template <class S>
struct Car {
  std::string name, note;
  std::optional<S> wheelbase, body_width, front_overhang, rear_track;
  std::optional<S> front_mass, rear_mass, cg_height, roll_share;
  FrontAxle<S> front;
  Tyre<S> rear_tyre;
  Column<S> column;
  Engine<S> engine;
  BeltDrive<S> drive;
  SteeringFriction<S> friction;
  OilCircuit<S> oil;
  Driver<S> driver;
  std::vector<Face> face;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kLength;
    v(FieldInfo{"name", Kind::kRatio, "what you call the car"}, a.name...);
    v(FieldInfo{"note", Kind::kRatio, "anything worth keeping"}, a.note...);
    v(FieldInfo{"wheelbase", k, "front to rear wheel centre", Range::kPositive}, a.wheelbase...);
    v(FieldInfo{"body_width", k, "widest part of the body at its front corners", Range::kPositive},
      a.body_width...);
    v(FieldInfo{"front_overhang", k, "front wheel centre to the foremost point",
                Range::kNotNegative},
      a.front_overhang...);
    v(FieldInfo{"rear_track", k, "centre to centre of the rear tyres", Range::kPositive},
      a.rear_track...);
    v(FieldInfo{"front_mass", Kind::kMass, "on scales under both front wheels, driver aboard",
                Range::kPositive},
      a.front_mass...);
    v(FieldInfo{"rear_mass", Kind::kMass, "on scales under both rear wheels, driver aboard",
                Range::kPositive},
      a.rear_mass...);
    v(FieldInfo{"cg_height", k, "centre of gravity above the ground, laden", Range::kPositive},
      a.cg_height...);
    v(FieldInfo{"roll_share", Kind::kShare, "share of the roll moment that the front axle takes",
                Range::kShare},
      a.roll_share...);
    v(FieldInfo{"front", k, "the front axle"}, a.front...);
    v(FieldInfo{"rear_tyre", k, "the rear tyres"}, a.rear_tyre...);
    v(FieldInfo{"column", k, "the steering column"}, a.column...);
    v(FieldInfo{"engine", k, "the engine, as the pump sees it"}, a.engine...);
    v(FieldInfo{"drive", k, "the belt drive of the pump, seen from the front of the engine"},
      a.drive...);
    v(FieldInfo{"friction", k, "friction of joints and column"}, a.friction...);
    v(FieldInfo{"oil", k, "oil lines and temperatures"}, a.oil...);
    v(FieldInfo{"driver", k, "what drives the control valves' coils"}, a.driver...);
    v(FieldInfo{"face", k, "what the car shows where parts meet it"}, a.face...);
  }
};

}  // namespace steerbench
