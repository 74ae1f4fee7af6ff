// Reports for people.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "report/control.h"
#include "report/drawn.h"
#include "report/fit.h"
#include "report/held.h"
#include "report/ink.h"
#include "report/phrases.h"
#include "report/report.h"
#include "report/table.h"

namespace steerbench {
namespace {

constexpr std::size_t kMostUnlocks = 8;
constexpr std::size_t kMostBare = 6;
constexpr std::size_t kMostLevers = 6;

// Of what one asks first what changes it and what makes its ±: weights, and oil at idle.
constexpr std::array kAsked{Output::kKerbTorque, Output::kRoadTorque, Output::kCatchUpLeft};

// The status of a margin; a close one says on which side of the limit it lies.
std::string StatusText(const PropagatedMargin& m) {
  const bool over = m.status == limits::Status::kClose && m.margin && m.margin->value < 0.0;
  return over ? "! close, over" : Word(m.status);
}

std::string PartsLine(const Fitted<Quantity>& fitted) {
  std::string line;
  const auto add = [&](const FieldInfo& info, const auto& part) {
    if constexpr (requires { part->owned; }) {
      if (!part) return;
      line += fmt::format("{}{} {}", line.empty() ? "" : ", ", info.key, part->name);
    }
  };
  Fitted<Quantity>::Visit(add, fitted);
  return line;
}

std::string LevelText(Level level) {
  switch (level) {
    case Level::kPoints:
      return "linkage solved in space from its points";
    case Level::kPlanView:
      return "linkage solved in plan view: nothing is said of wheel travel, camber or caster";
    case Level::kTurnPlate:
      return "wheel angles from turn-plate readings: nothing is said outside them";
    case Level::kUnknown:
      break;
  }
  return "linkage not known";
}

class CheckWriter {
 public:
  CheckWriter(const std::vector<SetupReport>& setups, const TextStyle& style)
      : setups_(setups), style_(style), ink_(style.terminal) {}

  std::string Write(const std::string& title) {
    if (!title.empty()) out_ += ink_.Bold(title) + "\n\n";
    for (const SetupReport& setup : setups_) One(setup);
    Waiting();
    Legend();
    return std::move(out_);
  }

 private:
  void One(const SetupReport& setup) {
    out_ += ink_.Bold("Setup " + setup.name);
    if (!setup.note.empty()) out_ += ": " + setup.note;
    out_ += "\n" + Wrap(PartsLine(setup.fitted), kPage, 2);
    out_ += Wrap(LevelText(setup.results.level), kPage, 2);
    Assumptions(setup);
    Results(setup.results);
    Weights(setup);
    Control(setup);
    Held(setup);
    Ends(setup);
    Margins(setup.results);
    Drawn(setup);
    Measure(setup);
    Together(setup);
    Cautions(setup);
    out_ += "\n";
  }

  void Assumptions(const SetupReport& setup) {
    const Propagated& r = setup.results;
    std::vector<std::string> troubles = PlateTroubles(setup, style_.units);
    for (const Trouble t : r.trouble) troubles.emplace_back(Describe(t));
    for (const std::string& t : troubles) {
      out_ += ink_.Of(limits::Status::kExceeded, Wrap("trouble: " + t, kPage, 2));
    }
    std::string assumed;
    for (const Assumption a : r.assumed) {
      assumed += fmt::format("{}{}", assumed.empty() ? "taken for granted: " : "; ", Describe(a));
    }
    out_ += Wrap(assumed, kPage, 2);
    if (r.level != Level::kUnknown || !r.trouble.empty()) return;
    // What was begun asks for its own fields; where nothing was, turn plates stand for all three.
    const std::vector<std::string>& lacks = r[Output::kToeLeft].missing;
    if (lacks != std::vector<std::string>{"car.front.turn_plate"}) {
      out_ += Wrap(fmt::format("the linkage still needs {}", fmt::join(lacks, ", ")), kPage, 2);
      return;
    }
    out_ += Wrap(
        "to know the linkage give one of these: its points in space ([car.front.left]), a "
        "view from above ([car.front.plan], axis_spacing and toe), or turn-plate readings "
        "([[car.front.turn_plate]])",
        kPage, 2);
  }

