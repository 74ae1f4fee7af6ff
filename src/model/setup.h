// A setup: one choice of parts fitted to the car with its adjustments. And the document that
// holds them all. Plain data; S as in car.h.
#pragma once

#include "model/car.h"
#include "model/parts.h"
#include "model/seen.h"

namespace steerbench {

enum class Stops : std::uint8_t { kKept, kRemoved };
template <>
struct Words<Stops> {
  static constexpr std::array<std::string_view, 2> value{"kept", "removed"};
};

// How the coils of several control valves are wired.
enum class CoilWiring : std::uint8_t { kSeries, kParallel, kOwnDrivers };
template <>
struct Words<CoilWiring> {
  static constexpr std::array<std::string_view, 3> value{"series", "parallel", "own drivers"};
};

// What is adjusted when the parts are fitted.
template <class S>
struct Adjustments {
  std::optional<S> toe, toe_length;                    // re-set per wheel, toe-in positive
  std::optional<S> tie_rod_left, tie_rod_right;        // or lengths as they are
  std::optional<S> rack_up, rack_forward, outer_shim;  // shims
  std::optional<S> arm_length;                         // to which the arms are made
  std::optional<S> relief;                             // the pump's, by its shims
  std::optional<S> control_opening;                    // holes of the control valve
  std::optional<S> cooling;                            // with a cooler in the return line
  std::optional<Stops> stops;
  std::optional<CoilWiring> wiring;
  std::optional<bool> control_powered, second_control_powered;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kLength;
    v(FieldInfo{"toe", Kind::kAngle, "toe per wheel to which it is re-set, in is +"}, a.toe...);
    v(FieldInfo{"toe_length", k, "the same as a length across the rim, per wheel"},
      a.toe_length...);
    v(FieldInfo{"tie_rod_left", k, "left tie rod joint to joint, instead of toe", Range::kPositive},
      a.tie_rod_left...);
    v(FieldInfo{"tie_rod_right", k, "right tie rod joint to joint, instead of toe",
                Range::kPositive},
      a.tie_rod_right...);
    v(FieldInfo{"rack_up", k, "rack raised by shims"}, a.rack_up...);
    v(FieldInfo{"rack_forward", k, "rack moved forward"}, a.rack_forward...);
    v(FieldInfo{"outer_shim", k, "outer joint lowered on its stud by a shim"}, a.outer_shim...);
    v(FieldInfo{"arm_length", k,
                "steering axis to outer joint, square to the axis, in place of the arms' own",
                Range::kPositive},
      a.arm_length...);
    v(FieldInfo{"relief", Kind::kPressureGauge,
                "pump's relief pressure, re-set by its shims, in place of the pump's own",
                Range::kPositive},
      a.relief...);
    v(FieldInfo{"control_opening", Kind::kShare,
                "diameter of the control valve's holes against its own: 100 % as it was made",
                Range::kPositive},
      a.control_opening...);
    v(FieldInfo{"cooling", Kind::kCooling,
                "heat shed per degree above the surroundings with a cooler, in place of car.oil's",
                Range::kPositive},
      a.cooling...);
    v(FieldInfo{"stops", Kind::kRatio, "travel stops of the rack kept or removed"}, a.stops...);
    v(FieldInfo{"wiring", Kind::kRatio, "how the coils of two control valves are wired"},
      a.wiring...);
    v(FieldInfo{"control_powered", Kind::kRatio,
                "false when the control valve's coil is unplugged"},
      a.control_powered...);
    v(FieldInfo{"second_control_powered", Kind::kRatio, "the same of the second control valve"},
      a.second_control_powered...);
  }
};

// Names of the parts chosen, as they stand in the document, and the adjustments.
template <class S>
struct Setup {
  std::string note;
  std::string rack, spacer, tie_rod, arms, pump, pulley, belt, fluid, control_valve,
      second_control_valve;
  Adjustments<S> adjust;
  SeenOnCar<S> seen;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"note", Kind::kRatio, "anything worth keeping"}, a.note...);
    v(FieldInfo{"rack", Kind::kRatio, "name of a rack"}, a.rack...);
    v(FieldInfo{"spacer", Kind::kRatio, "name of a spacer, one fitted each side"}, a.spacer...);
    v(FieldInfo{"tie_rod", Kind::kRatio, "name of a tie rod"}, a.tie_rod...);
    v(FieldInfo{"arms", Kind::kRatio, "name of a pair of arms; none keeps the car's"}, a.arms...);
    v(FieldInfo{"pump", Kind::kRatio, "name of a pump"}, a.pump...);
    v(FieldInfo{"pulley", Kind::kRatio, "name of a pump pulley"}, a.pulley...);
    v(FieldInfo{"belt", Kind::kRatio, "name of a belt"}, a.belt...);
    v(FieldInfo{"fluid", Kind::kRatio, "name of a fluid"}, a.fluid...);
    v(FieldInfo{"control_valve", Kind::kRatio, "name of a control valve"}, a.control_valve...);
    v(FieldInfo{"second_control_valve", Kind::kRatio,
                "name of another control valve, after the first in the circuit", Range::kAny,
                "control_valve"},
      a.second_control_valve...);
    Adjustments<S>::Visit(v, a.adjust...);
    v(FieldInfo{"seen", Kind::kRatio, "what was read on the car with this setup fitted"},
      a.seen...);
  }
};

