// Parts: what one can hold, own or buy. Plain data; S as in car.h. Unset means unknown.
#pragma once

#include "model/fitting.h"

namespace steerbench {

// Which face stops the rack at the end of its travel. It decides whether a spacer lengthens the
// travel: only a face that moves outward with the joint does so.
enum class StopFace : std::uint8_t { kInnerJoint, kRack };
template <>
struct Words<StopFace> {
  static constexpr std::array<std::string_view, 2> value{"inner joint", "rack"};
};

enum class Make : std::uint8_t { kWorks, kMachined, kWelded };
template <>
struct Words<Make> {
  static constexpr std::array<std::string_view, 3> value{"works", "machined", "cut and welded"};
};

// Whether one owns a part, or what it costs.
template <class S>
struct Supply {
  std::string name;  // under which it stands in the document; not a field of its own
  std::string title, source, note;
  std::optional<bool> owned, lasting;
  std::optional<S> price, hours;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"title", Kind::kRatio, "what you call it"}, a.title...);
    v(FieldInfo{"source", Kind::kRatio, "where it is or who offers it"}, a.source...);
    v(FieldInfo{"note", Kind::kRatio, "anything worth keeping"}, a.note...);
    v(FieldInfo{"owned", Kind::kRatio, "true when it is on the shelf"}, a.owned...);
    v(FieldInfo{"price", Kind::kMoney, "price asked, in your own currency", Range::kNotNegative},
      a.price...);
    v(FieldInfo{"hours", Kind::kTime, "work to fit it, alignment left out", Range::kNotNegative},
      a.hours...);
    v(FieldInfo{"lasting", Kind::kRatio, "true when fitting it changes the car for good"},
      a.lasting...);
  }
};

// What a setup may choose: a part with its faces.
template <class S>
struct Part : Supply<S> {
  std::vector<Face> face;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    Supply<S>::Visit(v, a...);
    v(FieldInfo{"face", Kind::kRatio, "what it shows where it meets other things"}, a.face...);
  }
};

// Rack travel per pinion turn at one place of a variable-ratio rack.
template <class S>
struct RatioRow {
  std::optional<S> travel, travel_per_turn;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"travel", Kind::kLength, "distance from centre, the same both ways",
                Range::kNotNegative},
      a.travel...);
    v(FieldInfo{"travel_per_turn", Kind::kTravelPerTurn, "rack travel per pinion turn there",
                Range::kPositive},
      a.travel_per_turn...);
  }
};

// One point of a rack's boost curve, read with a gauge in the pressure line and a scale at the rim,
// front wheels against a block.
template <class S>
struct BoostRow {
  std::optional<S> torque, pull, pressure;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"torque", Kind::kTorque, "torque at the pinion", Range::kNotNegative}, a.torque...);
    v(FieldInfo{"pull", Kind::kForce,
                "or pull at the rim by a luggage scale, slowly on against a held rack: column "
                "friction and joints are taken off it",
                Range::kNotNegative},
      a.pull...);
    v(FieldInfo{"pressure", Kind::kPressureGauge, "pressure at that torque or pull",
                Range::kNotNegative},
      a.pressure...);
  }
};

