// What a search over parts and jobs looks for. Plain data of the document.
#pragma once

#include "model/setup.h"

namespace steerbench {

// A job done on what is there: an adjustment that a search may make, with what it takes. Jobs that
// set the same field are alternatives of each other.
template <class S>
struct Work : Supply<S> {
  Adjustments<S> adjust;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    Supply<S>::Visit(v, a...);
    Adjustments<S>::Visit(v, a.adjust...);
  }
};

enum class Want : std::uint8_t { kLess, kMore, kNear };
template <>
struct Words<Want> {
  static constexpr std::array<std::string_view, 3> value{"less", "more", "near"};
};

// One field for each thing that can be wished for, of the type F<kind of quantity>.
template <class F>
struct Aims {
  std::optional<F> kerb_effort, road_effort, lost_effort, centre_feel, lock_angle, turning_circle,
      turns, bump_steer, catch_up, cost, hours, lasting;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Range kAny = Range::kAny;
    v(FieldInfo{"kerb_effort", Kind::kTorque, "hand-wheel torque at the kerb, brake off, dry"},
      a.kerb_effort...);
    v(FieldInfo{"road_effort", Kind::kTorque, "hand-wheel torque at 80 km/h and 3 m/s²"},
      a.road_effort...);
    v(FieldInfo{"lost_effort", Kind::kTorque, "hand-wheel torque at the kerb, assist lost"},
      a.lost_effort...);
    v(FieldInfo{"centre_feel", Kind::kTorque, "torque per g of bend, on centre, 80 km/h"},
      a.centre_feel...);
    v(FieldInfo{"lock_angle", Kind::kAngle, "inner wheel at lock, the lesser of both turns"},
      a.lock_angle...);
    v(FieldInfo{"turning_circle", Kind::kLength, "kerb to kerb, the wider of both turns"},
      a.turning_circle...);
    v(FieldInfo{"turns", Kind::kTurns, "hand wheel from lock to lock"}, a.turns...);
    v(FieldInfo{"bump_steer", Kind::kAnglePerLength, "of either wheel, the greater, unsigned"},
      a.bump_steer...);
    v(FieldInfo{"catch_up", Kind::kAngularSpeed, "hand-wheel speed that the pump keeps up with"},
      a.catch_up...);
    v(FieldInfo{"cost", Kind::kMoney, "of what is not owned or fitted yet", kAny}, a.cost...);
    v(FieldInfo{"hours", Kind::kTime, "work to get there from the base setup"}, a.hours...);
    v(FieldInfo{"lasting", Kind::kCount, "changes that cannot be undone"}, a.lasting...);
  }
};

// Kinds of part that a search leaves as they are in the base setup.
struct Keep {
  std::optional<bool> rack, spacer, tie_rod, arms, pump, pulley, belt, fluid, control_valve,
      second_control_valve;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kRatio;
    constexpr std::string_view kHelp = "true: as in the base setup";
    v(FieldInfo{"rack", k, kHelp}, a.rack...);
    v(FieldInfo{"spacer", k, kHelp}, a.spacer...);
    v(FieldInfo{"tie_rod", k, kHelp}, a.tie_rod...);
    v(FieldInfo{"arms", k, kHelp}, a.arms...);
    v(FieldInfo{"pump", k, kHelp}, a.pump...);
    v(FieldInfo{"pulley", k, kHelp}, a.pulley...);
    v(FieldInfo{"belt", k, kHelp}, a.belt...);
    v(FieldInfo{"fluid", k, kHelp}, a.fluid...);
    v(FieldInfo{"control_valve", k, kHelp}, a.control_valve...);
    v(FieldInfo{"second_control_valve", k, kHelp}, a.second_control_valve...);
  }
};

// Adjustments that can be set to any value, for polishing what a search found.
struct Polish {
  std::optional<Quantity> rack_up, rack_forward, outer_shim, arm_length, relief, control_opening;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kLength;
    v(FieldInfo{"rack_up", k, "rack raised by shims"}, a.rack_up...);
    v(FieldInfo{"rack_forward", k, "rack moved forward"}, a.rack_forward...);
    v(FieldInfo{"outer_shim", k, "outer joint lowered on its stud by a shim"}, a.outer_shim...);
    v(FieldInfo{"arm_length", k, "steering axis to outer joint, square to the axis",
                Range::kPositive},
      a.arm_length...);
    v(FieldInfo{"relief", Kind::kPressureGauge, "pump's relief pressure, by its shims",
                Range::kPositive},
      a.relief...);
    v(FieldInfo{"control_opening", Kind::kShare,
                "diameter of the control valve's holes against its own", Range::kPositive},
      a.control_opening...);
  }
};

struct Search {
  std::string base;
  Aims<Want> want;
  Aims<Quantity> near, at_most, at_least;
  Keep keep;
  Polish from, to;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kRatio;
    v(FieldInfo{"base", k, "name of the setup that the car has now"}, a.base...);
    v(FieldInfo{"want", k, "what is wished: less, more, or near a value"}, a.want...);
    v(FieldInfo{"near", k, "the values that should be near"}, a.near...);
    v(FieldInfo{"at_most", k, "leave out what has more"}, a.at_most...);
    v(FieldInfo{"at_least", k, "leave out what has less"}, a.at_least...);
    v(FieldInfo{"keep", k, "kinds of part that stay"}, a.keep...);
    v(FieldInfo{"from", k, "least settings of what can be set freely"}, a.from...);
    v(FieldInfo{"to", k, "greatest settings of what can be set freely"}, a.to...);
  }
};

}  // namespace steerbench
