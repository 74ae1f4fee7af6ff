// Reports for people.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/report.h"
#include "report/table.h"

namespace steerbench {
namespace {

constexpr std::size_t kPage = 92;  // columns of running text
constexpr std::size_t kMostUnlocks = 8;
constexpr std::size_t kMostSources = 3;

// Weight and colour, only ever beside a word that says the same.
class Ink {
 public:
  explicit Ink(bool terminal) : on_(terminal) {}
  std::string Bold(std::string_view text) const { return Wrapped("1", text); }
  std::string Quiet(std::string_view text) const { return Wrapped("2", text); }
  std::string Of(limits::Status status, std::string_view text) const {
    switch (status) {
      case limits::Status::kExceeded:
        return Wrapped("1;31", text);
      case limits::Status::kClose:
        return Wrapped("1;33", text);
      case limits::Status::kUnknown:
        return Wrapped("2", text);
      case limits::Status::kHolds:
        break;
    }
    return std::string(text);
  }

 private:
  std::string Wrapped(std::string_view code, std::string_view text) const {
    return on_ ? fmt::format("\x1b[{}m{}\x1b[0m", code, text) : std::string(text);
  }
  bool on_;
};

// A status as it stands in a column: a sign and a word.
std::string Word(limits::Status status) {
  switch (status) {
    case limits::Status::kExceeded:
      return "✗ EXCEEDED";
    case limits::Status::kClose:
      return "! close";
    case limits::Status::kHolds:
      return "✓ holds";
    case limits::Status::kUnknown:
      break;
  }
  return "? unknown";
}

// Marks behind a number: what its plus-minus leaves out.
std::string Marks(const Figure& f) { return f.assumed ? " a" : ""; }

std::string FigureText(const Figure& f, Kind kind, const Units& units) {
  const std::optional<double> tolerance =
      f.tolerance > 0.0 ? std::optional(f.tolerance) : std::nullopt;
  return Show(f.value, tolerance, kind, units.For(kind)).text + Marks(f);
}

std::string Signed(const Figure& f, Kind kind, const Units& units) {
  std::string text = FigureText(f, kind, units);
  return f.value > 0.0 ? "+" + text : text;
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
    Assumptions(setup.results);
    Results(setup.results);
    Ends(setup);
    Margins(setup.results);
    Cautions(setup);
    out_ += "\n";
  }

  void Assumptions(const Propagated& r) {
    if (r.toe_assumed) {
      out_ += Wrap(
          "assumed: tie rods set so that each wheel stands at the toe measured with the "
          "points (the setup states neither toe nor tie-rod lengths)",
          kPage, 2);
    }
    if (r.adjusts_out_of_reach) {
      out_ += Wrap(
          "the linkage does not close with these parts and adjustments: check the points, "
          "the tie-rod lengths and the arms",
          kPage, 2);
    }
  }

  void Results(const Propagated& r) {
    for (int g = 0; g <= static_cast<int>(OutputGroup::kPump); ++g) {
      const auto group = static_cast<OutputGroup>(g);
      Table table;
      for (const OutputInfo& info : Outputs()) {
        const auto& figure = r[info.id].figure;
        if (info.group != group || !figure) continue;
        table.Add({std::string(info.label), FigureText(*figure, info.kind, style_.units)});
      }
      if (table.empty()) continue;
      out_ += "\n  " + ink_.Bold(TitleOf(group)) + "\n" + table.Set(4);
    }
  }

  std::string EndName(const SetupReport& setup, const PropagatedEnd& e) const {
    std::string name(RackEnds()[static_cast<std::size_t>(e.end)].label);
    if (e.obstacle) name += " " + setup.fitted.car.front.obstacle[*e.obstacle].name;
    if (e.wheel) name += fmt::format(", {} wheel", WordOf(*e.wheel));
    if (e.jounce != 0.0) {
      name += fmt::format(
          " {} {}", e.jounce > 0.0 ? "up" : "down",
          Show(std::abs(e.jounce), std::nullopt, Kind::kLength, style_.units.For(Kind::kLength))
              .text);
    }
    return name;
  }