template <class S>
struct Rack : Part<S> {
  std::optional<S> turns, travel, travel_left, travel_right, travel_per_turn;
  std::optional<S> pinion_module, pinion_teeth, rack_tooth_angle;
  std::vector<RatioRow<S>> ratio;
  std::optional<S> joint_span, mount_forward, mount_up;
  std::optional<StopFace> stop_face;
  std::optional<S> toothed_length, tooth_offset, tooth_contact;
  std::optional<S> inner_joint_limit, thread_diameter, thread_engaged;
  std::optional<S> friction, mesh_efficiency;
  std::optional<bool> assisted;
  std::optional<S> piston_bore, piston_rod, seal_friction, torsion_bar, valve_stop, boost_flow;
  std::vector<BoostRow<S>> boost;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kLength;
    Part<S>::Visit(v, a...);
    v(FieldInfo{"turns", Kind::kTurns, "pinion turns from stop to stop", Range::kPositive},
      a.turns...);
    v(FieldInfo{"travel", k, "rack travel from stop to stop, no spacer fitted", Range::kPositive},
      a.travel...);
    v(FieldInfo{"travel_left", k, "travel from centre to the left stop, if off centre",
                Range::kNotNegative},
      a.travel_left...);
    v(FieldInfo{"travel_right", k, "travel from centre to the right stop, if off centre",
                Range::kNotNegative},
      a.travel_right...);
    v(FieldInfo{"travel_per_turn", Kind::kTravelPerTurn, "rack travel per pinion turn (C-factor)",
                Range::kPositive},
      a.travel_per_turn...);
    v(FieldInfo{"pinion_module", k, "pinion: normal module", Range::kPositive}, a.pinion_module...);
    v(FieldInfo{"pinion_teeth", Kind::kCount, "pinion: number of teeth", Range::kPositive},
      a.pinion_teeth...);
    v(FieldInfo{"rack_tooth_angle", Kind::kAngle, "rack teeth against square to the rack"},
      a.rack_tooth_angle...);
    v(FieldInfo{"ratio", k, "variable-ratio rack: travel per turn along the stroke"}, a.ratio...);
    v(FieldInfo{"joint_span", k, "inner joint to inner joint, no spacer fitted", Range::kPositive},
      a.joint_span...);
    v(FieldInfo{"mount_forward", k, "its joints sit further forward than the measured points"},
      a.mount_forward...);
    v(FieldInfo{"mount_up", k, "its joints sit higher than the measured points"}, a.mount_up...);
    v(FieldInfo{"stop_face", Kind::kRatio, "what strikes the housing at full travel"},
      a.stop_face...);
    v(FieldInfo{"toothed_length", k, "length of the toothed part of the rack", Range::kPositive},
      a.toothed_length...);
    v(FieldInfo{"tooth_offset", k, "its middle lies to the left (+) of the pinion at centre"},
      a.tooth_offset...);
    v(FieldInfo{"tooth_contact", k, "length of rack in mesh with the pinion at a time",
                Range::kPositive},
      a.tooth_contact...);
    v(FieldInfo{"inner_joint_limit", Kind::kAngle, "tilt of the inner joint at which it binds",
                Range::kPositive},
      a.inner_joint_limit...);
    v(FieldInfo{"thread_diameter", k, "thread between rack and inner joint: diameter",
                Range::kPositive},
      a.thread_diameter...);
    v(FieldInfo{"thread_engaged", k, "that thread: engaged length with no spacer",
                Range::kNotNegative},
      a.thread_engaged...);
    v(FieldInfo{"friction", Kind::kForce, "force to slide the rack, off the car, pinion turning",
                Range::kNotNegative},
      a.friction...);
    v(FieldInfo{"mesh_efficiency", Kind::kShare, "share of the pinion's work that reaches the rack",
                Range::kShareNotZero},
      a.mesh_efficiency...);
    v(FieldInfo{"assisted", Kind::kRatio,
                "false of a manual rack, which has neither cylinder nor valve"},
      a.assisted...);
    v(FieldInfo{"piston_bore", k,
                "assisted rack: bore of its cylinder (of a manual one say assisted = false)",
                Range::kPositive},
      a.piston_bore...);
    v(FieldInfo{"piston_rod", k, "assisted rack: rod through the piston", Range::kPositive},
      a.piston_rod...);
    v(FieldInfo{"seal_friction", Kind::kForce, "of piston and rod seals", Range::kNotNegative},
      a.seal_friction...);
    v(FieldInfo{"torsion_bar", Kind::kTorsionalStiffness,
                "torque per twist of the valve, pinion held, below its stop", Range::kPositive},
      a.torsion_bar...);
    v(FieldInfo{"valve_stop", Kind::kAngle, "twist each way until the valve meets its stop",
                Range::kPositive},
      a.valve_stop...);
    v(FieldInfo{"boost_flow", Kind::kFlow, "oil flow when the boost curve was read",
                Range::kPositive},
      a.boost_flow...);
    v(FieldInfo{"boost", Kind::kPressureGauge, "boost curve: pressure against torque or pull"},
      a.boost...);
  }
};

// Whether a rack is an assisted one: as it says, or as its cylinder or valve tell; unset when
// nothing does.
template <class S>
[[nodiscard]] std::optional<bool> IsAssisted(const Rack<S>& rack) {
  if (rack.assisted) return rack.assisted;
  const bool oil = rack.piston_bore || rack.piston_rod || rack.seal_friction || rack.valve_stop ||
                   rack.torsion_bar || rack.boost_flow || !rack.boost.empty();
  return oil ? std::optional(true) : std::nullopt;
}

template <class S>
struct Spacer : Part<S> {
  std::optional<S> thickness;
  std::optional<bool> strikes_housing;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    Part<S>::Visit(v, a...);
    v(FieldInfo{"thickness", Kind::kLength, "thickness between rack and inner joint",
                Range::kPositive},
      a.thickness...);
    v(FieldInfo{"strikes_housing", Kind::kRatio,
                "true when the spacer itself meets the housing before the joint does"},
      a.strikes_housing...);
  }
};

