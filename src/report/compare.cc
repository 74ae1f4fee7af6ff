// Setups side by side, for people.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/control.h"
#include "report/fit.h"
#include "report/ink.h"
#include "report/phrases.h"
#include "report/report.h"
#include "report/swaps.h"
#include "report/table.h"

namespace steerbench {
namespace {

// A limit's line in a comparison.
std::string EndCell(const SetupReport& setup, Way way, const Units& units) {
  for (const PropagatedEnd& e : setup.results.ends[Index(way)]) {
    if (!e.binds) continue;
    return fmt::format("{} {}", RackEnds()[static_cast<std::size_t>(e.end)].label,
                       FigureText(*e.travel, Kind::kLength, units));
  }
  return "?";
}

// What is left of a limit, behind its name: below zero it is passed.
std::string Left(const PropagatedMargin& m, Kind kind, const Units& units) {
  if (!m.margin) return "";
  const std::string where = m.circumstance.empty() ? "" : m.circumstance + ", ";
  return fmt::format(" ({}{} left)", where, Signed(*m.margin, kind, units));
}

// The limits of a setup that stand so, by name; none of what is not fitted, or never met.
std::vector<std::string> Standing(const SetupReport& setup, limits::Status status,
                                  const Units& units) {
  std::vector<std::string> names;
  for (const Way way : kWays) {
    for (const PropagatedEnd& e : setup.results.ends[Index(way)]) {
      if (e.margin.absent || e.margin.out_of_sight || e.margin.status != status) continue;
      names.push_back(
          fmt::format("{} (rack {}){}", RackEnds()[static_cast<std::size_t>(e.end)].label,
                      way == Way::kLeft ? "left" : "right", Left(e.margin, Kind::kLength, units)));
    }
  }
  for (const CheckInfo& info : Checks()) {
    const PropagatedMargin& m = setup.results.check[static_cast<std::size_t>(info.id)];
    if (m.absent || m.status != status) continue;
    names.push_back(std::string(info.label) + Left(m, info.kind, units));
  }
  return names;
}

// One result over all setups: a line of figures and, below it, a line of changes.
class CompareWriter {
 public:
  CompareWriter(const std::vector<SetupReport>& setups, std::size_t base, const SwapsBySetup& swaps,
                const TextStyle& style)
      : setups_(setups), base_(base), swaps_(swaps), style_(style), ink_(style.terminal) {}

  std::string Write(const std::string& title) {
    Head();
    for (const OutputInfo& info : Outputs()) Result(info);
    Ends();
    Together();
    std::string out = title.empty() ? "" : ink_.Bold(title) + "\n\n";
    out += table_.Set(kPage) + "\n";
    if (!alike_.empty()) out += Wrap("The same in all: " + alike_, kPage, 0) + "\n";
    for (const SetupReport& s : setups_) out += Worries(s);
    out += Notes();
    out += ByChange() + "\n";
    out += Wrap(
        "Second lines: the change against the base, with the ± that is left when what both "
        "setups share is taken out; in brackets when it is not sure, being within that ±. ± with "
        "about 95 % "
        "confidence. '?' is not known; '-' is of something that the setup does not have. a: leans "
        "on a number marked typical or guess. close: the limit lies inside the ±, or less is left "
        "than is wanted; of what is passed less than nothing is left.",
        kPage, 0);
    return out;
  }

 private:
  // The notes of each setup; one that several share once, with their names.
  std::string Notes() const {
    std::vector<std::vector<std::string>> own;
    std::vector<std::string> notes;
    for (const SetupReport& s : setups_) {
      auto& list = own.emplace_back(NotesOf(s, style_.units));
      for (std::string& line : ControlTroubleLines(s, style_.units)) {
        list.push_back(std::move(line));
      }
      for (const std::string& note : list) {
        if (std::ranges::find(notes, note) == notes.end()) notes.push_back(note);
      }
    }
    std::string out;
    for (const std::string& note : notes) {
      std::string whose;
      for (std::size_t i = 0; i < setups_.size(); ++i) {
        if (std::ranges::find(own[i], note) == own[i].end()) continue;
        whose += (whose.empty() ? "" : ", ") + setups_[i].name;
      }
      out += Wrap(fmt::format("{} note: {}", whose, note), kPage, 0);
    }
    return out.empty() ? out : "\n" + out;
  }

  // What is exceeded and close by name, and of the rest how much is known.
  std::string Worries(const SetupReport& setup) const {
    std::string out;
    for (const auto status : {limits::Status::kExceeded, limits::Status::kClose}) {
      std::string list;
      for (const std::string& name : Standing(setup, status, style_.units)) {
        list += (list.empty() ? "" : "; ") + name;
      }
      if (!list.empty()) {
        out += Wrap(fmt::format("{} {}: {}", setup.name, Word(status), list), kPage, 0);
      }
    }
    const std::size_t hold = Standing(setup, limits::Status::kHolds, style_.units).size();
    const std::size_t unknown = Standing(setup, limits::Status::kUnknown, style_.units).size();
    out += fmt::format("{}: {} limit{} hold{}", setup.name, hold, hold == 1 ? "" : "s",
                       hold == 1 ? "s" : "");
    return out + (unknown > 0 ? fmt::format(", {} unknown\n", unknown) : "\n");
  }