// The user's own limits in place of the usual ones.
template <class S>
struct LimitRules {
  std::optional<S> rod_arm_angle, thread_engagement, tooth_reserve, column_joint;
  std::optional<S> hand_wheel_speed, oil_temperature, inlet_pressure, belt_grip;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"rod_arm_angle", Kind::kAngle, "least angle left between tie rod and arm",
                Range::kNotNegative},
      a.rod_arm_angle...);
    v(FieldInfo{"thread_engagement", Kind::kRatio, "least thread engaged, in diameters",
                Range::kNotNegative},
      a.thread_engagement...);
    v(FieldInfo{"tooth_reserve", Kind::kLength, "toothed rack to be left past the mesh",
                Range::kNotNegative},
      a.tooth_reserve...);
    v(FieldInfo{"column_joint", Kind::kAngle, "greatest bend of a column joint",
                Range::kNotNegative},
      a.column_joint...);
    v(FieldInfo{"hand_wheel_speed", Kind::kAngularSpeed,
                "hand-wheel speed that the pump must keep up with, engine idling",
                Range::kNotNegative},
      a.hand_wheel_speed...);
    v(FieldInfo{"oil_temperature", Kind::kTemperature, "hottest that the oil may settle at",
                Range::kOnCar},
      a.oil_temperature...);
    v(FieldInfo{"inlet_pressure", Kind::kPressureAbsolute,
                "least pressure at the pump's inlet, absolute", Range::kPositive},
      a.inlet_pressure...);
    v(FieldInfo{"belt_grip", Kind::kShare, "most of its grip that the belt may use on a pulley",
                Range::kShareNotZero},
      a.belt_grip...);
  }
};

// What the models themselves leave open, as inputs of their own: 0 is the model's middle, 1 the
// edge of its spread. Not part of a document; set when a setup is fitted.
template <class S>
struct ModelDoubt {
  std::optional<S> standing_torque, pneumatic_trail;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"standing_torque", Kind::kRatio, "spread of the formulas for a standing tyre"},
      a.standing_torque...);
    v(FieldInfo{"pneumatic_trail", Kind::kRatio, "how far a tyre's side force acts behind it"},
      a.pneumatic_trail...);
  }
};

// The car with the parts of one setup fitted: all that the engine needs to know.
template <class S>
struct Fitted {
  std::string setup_name;  // under which the setup stands in the document
  Car<S> car;
  std::optional<Rack<S>> rack;
  std::optional<Spacer<S>> spacer;
  std::optional<TieRod<S>> tie_rod;
  std::optional<Arms<S>> arms;
  std::optional<Pump<S>> pump;
  std::optional<Pulley<S>> pulley;
  std::optional<Belt<S>> belt;
  std::optional<Fluid<S>> fluid;
  std::optional<ControlValve<S>> control_valve, second_control_valve;
  Adjustments<S> adjust;
  LimitRules<S> limits;
  ModelDoubt<S> model;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"car", Kind::kRatio, ""}, a.car...);
    v(FieldInfo{"rack", Kind::kRatio, ""}, a.rack...);
    v(FieldInfo{"spacer", Kind::kRatio, ""}, a.spacer...);
    v(FieldInfo{"tie_rod", Kind::kRatio, ""}, a.tie_rod...);
    v(FieldInfo{"arms", Kind::kRatio, ""}, a.arms...);
    v(FieldInfo{"pump", Kind::kRatio, ""}, a.pump...);
    v(FieldInfo{"pulley", Kind::kRatio, ""}, a.pulley...);
    v(FieldInfo{"belt", Kind::kRatio, ""}, a.belt...);
    v(FieldInfo{"fluid", Kind::kRatio, ""}, a.fluid...);
    v(FieldInfo{"control_valve", Kind::kRatio, ""}, a.control_valve...);
    v(FieldInfo{"second_control_valve", Kind::kRatio, "", Range::kAny, "control_valve"},
      a.second_control_valve...);
    v(FieldInfo{"setup", Kind::kRatio, ""}, a.adjust...);
    v(FieldInfo{"limits", Kind::kRatio, ""}, a.limits...);
    v(FieldInfo{"model", Kind::kRatio, ""}, a.model...);
  }
};

}  // namespace steerbench