  void Results(const Propagated& r) {
    for (int g = 0; g < kOutputGroups; ++g) {
      const auto group = static_cast<OutputGroup>(g);
      const std::string lines = Group(r, group);
      if (!lines.empty()) out_ += "\n  " + ink_.Bold(GroupTitle(r, group)) + "\n" + lines;
    }
  }

  // Lock results name the ends at which they were taken, for not every end is the stop.
  static std::string GroupTitle(const Propagated& r, OutputGroup group) {
    std::string title(TitleOf(group));
    if (group != OutputGroup::kCircle) return title;
    for (const Way way : kWays) {
      for (const PropagatedEnd& e : r.ends[Index(way)]) {
        if (!e.binds) continue;
        title +=
            fmt::format("{}{} {}", way == Way::kLeft ? ", taken where it runs out first: " : ", ",
                        way == Way::kLeft ? "rack left" : "rack right",
                        RackEnds()[static_cast<std::size_t>(e.end)].label);
      }
    }
    return title;
  }

  // Which turn a way of the rack makes, where that is known.
  static std::string RackSide(const Propagated& r, bool left) {
    std::string side(SideOf(Pair::kRack, left));
    if (!r.steers_to_own_side) return side;
    return side + (*r.steers_to_own_side == left ? " (left turn)" : " (right turn)");
  }

  // The results of one group: single ones first, then those of each kind of pair, side by side.
  std::string Group(const Propagated& r, OutputGroup group) const {
    std::string lines;
    for (const Pair pair : {Pair::kNone, Pair::kHand, Pair::kPressure, Pair::kOil, Pair::kHeat,
                            Pair::kBelt, Pair::kValves, Pair::kRack, Pair::kTurns, Pair::kWheels}) {
      Table table;
      for (const OutputInfo& info : Outputs()) {
        if (info.group != group || info.pair != pair || (pair != Pair::kNone && !info.left))
          continue;
        std::vector<std::string> cells{std::string(info.label), Cell(r, info.id)};
        if (pair != Pair::kNone) cells.push_back(Cell(r, RightOf(info.id)));
        if (std::ranges::any_of(cells.begin() + 1, cells.end(),
                                [](auto& c) { return c != "?" && c != "-"; })) {
          if (table.empty() && pair != Pair::kNone) {
            const auto head = [&](bool left) {
              return pair == Pair::kRack ? RackSide(r, left) : std::string(SideOf(pair, left));
            };
            table.Add({"", head(true), head(false)});
          }
          table.Add(std::move(cells));
        }
      }
      lines += table.Set(4);
    }
    if (group == OutputGroup::kOil && r[Output::kCatchUpLeft].figure) {
      lines += "    outruns: half of the assistance that a slow turn at the kerb has is left\n";
    }
    return lines + Wanting(r, group);
  }

  // What of a group is not known and what it needs; each name once, whatever it is a pair of. Empty
  // where nothing is known to lack.
  static std::string Wanting(const Propagated& r, OutputGroup group) {
    static constexpr std::size_t kMost = 6;
    std::vector<std::string> names, needs;
    const auto add = [](std::vector<std::string>& list, const std::string& item) {
      if (std::ranges::find(list, item) == list.end()) list.push_back(item);
    };
    for (const OutputInfo& info : Outputs()) {
      const PropagatedResult& result = r[info.id];
      if (info.group != group || result.figure || result.missing.empty()) continue;
      add(names, std::string(info.label));
      for (const std::string& field : result.missing) add(needs, field);
    }
    if (names.empty()) return "";
    const auto some = [](const std::vector<std::string>& list, std::string_view between) {
      std::string text = fmt::format(
          "{}", fmt::join(list.begin(), list.begin() + std::min(list.size(), kMost), between));
      return list.size() > kMost ? fmt::format("{} and {} more", text, list.size() - kMost) : text;
    };
    return Wrap(fmt::format("not known: {}; needed: {}", some(names, "; "), some(needs, ", ")),
                kPage - 2, 4);
  }

