#include <fmt/core.h>

#include <cmath>
#include <map>
#include <numbers>
#include <unordered_set>

#include "document/fields.h"
#include "document/read.h"
#include "document/walk.h"
#include "quantity/quoted.h"

namespace steerbench {
namespace {

// Travels are read to a tenth of a millimetre at best: halves that miss the whole by less than
// this are rounded, not wrong.
constexpr double kTravelRounding = 1e-4;  // [m]

constexpr double kLongestTravel = 10.0;  // [m], far beyond any rack's

void CheckPartNames(const Document& document, const Node& root, Findings& findings) {
  ForEachPartKind(document, [&](std::string_view key, std::string_view table, const auto& parts) {
    auto names = std::make_shared<std::vector<std::string>>();
    for (const auto& [name, part] : parts) names->push_back(name);
    const std::unordered_set<std::string_view> known(names->begin(), names->end());
    ForEachNamed(root, "setup", document.setup,
                 [&](const std::string& name, const Setup<Quantity>& setup, const Node& node) {
                   const std::string* chosen = ChosenPart(setup, key);
                   const Node* at = FindMember(&node, key);
                   if (at == nullptr || chosen->empty() || known.contains(*chosen)) return;
                   findings.Add({at->begin, PathText({{"setup"}, {name}, {std::string(key)}}),
                                 Shortened(*chosen),
                                 fmt::format("no [{0}.{1}] in this document: add it, or take the "
                                             "name of a {0} that is there",
                                             table, KeyText(*chosen)),
                                 *chosen, names});
                 });
  });
}

double ToleranceOf(const Quantity& q, double when_unstated = 0.0) {
  return q.tolerance.value_or(when_unstated);
}

// A finding about one field of a named part; where the field stands only by a dotted key of
// another layout, about the part.
Finding About(std::string_view table, const std::string& name, const Node& part,
              std::string_view key, std::string message) {
  return {.offset = BeginOf(part, key),
          .field = PathText({{std::string(table)}, {name}, {std::string(key)}}),
          .message = std::move(message)};
}

std::string LengthIn(double length, const Quantity& unit_of) {
  return ShowIn(length, {}, Kind::kLength, unit_of.unit).text;
}

void CheckHalves(const std::string& name, const Rack<Quantity>& rack, const Node& node,
                 Findings& findings) {
  if (!rack.travel || !rack.travel_left || !rack.travel_right) return;
  const double sum = rack.travel_left->value + rack.travel_right->value;
  const double allowed = kTravelRounding + ToleranceOf(*rack.travel) +
                         ToleranceOf(*rack.travel_left) + ToleranceOf(*rack.travel_right);
  if (std::abs(rack.travel->value - sum) <= allowed) return;
  Finding finding =
      About("rack", name, node, "travel",
            fmt::format("travel_left and travel_right add up to {}, not to this; correct one of "
                        "the three, or leave travel out",
                        LengthIn(sum, *rack.travel_left)));
  finding.found = Shortened(rack.travel->written);
  findings.Add(std::move(finding));
}

// Turns times travel per turn against the travel. Each may be off by its plus-minus, or by what it
// is usually read to when none is stated. A rack of variable ratio has no one travel per turn.
void CheckTurns(const std::string& name, const Rack<Quantity>& rack, const Node& node,
                Findings& findings) {
  constexpr double kTurnsRead = 0.05 * 2 * std::numbers::pi;        // counted to a tenth
  constexpr double kTravelRead = 0.5e-3;                            // a steel rule
  constexpr double kPerTurnRead = 0.5e-3 / (2 * std::numbers::pi);  // a rule over one turn
  const bool halves = rack.travel_left && rack.travel_right;
  if (!rack.turns || !rack.travel_per_turn || !rack.ratio.empty()) return;
  if (!rack.travel && !halves) return;
  const std::string_view key = rack.travel ? "travel" : "travel_left";
  const Quantity& stated = rack.travel ? *rack.travel : *rack.travel_left;
  const double travel =
      rack.travel ? stated.value : rack.travel_left->value + rack.travel_right->value;
  const double travel_off = ToleranceOf(stated, kTravelRead) +
                            (rack.travel ? 0.0 : ToleranceOf(*rack.travel_right, kTravelRead));
  const double product = rack.turns->value * rack.travel_per_turn->value;
  const double allowed = kTravelRounding + travel_off +
                         ToleranceOf(*rack.turns, kTurnsRead) * rack.travel_per_turn->value +
                         ToleranceOf(*rack.travel_per_turn, kPerTurnRead) * rack.turns->value;
  if (std::abs(product - travel) <= allowed) return;
  Finding finding = About(
      "rack", name, node, key,
      fmt::format("turns times travel_per_turn make a travel of {}, but it is {}; correct one of "
                  "them, or leave out the one you trust least",
                  LengthIn(product, stated), LengthIn(travel, stated)));
  finding.found = Shortened(stated.written);
  findings.Add(std::move(finding));
}

// With one rod's length alone, toe is that of the other side's wheel.
void CheckToe(const std::string& name, const Setup<Quantity>& setup, const Node& node,
              Findings& findings) {
  const Adjustments<Quantity>& adjust = setup.adjust;
  if (adjust.toe && adjust.toe_length) {
    findings.Add(About("setup", name, node, "toe_length",
                       "toe and toe_length say the same thing in two ways; keep one of them"));
  }
  if (!adjust.tie_rod_left || !adjust.tie_rod_right) return;
  for (const std::string_view key : {"toe", "toe_length"}) {
    if (key == "toe" ? !adjust.toe : !adjust.toe_length) continue;
    findings.Add(About("setup", name, node, key,
                       fmt::format("the toe follows from tie_rod_left and tie_rod_right, which are "
                                   "both given; leave out {}, or a tie rod's length",
                                   key)));
  }
}

// Two readings at one travel leave open which holds.
template <class Row>
void CheckRowTravels(const std::vector<Row>& rows, const Path& table, const Node& root,
                     Findings& findings) {
  constexpr double kSame = 1e-6;  // [m], closer than any reading tells apart
  std::map<long long, std::size_t> first_at;
  ForEachRow(root, table, rows, [&](const Row& row, const Node& node, const Path& path) {
    const Node* at = FindMember(node, "travel");
    if (!row.travel || at == nullptr || std::abs(row.travel->value) > kLongestTravel) return;
    const auto [first, fresh] =
        first_at.emplace(std::llround(row.travel->value / kSame), at->begin);
    if (fresh) return;
    findings.Add({.offset = at->begin,
                  .field = PathText(path) + ".travel",
                  .found = Shortened(row.travel->written),
                  .message = "two rows have this rack travel; keep one, or their mean",
                  .first = first->second});
  });
}

template <class Row>
void CheckRowsWhole(const std::vector<Row>& rows, const Path& table, std::string_view what,
                    const Node& root, Findings& findings, std::string_view may_lack = {}) {
  ForEachRow(root, table, rows, [&](const Row& row, const Node& node, const Path& path) {
    std::string lacking, needed;
    Row::Visit(
        [&](const FieldInfo& info, const auto& field) {
          if (info.key == may_lack) return;
          needed += (needed.empty() ? "" : ", ") + std::string(info.key);
          // One that is there but cannot be read has a finding of its own.
          if (field || FindMember(node, info.key) != nullptr) return;
          lacking += (lacking.empty() ? "" : " and ") + std::string(info.key);
        },
        row);
    if (lacking.empty()) return;
    findings.Add({.offset = node.begin,
                  .field = PathText(path),
                  .message = fmt::format("this row of the {} lacks {}: to be of use a row needs {}",
                                         what, lacking, needed)});
  });
}

void CheckRodRange(const std::string& name, const TieRod<Quantity>& rod, const Node& node,
                   Findings& findings) {
  if (!rod.shortest || !rod.longest || rod.longest->value >= rod.shortest->value) return;
  Finding finding = About("tie_rod", name, node, "longest",
                          fmt::format("it is shorter than shortest, {}; the two may be swapped",
                                      LengthIn(rod.shortest->value, *rod.shortest)));
  finding.found = Shortened(rod.longest->written);
  findings.Add(std::move(finding));
}

// Toe over the rim is the sine of an angle.
void CheckToeLength(const std::string& name, const Setup<Quantity>& setup,
                    const std::optional<Quantity>& rim, const Node& node, Findings& findings) {
  const auto& toe = setup.adjust.toe_length;
  if (!toe || !rim || std::abs(toe->value) < rim->value) return;
  Finding finding = About("setup", name, node, "toe_length",
                          fmt::format("more than car.front.rim_diameter, {}, over which it is "
                                      "measured; correct one of the two",
                                      LengthIn(rim->value, *rim)));
  finding.found = Shortened(toe->written);
  findings.Add(std::move(finding));
}

}  // namespace

void CheckMeaning(const Document& document, const Node& root, Findings& findings) {
  CheckPartNames(document, root, findings);
  ForEachNamed(root, "rack", document.rack,
               [&](const std::string& name, const Rack<Quantity>& rack, const Node& node) {
                 CheckHalves(name, rack, node, findings);
                 CheckTurns(name, rack, node, findings);
               });
  ForEachNamed(root, "setup", document.setup,
               [&](const std::string& name, const Setup<Quantity>& setup, const Node& node) {
                 CheckToe(name, setup, node, findings);
                 CheckToeLength(name, setup, document.car.front.rim_diameter, node, findings);
               });
  ForEachNamed(root, "tie_rod", document.tie_rod,
               [&](const std::string& name, const TieRod<Quantity>& rod, const Node& node) {
                 CheckRodRange(name, rod, node, findings);
               });
  ForEachTravelTable(document, [&](const auto& rows, const Path& table, std::string_view) {
    CheckRowTravels(rows, table, root, findings);
  });
  CheckPlausible(document, root, findings);
  CheckPower(document, root, findings);
  CheckRiddles(document, root, findings);
  CheckSearch(document, root, findings);
  CheckFaces(document, root, findings);
}

void CheckComplete(const Document& document, const Node& root, Findings& findings) {
  ForEachTravelTable(document, [&](const auto& rows, const Path& table, std::string_view what) {
    CheckRowsWhole(rows, table, what, root, findings);
  });
  CheckRowsWhole(document.car.driver.current, {{"car"}, {"driver"}, {"current"}},
                 "driver's currents", root, findings);
  for (const auto& [name, pump] : document.pump) {
    CheckRowsWhole(pump.bench, {{"pump"}, {name}, {"bench"}}, "bench readings", root, findings,
                   "temperature");
  }
  CheckPowerWhole(document, root, findings);
  CheckFacesWhole(document, root, findings);
}

}  // namespace steerbench
