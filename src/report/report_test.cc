#include "report/report.h"
#include "report/phrases.h"

#include <doctest/doctest.h>

#include <cmath>

#include "fixtures/demo.h"
#include "fixtures/draws.h"
#include "fixtures/figures.h"
#include "report/drawn.h"
#include "report/held.h"
#include "report/side_by_side.h"
#include "report/swaps.h"

namespace steerbench {
namespace {

using fixtures::kSlots;

std::string TextComparing(const std::vector<SetupReport>& setups) {
  return CompareText("", setups, 0, SwapsAgainst(setups, 0, 1), {});
}

// Two setups of one car share most of their inputs, so their difference is surer than either: by
// derivatives, and by draws common to both.
TEST_CASE("The plus-minus of a difference is that of many common draws, for every figure") {
  constexpr std::uint64_t kSeed = 20'260'102;
  // The least left of a joint's tilt has a kink where two poses are alike.
  constexpr double kCurvature = 0.02, kKink = 0.1;
  const Document demo = fixtures::Example();
  const Fitted<Quantity> calm = fixtures::FittedSetup(demo, "calm");
  const Fitted<Quantity> works = fixtures::FittedSetup(demo, "works");
  const Propagated p = Propagate(calm), base = Propagate(works);
  const auto figures = fixtures::Row(p), base_figures = fixtures::Row(base);
  std::vector<fixtures::Moments> moments(kSlots);
  fixtures::Draws draws(kSeed);
  for (int n = 0; n < fixtures::kDraws; ++n) {
    draws.Next();
    const auto a = fixtures::Row(Evaluate(draws.Of(calm, p.inputs)));
    const auto b = fixtures::Row(Evaluate(draws.Of(works, base.inputs)));
    for (std::size_t k = 0; k < kSlots; ++k) {
      if (a[k] && b[k]) moments[k].Add(*a[k] - *b[k]);
    }
  }
  for (std::size_t k = 0; k < kSlots; ++k) {
    if (!figures[k] || !base_figures[k] || fixtures::IsWeighed(k)) continue;
    const Figure d = Difference(*figures[k], p, *base_figures[k], base);
    CAPTURE(fixtures::SlotName(k));
    CHECK(d.value == figures[k]->value - base_figures[k]->value);
    CAPTURE(d.tolerance);
    CAPTURE(moments[k].Tolerance());
    // What both setups have alike differs by nothing but rounding.
    const double rounding = 1e-9 * figures[k]->tolerance;
    if (d.tolerance <= rounding) {
      CHECK(moments[k].Tolerance() <= 1e-6 * figures[k]->tolerance);
    } else {
      const bool least = k >= fixtures::kFirstCheck + static_cast<std::size_t>(Check::kInnerTilt) &&
                         k <= fixtures::kFirstCheck + static_cast<std::size_t>(Check::kRodArm);
      CHECK(std::abs(moments[k].Tolerance() / d.tolerance - 1.0) <
            (least ? kKink : kCurvature) + fixtures::kDrawNoise);
    }
  }
}

TEST_CASE("A setup differs from itself by nothing, surely") {
  const Propagated p = Propagate(fixtures::FittedSetup(fixtures::Example(), "keen"));
  const Figure d = Difference(*p[Output::kTurns].figure, p, *p[Output::kTurns].figure, p);
  CHECK(d.value == 0.0);
  CHECK(d.tolerance == 0.0);
}

SetupReport Report(const char* setup) {
  const Document demo = fixtures::Example();
  return ReportOf(setup, {}, fixtures::FittedSetup(demo, setup), demo.adapter, demo.belt);
}

TEST_CASE("Exceeded is exceeded in any setup") {
  CHECK_FALSE(AnyExceeded({Report("calm"), Report("works")}));
  CHECK(AnyExceeded({Report("calm"), Report("first-try")}));
  CHECK_FALSE(AnyExceeded({}));
}

TEST_CASE("What most results wait for comes first") {
  SetupReport report = Report("calm");
  report.fitted.car.wheelbase.reset();
  report.fitted.car.engine.idle.reset();
  report.results = Propagate(report.fitted);
  const std::vector<Unlock> unlocks = Unlocks({report});
  REQUIRE(unlocks.size() >= 2);
  CHECK(unlocks.front().field == "car.wheelbase");
  CHECK(unlocks[1].field == "car.engine.idle");
  for (std::size_t i = 1; i < unlocks.size(); ++i) {
    CHECK(unlocks[i].results <= unlocks[i - 1].results);
  }
}

TEST_CASE("A control valve without its current is said in words, with what cures it") {
  SetupReport report = Report("keen");
  report.fitted.adjust.control_powered = false;
  report.results = Propagate(report.fitted);
  const std::string text = CheckText("", {report}, {});
  for (const char* words : {"control valve bypass is unplugged", "heavy for that reason",
                            "cure: plugged in", "cure: bypass taken out of the circuit"}) {
    CAPTURE(words);
    CHECK(text.find(words) != std::string::npos);
  }
}

// Whether a text says so, wherever its lines are broken.
bool Has(const std::string& text, std::string_view words) {
  std::string flat;
  for (const char c : text) {
    const char next = c == '\n' ? ' ' : c;
    if (next != ' ' || !flat.ends_with(' ')) flat += next;
  }
  return flat.find(words) != std::string::npos;
}
bool Says(const SetupReport& report, std::string_view words) {
  return Has(CheckText("", {report}, {}), words);
}

// What the solver takes as moving or not is a step that no ± reaches over.
TEST_CASE("A coil on the edge of moving its valve on the road is told") {
  SetupReport report = Report("keen");  // 0.35 A at 80 km/h
  const auto from = [&report](const char* pull_in) {
    report.fitted.control_valve->pull_in = ParseQuantity(pull_in, Kind::kCurrent).quantity;
    report.results = Propagate(report.fitted);
  };
  from("0.32 ± 0.05 A");
  CHECK(Says(report, "hardly more than the 0.32 ± 0.05 A from which it moves"));
  CHECK(TextComparing({Report("calm"), report}).find("keen note: 80 km/h: control valve bypass") !=
        std::string::npos);
  from("0.36 ± 0.05 A");
  CHECK(Says(report, "hardly less than the 0.36 ± 0.05 A"));
  from("0.2 ± 0.05 A");
  CHECK_FALSE(Says(report, "hardly"));
  CHECK_FALSE(Says(report, "short of current"));
}

TEST_CASE(
    "A change that leaves a coil short of current but brings the weight back is told as such") {
  SetupReport report = Report("keen");
  report.fitted.second_control_valve = report.fitted.control_valve;
  report.fitted.second_control_valve->name = "twin";
  report.fitted.second_control_valve->coil = ParseQuantity("8 ohm", Kind::kResistance).quantity;
  report.fitted.adjust.wiring = CoilWiring::kParallel;
  report.results = Propagate(report.fitted);
  CHECK(Says(report, "heavy for that reason"));
  CHECK(Says(report, "as good at the wheel, though not with all its current: the same driver and"));
  CHECK(Says(report, "one after the other in one passage"));
}

TEST_CASE("A joint past its limit straight ahead is cured by no stop") {
  SetupReport report = Report("keen");
  report.fitted.rack->inner_joint_limit = ParseQuantity("5 deg", Kind::kAngle).quantity;
  report = ReportOf("keen", {}, report.fitted, {}, {});
  CHECK(Says(report, "no travel is safe: inner joint"));
  CHECK_FALSE(Says(report, "nan"));
}

TEST_CASE("What a solve leaves of nothing is shown as nothing") {
  Figure none;
  none.value = 1.4e-20;
  none.tolerance = 3e-17;
  CHECK(FigureText(none, Kind::kFlow, {}) == "0 L/min");
  none.value = 1.4e-9;
  CHECK(FigureText(none, Kind::kFlow, {}) != "0 L/min");
  Sweep sweep;
  sweep.column = {{"pressure", "pressure", Kind::kPressureGauge}};
  sweep.row = {{2e5}, {-1e-9}};
  CHECK(SweepText(sweep, {}) == "pressure\nbar\n2.000\n0\n");
}

// The demo with one adapter less or with a face of another kind.
SetupReport FirstTry(void (*change)(Document&)) {
  Document demo = fixtures::Example();
  change(demo);
  return ReportOf("first-try", {}, fixtures::FittedSetup(demo, "first-try"), demo.adapter,
                  demo.belt);
}

TEST_CASE("What differs is said with its cure, or with what to get where there is none") {
  const std::string text = CheckText("", {Report("first-try")}, {});
  for (const char* words :
       {"Does it go together?", "✓ fits with adapter", "splines: 36 on car, 40 on rack quick",
        "cure: adapter coupler (machined, price 55.00, 1.5 h to fit)", "✗ DIFFERS",
        "number of ribs (6 ribs against 5", "needed: adapter port (owned, 0.2 h to fit)",
        "needed: travel stops that act sooner: within 74.2 mm"}) {
    CAPTURE(words);
    CHECK(text.find(words) != std::string::npos);
  }
  const SetupReport bare = FirstTry([](Document& d) { d.adapter.clear(); });
  CHECK(CheckText("", {bare}, {}).find("joint yoke made for both (36 splines, diameter 17.0") !=
        std::string::npos);
  const SetupReport vague = FirstTry([](Document& d) { d.adapter[0].second.one.diameter.reset(); });
  CHECK(CheckText("", {vague}, {}).find("perhaps: adapter coupler") != std::string::npos);
  const SetupReport silent = FirstTry([](Document& d) { d.car.face[0].splines.reset(); });
  CHECK(CheckText("", {silent}, {}).find("splines: rack quick has 40, car does not say") ==
        std::string::npos);  // the diameter differs, and that is enough
}

TEST_CASE("Faces that differ without an adapter are as bad as a limit exceeded") {
  SetupReport report = Report("calm");
  CHECK_FALSE(AnyExceeded({report}));
  Document demo = fixtures::Example();
  demo.car.face[0].splines->value = 48;
  report = ReportOf("calm", {}, fixtures::FittedSetup(demo, "calm"), demo.adapter, demo.belt);
  CHECK(AnyExceeded({report}));
  const std::string text = TextComparing({Report("calm"), report});
  CHECK(text.find("DIFFERS: pinion") != std::string::npos);
}

// A setup with inputs and results of given values and ±, of which the readings made others.
SetupReport Told(const std::vector<std::pair<double, double>>& before, HeldAgainst held) {
  SetupReport report;
  for (std::size_t i = 0; i < before.size(); ++i) {
    Figure figure;
    figure.value = before[i].first;
    figure.tolerance = before[i].second;
    report.results.result[i].figure = figure;
    report.results.inputs.push_back({"bar", {}});
    report.results.inputs.back().quantity.value = figure.value;
    report.results.inputs.back().quantity.tolerance = figure.tolerance;
  }
  report.held = std::move(held);
  return report;
}

std::vector<std::size_t> Of(const std::vector<Counted>& counted) {
  std::vector<std::size_t> of;
  for (const Counted& c : counted) of.push_back(c.of);
  return of;
}

TEST_CASE("Numbers that the readings narrow or move much are worth a line, in their order") {
  HeldAgainst held;
  held.inputs = held.results = {{0, 105.0, 8.0}, {1, 18.0, 0.1}};
  const std::vector<std::pair<double, double>> before{{100.0, 8.5}, {18.0, 0.5}};
  CHECK(Of(ResultsWorthALine(Told(before, held))) == std::vector<std::size_t>{0, 1});
  CHECK(Of(InputsWorthALine(Told(before, held))) == std::vector<std::size_t>{0, 1});
  held.inputs = held.results = {{0, 101.0, 8.0}};  // neither narrowed nor moved much
  CHECK(ResultsWorthALine(Told(before, held)).empty());
  CHECK(InputsWorthALine(Told(before, held)).empty());
  held.inputs = {{0, 1.0, 2.3}};
  CHECK(Of(InputsWorthALine(Told({{1.0, 3.0}}, held))) == std::vector<std::size_t>{0});
  held.inputs = {{0, 1.0, 2.5}};
  CHECK(InputsWorthALine(Told({{1.0, 3.0}}, held)).empty());
}

TEST_CASE("No more than ten results and six inputs are worth a line, those that gain most") {
  HeldAgainst held;
  for (std::size_t i = 0; i < 12; ++i) {
    held.results.push_back({i, 0.0, 0.7 - 0.05 * static_cast<double>(i)});
  }
  held.inputs = held.results;
  const std::vector<std::pair<double, double>> before(12, {0.0, 1.0});
  CHECK(Of(ResultsWorthALine(Told(before, held))) ==
        std::vector<std::size_t>{2, 3, 4, 5, 6, 7, 8, 9, 10, 11});
  CHECK(Of(InputsWorthALine(Told(before, held))) == std::vector<std::size_t>{6, 7, 8, 9, 10, 11});
}

TEST_CASE("A stop that is needed is told no further out than it is") {
  SetupReport report = Report("first-try");
  report.needs = {fit::Need{fit::Lack::kStop, "", {}, {}, {}, RackEnd::kLastTooth, 0.07499}};
  CHECK(CheckText("", {report}, {}).find("within 74.9 mm") != std::string::npos);
}

TEST_CASE("The change of a temperature is a difference, in kelvin") {
  SetupReport warm = Report("calm"), warmer = Report("calm");
  warmer.fitted.car.oil.surroundings->value += 8.0;
  warmer.results = Propagate(warmer.fitted);
  const std::string text = TextComparing({warm, warmer});
  CHECK(text.find(" K") != std::string::npos);
  CHECK(text.find("+-") == std::string::npos);
}

TEST_CASE("A document is shown in the units that it is written in") {
  const Units demo = UnitsAsWritten(fixtures::Example());
  CHECK(demo.For(Kind::kAngularSpeed) == demo.For(Kind::kLength));
  ReadResult read =
      ReadToml("format = 1\n[car]\nwheelbase = \"99 in\"\nrear_track = \"55 in\"\n[setup.s]\n");
  REQUIRE(read.problems.empty());
  CHECK(UnitsAsWritten(read.document).For(Kind::kLength) == UnitStyle::kImperial);
}

TEST_CASE("No escape codes without a terminal, and the same words with them") {
  const std::vector<SetupReport> setups{Report("first-try")};
  const TextStyle plain{{}, false}, terminal{{}, true};
  std::string coloured = CheckText("t", setups, terminal);
  const std::string bare = CheckText("t", setups, plain);
  CHECK(bare.find('\x1b') == std::string::npos);
  CHECK(coloured.find('\x1b') != std::string::npos);
  for (std::size_t at; (at = coloured.find('\x1b')) != std::string::npos;) {
    coloured.erase(at, coloured.find('m', at) - at + 1);
  }
  CHECK(coloured == bare);
}

TEST_CASE("A caution stands where it belongs, and inspection always last") {
  SetupReport report = Report("first-try");
  const auto keys = [&] {
    std::vector<std::string> all;
    for (const Caution& c : CautionsFor(report)) all.emplace_back(c.key);
    return all;
  };
  CHECK(keys() == std::vector<std::string>{"rack_over_travel", "thread_short", "adapted_steering",
                                           "adapted_pressure", "spacer", "inspection"});
  report.adapters[0].second.made = Make::kWelded;
  CHECK(std::ranges::count(keys(), "welded_adapter") == 1);
  report.fitted.adjust.stops = Stops::kRemoved;
  report.results = Propagate(report.fitted);
  CHECK(keys().front() == "stops_removed");
  report = Report("calm");
  CHECK(keys() == std::vector<std::string>{"inspection"});
  report = Report("keen");
  report.fitted.arms->made = Make::kWelded;
  CHECK(keys() == std::vector<std::string>{"welded_arms", "inspection"});
}

TEST_CASE("A value to the digits of its ± keeps its unit, wherever that stands") {
  const Units metric;
  CHECK(RoundedText(0.071234, 0.0005, Kind::kLength, metric) == "71.23 mm");
  CHECK(RoundedText(-0.65, 0.028, Kind::kAngle, metric) == "-37.2°");
  CHECK(RoundedText(0.354, 0.03, Kind::kShare, metric) == "35.4 %");
  CHECK(RoundedText(61234.0, 13000.0, Kind::kPressureAbsolute, metric) == "0.61 bar abs");
  CHECK(RoundedText(1.0, 0.05, Kind::kRatio, metric) == "1.000");
}

SetupReport Alike(const SetupReport& report, const std::string& name) {
  SetupReport other = report;
  other.name = name;
  return other;
}

TEST_CASE("Effects are rounded by what they are effects of, and next to nothing is nothing") {
  const SetupReport base = Report("calm");
  const SetupReport other = Alike(base, "other");
  fit::Swap swap;
  swap.changes = {{"pulley", "a", "b"}};
  const auto at = static_cast<std::size_t>(Output::kKerbTorque);
  swap.alone.fill(0.0);
  swap.last.fill(0.0);
  swap.alone[at] = 1.0;
  swap.last[at] = 1e-16;
  fit::Swap back = swap;
  back.alone[at] = -1.0;
  const SwapTable table = TableOf(base, other, {swap, back}, {});
  REQUIRE(table.rows.size() == 1);
  CHECK(table.rows[0].all == "same");
  CHECK(CellText(table.rows[0].effects[0]) == "+1.0000, last +0.0000");
  CHECK(CellText(table.rows[0].effects[1]) == "-1.0000, last +0.0000");
  swap.alone[at] = -2e-16;
  CHECK(TableOf(base, other, {swap}, {}).rows.empty());
  CHECK(TableOf(base, other, {swap}, {}).idle == std::vector<std::string>{"pulley a -> b"});
}

TEST_CASE("Aspects of a rack that make up for each other are told though the swap is idle") {
  const SetupReport base = Report("calm");
  const SetupReport other = Alike(base, "other");
  const auto at = static_cast<std::size_t>(Output::kKerbTorque);
  fit::Swap swap;
  swap.changes = {{"rack", "a", "b"}};
  swap.alone.fill(0.0);
  swap.last.fill(0.0);
  for (const auto& [aspect, effect] : {std::pair{"piston", 1.0}, {"steering valve", -1.0}}) {
    fit::Swap part = swap;
    part.changes[0].aspect = aspect;
    part.alone[at] = part.last[at] = effect;
    swap.apart.push_back(part);
  }
  swap.apart.push_back(swap);
  swap.apart[2].changes[0].aspect = "friction";
  CHECK(TableOf(base, other, {swap}, {}).idle == std::vector<std::string>{"rack a -> b"});
  const auto tables = TablesApart(base, other, {swap}, {});
  REQUIRE(tables.size() == 1);
  CHECK(tables[0].swap == "rack a -> b");
  CHECK(tables[0].table.swaps == std::vector<std::string>{"piston", "steering valve"});
  CHECK(tables[0].table.idle == std::vector<std::string>{"friction"});
  REQUIRE(tables[0].table.rows.size() == 1);
  CHECK(tables[0].table.rows[0].all == "0");
  CHECK(CellText(tables[0].table.rows[0].effects[1]) == "-1.0000");
}

TEST_CASE("Both of a pair have one name only where they are alike") {
  CHECK(NameOfBoth(InfoOf(Output::kCasterLeft)) == "Caster, each side");
  CHECK(NameOfBoth(InfoOf(Output::kCoilCurrent)) == "Coil current, standing, each valve");
  CHECK(!NameOfBoth(InfoOf(Output::kKerbPressure)));
  CHECK(!NameOfBoth(InfoOf(Output::kTurns)));
}

TEST_CASE("A change after which a result cannot be found is not idle") {
  const SetupReport base = Report("first-try");
  SetupReport other = Alike(base, "other");
  other.fitted.car.oil.cooling->value = 5.0;
  other.results = Propagate(other.fitted);
  REQUIRE(other.results[Output::kHillOil].failed);
  fit::Swap swap;
  swap.changes = {{"cooling", "", "5 W/K"}};
  const SwapTable table = TableOf(base, other, {swap}, {});
  CHECK(table.idle.empty());
  CHECK(std::ranges::any_of(table.rows, [](const SwapTable::Row& row) {
    return row.of[0] == Output::kHillOil && row.all == "not known now";
  }));
}

TEST_CASE("What a setup does not state is named by what that means") {
  fit::Swap swap;
  swap.changes = {{"arms", "", "short"},
                  {"stops", "", "removed"},
                  {"rack_up", "1 mm", ""},
                  {"pump", "", "large"}};
  CHECK(NameOf(swap) ==
        "arms the car's own -> short, stops kept -> removed, rack up 1 mm -> not set, "
        "pump none -> large");
}

TEST_CASE("Draws tell shares of what is known, and what is not") {
  SetupReport report = Report("calm");
  report.drawn = DrawMany(report, 200, 1);
  const DrawnTable whole = DrawnTableOf(report, {});
  REQUIRE(!whole.exceeded.empty());
  for (const auto& s : whole.exceeded) {
    CHECK(s.known == 200);
    CHECK(s.note.empty());
  }
  const auto grip = static_cast<std::size_t>(Check::kBeltGrip);
  report.drawn->exceeded[grip] = {10, 40, 0};
  const DrawnTable partly = DrawnTableOf(report, {});
  const auto found =
      std::ranges::find(partly.exceeded, std::string("belt_grip"), &DrawnTable::Share::key);
  REQUIRE(found != partly.exceeded.end());
  CHECK(found->text == "25.0 %");
  CHECK(found->note == "of the 40 in which it is known");
  report.drawn->exceeded[grip] = {10, 200, 5};
  const auto more = DrawnTableOf(report, {}).exceeded;
  CHECK(std::ranges::find(more, std::string("belt_grip"), &DrawnTable::Share::key)->note ==
        "or more: a part of it is not known in 5");
  report.drawn->exceeded[grip] = {0, 40, 40};
  const auto remarks = DrawnTableOf(report, {}).remarks;
  CHECK(std::ranges::any_of(
      remarks, [](const std::string& r) { return r == "Limits not known: Belt does not slip."; }));
}

}  // namespace
}  // namespace steerbench
