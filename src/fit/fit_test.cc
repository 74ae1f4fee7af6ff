#include "fit/fit.h"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <array>

#include "fit/needs.h"
#include "fixtures/demo.h"
#include "fixtures/near.h"

namespace steerbench {
namespace {

using fit::Between;
using fit::Compare;
using fit::Verdict;

Quantity Read(const char* text, Kind kind) {
  const ParsedQuantity parsed = ParseQuantity(text, kind);
  REQUIRE(parsed.quantity);
  return *parsed.quantity;
}
Quantity Length(const char* text) { return Read(text, Kind::kLength); }
Quantity Count(const char* text) { return Read(text, Kind::kCount); }

Face Thread(const char* diameter, const char* pitch) {
  Face face;
  face.at = Meeting::kInnerThread;
  face.diameter = Length(diameter);
  face.pitch = Length(pitch);
  return face;
}
Face Splined(const char* count) {
  Face face;
  face.at = Meeting::kPinion;
  face.splines = Count(count);
  return face;
}

// Faces with features drawn from few values, so that they often agree, and often are unstated.
Face DrawnFace() {
  const auto maybe = [](Quantity q) {
    return *rc::gen::arbitrary<bool>() ? std::optional(q) : std::nullopt;
  };
  const auto measure = [&](double unit, Kind kind) {
    Quantity q;
    q.kind = kind;
    q.value = unit * *rc::gen::inRange(1, 4);
    if (*rc::gen::arbitrary<bool>()) q.tolerance = unit * *rc::gen::inRange(0, 3) / 2.0;
    return maybe(q);
  };
  const auto text = [] {
    return *rc::gen::element<std::string>("", "", "PK", "pk ", "O-ring", "flare");
  };
  Face face;
  face.at = *rc::gen::element(Meeting::kPinion, Meeting::kBelt);
  face.pattern = text();
  face.seat = text();
  face.profile = text();
  face.bolts = measure(1.0, Kind::kCount);
  face.spacing = measure(1e-3, Kind::kLength);
  face.splines = measure(1.0, Kind::kCount);
  face.ribs = measure(1.0, Kind::kCount);
  face.diameter = measure(1e-4, Kind::kLength);
  face.pitch = measure(1e-4, Kind::kLength);
  face.taper = measure(0.01, Kind::kRatio);
  return face;
}

fit::Party PartyWith(std::string_view table, std::vector<Face> faces) {
  return {table, std::string(table), std::move(faces), {}};
}

TEST_CASE("Designations that look alike are told apart, and equal ones agree") {
  // Threads, ISO 261 (metric, basic diameter and pitch) and ASME B1.1 (9/16-18, 1/2-20): all from
  // memory. A pitch of 18 to the inch is 25.4 mm / 18 = 1.411 mm.
  CHECK(Compare(Thread("14 mm", "1.5 mm"), Thread("14 mm", "1.5 mm")).verdict == Verdict::kFits);
  CHECK(Compare(Thread("14 mm", "1.5 mm"), Thread("14 mm", "2 mm")).verdict == Verdict::kDiffers);
  CHECK(Compare(Thread("14 mm", "1.5 mm"), Thread("9/16 in", "1.411 mm")).verdict ==
        Verdict::kDiffers);
  CHECK(Compare(Thread("1/2 in", "0.05 in"), Thread("12.7 mm", "1.27 mm")).verdict ==
        Verdict::kFits);
  // Rib pitches: PK 3.56 mm, PL 4.70 mm (ISO 9982, SAE J1459, from memory).
  Face pk, pl;
  pk.pitch = Length("3.56 mm");
  pl.pitch = Length("4.70 mm");
  CHECK(Compare(pk, pl).verdict == Verdict::kDiffers);
  // Cones of ball joints are 1:10 or 1:8 (common practice, no source).
  Face slim, steep;
  slim.taper = Read("0.1", Kind::kRatio);
  steep.taper = Read("0.125", Kind::kRatio);
  CHECK(Compare(slim, steep).verdict == Verdict::kDiffers);
}

// Nominal diameter and pitch. Metric: ISO 261. Inch: ASME B1.1 UNF; of these SAE J1926 takes those
// of its ports, as ISO 6149 takes the metric fine ones. All from memory.
struct Designation {
  const char *name, *diameter, *pitch;
};
constexpr std::array kThreads{Designation{"M10 x 1.25", "10 mm", "1.25 mm"},
                              Designation{"M10 x 1.5", "10 mm", "1.5 mm"},
                              Designation{"M12 x 1.25", "12 mm", "1.25 mm"},
                              Designation{"M12 x 1.5", "12 mm", "1.5 mm"},
                              Designation{"M12 x 1.75", "12 mm", "1.75 mm"},
                              Designation{"M14 x 1.5", "14 mm", "1.5 mm"},
                              Designation{"M14 x 2", "14 mm", "2 mm"},
                              Designation{"M16 x 1.5", "16 mm", "1.5 mm"},
                              Designation{"M16 x 2", "16 mm", "2 mm"},
                              Designation{"M18 x 1.5", "18 mm", "1.5 mm"},
                              Designation{"3/8-24", "3/8 in", "0.0416667 in"},
                              Designation{"7/16-20", "7/16 in", "0.05 in"},
                              Designation{"1/2-20", "1/2 in", "0.05 in"},
                              Designation{"9/16-18", "9/16 in", "1.41111 mm"},
                              Designation{"5/8-18", "5/8 in", "1.41111 mm"},
                              Designation{"3/4-16", "3/4 in", "0.0625 in"}};

TEST_CASE("No two of the threads in use pass for each other, and each passes for itself read") {
  // A caliper's and a thread gauge's ± on the side that was measured.
  constexpr double kCaliper = 0.1e-3, kGauge = 0.01e-3;  // [m]
  for (const Designation& a : kThreads) {
    Face measured = Thread(a.diameter, a.pitch);
    measured.diameter->tolerance = kCaliper;
    measured.pitch->tolerance = kGauge;
    for (const Designation& b : kThreads) {
      CAPTURE(a.name);
      CAPTURE(b.name);
      const Verdict verdict = Compare(measured, Thread(b.diameter, b.pitch)).verdict;
      CHECK(verdict == (&a == &b ? Verdict::kFits : Verdict::kDiffers));
    }
  }
}

TEST_CASE("A ± that takes the neighbouring size says nothing, one that does not says all") {
  // Steps as the header names them, in numbers: 5/8 in is 15.875 mm, 20 to the inch 1.27 mm.
  CHECK(fit::StepOf("diameter") == fixtures::Near(0.125e-3));
  CHECK(fit::StepOf("pitch") == fixtures::Near(0.02e-3));
  CHECK(fit::StepOf("seat") == 0.0);
  const Face known = Thread("14 mm", "1.5 mm");
  CHECK(Compare(known, Thread("14.1 ± 0.12 mm", "1.5 mm")).verdict == Verdict::kFits);
  const auto vague = Compare(known, Thread("14.1 ± 0.13 mm", "1.5 mm"));
  CHECK(vague.verdict == Verdict::kUnknown);
  CHECK(vague.features.front().reason == fit::Reason::kTooWide);
  CHECK(Compare(known, Thread("14.5 ± 0.3 mm", "1.5 mm")).verdict == Verdict::kDiffers);
  // Both ± count, in quadrature: hypot(0.06, 0.08) = 0.1.
  CHECK(Compare(Thread("14 ± 0.06 mm", "1.5 mm"), Thread("14.09 ± 0.08 mm", "1.5 mm")).verdict ==
        Verdict::kFits);
  CHECK(Compare(Thread("14 ± 0.06 mm", "1.5 mm"), Thread("14.11 ± 0.08 mm", "1.5 mm")).verdict ==
        Verdict::kDiffers);
}

TEST_CASE("Texts agree trimmed and in any case") {
  Face one, other;
  one.seat = " O-Ring ";
  other.seat = "o-ring";
  CHECK(Compare(one, other).verdict == Verdict::kFits);
  other.seat = "flare";
  CHECK(Compare(one, other).verdict == Verdict::kDiffers);
  other.seat = "  ";
  const auto comparison = Compare(one, other);
  CHECK(comparison.verdict == Verdict::kUnknown);
  CHECK(comparison.features.front().reason == fit::Reason::kOtherUnstated);
}

TEST_CASE("Nothing stated is unknown") { CHECK(Compare({}, {}).verdict == Verdict::kUnknown); }

TEST_CASE("Comparing is symmetric, and a face that states all of it exactly fits itself") {
  rc::check([] {
    const Face one = DrawnFace(), other = DrawnFace();
    const auto there = Compare(one, other), back = Compare(other, one);
    RC_ASSERT(there.verdict == back.verdict);
    RC_ASSERT(there.features.size() == back.features.size());
    for (std::size_t i = 0; i < there.features.size(); ++i) {
      RC_ASSERT(there.features[i].verdict == back.features[i].verdict);
      RC_ASSERT(there.features[i].one == back.features[i].other);
    }
    RC_ASSERT(Compare(one, one).verdict != Verdict::kDiffers);
  });
}

TEST_CASE(
    "Stating more never turns differs into anything else, nor unknown into fits unless whole") {
  rc::check([] {
    const Face one = DrawnFace(), other = DrawnFace(), more = DrawnFace();
    Face stated = one;
    Face::Visit(
        [](const FieldInfo&, auto& into, const auto& from) {
          if constexpr (requires { into.empty(); }) {
            if (into.empty()) into = from;
          } else {
            if (!into) into = from;
          }
        },
        stated, more);
    const Verdict before = Compare(one, other).verdict, after = Compare(stated, other).verdict;
    if (before == Verdict::kDiffers) RC_ASSERT(after == Verdict::kDiffers);
    // Unknown comes to fits only when what was unstated is stated: the faces as they were cannot.
    const auto lacking = Compare(one, other);
    const bool other_silent = std::ranges::any_of(lacking.features, [](const auto& f) {
      return f.reason == fit::Reason::kOtherUnstated || f.reason == fit::Reason::kTooWide;
    });
    if (other_silent) RC_ASSERT(after != Verdict::kFits);
  });
}

TEST_CASE("An adapter turned round makes no difference") {
  rc::check([] {
    Adapter<Quantity> adapter;
    adapter.one = DrawnFace();
    adapter.other = DrawnFace();
    Face one = DrawnFace(), other = DrawnFace();
    adapter.one.at = adapter.other.at = one.at = other.at = Meeting::kPinion;
    Adapter<Quantity> turned = adapter;
    std::swap(turned.one, turned.other);
    const fit::Party a = PartyWith("rack", {one}), b = PartyWith("car", {other});
    const auto there = Between(a, b, {{"x", adapter}}), back = Between(a, b, {{"x", turned}});
    RC_ASSERT(there.verdict == back.verdict);
    RC_ASSERT(there.adapters == back.adapters);
    const auto swapped = Between(b, a, {{"x", adapter}});
    RC_ASSERT(there.verdict == swapped.verdict);
    RC_ASSERT(there.adapters == swapped.adapters);
  });
}

Adapter<Quantity> Coupling(const char* one, const char* other) {
  Adapter<Quantity> adapter;
  adapter.one = Splined(one);
  adapter.other = Splined(other);
  return adapter;
}

TEST_CASE("Of several adapters that suit, the sure, owned, cheap and quick one comes first") {
  const fit::Party rack = PartyWith("rack", {Splined("36")});
  const fit::Party car = PartyWith("car", {Splined("40")});
  const auto priced = [](Adapter<Quantity> a, const char* price, const char* hours) {
    a.price = Read(price, Kind::kMoney);
    a.hours = Read(hours, Kind::kTime);
    return a;
  };
  Adapter<Quantity> vague = Coupling("36", "40");
  vague.one.splines.reset();
  vague.owned = true;
  Adapter<Quantity> owned = Coupling("40", "36");
  owned.owned = true;
  const fit::Adapters adapters{{"vague", vague},
                               {"unpriced", Coupling("36", "40")},
                               {"dear", priced(Coupling("36", "40"), "90", "1 h")},
                               {"slow", priced(Coupling("40", "36"), "50", "3 h")},
                               {"quick", priced(Coupling("36", "40"), "50", "2 h")},
                               {"other", Coupling("36", "44")},
                               {"owned", owned}};
  const auto joints = fit::Meet(rack, car, adapters);
  REQUIRE(joints.size() == 1);
  std::vector<std::string> order;
  for (const fit::Cure& c : joints[0].cures) order.push_back(adapters[c.adapter].first);
  CHECK(order == std::vector<std::string>{"owned", "quick", "slow", "dear", "unpriced", "vague"});
  CHECK(joints[0].comparison.verdict == Verdict::kDiffers);
  CHECK(joints[0].Outcome() == Verdict::kFits);
  CHECK(Between(rack, car, {adapters[0]}).verdict == Verdict::kUnknown);
  CHECK(Between(rack, car, {adapters[5]}).verdict == Verdict::kDiffers);
  CHECK(Between(rack, car, {}).verdict == Verdict::kDiffers);
}

TEST_CASE("Only what truly meets is compared") {
  Face plug;
  plug.at = Meeting::kCoilPlug;
  plug.pattern = "two pins";
  Face other = plug;
  other.pattern = "four pins";
  const fit::Party valve = PartyWith("control_valve", {plug});
  CHECK(fit::Meet(valve, PartyWith("control_valve", {other}), {}).empty());
  CHECK(fit::Meet(valve, PartyWith("car", {other}), {}).size() == 1);
  CHECK(fit::Meet(PartyWith("rack", {plug}), PartyWith("car", {other}), {}).empty());
  // A valve that bypasses the pump is screwed into the pump, whatever port the rack has.
  fit::Party bypass = valve;
  bypass.face[0].at = Meeting::kControlPort;
  bypass.principle = ControlPrinciple::kPumpBypass;
  other.at = Meeting::kControlPort;
  CHECK(fit::Meet(bypass, PartyWith("rack", {other}), {}).empty());
  CHECK(fit::Meet(PartyWith("pump", {other}), bypass, {}).size() == 1);
  CHECK(Between(bypass, PartyWith("rack", {other}), {}).verdict == Verdict::kFits);
  // With arms fitted the car's own are off, and so is their taper.
  Car<Quantity> car;
  car.face = {Splined("36")};
  car.face[0].at = Meeting::kOuterTaper;
  const fit::Party rod = PartyWith("tie_rod", car.face);
  CHECK(fit::Meet(rod, fit::PartyOf(car, true), {}).size() == 1);
  CHECK(fit::Meet(rod, fit::PartyOf(car, false), {}).empty());
}

TEST_CASE("Two adapters in a row cure what no single one does, and come behind one that does") {
  const fit::Party rack = PartyWith("rack", {Splined("40")}),
                   car = PartyWith("car", {Splined("36")});
  fit::Adapters adapters{{"far", Coupling("44", "40")},
                         {"dead-end", Coupling("36", "50")},
                         {"near", Coupling("36", "44")}};
  const auto cured = [&](const fit::Party& one, const fit::Party& other) {
    const auto joints = fit::Meet(one, other, adapters);
    REQUIRE(joints.size() == 1);
    return joints[0];
  };
  const fit::Joint there = cured(rack, car), back = cured(car, rack);
  REQUIRE(there.cures.size() == 1);
  CHECK(there.Outcome() == Verdict::kFits);
  CHECK(there.cures[0].adapter == 0);  // beside the rack
  CHECK(there.cures[0].then == 2);     // beside the car
  CHECK(back.cures[0].adapter == 2);
  CHECK(back.cures[0].then == 0);
  CHECK(Between(rack, car, adapters).adapters == std::vector<std::size_t>{0, 2});
  // The sides that meet in the middle must agree.
  adapters[0].second.one.splines->value = 45.0;
  CHECK(cured(rack, car).cures.empty());
  CHECK(cured(rack, car).Outcome() == Verdict::kDiffers);
  adapters[0].second.one.splines->value = 44.0;
  adapters.emplace_back("single", Coupling("40", "36"));
  adapters[3].second.price = ParseQuantity("900", Kind::kMoney).quantity;
  const fit::Joint single = cured(rack, car);
  CHECK(single.cures[0].adapter == 3);
  CHECK_FALSE(single.cures[0].then);
  // One that is not sure gives way to two that are.
  adapters[3].second.one.splines.reset();
  CHECK(cured(rack, car).cures[0].then);
}

TEST_CASE("A left-hand thread does not go on a right-hand one") {
  Face left, right, silent;
  left.at = right.at = silent.at = Meeting::kOuterTaper;
  left.hand = Hand::kLeft;
  right.hand = Hand::kRight;
  CHECK(fit::Compare(left, right).verdict == Verdict::kDiffers);
  CHECK(fit::Compare(left, left).verdict == Verdict::kFits);
  CHECK(fit::Compare(left, silent).verdict == Verdict::kUnknown);
}

// ---- needs ------------------------------------------------------------------------------------

std::vector<std::string> Needed(const Fitted<Quantity>& fitted) {
  std::vector<std::string> keys;
  for (const fit::Need& n : fit::NeedsOf(fitted, Propagate(fitted), {}, {})) {
    keys.emplace_back(fit::KeyOf(n.what));
  }
  return keys;
}

using Keys = std::vector<std::string>;

TEST_CASE("The first part missing between rack and crankshaft is the one to get") {
  Fitted<Quantity> f = fixtures::FittedSetup(fixtures::Example(), "calm");
  CHECK(Needed(f).empty());
  f.belt.reset();
  CHECK(Needed(f) == Keys{"belt"});
  f.pulley.reset();
  CHECK(Needed(f) == Keys{"pulley"});
  f.pump.reset();
  CHECK(Needed(f) == Keys{"pump"});
  CHECK(Needed(fixtures::FittedSetup(fixtures::Example(), "works")).empty());
}

TEST_CASE("A belt of another length is named by the sizes next to the one that is wanted") {
  Fitted<Quantity> f = fixtures::FittedSetup(fixtures::Example(), "calm");
  const Propagated good = Propagate(f);
  for (const double off : {-0.2, 0.2}) {
    f.belt->length->value += off;
    const Propagated results = Propagate(f);
    const auto needs = fit::NeedsOf(f, results, {}, {});
    REQUIRE(needs.size() == 1);
    CHECK(needs[0].what == fit::Lack::kBeltLength);
    CHECK(*needs[0].below == good[Output::kBeltSizeBelow].figure->value);
    CHECK(*needs[0].above == fixtures::Near(*needs[0].below + 0.005));
    f.belt->length->value -= off;
  }
}

TEST_CASE("Belts of the document that go on are offered, those owned first") {
  Fitted<Quantity> f = fixtures::FittedSetup(fixtures::Example(), "calm");
  const Belt<Quantity> good = *f.belt;
  Belt<Quantity> priced = good, longer = good;
  priced.owned.reset();
  longer.length->value += 0.5;
  f.belt.reset();
  const auto needs =
      fit::NeedsOf(f, Propagate(f), {}, {{"priced", priced}, {"longer", longer}, {"owned", good}});
  REQUIRE(needs.size() == 1);
  CHECK(needs[0].at_hand == Keys{"owned", "priced"});
}

TEST_CASE("A stop is wanted where it was removed, and before a limit that comes sooner") {
  Fitted<Quantity> f = fixtures::FittedSetup(fixtures::Example(), "first-try");
  const Propagated results = Propagate(f);
  const auto needs = fit::NeedsOf(f, results, {}, {});
  REQUIRE(needs.size() == 1);
  CHECK(needs[0].what == fit::Lack::kStop);
  CHECK(needs[0].before == RackEnd::kLastTooth);
  for (const auto& way : results.ends) {
    for (const PropagatedEnd& e : way) {
      if (e.end == RackEnd::kLastTooth) CHECK(*needs[0].travel <= e.travel->value);
    }
  }
  // With limits passed both ways, the stop has to act before the nearer one.
  Propagated both = results;
  for (auto& way : both.ends) {
    for (PropagatedEnd& e : way) e.margin.status = limits::Status::kExceeded;
  }
  const double nearest = *fit::NeedsOf(f, both, {}, {}).front().travel;
  for (const auto& way : both.ends) {
    for (const PropagatedEnd& e : way) {
      if (e.end == RackEnd::kHousingStop || !e.travel) continue;
      CHECK(nearest <= e.travel->value - e.travel->tolerance);
    }
  }
  Fitted<Quantity> removed = fixtures::FittedSetup(fixtures::Example(), "calm");
  removed.adjust.stops = Stops::kRemoved;
  CHECK(Needed(removed) == Keys{"stop"});
}

TEST_CASE("Control valves want drivers") {
  Fitted<Quantity> f = fixtures::FittedSetup(fixtures::Example(), "keen");
  CHECK(Needed(f).empty());
  f.second_control_valve = f.control_valve;
  f.adjust.wiring = CoilWiring::kOwnDrivers;
  CHECK(Needed(f) == Keys{"own_driver"});
  f.adjust.wiring = CoilWiring::kParallel;  // 1.2 A at most for two times 0.8 A
  CHECK(Needed(f) == Keys{"own_driver"});
  f.second_control_valve.reset();
  f.car.driver.current.clear();
  CHECK(Needed(f) == Keys{"driver"});
  f.adjust.control_powered = false;
  CHECK(Needed(f).empty());
}

}  // namespace
}  // namespace steerbench
