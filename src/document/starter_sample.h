// The examples that the starter file shows, as a document of their own. Internal to the starter.
#pragma once

#include <array>
#include <string_view>

#include "model/document.h"

namespace steerbench {

// Values of an invented car, shown as examples behind '#'. They fit together, so that a file with
// all of them uncommented is a sound document.
inline constexpr std::string_view kSampleCar = R"(
[car]
note = "measured on the lift, tyres at 2.2 bar"
wheelbase = "2650 ± 2 mm"
body_width = "1720 ± 5 mm"
front_overhang = "840 ± 5 mm"
rear_track = "1450 ± 3 mm"
front_mass = "640 ± 5 kg"
rear_mass = "520 ± 5 kg"
cg_height = "550 ± 20 mm"
roll_share = "55 % ± 10 %"
[car.rear_tyre]
pressure = "2.2 bar"
friction = "0.9 ± 0.1"
friction_wet = "0.6 ± 0.1"
tread_width = "155 ± 3 mm"
patch_length = "125 ± 5 mm"
cornering_stiffness = "850 N/deg ± 15 %"
load_exponent = "0.7 ± 0.2"
[car.friction]
joints = "6 ± 2 N·m"
column = "0.4 ± 0.1 N·m"
[car.oil]
pressure_length = "1.3 ± 0.05 m"
pressure_bore = "10 mm"
return_length = "2.4 ± 0.1 m"
return_bore = "10 mm"
hose_working = "120 bar"
temperature = "60 °C"
cooling = "12 W/K ± 20 %"
surroundings = "40 °C"
inlet_length = "0.4 ± 0.02 m"
inlet_bore = "13 mm"
inlet_head = "150 ± 20 mm"
coldest = "-15 °C"
[car.driver]
voltage = "13.8 ± 0.2 V"
resistance = "0.4 ± 0.1 ohm"
limit = "1.2 A"
coil_temperature = "80 ± 15 °C"
[[car.driver.current]]
road_speed = "0 km/h"
current = "0 A"
[[car.driver.current]]
road_speed = "80 km/h"
current = "0.8 A"
[car.front.tyre]
pressure = "2.2 bar"
friction = "0.9 ± 0.1"
friction_wet = "0.6 ± 0.1"
tread_width = "155 ± 3 mm"
patch_length = "130 ± 5 mm"
cornering_stiffness = "900 N/deg ± 15 %"
load_exponent = "0.7 ± 0.2"
[car.front]
track = "1460 ± 3 mm"
axis_spacing = "1390 ± 10 mm"
jounce = "75 ± 5 mm"
rebound = "80 ± 5 mm"
tyre_width = "195 mm"
tyre_radius = "305 ± 3 mm"
rim_diameter = "15 in"
[car.front.plan]
axis_spacing = "1350 ± 5 mm"
arm_length = "143 ± 2 mm"
arm_angle = "12° ± 1°"
arm = "behind"
rack_offset = "-130 ± 3 mm"
joint_span = "700 ± 2 mm"
[[car.front.turn_plate]]
travel = "-60 ± 0.5 mm"
left = "27° ± 0.25°"
right = "24.3° ± 0.25°"
[[car.front.turn_plate]]
travel = "-30 ± 0.5 mm"
left = "12.5° ± 0.25°"
right = "12.1° ± 0.25°"
[[car.front.turn_plate]]
travel = "30 ± 0.5 mm"
left = "-12.1° ± 0.25°"
right = "-12.5° ± 0.25°"
[[car.front.turn_plate]]
travel = "60 ± 0.5 mm"
left = "-24.3° ± 0.25°"
right = "-27° ± 0.25°"
[car.front.tyre_touch]
left_wheel_left = "41° ± 0.5°"
left_wheel_right = "38° ± 0.5°"
right_wheel_left = "38° ± 0.5°"
right_wheel_right = "41° ± 0.5°"
[[car.front.obstacle]]
name = "rail"
at = "(-210, 430, 310) mm ± 4 mm"
gap = "10 mm"
[[car.column.joint]]
angle = "22° ± 1°"
phase = "0° ± 3°"
[car.column]
coil_turns = "5 turns"
rim_diameter = "380 ± 2 mm"
[car.engine]
idle = "850 rpm"
cruise = "3200 rpm"
top = "6200 rpm"
crank_pulley = "150 ± 0.5 mm"
[car.drive]
line_differential = "2 mm"
back_distance = "1.5 ± 0.3 mm"
length_step = "5 mm"
tension = "450 ± 50 N"
[[car.drive.pulley]]
name = "crank"
of = "crank"
right = "0 mm"
up = "0 mm"
[[car.drive.pulley]]
name = "pump"
of = "pump"
right = "-180 ± 1 mm"
up = "210 ± 1 mm"
[[car.drive.pulley]]
name = "idler on the back"
of = "other"
right = "20 ± 1 mm"
up = "150 ± 1 mm"
diameter = "70 ± 0.5 mm"
back = true
power = "0 W"
[[car.drive.pulley]]
name = "alternator"
of = "other"
right = "170 ± 1 mm"
up = "190 ± 1 mm"
diameter = "66 ± 0.5 mm"
power = "600 ± 200 W"
slot = "50 ± 1 mm"
slot_angle = "30° ± 3°"
pivot_right = "90 ± 1 mm"
pivot_up = "250 ± 1 mm"
swing = "25° ± 2°"
spring = "20 ± 2 N·m"
[rack.works]
title = "rack that was on the car"
hours = "2 h"
source = "on the car"
note = "dry, gaiters new"
owned = true
price = 0
turns = "3.71 turns ± 5 deg"
travel = "140 ± 0.5 mm"
travel_left = "70 ± 0.5 mm"
travel_right = "70 ± 0.5 mm"
travel_per_turn = "37.7 mm/turn"
pinion_module = "2 mm"
pinion_teeth = 6
rack_tooth_angle = "0°"
joint_span = "700 ± 1 mm"
mount_forward = "0 mm"
mount_up = "0 mm"
stop_face = "inner joint"
toothed_length = "182 ± 1 mm"
tooth_offset = "0 mm"
tooth_contact = "18 mm"
inner_joint_limit = "30° ± 1°"
thread_diameter = "14 mm"
thread_engaged = "22 ± 0.5 mm"
friction = "120 ± 30 N"
mesh_efficiency = "90 %"
assisted = true
piston_bore = "40 ± 0.5 mm"
piston_rod = "24 ± 0.1 mm"
seal_friction = "60 ± 20 N"
torsion_bar = "1.8 N·m/deg ± 10 %"
valve_stop = "6° ± 0.5°"
boost_flow = "6 L/min"
[[rack.works.boost]]
torque = "0 N·m"
pull = "0 N"
pressure = "3 bar"
[[rack.works.boost]]
torque = "3.8 N·m"
pull = "20 N"
pressure = "15 bar"
[[rack.works.boost]]
torque = "5.7 N·m"
pull = "30 N"
pressure = "40 bar"
[[rack.works.ratio]]
travel = "0 mm"
travel_per_turn = "37.7 mm/turn"
[[rack.works.ratio]]
travel = "70 mm"
travel_per_turn = "37.7 mm/turn"
[spacer.five]
title = "turned ring, 5 mm"
hours = "2 h"
thickness = "5 ± 0.05 mm"
strikes_housing = false
[tie_rod.works]
title = "tie rod that was on the car"
hours = "2 h"
shortest = "298 ± 1 mm"
longest = "325 ± 1 mm"
thread_diameter = "14 mm"
engaged_at_shortest = "38 ± 1 mm"
outer_joint_limit = "25° ± 1°"
[arms.works]
title = "arms that were on the car"
hours = "2 h"
outer_joint = "(-140, 665, 215) mm ± 2 mm"
stud = "(0, 0, 1) mm"
outer_joint_right = "(-140, -665, 215) mm ± 2 mm"
stud_right = "(0, 0, 1) mm"
arm_length = "143 ± 2 mm"
arm_angle = "12° ± 1°"
made = "works"
[pump.works]
title = "vane pump"
hours = "2 h"
top_speed = "7500 rpm"
full_flow_speed = "900 rpm"
displacement = "8 cm3/rev ± 3 %"
flow = "6 ± 0.3 L/min"
flow_at_top = "5.4 ± 0.3 L/min"
relief = "85 ± 3 bar"
relief_cracking = "78 ± 3 bar"
efficiency = "85 % ± 5 %"
metering_drop = "4 ± 1 bar"
[[pump.works.bench]]
speed = "700 rpm"
pressure = "10 bar"
flow = "5.3 ± 0.1 L/min"
temperature = "45 ± 5 °C"
[[pump.works.bench]]
speed = "700 rpm"
pressure = "50 bar"
flow = "4.7 ± 0.1 L/min"
temperature = "45 ± 5 °C"
[pulley.works]
title = "pump pulley"
hours = "2 h"
diameter = "130 ± 0.5 mm"
[belt.works]
title = "ribbed belt that was on the engine"
hours = "2 h"
length = "1230 ± 3 mm"
mass = "90 ± 3 g"
friction = "0.55 ± 0.05"
back_friction = "0.35 ± 0.05"
[fluid.works]
title = "automatic-transmission fluid"
hours = "2 h"
viscosity_40 = "34 cSt"
viscosity_100 = "7.2 cSt"
density = "860 kg/m3"
[control_valve.works]
title = "valve that was on the rack"
hours = "2 h"
principle = "reaction"
reaction_torque = "3 N·m ± 10 %"
reaction_onset = "2° ± 0.5°"
coil = "6.5 ± 0.2 ohm"
pull_in = "0.15 A"
[[control_valve.works.opening]]
current = "0 A"
share = "0 %"
diameter = "0 mm"
[[control_valve.works.opening]]
current = "0.8 A"
share = "60 %"
diameter = "1.2 mm"
[setup.first]
note = "as it stands"
rack = "works"
spacer = "five"
tie_rod = "works"
arms = "works"
pump = "works"
pulley = "works"
belt = "works"
fluid = "works"
control_valve = "works"
second_control_valve = "works"
wiring = "series"
control_powered = true
second_control_powered = true
toe = "0° 5'"
toe_length = "0.55 mm"
tie_rod_left = "310 ± 1 mm"
tie_rod_right = "310 ± 1 mm"
rack_up = "0 mm"
rack_forward = "0 mm"
outer_shim = "0 mm"
arm_length = "143 mm"
control_opening = "100 %"
cooling = "20 W/K ± 20 %"
stops = "kept"
[setup.first.seen]
turns = "2.9 ± 0.03 turns"
inner_wheel_left = "36 ± 1 deg"
inner_wheel_right = "36 ± 1 deg"
outer_wheel_left = "31 ± 1 deg"
outer_wheel_right = "31 ± 1 deg"
kerb_circle_left = "10.4 ± 0.1 m"
kerb_circle_right = "10.4 ± 0.1 m"
bump_steer_left = "0.1 ± 0.05 deg/25 mm"
bump_steer_right = "0.1 ± 0.05 deg/25 mm"
kerb_torque = "4 ± 0.4 N·m"
kerb_pull = "21 ± 2 N"
kerb_brake_torque = "5 ± 0.4 N·m"
kerb_brake_pull = "26 ± 2 N"
kerb_wet_torque = "3 ± 0.4 N·m"
kerb_wet_pull = "16 ± 2 N"
kerb_lost_torque = "25 ± 1 N·m"
kerb_lost_pull = "130 ± 4 N"
pump_idle = "900 ± 20 rpm"
kerb_pressure = "32 ± 2 bar"
idle_flow = "6.5 ± 0.3 L/min"
parking_oil = "85 ± 5 °C"
road_oil = "60 ± 5 °C"
hill_oil = "95 ± 5 °C"
[identify.rack]
title = "which rack is on the car?"
fills = "rack"
none = "5 %"
[[identify.rack.feature]]
name = "tag"
ask = "What colour is the tag at the pinion?"
how = "lamp and mirror, wipe it first"
effort = "2 min"
wrong = "10 %"
[[identify.rack.feature]]
name = "ribs"
ask = "Has the housing ribs?"
how = "feel along the underside"
effort = "1 min"
wrong = "5 %"
[[identify.rack.feature]]
name = "teeth"
ask = "How many teeth has the pinion?"
how = "through the plug of the yoke, with a dot of paint"
effort = "20 min"
wrong = "5 %"
[[identify.rack.feature]]
name = "stroke"
ask = "How far does the rack go from stop to stop?"
how = "front lifted onto stands, tape at an inner joint"
effort = "10 min"
wrong = "5 %"
[[identify.rack.variant]]
name = "works"
title = "works rack"
part = "works"
prior = 2
[[identify.rack.variant.trait]]
feature = "tag"
is = "green"
[[identify.rack.variant.trait]]
feature = "ribs"
yes = true
[[identify.rack.variant.trait]]
feature = "teeth"
count = 7
[[identify.rack.variant.trait]]
feature = "stroke"
length = "146 ± 1 mm"
[[identify.rack.variant.order]]
thing = "seal kit"
which = "that of the works rack"
[[identify.rack.seen]]
feature = "tag"
is = "green"
wrong = "30 %"
note = "faded, by lamp light"
[search]
base = "first"
[search.want]
kerb_effort = "less"
road_effort = "near"
lost_effort = "less"
centre_feel = "more"
lock_angle = "more"
turning_circle = "less"
turns = "less"
bump_steer = "less"
catch_up = "more"
cost = "less"
hours = "less"
lasting = "less"
[search.near]
road_effort = "4 N·m"
[search.at_most]
kerb_effort = "6 N·m"
road_effort = "6 N·m"
lost_effort = "30 N·m"
centre_feel = "12 N·m"
lock_angle = "45°"
turning_circle = "11 m"
turns = "3.2 turns"
bump_steer = "0.1 deg/25 mm"
catch_up = "4 turn/s"
cost = 500
hours = "20 h"
lasting = 1
[search.at_least]
kerb_effort = "2 N·m"
road_effort = "2 N·m"
lost_effort = "5 N·m"
centre_feel = "4 N·m"
lock_angle = "33°"
turning_circle = "8 m"
turns = "2.4 turns"
bump_steer = "0 deg/25 mm"
catch_up = "1.2 turn/s"
cost = 0
hours = "0 h"
lasting = 0
[search.from]
rack_up = "-4 mm"
rack_forward = "-2 mm"
outer_shim = "0 mm"
arm_length = "130 mm"
relief = "80 bar"
control_opening = "80 %"
[search.to]
rack_up = "8 mm"
rack_forward = "2 mm"
outer_shim = "6 mm"
arm_length = "150 mm"
relief = "95 bar"
control_opening = "120 %"
[limits]
rod_arm_angle = "20°"
thread_engagement = 1.0
tooth_reserve = "3 mm"
column_joint = "30°"
hand_wheel_speed = "1.2 turn/s"
oil_temperature = "110 °C"
inlet_pressure = "0.85 bar abs"
belt_grip = "80 %"
[car.front.left]
tie_rod_inner = "(-130, 350, 225) mm ± 2 mm"
tie_rod_outer = "(-140, 665, 215) mm ± 2 mm"
wheel_centre = "(0, 730, 300) mm ± 2 mm"
outer_joint_stud = "(0, 0, 1) mm"
toe = "0° 5'"
camber = "-0° 30'"
)";