template <class S>
struct TieRod : Part<S> {
  std::optional<S> shortest, longest, thread_diameter, engaged_at_shortest, outer_joint_limit;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kLength;
    Part<S>::Visit(v, a...);
    v(FieldInfo{"shortest", k, "joint to joint, outer joint screwed fully on", Range::kPositive},
      a.shortest...);
    v(FieldInfo{"longest", k, "joint to joint at the longest setting its maker allows",
                Range::kPositive},
      a.longest...);
    v(FieldInfo{"thread_diameter", k, "outer joint's thread: diameter", Range::kPositive},
      a.thread_diameter...);
    v(FieldInfo{"engaged_at_shortest", k, "that thread: engaged length when screwed fully on",
                Range::kNotNegative},
      a.engaged_at_shortest...);
    v(FieldInfo{"outer_joint_limit", Kind::kAngle, "tilt of the outer joint at which it binds",
                Range::kPositive},
      a.outer_joint_limit...);
  }
};

// A pair of steering arms (or knuckles), described for the left side; the right one mirrors it
// unless the car's right corner has points of its own.
template <class S>
struct Arms : Part<S> {
  std::optional<Point<S>> outer_joint, stud, outer_joint_right, stud_right;
  std::optional<S> arm_length, arm_angle;
  std::optional<Make> made;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kLength;
    Part<S>::Visit(v, a...);
    v(FieldInfo{"outer_joint", k, "outer tie-rod joint with these arms, left side"},
      a.outer_joint...);
    v(FieldInfo{"stud", k, "direction of the outer joint's stud, left side, any length"},
      a.stud...);
    v(FieldInfo{"outer_joint_right", k, "the same on the right, where the car is not symmetric"},
      a.outer_joint_right...);
    v(FieldInfo{"stud_right", k, "the same on the right, where the car is not symmetric"},
      a.stud_right...);
    v(FieldInfo{"arm_length", k, "steering axis to outer joint, square to the axis",
                Range::kPositive},
      a.arm_length...);
    v(FieldInfo{"arm_angle", Kind::kAngle, "arm against the car's length, joint inboard is +"},
      a.arm_angle...);
    v(FieldInfo{"made", Kind::kRatio, "how these arms were made"}, a.made...);
  }
};

// Flow of a pump by bucket and stopwatch, below the speed at which its flow control acts.
template <class S>
struct PumpRow {
  std::optional<S> speed, pressure, flow, temperature;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"speed", Kind::kAngularSpeed, "pump speed", Range::kPositive}, a.speed...);
    v(FieldInfo{"pressure", Kind::kPressureGauge, "pressure held by a valve in the line",
                Range::kPositive},
      a.pressure...);
    v(FieldInfo{"flow", Kind::kFlow, "bucket and stopwatch", Range::kNotNegative}, a.flow...);
    v(FieldInfo{"temperature", Kind::kTemperature,
                "of the oil meanwhile; that in the car when left out", Range::kOnCar},
      a.temperature...);
  }
};

template <class S>
struct Pump : Part<S> {
  std::optional<S> top_speed, full_flow_speed;
  std::optional<S> displacement, flow, flow_at_top, relief, relief_cracking;
  std::optional<S> efficiency, metering_drop;
  std::vector<PumpRow<S>> bench;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    Part<S>::Visit(v, a...);
    v(FieldInfo{"top_speed", Kind::kAngularSpeed, "highest speed its maker allows",
                Range::kPositive},
      a.top_speed...);
    v(FieldInfo{"full_flow_speed", Kind::kAngularSpeed,
                "speed from which it gives its full regulated flow", Range::kPositive},
      a.full_flow_speed...);
    v(FieldInfo{"displacement", Kind::kDisplacement, "oil per turn: turn it by hand into a measure",
                Range::kPositive},
      a.displacement...);
    v(FieldInfo{"flow", Kind::kFlow, "regulated flow: bucket and stopwatch at a brisk speed",
                Range::kPositive},
      a.flow...);
    v(FieldInfo{"flow_at_top", Kind::kFlow,
                "regulated flow at its top speed, of a pump that gives less the faster it turns",
                Range::kPositive},
      a.flow_at_top...);
    v(FieldInfo{"relief", Kind::kPressureGauge,
                "relief pressure: gauge, line shut for less than five seconds", Range::kPositive},
      a.relief...);
    v(FieldInfo{"relief_cracking", Kind::kPressureGauge,
                "pressure at which the relief valve begins", Range::kPositive},
      a.relief_cracking...);
    v(FieldInfo{"efficiency", Kind::kShare,
                "share of its shaft's torque that is not friction: drive power tells it",
                Range::kShareNotZero},
      a.efficiency...);
    v(FieldInfo{"metering_drop", Kind::kPressureGauge,
                "pressure that its flow control takes at the regulated flow, by its spring",
                Range::kNotNegative},
      a.metering_drop...);
    v(
        FieldInfo{
            "bench", Kind::kFlow,
            "flow against pressure, slower than its flow control acts or with that blocked, oil "
            "as warm as in the car: for its inner leak"},
        a.bench...);
  }
};