  std::string Cell(const Propagated& r, Output id) const {
    const auto& figure = r[id].figure;
    if (figure) return FigureText(*figure, InfoOf(id).kind, style_.units);
    return InfoOf(id).pair == Pair::kValves && r[id].missing.empty() ? "-" : "?";  // none fitted
  }

  std::string EndName(const SetupReport& setup, const PropagatedEnd& e) const {
    std::string name(RackEnds()[static_cast<std::size_t>(e.end)].label);
    const std::string where = CircumstanceText(setup, e, style_.units);
    if (!where.empty()) name += (e.obstacle ? " " : ", ") + where;
    if (e.travel && !e.margin.missing.empty() && e.margin.margin) name += " (maybe sooner)";
    return name;
  }

  // Where the weights come from, what changes them most, and what must be said of them.
  void Weights(const SetupReport& setup) {
    const Propagated& r = setup.results;
    Parts(r);
    std::string levers;
    for (const Output of : kAsked) levers += Levers(r, of);
    if (!levers.empty()) {
      out_ +=
          "\n  " +
          ink_.Bold("What changes them most: percent for a tenth more of each, by the slope here") +
          "\n" + levers;
    }
    const std::vector<std::string> notes = NotesOf(setup, style_.units);
    if (!notes.empty()) out_ += "\n";
    for (const std::string& note : notes) out_ += Wrap("note: " + note, kPage, 4);
  }

  // A weight in each row, a part of it in each column that any weight has a part in.
  void Parts(const Propagated& r) {
    constexpr std::size_t kWide = 124;  // a table for a terminal, as those of figures
    const auto shown = [&r](std::size_t term) {
      return std::ranges::any_of(r.breakdown, [term](const auto& b) {
        return std::abs(b.terms.of[term]) >= kLeastTermShown;
      });
    };
    WideTable table;
    std::vector<std::string> cells;
    for (std::size_t i = 0; i < effort::kTermCount; ++i) {
      if (shown(i)) cells.emplace_back(effort::NameOf(static_cast<effort::Term>(i)));
    }
    if (cells.empty()) return;
    table.Add("", cells);
    for (const auto& b : r.breakdown) {
      cells.clear();
      for (std::size_t i = 0; i < effort::kTermCount; ++i) {
        if (shown(i)) cells.push_back(TermText(b.terms.of[i], style_.units));
      }
      table.Add(std::string(InfoOf(b.of).label), cells);
    }
    const std::string title =
        fmt::format("Of what they are made, at the hand wheel ({})", TermUnit(style_.units));
    out_ += "\n  " + ink_.Bold(title) + "\n" + table.Set(kWide, 4);
  }

  // Which control valve has not the current it should, what that does, and what cures it.
  void Control(const SetupReport& setup) {
    const std::vector<std::string> lines = ControlTroubleLines(setup, style_.units);
    if (lines.empty()) return;
    out_ += "\n  " + ink_.Bold("Control valves short of current") + "\n";
    for (const std::string& line : lines) {
      out_ += "    - " + Wrap(line, kPage - 2, 6).substr(6);
    }
  }

  // The inputs that move a result most when each is changed by a tenth of itself.
  static std::string Levers(const Propagated& r, Output of) {
    const auto& figure = r[of].figure;
    if (!figure) return "";
    constexpr double kTenth = 0.1;
    std::vector<std::pair<double, std::string>> levers;
    for (const Contribution& c : figure->from) {
      const Input& input = r.inputs[c.input];
      const bool point =
          input.path.ends_with(".x") || input.path.ends_with(".y") || input.path.ends_with(".z");
      if (!point) levers.emplace_back(c.sensitivity * input.quantity.value * kTenth, input.path);
    }
    std::ranges::stable_sort(levers, std::ranges::greater{},
                             [](const auto& l) { return std::abs(l.first); });
    std::string list;
    for (std::size_t i = 0; i < std::min(levers.size(), kMostLevers); ++i) {
      list += fmt::format("{}{} {:+.1f} %", i ? ", " : "", levers[i].second,
                          100.0 * levers[i].first / figure->value);
    }
    if (list.empty()) return "";
    return Wrap(fmt::format("{}: {}", NameOf(InfoOf(of)), list), kPage - 2, 6).substr(2);
  }

