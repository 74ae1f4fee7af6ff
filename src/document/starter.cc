#include <fmt/core.h>

#include <algorithm>
#include <array>

#include "document/document.h"
#include "document/fields.h"
#include "document/shape.h"
#include "document/tree.h"

namespace steerbench {
namespace {

// Values of an invented car, shown as examples behind '#'. They fit together, so that a file with
// all of them uncommented is a sound document.
constexpr std::string_view kSampleCar = R"(
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
[rack.works]
title = "rack that was on the car"
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
thickness = "5 ± 0.05 mm"
strikes_housing = false
[tie_rod.works]
title = "tie rod that was on the car"
shortest = "298 ± 1 mm"
longest = "325 ± 1 mm"
thread_diameter = "14 mm"
engaged_at_shortest = "38 ± 1 mm"
outer_joint_limit = "25° ± 1°"
[arms.works]
title = "arms that were on the car"
outer_joint = "(-140, 665, 215) mm ± 2 mm"
stud = "(0, 0, 1) mm"
outer_joint_right = "(-140, -665, 215) mm ± 2 mm"
stud_right = "(0, 0, 1) mm"
arm_length = "143 ± 2 mm"
arm_angle = "12° ± 1°"
made = "works"
[pump.works]
title = "vane pump"
top_speed = "7500 rpm"
full_flow_speed = "900 rpm"
displacement = "8 cm3/rev ± 3 %"
flow = "6 ± 0.3 L/min"
flow_at_top = "5.4 ± 0.3 L/min"
relief = "85 ± 3 bar"
relief_cracking = "78 ± 3 bar"
[[pump.works.bench]]
speed = "700 rpm"
pressure = "10 bar"
flow = "5.3 ± 0.1 L/min"
[[pump.works.bench]]
speed = "700 rpm"
pressure = "50 bar"
flow = "4.7 ± 0.1 L/min"
[pulley.works]
title = "pump pulley"
diameter = "130 ± 0.5 mm"
[belt.works]
title = "ribbed belt that was on the engine"
length = "1230 ± 3 mm"
mass = "90 ± 3 g"
friction = "0.55 ± 0.05"
back_friction = "0.35 ± 0.05"
[fluid.works]
title = "automatic-transmission fluid"
viscosity_40 = "34 cSt"
viscosity_100 = "7.2 cSt"
density = "860 kg/m3"
[control_valve.works]
title = "valve that was on the rack"
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
stops = "kept"
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
constexpr std::array<std::string_view, Words<Suspension>::value.size()> kSamplePoints{
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

constexpr std::string_view kHead =
    R"(# How to use this file: find a line that begins with '#key', put what you measured in place of the
# example behind it, and remove the '#'. Leave what you do not know: unknown is not zero.
# Every example is invented. Write a plus-minus where you can: it tells how far a result can be
# trusted, and what is worth measuring again. Units are as you like: "2650 mm", "4 5/8 in", "33.5°".
# A line "# or: key" is another way to say what a line next to it says: fill in one of them only. A
# line "# if any: key" is for what few cars have.
# To say where a value is from: { value = "8 mm", tolerance = "0.1 mm", from = "measured" };
# from is one of measured, drawing, manual, seller, guess, typical.
#
# Safety: never lie or reach under a car that stands on a jack alone. Level hard ground, wheels
# chocked, axle stands rated for the car, a shake at the sill before you go under. Ignition off and
# key out before hands go near the belt or the column.
#
# Axes: x forward, y to the left, z up, from the ground midway between the front wheel centres, the
# car level at its ride height and the steering straight ahead.
)";

struct Hint {
  std::string_view path, text;
};

// How to find what a section asks for; new sections without a hint get their help line alone.
constexpr Hint kHints[] = {
    {"car", "A tape along the floor between plumb lines dropped from the wheel centres."},
    {"car.front",
     "Track: chalk the middle of each tread at the ground, roll the car off, tape from mark to "
     "mark.\nJounce and rebound: wheel centre to wing edge at ride height, on the bump stop, and "
     "hanging free."},
    {"car.front.left",
     "Points in space: drop a plumb line from each joint's centre to the floor and mark it; tape "
     "x and y from\nthe chalked centre line and the line between the wheel centres, z up the plumb "
     "line. Do it at ride height,\non stands under the wheels' hubs or on ramps, not hanging. "
     "[car.front.right] has the same fields and is\ntaken as a mirror of the left when it is left "
     "out."},
    {"car.front.plan",
     "The linkage from above, by plumb lines to the floor and a tape; angles from the lengths or "
     "with an angle gauge."},
    {"car.front.turn_plate",
     "Front wheels on turn plates (or two greased steel sheets with a protractor). Turn the hand "
     "wheel, read the\nrack's travel with calipers at its end and both wheels' angles. Repeat this "
     "block for each reading."},
    {"car.front.tyre_touch",
     "Turn each wheel by hand, tie rods off, until the tyre touches anything; read the turn "
     "plate."},
    {"car.front.obstacle", "Whatever the tyre could meet; repeat this block for each."},
    {"car.column",
     "Hold an angle gauge (or a phone's level) along each shaft from the side and from above."},
    {"car.column.joint", "One block for each universal joint, from the hand wheel down."},
    {"car.front.tyre",
     "Friction: on a dry road pull the car, wheels locked, with a luggage or crane scale, and "
     "divide by its weight.\nPatch: slide a card in from the front and one from behind, tape "
     "between them. Cornering stiffness is seldom\nknown: leave it out."},
    {"car.rear_tyre", "As the front tyres."},
    {"car.friction",
     "A luggage scale pulling square to a lever of known length: torque is pull times lever. Wheel "
     "joints: front\nlifted onto stands, tie rod off, pull at the tyre. Column: coupling to the "
     "rack off, pull at the rim."},
    {"car.oil",
     "Lengths with a string along the lines. Bores with a drill's shank that just enters, engine "
     "off, lines empty.\nTemperatures with a thermocouple or an infrared gun at the reservoir "
     "after a drive; keep clear of the belt."},
    {"car.drive",
     "Engine stopped, ignition off. Centres with a straight edge and a tape against the engine's "
     "front, seen from the\nfront. Tension from the pitch of the longest span, plucked: 4 x mass "
     "per metre x span squared x hertz squared.\nCords: of a ribbed belt the pitch line lies "
     "about 2 mm outside the pulley's effective diameter."},
    {"car.drive.pulley",
     "One block for each pulley, in the order in which a mark on the running belt meets them. Of a "
     "pulley that is swung or\nslid to tension: its centre with the belt slackest, and how far and "
     "which way it can go."},
    {"belt",
     "Length as printed on it, or a tape in the bottom of the pulleys' track; mass on "
     "kitchen scales."},
    {"car.driver",
     "Only with control valves. Voltage at the driver with the engine running; current by a meter "
     "in series with the\ncoil; resistance: the voltage lost between supply and coil, divided by "
     "the current."},
    {"car.driver.current",
     "One block for each road speed that you read, or that you will ask for."},
    {"car.engine", "Effective pulley diameter: where the belt's cords run, not its outer edge."},
    {"rack",
     "Turns: mark the pinion and count from stop to stop. Travel: calipers at the rack's end, stop "
     "to stop."},
    {"rack.ratio", "Only for a rack of variable ratio: one block for each place along its stroke."},
    {"rack.boost",
     "A gauge for twice the pump's relief pressure in the pressure line, car standing, front "
     "wheels "
     "against a block,\nengine idling: pull at the rim with a scale, read both. Short pulls only; "
     "oil under pressure injures: no\nhands near fittings, wear goggles. One block for each "
     "reading, the first without any pull."},
    {"pump",
     "Displacement: fill it, turn it by hand ten turns into a measure. Flow: bucket and stopwatch "
     "at the return line.\nRelief: gauge in the line, line shut for less than five seconds."},
    {"pump.bench",
     "Below the speed of full flow: a valve in the line holds the pressure, bucket and stopwatch "
     "the flow."},
    {"fluid", "From its data sheet; two viscosities are enough for all temperatures."},
    {"control_valve",
     "Only where a coil changes the assistance. Coil: unplugged, a multimeter across it, at about "
     "20 °C."},
    {"control_valve.opening",
     "One block for each current. A reaction valve lets in a share of the pressure; the others "
     "open "
     "a hole."},
    {"spacer", "Calipers, at three places around the ring."},
    {"tie_rod", "Joint centre to joint centre, with the outer joint screwed on fully."},
    {"arms", "Only when other arms than the car's own are tried."},
    {"setup", "A choice of parts by the names given above, and how they are adjusted."},
    {"limits", "Only where you want other limits than the usual ones."},
};

// Fields that are not for everyone, shown behind words of their own: another way to say what a
// field above says, which would contradict it, or what few cars have. The path is without names.
struct Aside {
  std::string_view path, key, words;
};
constexpr std::string_view kOr = "# or: ", kIfAny = "# if any: ";
constexpr Aside kAsides[] = {
    {"car.drive", "back_distance", kIfAny},
    {"car.drive.pulley", "back", kIfAny},
    {"belt", "back_friction", kIfAny},
    {"pump", "flow_at_top", kIfAny},
    {"rack.boost", "pull", kOr},
    {"control_valve.opening", "diameter", kOr},
    {"setup", "toe_length", kOr},
    {"setup", "tie_rod_left", kOr},
    {"setup", "tie_rod_right", kOr},
    {"setup", "second_control_valve", kIfAny},
    {"setup", "wiring", kIfAny},
    {"setup", "second_control_powered", kIfAny},
    {"arms", "outer_joint_right", kIfAny},
    {"arms", "stud_right", kIfAny},
};

// A path without the names of parts.
std::string PlainPath(const Path& path) {
  std::string plain;
  for (std::size_t i = 0; i < path.size(); ++i) {
    const bool name = i == 1 && path[0].key != "car";
    if (!name) plain += (plain.empty() ? "" : ".") + path[i].key;
  }
  return plain;
}

class StarterWriter {
 public:
  explicit StarterWriter(const StarterOptions& options) : options_(options) {
    const std::string text =
        std::string(kSampleCar) +
        std::string(kSamplePoints[static_cast<std::size_t>(options.suspension)]);
    Findings findings;
    sample_ = TomlTree(TextIndex(text), findings).value_or(Node{});
  }