  // Each setup against the base, change by change.
  std::string ByChange() const {
    std::string out;
    bool several = false, apart = false;
    for (std::size_t i = 0; i < setups_.size(); ++i) {
      if (i == base_) continue;
      out += "\n" + SwapLines(setups_[base_], setups_[i], swaps_[i], style_.units);
      several |= swaps_[i].size() > 1;
      apart |= std::ranges::any_of(swaps_[i], [](const auto& s) { return !s.apart.empty(); });
    }
    if (!several && !apart) return out;
    std::string legend =
        "Beneath each change: what it makes on its own, nothing else of the base changed, in the "
        "unit of 'in all'; 'last' is what it makes where all the others are made already. The two "
        "differ where changes act on each other. '?': not known with that one change alone, or "
        "without it.";
    if (apart) {
      legend +=
          " Taken apart: the same for what the new rack has of each kind, as if the old one had "
          "it.";
    }
    return out + "\n" + Wrap(legend, kPage, 0);
  }

  void Head() {
    std::vector<std::string> head;
    for (const SetupReport& s : setups_) {
      head.push_back(s.name + (&s == &setups_[base_] ? " (base)" : ""));
    }
    table_.Add("", head);
  }

  std::vector<std::string> Figures(Output id) const {
    std::vector<std::string> cells;
    for (const SetupReport& s : setups_) {
      const auto& [figure, missing, failed] = s.results[id];
      const bool asked = failed || !missing.empty();
      cells.push_back(figure  ? FigureText(*figure, InfoOf(id).kind, style_.units)
                      : asked ? "?"
                              : "-");
    }
    return cells;
  }

  std::vector<std::string> Changes(Output id) const {
    const auto& base = setups_[base_].results[id].figure;
    std::vector<std::string> cells;
    for (const SetupReport& s : setups_) {
      const auto& figure = s.results[id].figure;
      if (!figure || !base || &s == &setups_[base_]) {
        cells.emplace_back("");
        continue;
      }
      const Figure d = Difference(*figure, s.results, *base, setups_[base_].results);
      const std::string change = ChangeText(d, *figure, InfoOf(id).kind, style_.units);
      // What solves leave in the last digits is no change.
      constexpr double kLastDigits = 1e-9;
      const double least = kLastDigits * std::abs(figure->value);
      const bool same = std::abs(d.value) <= least && d.tolerance <= least;
      cells.push_back(same ? "same" : IsSame(d, *figure) ? "(" + change + ")" : change);
    }
    return cells;
  }

  void Result(const OutputInfo& info) {
    const std::vector<std::string> figures = Figures(info.id);
    if (std::ranges::all_of(figures, [](const std::string& c) { return c == "?" || c == "-"; })) {
      return;
    }
    std::string label = NameOf(info);
    // A symmetric car says everything twice: once is enough.
    if (const auto both = NameOfBoth(info)) {
      const int other = static_cast<int>(info.id) + (info.left ? 1 : -1);
      if (figures == Figures(static_cast<Output>(other))) {
        if (!info.left) return;
        label = *both;
      }
    }
    const auto as_first = [&](const std::string& f) { return f == figures[0]; };
    if (setups_.size() > 1 && std::ranges::all_of(figures, as_first)) {
      alike_ += fmt::format("{}{} {}", alike_.empty() ? "" : "; ", label, figures[0]);
      return;
    }
    const std::vector<std::string> changes = Changes(info.id);
    const bool none = std::ranges::all_of(changes, [](const std::string& c) { return c.empty(); });
    table_.Add(label, figures);
    if (none) return;
    table_.Add("", changes);
    if (std::ranges::find(kTakenApart, info.id) != kTakenApart.end()) Terms(info.id);
  }

  // Of what a weight is made, where setups differ in it.
  void Terms(Output of) {
    const auto of_this = [of](const SetupReport& s) {
      return std::ranges::find(s.results.breakdown, of, &Evaluation<double>::Breakdown::of);
    };
    const std::string unit = TermUnit(style_.units);
    for (std::size_t i = 0; i < effort::kTermCount; ++i) {
      std::vector<std::string> cells;
      bool shown = false;
      for (const SetupReport& s : setups_) {
        const auto found = of_this(s);
        const double term = found == s.results.breakdown.end() ? 0.0 : found->terms.of[i];
        shown |= std::abs(term) >= kLeastTermShown;
        cells.push_back(found == s.results.breakdown.end() ? "" : TermText(term, style_.units));
      }
      if (!shown) continue;
      table_.Add(fmt::format("- {} [{}]", effort::NameOf(static_cast<effort::Term>(i)), unit),
                 cells);
    }
  }

  void Ends() {
    for (const Way way : kWays) {
      std::vector<std::string> cells;
      for (const SetupReport& s : setups_) cells.push_back(EndCell(s, way, style_.units));
      table_.Add(way == Way::kLeft ? "Runs out first, rack to the left"
                                   : "Runs out first, rack to the right",
                 cells);
    }
  }

  // How each setup goes together and what it needs; nothing where no setup has either.
  void Together() {
    std::vector<std::string> fits, needs;
    for (const SetupReport& s : setups_) {
      fits.push_back(FitCell(s));
      std::string list;
      for (const fit::Need& n : s.needs)
        list += (list.empty() ? "" : ", ") + NeedWords(n, style_.units);
      needs.push_back(list.empty() ? "-" : list);
    }
    const auto none = [](const std::string& cell) { return cell == "-"; };
    if (!std::ranges::all_of(fits, none)) table_.Add("Does it go together?", fits);
    if (!std::ranges::all_of(needs, none)) table_.Add("Needed", needs);
  }

  const std::vector<SetupReport>& setups_;
  std::size_t base_;
  const SwapsBySetup& swaps_;
  TextStyle style_;
  Ink ink_;
  WideTable table_;    // a cell for each setup
  std::string alike_;  // results that are one figure in all setups
};

}  // namespace

std::string CompareText(const std::string& title, const std::vector<SetupReport>& setups,
                        std::size_t base, const SwapsBySetup& swaps, const TextStyle& style) {
  return CompareWriter(setups, base, swaps, style).Write(title);
}

}  // namespace steerbench