  // A length to three digits, where its ± is told elsewhere.
  std::string Short(double length) const {
    const Shown shown = Show(length, std::nullopt, Kind::kLength, style_.units.For(Kind::kLength));
    return fmt::format("{:.3g} {}", shown.value, shown.unit);
  }

  static bool StopsRemoved(const SetupReport& setup) {
    return setup.fitted.adjust.stops == Stops::kRemoved;
  }

  void Ends(const SetupReport& setup) {
    for (const Way way : kWays) {
      const auto& ends = setup.results.ends[Index(way)];
      Table table;
      for (const PropagatedEnd& e : ends) {
        if (e.travel) table.Add(EndLine(setup, e));
      }
      out_ += fmt::format(
          "\n  {}\n",
          ink_.Bold(fmt::format("What runs out first, {}: travel from centre{}",
                                RackSide(setup.results, way == Way::kLeft),
                                StopsRemoved(setup) ? " (stops removed)" : " · past the stop")));
      out_ += table.empty() ? "    nothing is known that ends the travel\n" : Painted(table.Set(4));
      Beyond(setup, ends);
    }
  }

  std::vector<std::string> EndLine(const SetupReport& setup, const PropagatedEnd& e) const {
    const bool stop = e.end == RackEnd::kHousingStop;
    const std::string margin = stop || StopsRemoved(setup) || !e.margin.margin
                                   ? ""
                                   : Signed(*e.margin.margin, Kind::kLength, style_.units);
    const std::string word = !stop ? StatusText(e.margin) : e.binds ? "ends it" : "not reached";
    return {(e.binds ? "▶ " : "  ") + EndName(setup, e),
            FigureText(*e.travel, Kind::kLength, style_.units), margin, word};
  }

  // Limits that were looked for and lie beyond the travel looked at, and those not known.
  void Beyond(const SetupReport& setup, const std::vector<PropagatedEnd>& ends) {
    std::string beyond, unknown;
    for (const PropagatedEnd& e : ends) {
      if (e.travel || e.margin.absent) continue;
      if (e.margin.out_of_sight) {
        beyond += (beyond.empty() ? "" : ", ") + EndName(setup, e);
        continue;
      }
      unknown += (unknown.empty() ? "" : "; ") + EndName(setup, e);
      if (!e.margin.missing.empty()) unknown += " needs " + e.margin.missing.front();
    }
    if (!beyond.empty()) {
      out_ += Wrap(fmt::format("not met within {}: {}", Short(kFarthestTravel), beyond), kPage, 4);
    }
    if (!unknown.empty()) out_ += ink_.Quiet(Wrap("not known: " + unknown, kPage, 4));
  }

  void Margins(const Propagated& r) {
    Table table;
    for (const CheckInfo& info : Checks()) {
      const PropagatedMargin& m = r.check[static_cast<std::size_t>(info.id)];
      if (m.absent) continue;
      const std::string needs = m.missing.empty() ? "" : "needs " + m.missing.front();
      const std::string where = m.circumstance.empty() ? "" : ", " + m.circumstance;
      // Of a limit of several cases not all are known.
      const bool part = m.margin && m.status == limits::Status::kUnknown;
      table.Add(
          {std::string(info.label) + where, BoundText(m, info.BoundKind(), style_.units),
           m.margin ? Signed(*m.margin, info.kind, style_.units) + (part ? " so far" : "") : needs,
           StatusText(m) + (m.margin && !needs.empty() ? ", " + needs : "")});
    }
    if (table.empty()) return;
    out_ += "\n  " + ink_.Bold("Other limits: the bound · how much is left") + "\n" +
            Painted(table.Set(4));
  }