  std::string Write() {
    out_ = fmt::format("format = 1\ntitle = {}\n\n{}", QuotedText(options_.car_name), kHead);
    shape_ = DocumentShape();
    for (const ShapeField& field : shape_.fields) {
      if (field.key != "title") PutSection(field.shape, {{std::string(field.key)}}, nullptr);
    }
    return std::move(out_);
  }

 private:
  // Sections that repeat or replace another one.
  [[nodiscard]] bool IsSkipped(const std::string& path) const {
    if (path == "car.front.right") return true;
    if (options_.points_known) return path == "car.front.plan" || path == "car.front.turn_plate";
    return path == "car.front.left" || path == "car.front.obstacle";
  }

  // The sample's node for the last step of a path, under that of the step before.
  static const Node* Sample(const Node* parent, std::string_view key) {
    return parent == nullptr || parent->type != Node::Type::kTable ? nullptr
                                                                   : FindMember(*parent, key);
  }

  // `holder` is the sample of the table that the section lies in.
  void PutSection(const Shape& shape, Path path, const Node* holder) {
    if (IsSkipped(PathText(path))) return;
    const Node* sample = Sample(holder == nullptr ? &sample_ : holder, path.back().key);
    const bool list = shape.type == Shape::Type::kList;
    PutHints(shape, path);
    if (shape.type == Shape::Type::kNamed) {
      const bool known = sample != nullptr && !sample->members.empty();
      path.push_back({known ? sample->members[0].key : "first"});
      sample = known ? &sample->members[0].value : nullptr;
    }
    const bool plain = shape.type == Shape::Type::kTable;
    if (list) return PutItems(shape.fields.front().shape, path, sample);
    out_ += fmt::format("[{}]\n", PathText(path));
    PutFields(plain ? shape : shape.fields.front().shape, path, sample);
  }

