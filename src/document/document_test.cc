#include "document/document.h"

#include <doctest/doctest.h>
#include <fmt/core.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>
#include <random>
#include <set>
#include <string>

#include "document/fields.h"
#include "document/names.h"
#include "document/node.h"
#include "document/shape.h"
#include "fixtures/near.h"

namespace steerbench {
namespace {

// An invented car that uses every way of writing a value.
constexpr std::string_view kSample = R"(# Tern, invented
format = 1
title = "Tern for the hills"

[car]
name = "Tern"
wheelbase = "2650 ± 2 mm"   # tape along the sill

[car.front]
suspension = "double wishbone"
track = { value = "57 1/2 in", tolerance = "1/16 in", from = "measured", note = "tape" }
rebound = "70 mm"

[car.front.left]
lower_ball_joint = "(12, 690, 195) mm ± 1 mm"
tie_rod_outer = { value = "(-120, 655.5, 210) mm ± 2 mm", from = "measured" }
wheel_centre = ["0 mm", "730 mm ± 1 mm", "11.5 in"]
toe = "0° 6'"

[[car.front.turn_plate]]
travel = "30 mm"
left = "12.1°"
right = "13°"

[[car.front.turn_plate]]
travel = "60 mm"
left = "25°"
right = "27.4°"

[car.column]
joint = [{ angle = "20 deg", phase = "0 deg" }, { angle = "22 deg ± 1 deg" }]

[rack.slow]
title = "works rack"
owned = true
turns = "3.9 turns"
travel = "146 mm ± 1 mm"
travel_left = "73 mm"
travel_right = "73 mm"
pinion_teeth = 7

[rack."quick 2.6"]
price = 120
turns = "2.6 turns"

[spacer.ten]
thickness = "10 mm"

[setup.first]
rack = "slow"
toe = "5'"

[setup.second]
rack = "quick 2.6"
spacer = "ten"
stops = "kept"

[limits]
rod_arm_angle = "15°"
)";

// ---- Helpers -----------------------------------------------------------------------------------

std::string Listed(const std::vector<Problem>& problems) {
  std::string out;
  for (const Problem& p : problems) {
    out += fmt::format("{}:{} {} [{}] {}\n", p.line, p.column, p.field, p.found, p.message);
  }
  return out;
}

// The only problem of a text.
Problem OnlyProblem(const ReadResult& read) {
  INFO(Listed(read.problems));
  REQUIRE(read.problems.size() == 1);
  return read.problems.front();
}

bool Has(const std::string& text, std::string_view part) {
  return text.find(part) != std::string::npos;
}

std::vector<Quantity> QuantitiesOf(const Document& document) {
  std::vector<Quantity> all;
  ForEachQuantity(document, [&](const Quantity& q) { all.push_back(q); });
  return all;
}

// Equal to the last bit in all that a document says, `written` apart when a program made it.
bool SameDocument(const Document& a, const Document& b) {
  const auto qa = QuantitiesOf(a), qb = QuantitiesOf(b);
  const bool quantities = std::equal(
      qa.begin(), qa.end(), qb.begin(), qb.end(), [](const Quantity& x, const Quantity& y) {
        return x.value == y.value && x.tolerance == y.tolerance && x.kind == y.kind &&
               x.origin == y.origin && x.note == y.note &&
               (x.written.empty() || x.written == y.written);
      });
  return quantities && WriteJson(a) == WriteJson(b);
}

std::string Replaced(std::string text, std::string_view what, std::string_view with) {
  const std::size_t at = text.find(what);
  REQUIRE(at != std::string::npos);
  return text.replace(at, what.size(), with);
}

// Fills a model with random values, every field that there is.
class Filler {
 public:
  explicit Filler(unsigned seed) : random_(seed) {}

  void Fill(Document& document) {
    FillField({}, document);
    for (auto& [name, setup] : document.setup) ChooseParts(document, setup);
    MakeConsistent(document);
  }

 private:
  bool Coin() { return random_() % 2 == 0; }

  std::string Text() {
    static const std::vector<std::string> kPieces{"a", "Z", "7",  " ",  ".", "\"", "\\", "'",
                                                  "±", "ü", "\n", "\t", "#", "=",  "]"};
    std::string text = "x";
    for (auto i = random_() % 6; i > 0; --i) text += kPieces[random_() % kPieces.size()];
    return text;
  }

  template <class T>
  void FillField(const FieldInfo& info, T& field) {
    if constexpr (std::is_same_v<T, Quantity>) {
      FillQuantity(info, field);
    } else if constexpr (Described<T>) {
      T::Visit([&](const FieldInfo& inner, auto& f) { FillField(inner, f); }, field);
    } else if constexpr (std::is_same_v<T, std::string>) {
      field = Text();
    } else if constexpr (kIsOptional<T>) {
      if (Coin()) FillField(info, field.emplace());
    } else if constexpr (std::is_same_v<T, bool>) {
      field = Coin();
    } else if constexpr (std::is_enum_v<T>) {
      field = static_cast<T>(random_() % Words<T>::value.size());
    } else if constexpr (kIsNamed<T>) {
      for (auto i = random_() % 3; i > 0; --i) {
        field.emplace_back(fmt::format("{} {}", Text(), i), typename T::value_type::second_type{});
        FillField(info, field.back().second);
      }
    } else if constexpr (requires { field.emplace_back(); }) {
      for (auto i = random_() % 3; i > 0; --i) FillField(info, field.emplace_back());
    } else {
      for (auto& item : field) FillField(info, item);
    }
  }