  // What makes the ± of the weights and of every limit that is close, those alike in one line.
  void Measure(const SetupReport& setup) {
    const Propagated& r = setup.results;
    std::vector<std::pair<std::string, std::string>> lines;  // names, and shares
    const auto add = [&](const std::string& name, const std::optional<Figure>& figure) {
      const std::string shares = figure ? SharesText(*figure, r.inputs) : "";
      if (shares.empty()) return;
      const auto same = std::ranges::find(lines, shares, &decltype(lines)::value_type::second);
      if (same == lines.end()) {
        lines.emplace_back(name, shares);
      } else {
        same->first += "; " + name;
      }
    };
    for (const Output of : kAsked) add(NameOf(InfoOf(of)), r[of].figure);
    for (const auto& ends : r.ends) {
      for (const PropagatedEnd& e : ends) {
        if (e.margin.status == limits::Status::kClose) add(EndName(setup, e), e.margin.margin);
      }
    }
    for (const CheckInfo& info : Checks()) {
      const PropagatedMargin& m = r.check[static_cast<std::size_t>(info.id)];
      if (!m.absent && m.status == limits::Status::kClose) add(std::string(info.label), m.margin);
    }
    if (lines.empty()) return;
    out_ += "\n  " +
            ink_.Bold(
                "What to measure next: the first field of what makes the ± (shares of its "
                "square)") +
            "\n";
    for (const auto& [name, shares] : lines) {
      out_ += Wrap(fmt::format("{}: {}", name, shares), kPage - 2, 6).substr(2);
    }
  }

  void Drawn(const SetupReport& setup) {
    const std::string lines = DrawnLines(setup, style_.units);
    if (lines.empty()) return;
    out_ += "\n  " +
            ink_.Bold(fmt::format("{} cars drawn, each number around its value, its ± as two "
                                  "standard deviations",
                                  setup.drawn->draws)) +
            "\n" + lines;
  }

  void Held(const SetupReport& setup) {
    const std::string lines = HeldLines(setup, style_.units);
    if (lines.empty()) return;
    out_ += "\n  " + ink_.Bold("Held against what was seen on the car") + "\n" + Painted(lines);
  }

  void Together(const SetupReport& setup) {
    const std::string lines = FitLines(setup, style_.units);
    if (!lines.empty()) out_ += "\n  " + ink_.Bold("Does it go together?") + "\n" + Painted(lines);
  }

  // Puts weight behind the status words of whole lines.
  std::string Painted(const std::string& lines) const {
    if (!style_.terminal) return lines;
    std::string out;
    std::size_t from = 0;
    while (from < lines.size()) {
      const std::size_t end = lines.find('\n', from);
      const std::string line = lines.substr(from, end - from);
      using enum limits::Status;
      limits::Status status = kHolds;
      for (const auto s : {kExceeded, kClose, kUnknown}) {
        if (line.find(Word(s)) != std::string::npos) status = s;
      }
      // The word of a face, a setup or a reading that differs.
      if (line.find(FitWord(fit::Verdict::kDiffers)) != std::string::npos) status = kExceeded;
      out += ink_.Of(status, line) + "\n";
      from = end + 1;
    }
    return out;
  }

  // The setup's own cautions; the general one stands once, at the end.
  void Cautions(const SetupReport& setup) {
    std::string text;
    for (const Caution& c : CautionsFor(setup)) {
      if (c.key != kGeneralCaution) text += "    - " + Wrap(c.text, kPage - 2, 6).substr(6);
    }
    if (!text.empty()) out_ += "\n  " + ink_.Bold("Mind") + "\n" + text;
  }

  void Waiting() {
    const std::vector<Unlock> unlocks = Unlocks(setups_);
    if (unlocks.empty()) return;
    out_ += ink_.Bold("Not known: what to measure next") + "\n";
    Table table;
    for (std::size_t i = 0; i < std::min(unlocks.size(), kMostUnlocks); ++i) {
      table.Add({unlocks[i].field, fmt::format("{} result{} wait for it", unlocks[i].results,
                                               unlocks[i].results == 1 ? "" : "s")});
    }
    out_ += table.Set(2);
    if (unlocks.size() > kMostUnlocks) {
      out_ += fmt::format("  and {} more (see --json)\n", unlocks.size() - kMostUnlocks);
    }
    out_ += "\n";
  }