  // One item of a list for each in the sample. It would be there, unknown, if its header were not
  // behind '#' too.
  void PutItems(const Shape& item, const Path& path, const Node* sample) {
    const std::size_t items = sample == nullptr ? 0 : sample->items.size();
    for (std::size_t i = 0; i < std::max<std::size_t>(items, 1); ++i) {
      out_ += fmt::format("#[[{}]]\n", PathText(path));
      PutFields(item, path, items == 0 ? nullptr : &sample->items[i]);
    }
  }

  void PutHints(const Shape& shape, const Path& path) {
    out_ += fmt::format("\n# --- {}\n", shape.help);
    const std::string plain = PlainPath(path);
    for (const Hint& hint : kHints) {
      if (hint.path == plain) PutComment(hint.text);
    }
  }

  void PutComment(std::string_view text) {
    while (!text.empty()) {
      const std::size_t end = std::min(text.find('\n'), text.size());
      out_ += fmt::format("# {}\n", text.substr(0, end));
      text.remove_prefix(std::min(end + 1, text.size()));
    }
  }

  void PutFields(const Shape& table, const Path& path, const Node* sample) {
    const Node nothing;
    const Node* const from = sample == nullptr ? &nothing : sample;
    for (const ShapeField& field : table.fields) {
      if (!IsSection(field.shape)) PutField(field, path, Sample(from, field.key));
    }
    for (const ShapeField& field : table.fields) {
      if (!IsSection(field.shape)) continue;
      Path inner = path;
      inner.push_back({std::string(field.key)});
      PutSection(field.shape, inner, from);
    }
  }