  void Ends(const SetupReport& setup) {
    for (const Way way : kWays) {
      const auto& ends = setup.results.ends[Index(way)];
      Table table;
      for (const PropagatedEnd& e : ends) {
        if (!e.travel) continue;
        const bool stop = e.end == RackEnd::kHousingStop;
        const std::string margin =
            stop || !e.margin.margin ? "" : Signed(*e.margin.margin, Kind::kLength, style_.units);
        table.Add({(e.binds ? "▶ " : "  ") + EndName(setup, e),
                   FigureText(*e.travel, Kind::kLength, style_.units), margin,
                   stop && e.binds ? "ends it" : Word(e.margin.status)});
      }
      out_ += fmt::format("\n  {}\n", ink_.Bold(fmt::format(
                                          "What runs out first, rack to the {}: travel from centre"
                                          " · against the stop",
                                          way == Way::kLeft ? "left" : "right")));
      out_ += table.empty() ? "    nothing is known that ends the travel\n" : Painted(table.Set(4));
      OutOfSight(setup, ends);
    }
  }

  // Limits that were looked for and lie beyond the travel looked at, and those not known.
  void OutOfSight(const SetupReport& setup, const std::vector<PropagatedEnd>& ends) {
    std::string unknown;
    for (const PropagatedEnd& e : ends) {
      if (e.travel || e.margin.absent) continue;
      unknown += (unknown.empty() ? "" : "; ") + EndName(setup, e);
      if (!e.margin.missing.empty()) unknown += " needs " + e.margin.missing.front();
    }
    if (!unknown.empty()) out_ += ink_.Quiet(Wrap("not known: " + unknown, kPage, 4));
  }

  void Margins(const Propagated& r) {
    Table table;
    for (const CheckInfo& info : Checks()) {
      const PropagatedMargin& m = r.check[static_cast<std::size_t>(info.id)];
      if (m.absent) continue;
      const std::string needs = m.missing.empty() ? "" : "needs " + m.missing.front();
      table.Add({std::string(info.label),
                 m.margin ? Signed(*m.margin, info.kind, style_.units) : needs, Word(m.status)});
    }
    if (table.empty()) return;
    out_ += "\n  " + ink_.Bold("Other limits: how much is left") + "\n" + Painted(table.Set(4));
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
        if (line.ends_with(Word(s))) status = s;
      }
      out += ink_.Of(status, line) + "\n";
      from = end + 1;
    }
    return out;
  }

  void Cautions(const SetupReport& setup) {
    out_ += "\n  " + ink_.Bold("Mind") + "\n";
    for (const Caution& c : CautionsFor(setup.fitted, setup.results)) {
      const std::string text = Wrap(c.text, kPage - 2, 6);
      out_ += "    - " + text.substr(6);
    }
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
    bool assumed = false, narrow = false;
    for (const SetupReport& s : setups_) {
      for (const PropagatedResult& r : s.results.result) {
        assumed |= r.figure && r.figure->assumed;
        narrow |= r.figure && r.figure->too_narrow;
      }
    }
    out_ +=
        Wrap("± is what the ± of your numbers makes of it, with about 95 % confidence.", kPage, 0);
    if (assumed) out_ += Wrap("a: leans on a number marked typical or guess.", kPage, 0);
    if (narrow) {
      out_ += Wrap("Some numbers were given without a ±, so the ± shown are too narrow.", kPage, 0);
    }
  }

  const std::vector<SetupReport>& setups_;
  TextStyle style_;
  Ink ink_;
  std::string out_;
};

// A limit's line in a comparison.
std::string EndCell(const SetupReport& setup, Way way, const Units& units) {
  for (const PropagatedEnd& e : setup.results.ends[Index(way)]) {
    if (!e.binds) continue;
    return fmt::format("{} {}", RackEnds()[static_cast<std::size_t>(e.end)].label,
                       FigureText(*e.travel, Kind::kLength, units));
  }
  return "?";
}

