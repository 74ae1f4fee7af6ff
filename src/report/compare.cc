// Setups side by side, for people.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/fit.h"
#include "report/ink.h"
#include "report/phrases.h"
#include "report/report.h"
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

// The limits of a setup that stand so, by name; of what is not fitted, none.
std::vector<std::string> Standing(const SetupReport& setup, limits::Status status) {
  std::vector<std::string> names;
  for (const Way way : kWays) {
    for (const PropagatedEnd& e : setup.results.ends[Index(way)]) {
      if (e.margin.absent || e.margin.status != status) continue;
      names.push_back(fmt::format("{} (rack {})", RackEnds()[static_cast<std::size_t>(e.end)].label,
                                  way == Way::kLeft ? "left" : "right"));
    }
  }
  for (const CheckInfo& info : Checks()) {
    const PropagatedMargin& m = setup.results.check[static_cast<std::size_t>(info.id)];
    if (!m.absent && m.status == status) names.emplace_back(info.label);
  }
  return names;
}

// One result over all setups: a line of figures and, below it, a line of changes. Setups that a
// page is not wide enough for stand in blocks below each other.
class CompareWriter {
 public:
  CompareWriter(const std::vector<SetupReport>& setups, std::size_t base, const TextStyle& style)
      : setups_(setups), base_(base), style_(style), ink_(style.terminal) {}

  std::string Write(const std::string& title) {
    Head();
    for (const OutputInfo& info : Outputs()) Result(info);
    Ends();
    Together();
    std::string out = title.empty() ? "" : ink_.Bold(title) + "\n\n";
    for (std::size_t first = 0; first < setups_.size();) out += Block(first) + "\n";
    for (const SetupReport& s : setups_) out += Worries(s);
    out += "\n";
    out += Wrap(
        "Second lines: the change against the base, with the ± that is left when what both "
        "setups share is taken out; 'same' when the change is within it. ± with about 95 % "
        "confidence. '?' is not known; '-' is of something that the setup does not have.",
        kPage, 0);
    return out;
  }

 private:
  // Most figures stay on one line in that many columns, and three setups go on a page.
  static constexpr std::size_t kWidestLabel = 26, kWidestCell = 20, kGap = 2;

  // What is exceeded and close by name, and of the rest how much is known.
  static std::string Worries(const SetupReport& setup) {
    std::string out;
    for (const auto status : {limits::Status::kExceeded, limits::Status::kClose}) {
      std::string list;
      for (const std::string& name : Standing(setup, status)) {
        list += (list.empty() ? "" : ", ") + name;
      }
      if (!list.empty()) {
        out += Wrap(fmt::format("{} {}: {}", setup.name, Word(status), list), kPage, 0);
      }
    }
    const std::size_t hold = Standing(setup, limits::Status::kHolds).size();
    const std::size_t unknown = Standing(setup, limits::Status::kUnknown).size();
    out += fmt::format("{}: {} limit{} hold{}", setup.name, hold, hold == 1 ? "" : "s",
                       hold == 1 ? "s" : "");
    return out + (unknown > 0 ? fmt::format(", {} unknown\n", unknown) : "\n");
  }

  void Head() {
    std::vector<std::string> head;
    for (const SetupReport& s : setups_) {
      head.push_back(s.name + (&s == &setups_[base_] ? " (base)" : ""));
    }
    AddLine("", head);
  }

  std::vector<std::string> Figures(Output id) const {
    std::vector<std::string> cells;
    for (const SetupReport& s : setups_) {
      const auto& [figure, missing] = s.results[id];
      cells.push_back(figure            ? FigureText(*figure, InfoOf(id).kind, style_.units)
                      : missing.empty() ? "-"
                                        : "?");
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
      // What solvers leave in the last digits is no change.
      constexpr double kRounding = 1e-9;
      const bool same = std::abs(d.value) <= d.tolerance + kRounding * std::abs(figure->value) ||
                        std::abs(d.value) < 1e-12;
      cells.push_back(same ? "same" : ChangeText(d, *figure, InfoOf(id).kind, style_.units));
    }
    return cells;
  }