  void PutField(const ShapeField& field, const Path& path, const Node* sample) {
    // A point that the sample lacks belongs to another kind of suspension.
    const bool point = field.shape.type == Shape::Type::kPoint;
    if (point && (sample == nullptr || !options_.points_known)) return;
    std::string line = fmt::format("{} = {}", KeyText(field.key), Value(field, path, sample));
    if (!IsAnswered(field, path)) line = std::string(Mark(field, path)) + line;
    constexpr std::size_t kHelpColumn = 52;
    std::string help(field.shape.help);
    if (field.shape.type == Shape::Type::kWord) help += "; " + Accepts(field.shape);
    out_ += fmt::format("{:<{}}  # {}\n", line, kHelpColumn, help);
  }

  static std::string_view Mark(const ShapeField& field, const Path& path) {
    const std::string plain = PlainPath(path);
    for (const Aside& aside : kAsides) {
      if (aside.path == plain && aside.key == field.key) return aside.words;
    }
    return "#";
  }

  // What the options say, and the rack of the first setup, need no '#'.
  [[nodiscard]] static bool IsAnswered(const ShapeField& field, const Path& path) {
    const std::string at = PathText(path);
    return (at == "car" && field.key == "name") ||
           (at == "car.front" && field.key == "suspension") ||
           (at == "setup.first" && field.key == "rack");
  }

  [[nodiscard]] std::string Value(const ShapeField& field, const Path& path,
                                  const Node* sample) const {
    const std::string at = PathText(path);
    if (at == "car" && field.key == "name") return QuotedText(options_.car_name);
    if (at == "car.front" && field.key == "suspension") {
      return QuotedText(WordOf(options_.suspension));
    }
    if (sample != nullptr && sample->type == Node::Type::kNumber) {
      return fmt::format("{}", sample->number);
    }
    if (sample != nullptr && sample->type == Node::Type::kTruth) {
      return sample->truth ? "true" : "false";
    }
    if (sample != nullptr && sample->type == Node::Type::kText) return QuotedText(sample->text);
    return Example(field, path);
  }

  [[nodiscard]] std::string Example(const ShapeField& field, const Path& path) const {
    switch (field.shape.type) {
      case Shape::Type::kList:
        return "[" + Example(field.shape.fields.front(), path) + "]";
      case Shape::Type::kTruth:
        return "false";
      case Shape::Type::kWord:
        return QuotedText(field.shape.words.front());
      case Shape::Type::kQuantity:
        return QuotedText(KindExample(field.shape.kind));
      default:
        // The name under which PutSection shows a kind of part that the sample does not know.
        return path[0].key == "setup" && field.key != "note" ? "\"first\"" : "\"...\"";
    }
  }

  const StarterOptions& options_;
  Node sample_;
  Shape shape_;
  std::string out_;
};

}  // namespace

std::string StarterToml(const StarterOptions& options) { return StarterWriter(options).Write(); }

}  // namespace steerbench