  void Legend() {
    bool assumed = false;
    std::vector<std::string> bare;  // inputs without a plus-minus that bear on something shown
    for (const SetupReport& s : setups_) {
      const auto see = [&](const std::optional<Figure>& figure) {
        if (!figure) return;
        assumed |= figure->assumed;
        for (const Contribution& c : figure->from) {
          const Input& input = s.results.inputs[c.input];
          if (!input.quantity.tolerance && std::ranges::find(bare, input.path) == bare.end()) {
            bare.push_back(input.path);
          }
        }
      };
      for (const PropagatedResult& r : s.results.result) see(r.figure);
      for (const PropagatedMargin& m : s.results.check) see(m.margin);
    }
    out_ += Wrap(
        "▶ ends the travel. holds: within the limit over its whole ±. close: the limit lies inside "
        "the ±, or less is left than is wanted; 'over' when it is probably passed. EXCEEDED: "
        "passed "
        "over the whole ±. ± is what the ± of your numbers makes of it, with about 95 % "
        "confidence.",
        kPage, 0);
    if (assumed) out_ += Wrap("a: leans on a number marked typical or guess.", kPage, 0);
    if (!bare.empty()) Bare(bare);
    out_ += "\n" + Wrap(GeneralCaution(), kPage, 0);
  }

  void Bare(const std::vector<std::string>& bare) {
    std::string list;
    for (std::size_t i = 0; i < std::min(bare.size(), kMostBare); ++i) {
      list += (i ? ", " : "") + bare[i];
    }
    if (bare.size() > kMostBare) list += fmt::format(" and {} more", bare.size() - kMostBare);
    out_ +=
        Wrap("Without a ± of their own, so the ± shown are too narrow: " + list + ".", kPage, 0);
  }