  void FillQuantity(const FieldInfo& info, Quantity& q) {
    q.kind = info.kind;
    const auto milli = static_cast<double>(random_() % 100'000 + 1) / 1000;
    q.value = info.kind == Kind::kCount ? std::ceil(milli) : Coin() ? milli : milli / 3;
    if (info.range == Range::kOnCar) q.value = kColdestOnCar + 1.0;
    if (!Allows(info.range, q.value)) q.value /= 100.0;  // a share
    if (Coin()) q.tolerance = Coin() ? q.value / 16 : q.value / 30;
    if (Coin()) q.origin = Origin::kMeasured;
    if (Coin()) q.note = Text();
  }

  // Takes out what a random document contradicts itself in.
  static void MakeConsistent(Document& document) {
    for (auto& [name, rack] : document.rack) {
      rack.travel.reset();  // may contradict its halves
      rack.travel_per_turn.reset();
      std::erase_if(rack.ratio,
                    [](const auto& row) { return !row.travel || !row.travel_per_turn; });
      rack.assisted.reset();    // may deny its cylinder
      rack.piston_rod.reset();  // may be thicker than the bore
      rack.valve_stop.reset();  // may be too little for a boost row
      rack.boost.resize(std::min<std::size_t>(rack.boost.size(), 1));
      for (auto& row : rack.boost) {
        row.pull.reset();
        if (!row.torque) row.torque.emplace();
        row.torque->kind = Kind::kTorque;
        row.torque->value = 0.0;
        row.torque->tolerance.reset();
      }
      std::erase_if(rack.boost,
                    [](const auto& row) { return !row.pressure || row.pressure->value == 0.0; });
    }
    auto& currents = document.car.driver.current;
    currents.resize(std::min<std::size_t>(currents.size(), 1));
    for (auto& [name, fluid] : document.fluid) fluid.viscosity_100.reset();  // may be thicker
    for (auto& [name, valve] : document.control_valve) {
      std::erase_if(valve.opening,
                    [](const auto& row) { return !row.current || (!row.diameter && !row.share); });
      valve.opening.resize(std::min<std::size_t>(valve.opening.size(), 1));
      for (auto& row : valve.opening) {
        row.current->value = 0.0;
        row.current->tolerance.reset();
      }
    }
    std::erase_if(document.car.column.joint,
                  [](const auto& row) { return !row.angle || !row.phase; });
    std::erase_if(document.car.driver.current,
                  [](const auto& row) { return !row.road_speed || !row.current; });
    document.car.engine.top.reset();                                 // may be below idle or cruise
    for (auto& [name, rod] : document.tie_rod) rod.longest.reset();  // may be below shortest
    for (auto& [name, setup] : document.setup) {
      setup.adjust.toe_length.reset();
      if (setup.adjust.toe) setup.adjust.tie_rod_left.reset();
    }
    for (auto& [name, pump] : document.pump) {
      pump.relief_cracking.reset();  // may be above relief
      pump.full_flow_speed.reset();  // may be above top_speed, or too slow for the flow
      std::erase_if(pump.bench,
                    [](const auto& row) { return !row.speed || !row.pressure || !row.flow; });
      for (auto& row : pump.bench) {
        row.flow->value = 1e-9;
        row.flow->tolerance.reset();
      }
      pump.flow_at_top.reset();
    }
    for (auto& pulley : document.car.drive.pulley) {
      pulley.of.reset();  // may be a second one of the crank
      if (!pulley.slot) continue;
      pulley.pivot_right.reset();  // a slot and an arm are one too many
      pulley.pivot_up.reset();
      pulley.swing.reset();
    }
    FrontAxle<Quantity>& front = document.car.front;
    std::erase_if(front.turn_plate,
                  [](const auto& row) { return !row.travel || !row.left || !row.right; });
    for (auto* size : {&document.car.wheelbase, &document.car.body_width, &document.car.rear_track,
                       &front.track, &front.axis_spacing}) {
      if (*size) (*size)->value = 1.0 + (*size)->value / 1000;
    }
    PutRight(front.right);
    for (auto& [name, arms] : document.arms) PutRight(arms);
    for (auto& [name, riddle] : document.identify) MakeConsistent(riddle);
    PlaceFaces(document);
    if (document.search) MakeConsistent(*document.search);
  }

  // A base that exists, values only where something is near them, bounds and settings in order.
  static void MakeConsistent(Search& search) {
    search.base.clear();
    search.near = {};
    Aims<Want>::Visit(
        [](const FieldInfo&, auto& want) {
          if (want == Want::kNear) want = Want::kLess;
        },
        search.want);
    search.at_least = {};
    Polish::Visit(
        [](const FieldInfo&, const auto& from, auto& to) {
          to = from;
          if (to) to->value += 1.0;
        },
        search.from, search.to);
  }

  // Each face at a place of its own, adapters between two faces at one place.
  static void PlaceFaces(Document& document) {
    const auto place = [](std::vector<Face>& faces) {
      for (std::size_t i = 0; i < faces.size(); ++i) faces[i].at = static_cast<Meeting>(i);
    };
    place(document.car.face);
    Document::Visit(
        [&](const FieldInfo&, auto& parts) {
          if constexpr (kIsNamed<std::remove_cvref_t<decltype(parts)>>) {
            for (auto& entry : parts) {
              if constexpr (requires { entry.second.face; }) place(entry.second.face);
            }
          }
        },
        document);
    for (auto& [name, adapter] : document.adapter) {
      adapter.one.at = Meeting::kPinion;
      if (adapter.other.at) adapter.other.at = Meeting::kPinion;
    }
  }

  // Features that exist, one answer of one kind to each row, shares that leave something open.
  static void MakeConsistent(Riddle& riddle) {
    const auto tame = [](std::optional<Quantity>& share) {
      if (share) share->value /= 1000;
    };
    const auto answer = [&riddle](Trait& row) {
      const Trait all = row;
      row = {};
      if (riddle.feature.empty()) return;
      row.feature = riddle.feature[0].name;
      row.length = all.length;
    };
    int count = 0;
    for (Feature& f : riddle.feature) {
      f.name = fmt::format("{} {}", f.name, count++);
      tame(f.wrong);
    }
    for (Variant& v : riddle.variant) {
      v.name = fmt::format("{} {}", v.name, count++);
      v.part.clear();
      v.trait.resize(std::min<std::size_t>(v.trait.size(), 1));
      for (Trait& row : v.trait) answer(row);
    }
    for (Sighting& row : riddle.seen) {
      answer(row);
      tame(row.wrong);
    }
    tame(riddle.none);
    riddle.fills.clear();
  }

  // Points of the right side, which random ones, all positive, do not lie on.
  template <class T>
  static void PutRight(T& table) {
    T::Visit(
        [](const FieldInfo& info, auto& field) {
          if constexpr (std::is_same_v<std::remove_cvref_t<decltype(field)>,
                                       std::optional<Point<Quantity>>>) {
            const bool arms = std::is_same_v<T, Arms<Quantity>>;
            if (field && arms == info.key.ends_with("_right")) {
              (*field)[1].value = -(*field)[1].value;
            }
          }
        },
        table);
  }

  void ChooseParts(const Document& document, Setup<Quantity>& setup) {
    ForEachPartKind(document, [&](std::string_view key, std::string_view, const auto& parts) {
      const std::string name = parts.empty() || Coin() ? "" : parts.back().first;
      const auto set = [&](const FieldInfo& info, auto& field) {
        if constexpr (std::is_same_v<std::remove_cvref_t<decltype(field)>, std::string>) {
          if (info.key == key) field = name;
        }
      };
      Setup<Quantity>::Visit(set, setup);
    });
  }

  std::mt19937 random_;
};

// ---- Reading -----------------------------------------------------------------------------------

TEST_CASE("the sample reads, in its own order, and its parts fit") {
  const ReadResult read = ReadToml(kSample);
  INFO(Listed(read.problems));
  REQUIRE(read.problems.empty());
  const Document& document = read.document;
  REQUIRE(document.rack.size() == 2);
  CHECK(document.rack[0].first == "slow");
  CHECK(document.rack[1].first == "quick 2.6");
  const Fitted<Quantity> fitted = Fit(document, document.setup[1].second);
  REQUIRE(fitted.rack);
  CHECK(fitted.rack->price->value == 120.0);
  CHECK(fitted.spacer->thickness->value == fixtures::Near(0.010));
  CHECK_FALSE(fitted.pump);
  CHECK(fitted.adjust.stops == Stops::kKept);
  CHECK(fitted.car.wheelbase->value == fixtures::Near(2.650));
  CHECK(fitted.limits.rod_arm_angle);
}

TEST_CASE("a value's table, a point's forms") {
  const Document document = ReadToml(kSample).document;
  const FrontAxle<Quantity>& front = document.car.front;
  // 57 1/2 in at 25.4 mm exactly (NIST SP 811, 2008, Appendix B.8: from memory).
  CHECK(front.track->value == fixtures::Near(57.5 * 0.0254));
  CHECK(*front.track->tolerance == fixtures::Near(0.0254 / 16));
  CHECK(front.track->origin == Origin::kMeasured);
  CHECK(front.track->note == "tape");
  const Point<Quantity>& rod = *front.left.tie_rod_outer;
  CHECK(rod[1].value == fixtures::Near(0.6555));
  for (const Quantity& q : rod) CHECK(*q.tolerance == fixtures::Near(0.002));
  for (const Quantity& q : rod) CHECK(q.origin == Origin::kMeasured);
  const Point<Quantity>& centre = *front.left.wheel_centre;
  CHECK_FALSE(centre[0].tolerance);
  CHECK(*centre[1].tolerance == fixtures::Near(0.001));
  CHECK(document.car.column.joint[1].angle->tolerance);
}

TEST_CASE("all problems at once, each at its place, in the order of the text") {
  const auto read = ReadToml(
      "format = 1\n"
      "[car]\n"
      "note = \"±°\"\n"
      "whelbase = \"2 m\"\n"
      "wheelbase = \"2650 ± 2 furlongz\"\n"
      "front.track = 1460\n"
      "[setup.a]\n"
      "rack = \"slwo\"\n"
      "[rack.slow]\n"
      "travel = \"-1 mm\"\n"
      "owned = \"yes\"\n"
      "stop_face = \"rak\"\n"
      "pinion_teeth = { value = 7, from = \"mesured\" }\n"
      "turns = { tolerance = \"1 deg\" }\n");
  const auto& p = read.problems;
  INFO(Listed(p));
  REQUIRE(p.size() == 9);
  CHECK(p[0].field == "car.whelbase");
  CHECK(Has(p[0].message, "did you mean 'wheelbase'?"));
  CHECK(p[1].line == 5);
  CHECK(p[1].column == 23);  // in characters: the plus-minus before it takes two bytes
  CHECK(Has(p[2].message, "does not say its unit"));
  CHECK(p[2].field == "car.front.track");
  CHECK(p[2].found == "1460");
  CHECK(p[2].column == 15);
  CHECK(p[3].field == "setup.a.rack");
  CHECK(Has(p[3].message, "did you mean 'slow'?"));
  CHECK(Has(p[4].message, "greater than zero"));
  CHECK(Has(p[5].message, "true or false"));
  CHECK(Has(p[6].message, "did you mean 'rack'?"));
  CHECK(Has(p[7].message, "did you mean 'measured'?"));
  CHECK(Has(p[8].message, "needs its 'value'"));
}

TEST_CASE("structure that does not fit is explained") {
  const auto problem = [](const std::string& toml) {
    return OnlyProblem(ReadToml("format = 1\n" + toml)).message;
  };
  CHECK(Has(problem("car = 3"), "a table"));
  CHECK(Has(problem("rack = \"slow\""), "[rack.some-name]"));
  CHECK(Has(problem("[car.column.joint]"), "[[car.column.joint]]"));
  CHECK(Has(problem("[rack.\"\"]"), "needs a name"));
  CHECK(Has(problem("title = 1979-05-27"), "text in quotes"));
  CHECK(Has(problem("car.front.left.wheel_centre = 3"), "a point is three lengths"));
  CHECK(Has(problem("car.front.left.wheel_centre = [\"1 mm\"]"), "a point is three lengths"));
  CHECK(Has(problem("car.front.left.wheel_centre = \"(1, 2) mm\""),
            "Expected a point such as \"(12, -655.5, 195) mm ± 1 mm\""));
  CHECK(Has(problem("rack.a.pinion_teeth = nan"), "no number found"));
  CHECK(Has(problem("rack.a.pinion_teeth = 7.5"), "whole"));
  CHECK(Has(problem("car.wheelbase = { value = \"1 ± 1 m\", tolerance = \"1 m\" }"), "keep one"));
  CHECK(Has(problem("[setup.s]\nrack = \"x\""), "no [rack.x]"));
  const auto both = ReadToml(
      "format = 1\n[rack.a]\ntravel = \"146 mm\"\ntravel_left = \"73 mm\"\n"
      "travel_right = \"70 ± 2.8 mm\"");
  CHECK(Has(OnlyProblem(both).message, "add up to 143 mm"));
  CHECK(ReadToml("format = 1\n[rack.a]\ntravel = \"146 mm\"\ntravel_left = \"73 mm\"\n"
                 "travel_right = \"70 ± 3 mm\"")
            .problems.empty());
}

// The problems of a document given without its format.
std::vector<Problem> ProblemsOf(const std::string& toml) {
  return ReadToml("format = 1\n" + toml).problems;
}

TEST_CASE("a pump's displacement, speed and flow must go together") {
  const auto pump = [](std::string_view rest) {
    return ProblemsOf(fmt::format("[pump.a]\ndisplacement = \"10 cm3/rev\"\n{}", rest));
  };
  // 10 cm3 at 700 rpm make 7 L/min; unstated, each is good to 5 %: 7 x 1.05 x 1.05 = 7.7.
  CHECK(pump("full_flow_speed = \"700 rpm\"\nflow = \"8 L/min\"\n").empty());
  const auto p = pump("full_flow_speed = \"700 rpm\"\nflow = \"8.3 L/min\"\n");
  REQUIRE(p.size() == 1);
  CHECK(p[0].field == "pump.a.full_flow_speed");
  CHECK(Has(p[0].message, "at most 7 L/min at 700 rpm, but flow is 8.3 L/min"));
  CHECK(pump("full_flow_speed = \"900 rpm\"\ntop_speed = \"800 rpm\"\n").at(0).field ==
        "pump.a.full_flow_speed");
  const auto row =
      pump("[[pump.a.bench]]\nspeed = \"700 rpm\"\nflow = \"9 L/min\"\npressure = \"20 bar\"\n");
  REQUIRE(row.size() == 1);
  CHECK(row[0].field == "pump.a.bench[0].flow");
}

TEST_CASE("a bench row of a pump whose flow control acts says nothing of its leak") {
  const auto row = [](std::string_view flow) {
    return ProblemsOf(fmt::format(
        "[pump.a]\nflow = \"8 L/min\"\n[[pump.a.bench]]\nspeed = \"900 rpm\"\nflow = \"{}\"\n"
        "pressure = \"20 bar\"\n",
        flow));
  };
  CHECK(row("7.5 ± 0.3 L/min").empty());
  for (const std::string_view regulated : {"8 L/min", "7.8 ± 0.3 L/min"}) {
    const auto p = row(regulated);
    REQUIRE(p.size() == 1);
    CHECK(p[0].field == "pump.a.bench[0].flow");
    CHECK(p[0].line == 6);
    CHECK(Has(p[0].message, "says nothing of the leak"));
  }
  CHECK(ProblemsOf("[pump.a]\nefficiency = \"110 %\"\n").at(0).field == "pump.a.efficiency");
}

TEST_CASE("a pull that does not overcome the column turns no valve") {
  const auto pull = [](std::string_view newtons) {
    return ProblemsOf(fmt::format(
        "[car.column]\nrim_diameter = \"400 mm\"\n[car.friction]\ncolumn = \"1 N m\"\n[rack.a]\n"
        "[[rack.a.boost]]\npull = \"0 N\"\npressure = \"2 bar\"\n[[rack.a.boost]]\n"
        "pull = \"{}\"\npressure = \"5 bar\"\n",
        newtons));
  };
  CHECK(pull("5.1 N").empty());
  const auto p = pull("4.9 N");
  REQUIRE(p.size() == 1);
  CHECK(p[0].field == "rack.a.boost[1].pull");
  CHECK(Has(p[0].message, "takes 5 N at the rim"));
}

TEST_CASE("a boost curve rises from the wheel let go, row by row") {
  const auto boost = [](std::string_view rows) {
    std::string text = "[rack.a]\n";
    for (std::size_t from = 0; from < rows.size();) {
      const std::size_t end = std::min(rows.find(';', from), rows.size());
      text += fmt::format("[[rack.a.boost]]\n{}\n", rows.substr(from, end - from));
      from = end + 1;
    }
    return ProblemsOf(text);
  };
  constexpr std::string_view kFirst = "torque = \"0 N m\"\npressure = \"2 bar\";";
  const auto after = [&](std::string_view row) { return boost(std::string(kFirst).append(row)); };
  CHECK(after("torque = \"1 N m\"\npressure = \"5 bar\"").empty());
  CHECK(after("pull = \"1 N\"\npressure = \"5 bar\"").empty());
  CHECK(after("torque = \"1 N m\"\npressure = \"2 bar\"").at(0).field ==
        "rack.a.boost[1].pressure");
  CHECK(after("torque = \"0 N m\"\npressure = \"5 bar\"").at(0).field == "rack.a.boost[1].torque");
  CHECK(Has(after("torque = \"1 N m\"").at(0).message, "lacks the pressure"));
  CHECK(Has(after("pressure = \"5 bar\"").at(0).message, "lacks torque or pull"));
  CHECK(after("torque = \"1 N m\"\npull = \"1 N\"\npressure = \"5 bar\"").at(0).field ==
        "rack.a.boost[1].pull");
  CHECK(Has(boost("torque = \"1 N m\"\npressure = \"2 bar\"").at(0).message, "begins with"));
  CHECK(Has(boost("torque = \"0 N m\"\npressure = \"0 bar\"").at(0).message, "0.5 ± 0.5 bar"));
}

TEST_CASE("oil that thickens as it warms, and a rod that fills its bore, are slips of the pen") {
  const auto oil = [](std::string_view cold, std::string_view hot) {
    return ProblemsOf(
        fmt::format("[fluid.o]\nviscosity_40 = \"{}\"\nviscosity_100 = \"{}\"\n", cold, hot));
  };
  CHECK(oil("34 cSt", "7 cSt").empty());
  CHECK(oil("7 cSt", "34 cSt").at(0).field == "fluid.o.viscosity_100");
  CHECK(Has(oil("7 cSt", "7 cSt").at(0).message, "hot oil is thinner"));
  const auto rod = [](std::string_view thick) {
    return ProblemsOf(
        fmt::format("[rack.a]\npiston_bore = \"42 ± 0.1 mm\"\npiston_rod = \"{}\"\n", thick));
  };
  CHECK(rod("24 ± 0.1 mm").empty());
  CHECK(rod("41.7 mm").empty());
  CHECK(ProblemsOf("[rack.a]\npiston_bore = \"38 ± 8 mm\"\npiston_rod = \"24 ± 6 mm\"\n").empty());
  CHECK(Has(rod("41.95 mm").at(0).message, "no piston would be left"));
  CHECK(rod("42.5 mm").size() == 1);  // thicker: said once
}

TEST_CASE("rows of a control valve and of its driver stand in order, from the plug off") {
  const auto opening = [](std::string_view a, std::string_view b) {
    return ProblemsOf(
        fmt::format("[[control_valve.v.opening]]\ncurrent = \"{}\"\ndiameter = \"2 mm\"\n"
                    "[[control_valve.v.opening]]\ncurrent = \"{}\"\ndiameter = \"1 mm\"\n",
                    a, b));
  };
  CHECK(opening("0 A", "0.4 A").empty());
  CHECK(opening("0 A", "0 A").at(0).field == "control_valve.v.opening[1].current");
  CHECK(Has(opening("0.1 A", "0.4 A").at(0).message, "begin with the plug off"));
  const auto driver = [](std::string_view a, std::string_view b) {
    return ProblemsOf(
        fmt::format("[[car.driver.current]]\nroad_speed = \"{}\"\ncurrent = \"1 A\"\n"
                    "[[car.driver.current]]\nroad_speed = \"{}\"\ncurrent = \"1 A\"\n",
                    a, b));
  };
  CHECK(driver("0 km/h", "30 km/h").empty());
  CHECK(driver("40 km/h", "30 km/h").at(0).field == "car.driver.current[1].road_speed");
}

TEST_CASE("an engine that idles or cruises above its top speed is said to") {
  const auto engine = [](std::string_view rest) {
    return ProblemsOf(fmt::format("[car.engine]\ntop = \"6000 rpm\"\n{}", rest));
  };
  CHECK(engine("idle = \"850 rpm\"\ncruise = \"6000 rpm\"\n").empty());
  CHECK(engine("idle = \"8500 rpm\"\n").at(0).field == "car.engine.idle");
  CHECK(engine("cruise = \"6100 rpm\"\n").at(0).field == "car.engine.cruise");
}

TEST_CASE("what no rack can be is said of it") {
  const auto rack = [](std::string_view rest) {
    return ProblemsOf(fmt::format("[rack.a]\n{}", rest)).at(0).field;
  };
  CHECK(rack("piston_bore = \"40 mm\"\npiston_rod = \"42 mm\"\n") == "rack.a.piston_rod");
  CHECK(rack("mesh_efficiency = \"110 %\"\n") == "rack.a.mesh_efficiency");
  CHECK(rack("assisted = false\npiston_bore = \"40 mm\"\n") == "rack.a.assisted");
}

TEST_CASE("turns, travel and travel per turn must fit within what they are read to") {
  const auto rack = [](std::string_view turns, std::string_view per_turn, std::string_view rest) {
    return ProblemsOf(fmt::format("[rack.a]\nturns = \"{}\"\ntravel_per_turn = \"{}\"\n{}", turns,
                                  per_turn, rest));
  };
  const auto p = rack("3 turns", "40 mm/turn", "travel = \"146 mm\"");
  REQUIRE(p.size() == 1);
  CHECK(p[0].line == 5);
  CHECK(p[0].field == "rack.a.travel");
  CHECK(Has(p[0].message, "make a travel of 120 mm, but it is 146 mm"));
  // 3 turns, each to 0.05, and 40 mm/turn and the travel to half a millimetre: off by 4.1 mm.
  CHECK(rack("3 turns", "40 mm/turn", "travel = \"124 mm\"").empty());
  CHECK(rack("3 turns", "40 mm/turn", "travel = \"124.2 mm\"").size() == 1);
  // Stated: 0.01 * 40 + 0.1 * 3 + 0.2 + 0.1 = 1 mm.
  const std::string_view turns = "3 ± 0.01 turns", per_turn = "40 ± 0.1 mm/turn";
  CHECK(rack(turns, per_turn, "travel = \"120.9 ± 0.2 mm\"").empty());
  CHECK(rack(turns, per_turn, "travel = \"121.1 ± 0.2 mm\"").size() == 1);
  const std::string halves = "travel_left = \"70 mm\"\ntravel_right = \"60 mm\"";
  CHECK(rack("3 turns", "40 mm/turn", halves).at(0).field == "rack.a.travel_left");
  CHECK(rack("3 turns", "43 mm/turn", halves).empty());
  CHECK(rack("3 turns", "40 mm/turn",
             "travel = \"146 mm\"\n[[rack.a.ratio]]\ntravel = \"0 mm\"\n"
             "travel_per_turn = \"40 mm/turn\"")
            .empty());
}

TEST_CASE("halves of a travel are added up in their own unit") {
  const auto p =
      ProblemsOf("[rack.a]\ntravel = \"5 in\"\ntravel_left = \"60 mm\"\ntravel_right = \"60 mm\"");
  REQUIRE(p.size() == 1);
  CHECK(Has(p[0].message, "add up to 120 mm"));
}

TEST_CASE("toe is said in one way") {
  const std::string toe = "toe = \"5'\"\n", length = "toe_length = \"1 mm\"\n",
                    left = "tie_rod_left = \"315 mm\"\n", right = "tie_rod_right = \"315 mm\"\n";
  const auto setup = [](const std::string& fields) { return ProblemsOf("[setup.a]\n" + fields); };
  for (const std::string& good : {toe + left, length + right, left + right, toe}) {
    CAPTURE(good);
    CHECK(setup(good).empty());
  }
  CHECK(setup(toe + length).at(0).field == "setup.a.toe_length");
  CHECK(Has(setup(toe + left + right).at(0).message, "tie_rod_left and tie_rod_right"));
  CHECK(setup(length + left + right).at(0).line == 3);
}

TEST_CASE("points lie on their own side") {
  auto p = ProblemsOf(
      "[car.front.right]\nwheel_centre = \"(0, 730, 300) mm\"\n"
      "tie_rod_outer = [\"0 mm\", \"654 mm ± 1 mm\", \"1 in\"]\nlower_pivot_rear = \"(1, 2, 3) "
      "mm\"\n"
      "tie_rod_inner = { value = \"(0, -300, 1) mm\", from = \"drawing\" }\n"
      "[car.front.left]\nstrut_top = { value = \"(0, -25.5, 1) in\", tolerance = \"1 mm\" }\n"
      "upper_ball_joint = \"(0, 0, 1) m\"\n[arms.a]\nouter_joint = \"(0, -1, 0) m\"\n");
  INFO(Listed(p));
  REQUIRE(p.size() == 5);
  CHECK(Has(p[0].message, "the right side's are negative; did you mean -730?"));
  CHECK(p[0].field == "car.front.right.wheel_centre");
  CHECK(Has(p[1].message, "did you mean -654?"));
  CHECK(p[1].column == 26);  // of the second component
  CHECK(Has(p[2].message, "the left side's are positive; did you mean 25.5?"));
  CHECK(p[2].line == 8);
  CHECK_FALSE(Has(p[3].message, "did you mean"));
  CHECK(p[4].field == "arms.a.outer_joint");
}

TEST_CASE("sizes are those of a car") {
  const auto message = [](const std::string& toml) { return ProblemsOf(toml).at(0).message; };
  CHECK(message("car.wheelbase = \"2.48 mm\"") ==
        "2.48 mm cannot be a wheelbase: did you mean 2.48 m or 2480 mm?");
  CHECK(Has(message("car.front.track = \"57.5 mm\""), "a track: did you mean 57.5 in?"));
  CHECK(Has(message("car.front.axis_spacing = \"1390 m\""),
            "an axis spacing: did you mean 1390 mm?"));
  CHECK(Has(message("car.rear_track = \"0.002 mm\""), "between 0.3 m and 10 m"));
  CHECK(ProblemsOf("car.body_width = \"0.29 m\"").size() == 1);
  CHECK(ProblemsOf("car.body_width = \"0.3 m\"\ncar.wheelbase = \"10 m\"").empty());
}

TEST_CASE("rows of a turn plate are whole, differ and turn both wheels one way") {
  const std::string row = "[[car.front.turn_plate]]\n";
  const auto p =
      ProblemsOf(row + "travel = \"30 mm\"\nleft = \"12°\"\nright = \"-12.8°\"\n" + row +
                 "left = \"12°\"\n" + row + "travel = \"3 cm\"\nleft = \"12°\"\nright = \"13°\"\n" +
                 row + "travel = \"0 mm\"\nleft = \"-1.9°\"\nright = \"2.1°\"\n");
  INFO(Listed(p));
  REQUIRE(p.size() == 3);
  CHECK(p[0].field == "car.front.turn_plate[0].right");
  CHECK(Has(p[0].message, "both wheels are counted positive to the left"));
  CHECK(p[1].line == 6);
  CHECK(Has(p[1].message, "lacks travel and right"));
  CHECK(p[2].line == 9);
  CHECK(Has(p[2].message, "first on line 3"));
}

TEST_CASE("rows of a ratio table are whole and differ") {
  const std::string row = "[[rack.quick.ratio]]\n";
  const auto p = ProblemsOf(row + "travel = \"0 mm\"\ntravel_per_turn = \"45 mm/turn\"\n" + row +
                            "travel = \"40 mm\"\n" + row +
                            "travel = \"0 cm\"\ntravel_per_turn = \"46 mm/turn\"\n");
  INFO(Listed(p));
  REQUIRE(p.size() == 2);
  CHECK(p[0].field == "rack.quick.ratio[1]");
  CHECK(Has(p[0].message, "ratio table lacks travel_per_turn"));
  CHECK(p[1].field == "rack.quick.ratio[2].travel");
  CHECK(Has(p[1].message, "two rows have this rack travel"));
}

TEST_CASE("a tie rod's longest is not shorter than its shortest") {
  const auto p = ProblemsOf("[tie_rod.a]\nshortest = \"366 mm\"\nlongest = \"340 mm\"");
  REQUIRE(p.size() == 1);
  CHECK(p[0].field == "tie_rod.a.longest");
  CHECK(Has(p[0].message, "shorter than shortest, 366 mm"));
  CHECK(ProblemsOf("[tie_rod.a]\nshortest = \"340 mm\"\nlongest = \"340 mm\"").empty());
}

TEST_CASE("toe as a length is less than the rim that it is measured over") {
  const auto p = ProblemsOf("car.front.rim_diameter = \"350 mm\"\n[setup.s]\ntoe_length = \"1 m\"");
  REQUIRE(p.size() == 1);
  CHECK(p[0].field == "setup.s.toe_length");
  CHECK(Has(p[0].message, "350 mm"));
}

TEST_CASE("checks of meaning survive keys given twice") {
  const std::string row = R"([{"travel": "1 mm", "left": "9°", "right": "-9°"}])";
  const auto read = ReadJson(R"({"format": 1, "car": {"front": {"turn_plate": )" + row +
                             R"(, "turn_plate": )" + row +
                             "}}, \"arms\": {\"a\": {}}, "
                             R"("arms": {"b": {"outer_joint": "(0, -1, 0) m"}}})");
  CHECK(read.problems.size() >= 2);
}

TEST_CASE("the second control valve is one of the control valves") {
  const std::string valves = "[control_valve.a]\ncoil = \"6 ohm\"\n[setup.s]\n";
  CHECK(ProblemsOf(valves + "second_control_valve = \"b\"").size() == 1);
  const ReadResult read = ReadToml("format = 1\n" + valves + "second_control_valve = \"a\"");
  REQUIRE(read.problems.empty());
  CHECK(Fit(read.document, read.document.setup[0].second).second_control_valve->coil);
}

TEST_CASE("the format is asked for") {
  CHECK(OnlyProblem(ReadToml("")).field == "format");
  CHECK(OnlyProblem(ReadToml("format = 2")).found == "2");
  CHECK(OnlyProblem(ReadToml("format = \"1\"")).line == 1);
  CHECK(OnlyProblem(ReadJson("{}")).field == "format");
}

TEST_CASE("bad syntax has a place") {
  Problem p = OnlyProblem(ReadToml("format = 1\ntitle = \"±\" x"));
  CHECK(p.line == 2);
  CHECK(p.column == 13);
  p = OnlyProblem(ReadToml("format = 1\nformat = 1\n"));
  CHECK(Has(p.message, "only once (first on line 1)"));
  CHECK(p.line == 2);
  p = OnlyProblem(ReadJson("{\n  \"format\": 1,\n  \"title\": }\n"));
  CHECK(p.line == 3);
  CHECK(p.column == 12);
  p = OnlyProblem(ReadJson("{\"format\": 1,\n\"title\": \"a\", \"title\": \"b\"}"));
  CHECK(p.line == 2);
  CHECK(p.column == 15);
  CHECK(Has(p.message, "first on line 2"));
  CHECK(OnlyProblem(ReadJson("[1]")).line == 1);
  CHECK(OnlyProblem(ReadJson("{\"format\": 1e999}")).line == 1);
  p = OnlyProblem(ReadJson("{\"format\": 1, \"car\": { \"wheelbase\" : 12 }}"));
  CHECK(p.column == 38);
  CHECK(p.found == "12");
  CHECK(OnlyProblem(ReadJson("{\"format\": 1, \"title\": null}")).found == "null");
}

TEST_CASE("quotes, encodings and repeats are explained in a user's words") {
  const auto problem = [](const std::string& toml) {
    return OnlyProblem(ReadToml("format = 1\n" + toml));
  };
  for (const std::string text : {"note = \"±\"\ntitle = \"abc\n[car]\n", "\ntitle = 'abc"}) {
    const Problem p = problem(text);
    CHECK(p.message == "the closing quote of this text is missing on its line");
    CHECK(p.line == 3);
    CHECK(p.column == 9);  // of the opening quote
    CHECK(Has(p.found, "abc"));
  }
  CHECK(Has(problem("title = \"\"\"abc\n\ncde").message, "three closing quotes"));
  CHECK(problem("title = \"\"\"abc\n\ncde").line == 2);
  CHECK(Has(problem("title = abc def").message, "write a text in quotes"));
  CHECK(Has(problem("title = turned ring").message, "write a text in quotes"));
  CHECK(Has(problem("title = abc def\"").message, "opening quote of this text is missing"));
  CHECK(Has(problem("[rack.barn").message, "closing ] of this heading is missing"));
  // A quote that is missing at the beginning is another matter.
  CHECK_FALSE(Has(problem("title = abc\"\n").message, "closing"));
  for (const std::string text : {"title = \"M\xFCller\"", "# M\xFCller", "M\xFCller = 1"}) {
    CHECK(Has(problem(text).message, "save the file as UTF-8"));
    CHECK(problem(text).line == 2);
  }
  CHECK(Has(OnlyProblem(ReadJson("{\"title\": \"M\xFCller\"}")).message, "save the file as UTF-8"));
  const Problem column = OnlyProblem(ReadJson("{\"format\": 1, \"title\": \"±ü\", \"x\": 1}"));
  CHECK(column.column == 30);
  // Where what is given twice stands first.
  CHECK(Has(problem("[car]\n[limits]\n[car]").message, "first on line 2"));
  CHECK(Has(problem("[rack.a]\nnote = \"x\"\n\nnote = \"y\"").message, "first on line 3"));
  CHECK(Has(problem("rack.a.note = \"x\"\r\n[rack.a]\r\n").message, "first on line 2"));
  CHECK(Has(problem("[[car.column.joint]]\nphase = \"0°\"\n[[car.column.joint]]\n"
                    "angle = \"1°\"\nangle = \"2°\"")
                .message,
            "first on line 5"));
}

TEST_CASE("hostile text is refused in words") {
  const auto refused = [](const std::string& text) {
    const bool toml = !ReadToml(text).problems.empty();
    return toml && !ReadJson(text).problems.empty();
  };
  CHECK(refused(std::string("format = 1\0", 11)));
  CHECK(refused("format = 1 # \xC3"));
  CHECK(refused("title = \"\xFF\""));
  CHECK(refused("title = b\"±"));
  CHECK(refused("[&"));
  CHECK(ReadToml("format = 1\ntitle = \"\"\"\\\n§\"\"\"").document.title == "§");
  CHECK(Has(OnlyProblem(ReadToml("format = 1\ntitle = “x”")).message, "straight quotes"));
  CHECK(refused(std::string(kMaxBytes + 1, '\n')));
  CHECK(refused("a = " + std::string(1'000'000, '[')));
  CHECK(refused(std::string(1'000'000, '[')));
  CHECK(refused("a = " + std::string(100, '[') + std::string(100, ']')));
  std::string dotted = "a", wide = "format = 1\n", json = "{\"format\": 1", inlined = "car = {";
  for (int i = 0; i < 1'000'000; ++i) dotted += ".a";
  CHECK(refused(dotted + " = 1"));
  std::string tables = "format = 1\n", same = "[setup.s]\n", many;
  for (int i = 0; i < 99'000; ++i) {
    wide += fmt::format("wheelbas{} = 1\n", i);
    json += fmt::format(",\"whelbase{}\":[1]", i);
    inlined += fmt::format("{}k{} = \"±\"", i == 0 ? "" : ", ", i);
    // The parser looks through all dotted tables for each: 3 s at kMaxValues, so fewer here.
    if (i < 30'000) same += fmt::format("x{0}.a = 1\nx{0}.b = 2\n", i);
    many += "[[rack.a.ratio]]\ntravel = \"1 mm\"\n[[rack.a.ratio]]\n";
    if (i % 3 != 0) continue;
    tables += fmt::format("[rack.r{0}]\ntravl = \"{0} mm\"\n[setup.s{0}]\nrack = \"r{0}x\"\n", i);
  }
  for (const std::string& text : {wide, inlined + "}", tables, same}) {
    CHECK(ReadToml(text).problems.size() == kMaxProblems + 1);
  }
  CHECK(ReadJson(json + "}").problems.size() == kMaxProblems + 1);
  CHECK(Has(OnlyProblem(ReadToml(many)).message, "more than 200000 values"));
  const std::string long_text = "format = 1\ntitle = \"" + std::string(10u << 20, 'a') + "\"";
  CHECK(ReadToml(long_text).problems.empty());
}

TEST_CASE("a document cut short at any byte reads or says where it ends") {
  const Document document = ReadToml(kSample).document;
  const std::string json = WriteJson(document);
  for (std::size_t n = 0; n < kSample.size(); ++n) {
    const ReadResult read = ReadToml(kSample.substr(0, n));
    for (const Problem& p : read.problems) REQUIRE(p.line >= 1);
  }
  for (std::size_t n = 0; n + 2 < json.size(); ++n) {
    const ReadResult read = ReadJson(std::string_view(json).substr(0, n));
    REQUIRE_FALSE(read.problems.empty());
    for (const Problem& p : read.problems) REQUIRE(p.line >= 1);
  }
}

TEST_CASE("the nearest word") {
  const std::vector<std::string> known{"wheelbase", "track", "rear_track", "tie_rod"};
  CHECK(Nearest("whelbase", known) == "wheelbase");
  CHECK(Nearest("trakc", known) == "track");
  CHECK(Nearest("Rear-Track", known) == "rear_track");
  CHECK(Nearest("tie rod", known) == "tie_rod");
  CHECK(Nearest("pump", known).empty());
  CHECK(Nearest("", known).empty());
}

TEST_CASE("paths") {
  for (const std::string text : {"car.front.obstacle[0].gap", "rack.\"quick 2.6\".travel", "a"}) {
    CHECK(PathText(ParsePath(text)) == text);
  }
  for (const std::string text :
       {"", ".", "a.", "a[", "a[1", "a[x]", "a b", "\"a", "[0]", "a[-1]"}) {
    CAPTURE(text);
    CHECK(ParsePath(text).empty());
  }
}

TEST_CASE("a pump and a belt drive that contradict themselves are told where") {
  const std::string text =
      "format = 1\n[pump.a]\nrelief = \"80 bar\"\nrelief_cracking = \"90 bar\"\n"
      "flow = \"6 L/min\"\nflow_at_top = \"7 L/min\"\n"
      "[[car.drive.pulley]]\nof = \"crank\"\nslot = \"30 mm\"\n"
      "[[car.drive.pulley]]\nof = \"crank\"\nslot = \"30 mm\"\n";
  const ReadResult read = ReadToml(text);
  const std::string listed = Listed(read.problems);
  INFO(listed);
  CHECK(read.problems.size() == 3);
  CHECK(Has(listed, "pump.a.relief_cracking"));
  CHECK(Has(listed, "more than relief, 80 bar"));
  CHECK(Has(listed, "pump.a.flow_at_top"));
  CHECK(Has(listed, "a second pulley of the crank"));
}

// ---- Writing -----------------------------------------------------------------------------------

TEST_CASE("what was written is written again, letter for letter") {
  const Document document = ReadToml(kSample).document;
  const std::string toml = WriteToml(document);
  CHECK(Has(toml, "wheelbase = \"2650 ± 2 mm\"\n"));
  CHECK(Has(toml, "track = { value = \"57 1/2 in ± 1/16 in\", from = \"measured\""));
  CHECK(Has(toml, "[rack.\"quick 2.6\"]\nprice = 120\n"));
  CHECK(Has(toml, "wheel_centre = [\"0 mm\", \"730 mm ± 1 mm\", \"11.5 in\"]"));
  CHECK(toml.find("[rack.slow]") < toml.find("[rack.\"quick 2.6\"]"));
  for (const ReadResult& again : {ReadToml(toml), ReadJson(WriteJson(document))}) {
    INFO(Listed(again.problems));
    CHECK(again.problems.empty());
    CHECK(SameDocument(document, again.document));
  }
  CHECK(WriteToml(ReadToml(toml).document) == toml);
}

TEST_CASE("a program's values are written in the trade's units, and a changed value as changed") {
  Document document;
  Quantity q;
  q.value = 0.1175;
  q.tolerance = 0.0002;
  q.kind = Kind::kLength;
  q.written = "99 mm";  // no longer what it was
  document.car.wheelbase = q;
  CHECK(Has(WriteToml(document), "wheelbase = \"117.5 ± 0.2 mm\"\n"));
  q.value = std::numeric_limits<double>::quiet_NaN();
  document.car.wheelbase = q;
  CHECK(WriteToml(document) == "format = 1\n");
}

TEST_CASE("control characters in a text or a name are refused, line breaks and tabs are not") {
  for (const char* bad : {"\\u001b[2J", "\\u0007", "\\u007f", "\\u009b1m", "\\r"}) {
    CAPTURE(bad);
    const std::string quoted = fmt::format("\"x{}\"", bad);
    CHECK_FALSE(ReadToml(fmt::format("format = 1\ntitle = {}\n", quoted)).problems.empty());
    CHECK_FALSE(ReadToml(fmt::format("format = 1\n[rack.{}]\n", quoted)).problems.empty());
  }
  CHECK(ReadToml("format = 1\ntitle = \"a\\tb\\nc ± ü\"\n").problems.empty());
}

TEST_CASE("any document comes back from TOML and JSON equal to the last bit") {
  CHECK(rc::check([](unsigned seed) {
    Document document;
    Filler(seed).Fill(document);
    for (const ReadResult& again : {ReadToml(WriteToml(document)), ReadJson(WriteJson(document))}) {
      RC_LOG(Listed(again.problems));
      RC_ASSERT(again.problems.empty());
      RC_ASSERT(SameDocument(document, again.document));
    }
  }));
}

// ---- Schema ------------------------------------------------------------------------------------

using Json = nlohmann::json;

bool HasType(const Json& value, const std::string& type) {
  if (type == "object") return value.is_object();
  if (type == "array") return value.is_array();
  if (type == "string") return value.is_string();
  if (type == "number") return value.is_number();
  return type == "boolean" && value.is_boolean();
}

// As much of a validator (JSON Schema 2020-12) as the schema uses; any other keyword throws.
bool Valid(const Json& schema, const Json& value, const Json& root);

bool ValidObject(const Json& schema, const Json& value, const Json& root) {
  if (!value.is_object()) return true;
  for (const Json& key : schema.value("required", Json::array())) {
    if (!value.contains(key)) return false;
  }
  const Json properties = schema.value("properties", Json::object());
  const Json others = schema.value("additionalProperties", Json(true));
  for (const auto& [key, member] : value.items()) {
    const Json& sub = properties.contains(key) ? properties[key] : others;
    if (sub.is_boolean() ? !sub.get<bool>() : !Valid(sub, member, root)) return false;
    const bool named = !schema.contains("propertyNames");
    if (!named && key.size() < schema["propertyNames"].at("minLength")) return false;
  }
  return true;
}

bool ValidArray(const Json& schema, const Json& value, const Json& root) {
  if (!value.is_array()) return true;
  if (value.size() < schema.value("minItems", 0u)) return false;
  if (schema.contains("maxItems") && value.size() > schema["maxItems"]) return false;
  return !schema.contains("items") || std::all_of(value.begin(), value.end(), [&](const Json& v) {
    return Valid(schema["items"], v, root);
  });
}

bool Valid(const Json& schema, const Json& value, const Json& root) {
  static const std::set<std::string> kKnown{
      "$schema",    "$defs",         "$ref",     "title", "description",
      "examples",   "type",          "required", "items", "additionalProperties",
      "properties", "propertyNames", "enum",     "const", "anyOf",
      "minItems",   "maxItems"};
  for (const auto& [key, unused] : schema.items()) {
    if (!kKnown.contains(key)) throw std::runtime_error("keyword " + key);
  }
  const auto among = [&](const Json& list, auto&& holds) {
    return std::any_of(list.begin(), list.end(), holds);
  };
  if (schema.contains("$ref")) {
    const Json::json_pointer at(schema["$ref"].get<std::string>().substr(1));
    if (!Valid(root.at(at), value, root)) return false;
  }
  if (schema.contains("const") && value != schema["const"]) return false;
  if (schema.contains("enum") && !among(schema["enum"], [&](auto& v) { return v == value; })) {
    return false;
  }
  if (schema.contains("anyOf") &&
      !among(schema["anyOf"], [&](auto& s) { return Valid(s, value, root); })) {
    return false;
  }
  if (schema.contains("type")) {
    const Json types = schema["type"].is_array() ? schema["type"] : Json::array({schema["type"]});
    if (!among(types, [&](auto& t) { return HasType(value, t); })) return false;
  }
  return ValidObject(schema, value, root) && ValidArray(schema, value, root);
}

TEST_CASE("the schema accepts every document that is written and refuses what is not one") {
  const Json schema = Json::parse(JsonSchema());
  CHECK(schema["additionalProperties"] == false);
  const Json sample = Json::parse(WriteJson(ReadToml(kSample).document));
  CHECK(Valid(schema, sample, schema));
  for (unsigned seed = 0; seed < 50; ++seed) {
    Document document;
    Filler(seed).Fill(document);
    REQUIRE(Valid(schema, Json::parse(WriteJson(document)), schema));
  }
  const auto refused = [&](const std::string& pointer, const Json& value) {
    Json changed = sample;
    changed[Json::json_pointer(pointer)] = value;
    return !Valid(schema, changed, schema);
  };
  CHECK(refused("/format", 2));
  CHECK(refused("/car/whelbase", "2 m"));
  CHECK(refused("/car/wheelbase", 2650));
  CHECK(refused("/car/wheelbase", {{"value", "2 m"}, {"from", "hearsay"}}));
  CHECK(refused("/car/front/suspension", "leaf"));
  CHECK(refused("/car/front/left/wheel_centre", Json::array({"1 mm", "2 mm"})));
  CHECK(refused("/rack/slow/owned", "yes"));
  CHECK(refused("/rack/slow/price", true));
  CHECK(refused("/setup/first/adjust", "x"));
}

// Keys of all fields that hold a value, at any depth.
std::set<std::string> LeafKeys(const Shape& shape) {
  std::set<std::string> keys;
  for (const ShapeField& field : shape.fields) {
    if (field.shape.fields.empty()) keys.insert(std::string(field.key));
    keys.merge(LeafKeys(field.shape));
  }
  for (const auto* given : {"title", "name", "suspension", "rack", ""}) keys.erase(given);
  return keys;
}

TEST_CASE("the reference names every field once a line") {
  const std::string page = FieldReference();
  CHECK(Has(page, "\n- `wheelbase`: front to rear wheel centre (a length)\n"));
  CHECK(Has(page, "\n## `[[car.front.turn_plate]]`\n"));
  CHECK(Has(page, "\n## `[rack.NAME]`\n"));
  for (const std::string& key : LeafKeys(DocumentShape())) CHECK(Has(page, "- `" + key + "`: "));
}

// ---- Starter -----------------------------------------------------------------------------------

std::string Uncommented(const std::string& starter) {
  std::string out;
  for (std::size_t i = 0; i < starter.size(); ++i) {
    const bool line = i == 0 || starter[i - 1] == '\n';
    const bool sample =
        line && starter[i] == '#' && starter[i + 1] != ' ' && starter[i + 1] != '\n';
    if (!sample) out += starter[i];
  }
  return out;
}

TEST_CASE("the starter reads as it is and with every example filled in") {
  std::string all;
  for (const Suspension kind :
       {Suspension::kDoubleWishbone, Suspension::kFiveLink, Suspension::kStrut}) {
    for (const bool points : {false, true}) {
      const std::string starter = StarterToml({"my \"old\" car\n", kind, points});
      const ReadResult bare = ReadToml(starter);
      INFO(Listed(bare.problems));
      REQUIRE(bare.problems.empty());
      CHECK(bare.document.car.name == "my \"old\" car\n");
      CHECK(bare.document.car.front.suspension == kind);
      CHECK(QuantitiesOf(bare.document).empty());
      const ReadResult filled = ReadToml(Uncommented(starter));
      INFO(Listed(filled.problems));
      REQUIRE(filled.problems.empty());
      CHECK(filled.document.car.front.left.wheel_centre.has_value() == points);
      CHECK(filled.document.car.front.turn_plate.empty() == points);
      CHECK(filled.document.car.front.left.strut_top.has_value() ==
            (points && kind == Suspension::kStrut));
      all += starter;
      const Fitted<Quantity> fitted = Fit(filled.document, filled.document.setup[0].second);
      CHECK(fitted.pulley->diameter);
      CHECK(Has(starter, "jack alone"));
    }
  }
  for (const std::string& key : LeafKeys(DocumentShape())) {
    const std::string example = key + " = ";
    CAPTURE(key);
    CHECK((Has(all, "\n#" + example) || Has(all, "\n# or: " + example) ||
           Has(all, "\n# if any: " + example)));
  }
  CHECK_FALSE(Has(all, "[fluid.first]"));
}

// A starter with its `# or:` and `# if any:` lines taken instead of what they stand for.
std::string WithAsides(const std::string& starter) {
  std::string out;
  for (std::size_t begin = 0; begin < starter.size();) {
    const std::size_t end = starter.find('\n', begin) + 1;
    std::string line = starter.substr(begin, end - begin);
    for (const std::string_view words : {"# or: ", "# if any: "}) {
      if (line.starts_with(words)) line.erase(0, words.size());
    }
    const bool instead = line.starts_with("toe = ") || line.starts_with("toe_length = ") ||
                         line.starts_with("slot = ") || line.starts_with("slot_angle = ") ||
                         line.starts_with("torque = ");
    if (!instead) out += line;
    begin = end;
  }
  return out;
}

// Checked from the geometry alone; the command line was run on them by hand.
TEST_CASE("the starter's examples fit each other") {
  for (const Suspension kind :
       {Suspension::kDoubleWishbone, Suspension::kFiveLink, Suspension::kStrut}) {
    const ReadResult read = ReadToml(WithAsides(Uncommented(StarterToml({"x", kind, true}))));
    INFO(Listed(read.problems));
    REQUIRE(read.problems.empty());
    const Fitted<Quantity> f = Fit(read.document, read.document.setup[0].second);
    const auto& corner = f.car.front.left;
    const double spacer = f.spacer->thickness->value;
    double squares = 0.0;
    for (std::size_t i = 0; i < 3; ++i) {
      const double moved = i == 1 ? spacer : 0.0;
      squares +=
          std::pow((*corner.tie_rod_outer)[i].value - (*corner.tie_rod_inner)[i].value - moved, 2);
    }
    const double rod = std::sqrt(squares);
    CHECK(std::abs(f.adjust.tie_rod_left->value - rod) < f.adjust.tie_rod_left->tolerance);
    CHECK(rod > f.tie_rod->shortest->value);
    CHECK(rod < f.tie_rod->longest->value);
    CHECK((*corner.tie_rod_inner)[1].value * 2 == fixtures::Near(f.rack->joint_span->value));
    const double stop = f.rack->travel_left->value + spacer;
    CHECK((f.rack->toothed_length->value - f.rack->tooth_contact->value) / 2 - stop >
          f.limits.tooth_reserve->value);
    CHECK(f.rack->thread_engaged->value - spacer > f.rack->thread_diameter->value);
    CHECK(f.control_valve->coil);
    CHECK(f.second_control_valve->coil);
    // The same linkage from above: the outer joint lies inboard of its axis by the arm's share.
    const Document plan = ReadToml(Uncommented(StarterToml({"x", kind, false}))).document;
    const FrontAxle<Quantity>& front = plan.car.front;
    const double outer = front.axis_spacing->value / 2 -
                         front.plan.arm_length->value * std::sin(front.plan.arm_angle->value);
    CHECK(std::abs(outer - (*corner.tie_rod_outer)[1].value) < 2e-3);
  }
}

// ---- Editing -----------------------------------------------------------------------------------

std::string Edited(std::string_view text, std::string_view path, std::string_view value) {
  const EditResult edit = EditToml(text, path, value);
  INFO(path, " = ", value, "\n", Listed(edit.problems));
  REQUIRE(edit.problems.empty());
  return edit.text;
}

TEST_CASE("an edit changes the value alone") {
  const std::string text(kSample);
  const auto check = [&](std::string_view path, std::string_view value, std::string_view old_text,
                         std::string_view new_text) {
    CAPTURE(path);
    CHECK(Edited(text, path, value) == Replaced(text, old_text, new_text));
  };
  check("car.wheelbase", "2600 mm", "\"2650 ± 2 mm\"   #", "\"2600 mm\"   #");
  check("car.wheelbase", "", "wheelbase = \"2650 ± 2 mm\"   # tape along the sill\n", "");
  check("car.front.track", "1460 ± 2 mm", "\"57 1/2 in\", tolerance = \"1/16 in\"",
        "\"1460 ± 2 mm\"");
  check("car.front.track.note", "", ", note = \"tape\"", "");
  check("car.front.track.value", "57 in", "57 1/2 in", "57 in");
  check("car.wheelbase.from", "measured", "\"2650 ± 2 mm\"",
        "{ value = \"2650 ± 2 mm\", from = \"measured\" }");
  check("car.front.left.wheel_centre[1]", "1 mm", "730 mm ± 1 mm", "1 mm");
  check("car.front.left.lower_ball_joint", "(1, 2, 3) mm", "(12, 690, 195) mm ± 1 mm",
        "(1, 2, 3) mm");
  const std::string right = "right = \"27.4°\"\n";
  CHECK(Edited(Replaced(text, right, ""), "car.front.turn_plate[1].right", "27.4°") == text);
  check("car.column.joint[1].phase", "3°", "22 deg ± 1 deg\" }",
        "22 deg ± 1 deg\", phase = \"3°\" }");
  check("car.column.joint[0].angle", "", "angle = \"20 deg\", ", "");
  check("car.column.joint[0].phase", "", ", phase = \"0 deg\"", "");
  check("rack.\"quick 2.6\".owned", "true", "turns = \"2.6 turns\"\n",
        "turns = \"2.6 turns\"\nowned = true\n");
  check("rack.slow.pinion_teeth", "8", "teeth = 7", "teeth = 8");
  check("setup.second.stops", "removed", "\"kept\"", "\"removed\"");
  check("title", "a \"b\"\\", "\"Tern for the hills\"", "\"a \\\"b\\\"\\\\\"");
}

TEST_CASE("an edit tells what was there and whether it made a table") {
  const auto edit = [](std::string_view path, std::string_view value) {
    const EditResult result = EditToml(kSample, path, value);
    INFO(path, " = ", value, "\n", Listed(result.problems));
    REQUIRE(result.problems.empty());
    return result;
  };
  CHECK(edit("car.wheelbase", "2600 mm").before == "2650 ± 2 mm");
  CHECK(edit("car.wheelbase", "").before == "2650 ± 2 mm");
  CHECK(edit("rack.slow.pinion_teeth", "8").before == "7");
  CHECK(edit("rack.slow.owned", "false").before == "true");
  CHECK(Has(edit("car.front.track", "1460 mm").before, "{ value = \"57 1/2 in\""));
  CHECK(edit("car.front.track.value", "1460 mm").before == "57 1/2 in");
  CHECK(edit("car.wheelbase.from", "measured").before.empty());
  CHECK(edit("car.body_width", "1.7 m").before.empty());
  for (const auto* kept : {"car.wheelbase", "car.wheelbase.value", "car.body_width", "title"}) {
    CHECK_FALSE(edit(kept, "2 m").made_table);
  }
  CHECK(edit("pump.new.note", "x").made_table);
  CHECK(edit("rack.slwo.note", "x").made_table);
  CHECK(edit("car.front.turn_plate[2].left", "30°").made_table);
  CHECK_FALSE(edit("pump.new.note", "").made_table);
}

TEST_CASE("an edit adds what is missing at the end") {
  const std::string text(kSample);
  CHECK(Edited(text, "limits.thread_engagement", "1.2") == text + "thread_engagement = 1.2\n");
  CHECK(Edited(text, "pump.\"a b\".top_speed", "7000 rpm") ==
        text + "\n[pump.\"a b\"]\ntop_speed = \"7000 rpm\"\n");
  CHECK(Edited(text, "car.front.turn_plate[2].left", "30°") ==
        text + "\n[[car.front.turn_plate]]\nleft = \"30°\"\n");
  CHECK(Edited(text, "car.front.obstacle[0].gap", "5 mm") ==
        text + "\n[[car.front.obstacle]]\ngap = \"5 mm\"\n");
  CHECK(Edited("format = 1", "title", "x") == "format = 1\ntitle = \"x\"");
  CHECK(Edited("format = 1\r\n[car]\r\n  name = \"±\"\r\n", "car.note", "x") ==
        "format = 1\r\n[car]\r\n  name = \"±\"\r\n  note = \"x\"\r\n");
  CHECK(Edited("format = 1\n[car] # c\n[limits]\n", "car.name", "x") ==
        "format = 1\n[car] # c\nname = \"x\"\n[limits]\n");
  CHECK(Edited("format = 1\ncar.front.track = \"1 m\" # c\n", "car.front.jounce", "9 mm") ==
        "format = 1\ncar.front.track = \"1 m\" # c\ncar.front.jounce = \"9 mm\"\n");
  CHECK(Edited("format = 1\n[car.front]\n", "car.name", "x") ==
        "format = 1\n[car.front]\n\n[car]\nname = \"x\"\n");
  CHECK(Edited("format = 1\ncar = {}\n", "car.front.track", "1 m") ==
        "format = 1\ncar = { front.track = \"1 m\" }\n");
  CHECK(Edited("\xEF\xBB\xBF[car]\n", "title", "x") == "\xEF\xBB\xBFtitle = \"x\"\n[car]\n");
}

TEST_CASE("an edit that would break the document is refused with what it would cause") {
  const auto refused = [](std::string_view path, std::string_view value) {
    const EditResult edit = EditToml(kSample, path, value);
    CAPTURE(path);
    REQUIRE(edit.problems.size() == 1);
    CHECK(edit.text.empty());
    return edit.problems[0].message;
  };
  CHECK(Has(refused("car.wheelbase", "2650"), "unit"));
  CHECK(Has(refused("car.whelbase", "2650 mm"), "did you mean 'wheelbase'"));
  CHECK(Has(refused("car.front", "x"), "holds fields"));
  CHECK(Has(refused("no path", "x"), "not a dotted path"));
  CHECK(Has(refused("setup.first.rack", "slwo"), "did you mean 'slow'"));
  CHECK(Has(refused("rack.slow.owned", "perhaps"), "true or false"));
  CHECK(Has(refused("rack.slow.travel_left", "70 mm"), "add up"));
  CHECK(Has(refused("car.rear_track.from", "measured"), "needs its 'value'"));
  CHECK(Has(refused("car.front.turn_plate[7].left", "1°"), "by hand"));
  CHECK(EditToml("format = ", "title", "x").problems.size() == 1);
  // A document that is broken elsewhere can be mended step by step.
  const std::string broken = "format = 1\n[car]\nwheelbase = 3\nrear_track = 4\n";
  CHECK(Edited(broken, "car.wheelbase", "3 m") == Replaced(broken, "= 3\n", "= \"3 m\"\n"));
}

TEST_CASE("random edits leave every other byte and every other value") {
  std::vector<std::string> samples{
      std::string(kSample), "format = 1\n",
      "format = 1\ncar = { name = \"°\" }\nrack.a.turns = \"3 turns\""};
  for (const bool points : {false, true}) {
    samples.push_back(StarterToml({"x", Suspension::kStrut, points}));
    samples.push_back(Uncommented(samples.back()));
  }
  const std::vector<std::pair<std::string, std::string>> edits{
      {"car.wheelbase", "2500 ± 3 mm"},
      {"car.front.left.toe", "0° 7'"},
      {"car.front.right.camber", "-1°"},
      {"car.front.left.wheel_centre", "(0, 1, 2) mm"},
      {"rack.a.owned", "false"},
      {"rack.works.price", "12.5"},
      {"rack.\"ü .\".note", "±\n"},
      {"limits.column_joint", "30°"},
      {"car.column.joint[0].angle", "10°"},
      {"setup.first.stops", "removed"},
      {"title", "a # b"},
      {"car.engine.idle", "900 rpm"}};
  CHECK(rc::check([&] {
    std::string text = *rc::gen::elementOf(samples);
    for (int step = 0; step < 4; ++step) {
      const auto [path, value] = *rc::gen::elementOf(edits);
      const std::string typed = *rc::gen::arbitrary<bool>() ? value : "";
      const EditResult edit = EditToml(text, path, typed);
      RC_LOG(path + "=" + typed + "\n" + Listed(edit.problems));
      RC_ASSERT(edit.problems.empty());
      // The new text is the old one with one run of bytes exchanged.
      const auto [a, b] =
          std::mismatch(text.begin(), text.end(), edit.text.begin(), edit.text.end());
      const auto head = static_cast<std::size_t>(a - text.begin());
      std::size_t tail = 0;
      while (tail + head < std::min(text.size(), edit.text.size()) &&
             text[text.size() - 1 - tail] == edit.text[edit.text.size() - 1 - tail]) {
        ++tail;
      }
      constexpr std::size_t kLongestEdit = 200;  // a line with its comment
      RC_ASSERT(edit.text.size() - head - tail < kLongestEdit);
      RC_ASSERT(text.size() - head - tail < kLongestEdit);
      // The same edit again changes nothing.
      RC_ASSERT(EditToml(edit.text, path, typed).text == edit.text);
      text = edit.text;
    }
  }));
}

}  // namespace
}  // namespace steerbench
