// What was read on the assembled car. Plain data; S as in car.h.
#pragma once

#include "model/field.h"

namespace steerbench {

// Readings of one setup, to hold against what is computed of it: each under the key of the result
// that it is a reading of (engine/evaluate/outputs.h).
template <class S>
struct SeenOnCar {
  std::optional<S> turns;
  std::optional<S> inner_wheel_left, inner_wheel_right, outer_wheel_left, outer_wheel_right;
  std::optional<S> kerb_circle_left, kerb_circle_right;
  std::optional<S> bump_steer_left, bump_steer_right;
  std::optional<S> kerb_torque, kerb_pull, kerb_brake_torque, kerb_brake_pull, kerb_wet_torque,
      kerb_wet_pull, kerb_lost_torque, kerb_lost_pull;
  std::optional<S> pump_idle, rest_pressure, rest_flow, kerb_pressure, idle_flow;
  std::optional<S> parking_oil, road_oil, hill_oil;
  std::optional<S> coil_current, coil_resistance, coil_voltage, coil_duty;
  std::optional<S> second_coil_current, second_coil_resistance, second_coil_voltage,
      second_coil_duty;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    const auto any = [&v](std::string_view key, Kind kind, std::string_view help, auto&... fields) {
      v(FieldInfo{key, kind, help}, fields...);
    };
    const auto above_zero = [&v](std::string_view key, Kind kind, std::string_view help,
                                 auto&... fields) {
      v(FieldInfo{key, kind, help, Range::kPositive}, fields...);
    };
    above_zero("turns", Kind::kTurns, "turns of the hand wheel from lock to lock", a.turns...);
    above_zero("inner_wheel_left", Kind::kAngle, "turn plate under the inner wheel, full left turn",
               a.inner_wheel_left...);
    above_zero("inner_wheel_right", Kind::kAngle, "the same, full right turn",
               a.inner_wheel_right...);
    above_zero("outer_wheel_left", Kind::kAngle, "turn plate under the outer wheel, full left turn",
               a.outer_wheel_left...);
    above_zero("outer_wheel_right", Kind::kAngle, "the same, full right turn",
               a.outer_wheel_right...);
    above_zero("kerb_circle_left", Kind::kLength,
               "turning circle left, diameter of the outer front tyre's outer edge",
               a.kerb_circle_left...);
    above_zero("kerb_circle_right", Kind::kLength, "the same to the right", a.kerb_circle_right...);
    any("bump_steer_left", Kind::kAnglePerLength,
        "toe-in gained by the left wheel per wheel travel up, at design height",
        a.bump_steer_left...);
    any("bump_steer_right", Kind::kAnglePerLength, "the same of the right wheel",
        a.bump_steer_right...);
    above_zero("kerb_torque", Kind::kTorque,
               "hand-wheel torque that turns it at the kerb, engine "
               "idling, brake off, dry",
               a.kerb_torque...);
    above_zero("kerb_pull", Kind::kForce, "the same as a pull at the rim, by a luggage scale",
               a.kerb_pull...);
    above_zero("kerb_brake_torque", Kind::kTorque, "torque at the kerb with the brake on",
               a.kerb_brake_torque...);
    above_zero("kerb_brake_pull", Kind::kForce, "the same as a pull at the rim",
               a.kerb_brake_pull...);
    above_zero("kerb_wet_torque", Kind::kTorque, "torque at the kerb on a wet ground",
               a.kerb_wet_torque...);
    above_zero("kerb_wet_pull", Kind::kForce, "the same as a pull at the rim", a.kerb_wet_pull...);
    above_zero("kerb_lost_torque", Kind::kTorque, "torque at the kerb with the engine off",
               a.kerb_lost_torque...);
    above_zero("kerb_lost_pull", Kind::kForce, "the same as a pull at the rim",
               a.kerb_lost_pull...);
    above_zero("pump_idle", Kind::kAngularSpeed, "speed of the pump's pulley, engine idling",
               a.pump_idle...);
    above_zero("rest_pressure", Kind::kPressureGauge,
               "pressure at the pump's outlet, engine idling, hand wheel let go",
               a.rest_pressure...);
    above_zero("rest_flow", Kind::kFlow, "flow through the circuit then, by a flow meter",
               a.rest_flow...);
    above_zero("kerb_pressure", Kind::kPressureGauge,
               "pressure at the pump's outlet while turning at the kerb", a.kerb_pressure...);
    above_zero("idle_flow", Kind::kFlow, "flow through the circuit then, by a flow meter",
               a.idle_flow...);
    any("parking_oil", Kind::kTemperature, "oil, settled, turning at the kerb on and on",
        a.parking_oil...);
    any("road_oil", Kind::kTemperature, "oil, settled, straight ahead at cruise speed",
        a.road_oil...);
    any("hill_oil", Kind::kTemperature, "oil, settled, on a hill road or track", a.hill_oil...);
    above_zero("coil_current", Kind::kCurrent, "current of the control valve's coil, standing",
               a.coil_current...);
    above_zero("coil_resistance", Kind::kResistance, "ohmmeter on that coil, plug off, warm",
               a.coil_resistance...);
    above_zero("coil_voltage", Kind::kVoltage, "voltmeter across that coil, plugged in, standing",
               a.coil_voltage...);
    v(FieldInfo{"coil_duty", Kind::kShare, "share of time for which it is switched on, standing",
                Range::kShareNotZero},
      a.coil_duty...);
    above_zero("second_coil_current", Kind::kCurrent, "the same of the second control valve",
               a.second_coil_current...);
    above_zero("second_coil_resistance", Kind::kResistance, "the same of its coil",
               a.second_coil_resistance...);
    above_zero("second_coil_voltage", Kind::kVoltage, "the same across its coil",
               a.second_coil_voltage...);
    v(FieldInfo{"second_coil_duty", Kind::kShare, "the same of its coil", Range::kShareNotZero},
      a.second_coil_duty...);
  }
};

}  // namespace steerbench