  void Result(const OutputInfo& info) {
    const std::vector<std::string> figures = Figures(info.id);
    if (std::ranges::all_of(figures, [](const std::string& c) { return c == "?" || c == "-"; })) {
      return;
    }
    std::string label(info.label);
    if (info.pair != Pair::kNone) {
      // A symmetric car says everything twice: once is enough.
      if (info.left && figures == Figures(RightOf(info.id))) {
        label += ", each side";
      } else if (!info.left &&
                 figures == Figures(static_cast<Output>(static_cast<int>(info.id) - 1))) {
        return;
      } else {
        label += fmt::format(", {}", SideOf(info.pair, info.left));
      }
    }
    const std::vector<std::string> changes = Changes(info.id);
    const auto is = [](std::string_view text) {
      return [text](const std::string& c) { return c.empty() || c == text; };
    };
    const bool none = std::ranges::all_of(changes, is(""));
    const bool same = !none && std::ranges::all_of(changes, is("same"));
    AddLine(same ? label + " (same)" : label, figures);
    if (!none && !same) AddLine("", changes);
  }

  void AddLine(const std::string& label, const std::vector<std::string>& cells) {
    std::vector<std::string> line{label};
    line.insert(line.end(), cells.begin(), cells.end());
    lines_.push_back(std::move(line));
  }

  // What a column of lines_ is wide, its longer cells wrapped.
  std::size_t WidthOf(std::size_t column) const {
    const std::size_t most = column == 0 ? kWidestLabel : kWidestCell;
    std::size_t width = 0;
    for (const auto& line : lines_) {
      for (const std::string& piece : Pieces(line[column], most)) {
        width = std::max(width, Width(piece));
      }
    }
    return width;
  }

  // As many setups from `first` on as a page is wide for, and at least one; moves `first` on.
  std::string Block(std::size_t& first) const {
    std::size_t width = WidthOf(0), end = first;
    do {
      ++end;
      width += kGap + WidthOf(end);
    } while (end < setups_.size() && width + kGap + WidthOf(end + 1) <= kPage);
    Table table;
    for (const auto& line : lines_) {
      std::vector<std::vector<std::string>> cells{Pieces(line[0], kWidestLabel)};
      for (std::size_t i = first; i < end; ++i) cells.push_back(Pieces(line[i + 1], kWidestCell));
      AddWrapped(cells, table);
    }
    first = end;
    return table.Set(0);
  }

  static std::vector<std::string> Pieces(const std::string& cell, std::size_t width) {
    std::vector<std::string> pieces;
    for (std::string rest = Wrap(cell, width, 0); !rest.empty();) {
      const std::size_t end = rest.find('\n');
      pieces.push_back(rest.substr(0, end));
      rest.erase(0, end + 1);
    }
    return pieces;
  }

  static void AddWrapped(const std::vector<std::vector<std::string>>& cells, Table& table) {
    std::size_t height = 0;
    for (const auto& cell : cells) height = std::max(height, cell.size());
    for (std::size_t at = 0; at < height; ++at) {
      std::vector<std::string> row;
      for (const auto& cell : cells) row.push_back(at < cell.size() ? cell[at] : "");
      table.Add(std::move(row));
    }
  }

  void Ends() {
    for (const Way way : kWays) {
      std::vector<std::string> cells;
      for (const SetupReport& s : setups_) cells.push_back(EndCell(s, way, style_.units));
      AddLine(way == Way::kLeft ? "Runs out first, rack to the left"
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
    if (!std::ranges::all_of(fits, none)) AddLine("Does it go together?", fits);
    if (!std::ranges::all_of(needs, none)) AddLine("Needed", needs);
  }

  const std::vector<SetupReport>& setups_;
  std::size_t base_;
  TextStyle style_;
  Ink ink_;
  std::vector<std::vector<std::string>> lines_;  // a label, then a cell for each setup
};

}  // namespace

std::string CompareText(const std::string& title, const std::vector<SetupReport>& setups,
                        std::size_t base, const TextStyle& style) {
  return CompareWriter(setups, base, style).Write(title);
}

}  // namespace steerbench