// The points that a kind of suspension has besides those of all kinds; they continue kSampleCar.
inline constexpr std::array<std::string_view, Words<Suspension>::value.size()> kSamplePoints{
    R"(upper_pivot_front = "(80, 430, 480) mm ± 2 mm"
upper_pivot_rear = "(-140, 440, 470) mm ± 2 mm"
upper_ball_joint = "(-15, 640, 500) mm ± 2 mm"
lower_pivot_front = "(180, 370, 210) mm ± 2 mm"
lower_pivot_rear = "(-170, 380, 205) mm ± 2 mm"
lower_ball_joint = "(5, 690, 195) mm ± 2 mm"
)",
    R"(link_1_inner = "(80, 430, 480) mm ± 2 mm"
link_1_outer = "(5, 640, 510) mm ± 2 mm"
link_2_inner = "(-120, 440, 475) mm ± 2 mm"
link_2_outer = "(-25, 645, 505) mm ± 2 mm"
link_3_inner = "(220, 380, 215) mm ± 2 mm"
link_3_outer = "(25, 682, 200) mm ± 2 mm"
link_4_inner = "(-150, 370, 205) mm ± 2 mm"
link_4_outer = "(-15, 688, 195) mm ± 2 mm"
)",
    R"(lower_pivot_front = "(170, 360, 190) mm ± 2 mm"
lower_pivot_rear = "(-180, 370, 185) mm ± 2 mm"
lower_ball_joint = "(5, 690, 180) mm ± 2 mm"
strut_top = "(-25, 560, 830) mm ± 3 mm"
strut_lower = "(-8, 610, 480) mm ± 3 mm"
)"};

}  // namespace steerbench