  const std::vector<SetupReport>& setups_;
  TextStyle style_;
  Ink ink_;
  std::string out_;
};

// A column in a unit; not finite where there is no value.
std::vector<double> InUnit(const Sweep& sweep, std::size_t column, const std::string& unit) {
  std::vector<double> values;
  for (const auto& row : sweep.row) {
    values.push_back(ToUnit(row[column], sweep.column[column].kind, unit).value_or(row[column]));
  }
  return values;
}

double LargestOf(const std::vector<double>& values) {
  double most = 0.0;
  for (const double v : values) {
    if (std::isfinite(v)) most = std::max(most, std::abs(v));
  }
  return most;
}

// Decimals that show four digits of the largest of a column's numbers, so that they stand beneath
// each other.
int DecimalsOf(double most) {
  constexpr int kDigits = 4, kMost = 9;
  if (most == 0.0) return 0;
  return std::clamp(kDigits - 1 - static_cast<int>(std::floor(std::log10(most))), 0, kMost);
}

// `most` is the largest of the column.
std::string Fixed(double value, int decimals, double most) {
  constexpr double kLeast = 1e-9;  // of the largest: what a solve leaves of nothing
  if (std::abs(value) <= kLeast * most) return "0";
  std::string text = fmt::format("{:.{}f}", value, decimals);
  const bool none = text.find_first_of("123456789") == std::string::npos;
  return none && text.starts_with('-') ? text.substr(1) : text;
}

}  // namespace

std::string CheckText(const std::string& title, const std::vector<SetupReport>& setups,
                      const TextStyle& style) {
  return CheckWriter(setups, style).Write(title);
}

std::string SweepText(const Sweep& sweep, const TextStyle& style) {
  constexpr double kUsualSize = 0.01;  // SI; decides between a unit's large and small form
  std::vector<std::vector<std::string>> cells(sweep.row.size() + 2);
  for (std::size_t i = 0; i < sweep.column.size(); ++i) {
    const SweepColumn& c = sweep.column[i];
    const auto unit = Show(kUsualSize, std::nullopt, c.kind, style.units.For(c.kind)).unit;
    cells[0].emplace_back(c.key);
    cells[1].push_back(unit);
    const std::vector<double> shown = InUnit(sweep, i, unit);
    const double most = LargestOf(shown);
    const int decimals = DecimalsOf(most);
    for (std::size_t r = 0; r < sweep.row.size(); ++r) {
      const double pm = sweep.pm.empty() ? 0.0 : sweep.pm[r][i];
      std::string cell = "-";
      if (std::isfinite(shown[r])) {
        cell = pm > kRounding ? ShowIn(sweep.row[r][i], pm, c.kind, unit).number
                              : Fixed(shown[r], decimals, most) + (std::isnan(pm) ? " ± ?" : "");
      }
      cells[r + 2].push_back(std::move(cell));
    }
  }
  Table table;
  for (auto& row : cells) table.Add(std::move(row));
  return table.Set(0);
}

std::string SweepNotes(const Sweep& sweep) {
  std::string out, assumed;
  for (const std::string& why : sweep.gaps) out += Wrap("-: " + why, kPage, 0);
  for (const SweepDoubt& doubt : sweep.doubts) {
    out += Wrap(
        fmt::format("note: {} (outside the model): {}", doubt.why, fmt::join(doubt.columns, ", ")),
        kPage, 0);
  }
  for (const std::string& what : sweep.assumed) {
    assumed += (assumed.empty() ? "taken for granted: " : "; ") + what;
  }
  return out + Wrap(assumed, kPage, 0);
}

std::string EndBefore(double travel, const std::array<TravelEnds<double>, 2>& ends,
                      const Units& units) {
  const TravelEnds<double>& way = ends[Index(travel > 0.0 ? Way::kLeft : Way::kRight)];
  if (!way.binding) return {};
  const RackLimit<double>& limit = way.limit[*way.binding];
  if (std::abs(travel) <= *limit.travel + kRounding) return {};
  return fmt::format(
      "{} ({})", Show(*limit.travel, std::nullopt, Kind::kLength, units.For(Kind::kLength)).text,
      RackEnds()[static_cast<std::size_t>(limit.end)].label);
}

std::string BeyondEndText(const Sweep& sweep, const std::array<TravelEnds<double>, 2>& ends,
                          const TextStyle& style) {
  const auto column =
      std::ranges::find(sweep.column, std::string_view("travel"), &SweepColumn::key);
  if (column == sweep.column.end() || sweep.row.empty()) return {};
  const auto at = static_cast<std::size_t>(column - sweep.column.begin());
  const auto [least, most] =
      std::ranges::minmax(sweep.row, {}, [at](const std::vector<double>& row) { return row[at]; });
  const std::string left = EndBefore(std::max(most[at], 0.0), ends, style.units);
  const std::string right = EndBefore(std::min(least[at], 0.0), ends, style.units);
  if (left.empty() && right.empty()) return {};
  return Wrap(fmt::format("The rack's travel ends {}{}{}{}{}: rows beyond it say what the linkage "
                          "would do without that end.",
                          left.empty() ? "" : "to the left at ", left,
                          left.empty() || right.empty() ? "" : ", ",
                          right.empty() ? "" : "to the right at ", right),
              kPage, 0);
}

std::string SweepCsv(const Sweep& sweep) {
  const std::vector<std::size_t> doubtful = DoubtfulColumns(sweep);
  std::string out;
  for (const SweepColumn& c : sweep.column) {
    out += fmt::format("{}{} [{}]", out.empty() ? "" : ",", c.key, SiSymbol(c.kind));
  }
  for (const std::size_t i : doubtful) {
    out += fmt::format(",{}_pm [{}]", sweep.column[i].key, SiSymbol(sweep.column[i].kind));
  }
  out += "\r\n";
  const auto number = [](double x) { return std::isfinite(x) ? fmt::format("{}", x) : ""; };
  for (std::size_t r = 0; r < sweep.row.size(); ++r) {
    for (std::size_t i = 0; i < sweep.column.size(); ++i) {
      out += (i ? "," : "") + number(sweep.row[r][i]);
    }
    for (const std::size_t i : doubtful) out += "," + number(sweep.pm[r][i]);
    out += "\r\n";
  }
  return out;
}

}  // namespace steerbench