template <class S>
struct Pulley : Part<S> {
  std::optional<S> diameter;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    Part<S>::Visit(v, a...);
    v(FieldInfo{"diameter", Kind::kLength, "effective diameter, measured as the crank pulley's",
                Range::kPositive},
      a.diameter...);
  }
};

template <class S>
struct Belt : Part<S> {
  std::optional<S> length, mass, friction, back_friction;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    Part<S>::Visit(v, a...);
    v(FieldInfo{"length", Kind::kLength, "effective length, as printed on it", Range::kPositive},
      a.length...);
    v(FieldInfo{"mass", Kind::kMass, "of the whole belt, on kitchen scales", Range::kPositive},
      a.mass...);
    v(FieldInfo{"friction", Kind::kRatio,
                "friction in the grooves, wedging included: 0.5 to 0.6 is often used",
                Range::kPositive},
      a.friction...);
    v(FieldInfo{"back_friction", Kind::kRatio, "friction of its flat back", Range::kPositive},
      a.back_friction...);
  }
};

template <class S>
struct Fluid : Part<S> {
  std::optional<S> viscosity_40, viscosity_100, density;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    Part<S>::Visit(v, a...);
    v(FieldInfo{"viscosity_40", Kind::kKinematicViscosity, "at 40 °C, from its data sheet",
                Range::kPositive},
      a.viscosity_40...);
    v(FieldInfo{"viscosity_100", Kind::kKinematicViscosity, "at 100 °C, from its data sheet",
                Range::kPositive},
      a.viscosity_100...);
    v(FieldInfo{"density", Kind::kDensity, "at 15 °C, from its data sheet", Range::kPositive},
      a.density...);
  }
};

// What a control valve acts on.
enum class ControlPrinciple : std::uint8_t { kPumpBypass, kPistonBypass, kReaction, kFeed };
template <>
struct Words<ControlPrinciple> {
  static constexpr std::array<std::string_view, 4> value{"pump bypass", "piston bypass", "reaction",
                                                         "feed"};
};

// Opening of a control valve at one coil current.
template <class S>
struct OpeningRow {
  std::optional<S> current, diameter, share;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"current", Kind::kCurrent, "coil current", Range::kNotNegative}, a.current...);
    v(FieldInfo{"diameter", Kind::kLength, "diameter of a round hole that passes as much",
                Range::kNotNegative},
      a.diameter...);
    v(FieldInfo{"share", Kind::kShare, "reaction: share of the supply pressure let in",
                Range::kShare},
      a.share...);
  }
};

template <class S>
struct ControlValve : Part<S> {
  std::optional<ControlPrinciple> principle;
  std::vector<OpeningRow<S>> opening;
  std::optional<S> reaction_torque, reaction_onset, coil, pull_in;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    Part<S>::Visit(v, a...);
    v(FieldInfo{"principle", Kind::kRatio, "what it acts on"}, a.principle...);
    v(FieldInfo{"opening", Kind::kLength, "opening against coil current; the first row at none"},
      a.opening...);
    v(FieldInfo{"reaction_torque", Kind::kTorque, "reaction: torque on the valve at 100 bar",
                Range::kPositive},
      a.reaction_torque...);
    v(FieldInfo{"reaction_onset", Kind::kAngle, "reaction: twist over which it builds up",
                Range::kPositive},
      a.reaction_onset...);
    v(FieldInfo{"coil", Kind::kResistance, "coil resistance at 20 °C, by a multimeter",
                Range::kPositive},
      a.coil...);
    v(FieldInfo{"pull_in", Kind::kCurrent, "current from which it moves", Range::kPositive},
      a.pull_in...);
  }
};

// What joins two faces that differ at one place: bought, machined or welded. Named `one` and
// `other`; either may be the part's side.
template <class S>
struct Adapter : Supply<S> {
  std::optional<Make> made;
  Face one, other;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    Supply<S>::Visit(v, a...);
    v(FieldInfo{"made", Kind::kRatio, "how it is made"}, a.made...);
    v(FieldInfo{"one", Kind::kRatio, "face on one side; its place is the adapter's"}, a.one...);
    v(FieldInfo{"other", Kind::kRatio, "face on the other side"}, a.other...);
  }
};

}  // namespace steerbench