// The worst status of a setup with how many limits have it.
std::string WorstCell(const SetupReport& setup) {
  std::array<int, 4> count{};
  const auto see = [&](const PropagatedMargin& m) {
    if (!m.absent) ++count[static_cast<std::size_t>(m.status)];
  };
  for (const PropagatedMargin& m : setup.results.check) see(m);
  for (const auto& way : setup.results.ends) {
    for (const PropagatedEnd& e : way) see(e.margin);
  }
  for (const auto s : {limits::Status::kExceeded, limits::Status::kClose}) {
    if (count[static_cast<std::size_t>(s)] > 0) {
      return fmt::format("{} ({})", Word(s), count[static_cast<std::size_t>(s)]);
    }
  }
  return Word(count[0] > 0 ? limits::Status::kUnknown : limits::Status::kHolds);
}

}  // namespace

std::string CheckText(const std::string& title, const std::vector<SetupReport>& setups,
                      const TextStyle& style) {
  return CheckWriter(setups, style).Write(title);
}

std::string CompareText(const std::string& title, const std::vector<SetupReport>& setups,
                        std::size_t base, const TextStyle& style) {
  const Ink ink(style.terminal);
  Table table;
  std::vector<std::string> head{""};
  for (const SetupReport& s : setups) {
    head.push_back(s.name + (&s == &setups[base] ? " (base)" : ""));
  }
  table.Add(head);
  for (const OutputInfo& info : Outputs()) {
    const auto& base_figure = setups[base].results[info.id].figure;
    std::vector<std::string> cells{std::string(info.label)}, changes{""};
    bool known = false;
    for (const SetupReport& s : setups) {
      const auto& figure = s.results[info.id].figure;
      known |= figure.has_value();
      cells.push_back(figure ? FigureText(*figure, info.kind, style.units) : "?");
      if (!figure || !base_figure || &s == &setups[base]) {
        changes.emplace_back("");
        continue;
      }
      const Figure d = Difference(*figure, s.results, *base_figure, setups[base].results);
      const bool same = std::abs(d.value) <= d.tolerance || d.value == 0.0;
      changes.push_back(same ? "same" : Signed(d, info.kind, style.units));
    }
    if (!known) continue;
    table.Add(cells);
    table.Add(changes);
  }
  for (const Way way : kWays) {
    std::vector<std::string> cells{way == Way::kLeft ? "Runs out first, rack to the left"
                                                     : "Runs out first, rack to the right"};
    for (const SetupReport& s : setups) cells.push_back(EndCell(s, way, style.units));
    table.Add(cells);
  }
  std::vector<std::string> worst{"Worst limit"};
  for (const SetupReport& s : setups) worst.push_back(WorstCell(s));
  table.Add(worst);
  std::string out = title.empty() ? "" : ink.Bold(title) + "\n\n";
  out += table.Set(0) + "\n";
  out += Wrap(
      "Second lines: change against the base, whose ± leaves out what both share; 'same' "
      "when the change is within it. ± with about 95 % confidence.",
      kPage, 0);
  return out;
}

std::string SweepText(const Sweep& sweep, const TextStyle& style) {
  Table table;
  std::vector<std::string> head;
  for (const SweepColumn& c : sweep.column) head.emplace_back(c.key);
  table.Add(head);
  for (const std::vector<double>& row : sweep.row) {
    std::vector<std::string> cells;
    for (std::size_t i = 0; i < row.size(); ++i) {
      cells.push_back(std::isfinite(row[i]) ? Show(row[i], std::nullopt, sweep.column[i].kind,
                                                   style.units.For(sweep.column[i].kind))
                                                  .text
                                            : "-");
    }
    table.Add(cells);
  }
  return table.Set(0);
}

std::string SweepCsv(const Sweep& sweep) {
  std::string out;
  for (std::size_t i = 0; i < sweep.column.size(); ++i) {
    out +=
        fmt::format("{}{} [{}]", i ? "," : "", sweep.column[i].key, SiSymbol(sweep.column[i].kind));
  }
  out += "\r\n";
  for (const std::vector<double>& row : sweep.row) {
    for (std::size_t i = 0; i < row.size(); ++i) {
      out += i ? "," : "";
      if (std::isfinite(row[i])) out += fmt::format("{}", row[i]);
    }
    out += "\r\n";
  }
  return out;
}

}  // namespace steerbench
