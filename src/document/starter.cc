#include <fmt/core.h>

#include <algorithm>
#include <array>

#include "document/document.h"
#include "document/fields.h"
#include "document/shape.h"
#include "document/starter_sample.h"
#include "document/tree.h"
#include "engine/limits/margin.h"
#include "quantity/quoted.h"

namespace steerbench {
namespace {

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
     "with an angle gauge.\nTurns, wheel angles and circles come of it. What the hand wheel weighs "
     "needs the points in space ([car.front.left])."},
    {"car.front.turn_plate",
     "Front wheels on turn plates (or two greased steel sheets with a protractor). Turn the hand "
     "wheel, read the\nrack's travel with calipers at its end and both wheels' angles. Repeat this "
     "block for each reading.\nBeside points or a plan they are a check: where the two contradict "
     "each other, it is said by how much."},
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
     "between them. Cornering stiffness is seldom\nknown; weights on the road wait for it: guess "
     "it with a wide ±, from = \"guess\"."},
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
     "pulley that is slid or\nswung to tension: its centre with the belt slackest, and how far and "
     "which way it can go, by its slot or about the\npivot of its arm. Spring of an arm: belt off, "
     "a torque wrench or a scale on a lever, arm where the belt holds it;\nit snaps back, keep "
     "fingers clear."},
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
    {"identify",
     "Only for a part of unknown history: what tells its variants apart, what each shows, and what "
     "you saw. Leave out\nwhat a variant is not known to show. See 'steerbench identify -h'."},
    {"identify.variant.trait",
     "One block for each feature, with one answer: yes, is (in words), count, length, angle, "
     "turns, "
     "mass or resistance."},
    {"identify.seen", "One block for each look, with one answer of the kind that the traits have."},
    {"limits", "Only where you want other limits than the usual ones:"},
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
    {"car.drive.pulley", "pivot_right", kOr},
    {"car.drive.pulley", "pivot_up", kOr},
    {"car.drive.pulley", "swing", kOr},
    {"car.drive.pulley", "spring", kIfAny},
    {"belt", "back_friction", kIfAny},
    {"pump", "flow_at_top", kIfAny},
    {"rack.boost", "pull", kOr},
    {"control_valve.opening", "diameter", kOr},
    {"setup", "toe_length", kOr},
    {"setup", "tie_rod_left", kOr},
    {"setup", "tie_rod_right", kOr},
    {"setup", "second_control_valve", kIfAny},
    {"setup", "arm_length", kIfAny},
    {"setup", "control_opening", kIfAny},
    {"setup", "cooling", kIfAny},
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
    if (plain == "limits") PutUsualLimits();
  }

  void PutUsualLimits() {
    for (const limits::UsualLimit& u : limits::kUsualLimits) {
      const auto show = [&u](double x) {
        return Show(x, std::nullopt, u.kind, UnitStyle::kMetric).text;
      };
      const std::string wanted = u.wanted ? fmt::format(", {} wanted", show(*u.wanted)) : "";
      PutComment(fmt::format("- {}: {} {}{}", u.key, u.at_least ? "at least" : "at most",
                             show(u.value), wanted));
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
    // A row of a riddle has one answer.
    const std::string plain = PlainPath(path);
    const bool answers = plain == "identify.variant.trait" || plain == "identify.seen";
    if (answers && sample == nullptr) return;
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
