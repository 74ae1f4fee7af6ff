#include "report/drawn.h"

#include <fmt/format.h>

#include <algorithm>

#include "report/ink.h"
#include "report/phrases.h"
#include "report/table.h"

namespace steerbench {
namespace {

std::string ShareText(double share) {
  constexpr double kCoarse = 0.0995;
  return share > 0.0 && share < kCoarse ? fmt::format("{:.1f} %", 100.0 * share)
                                        : fmt::format("{:.0f} %", 100.0 * share);
}

DrawnTable::Share ShareOf(std::string_view key, std::string name, double share) {
  return {std::string(key), std::move(name), share, ShareText(share)};
}

void SortMostFirst(std::vector<DrawnTable::Share>& shares) {
  std::ranges::stable_sort(shares, std::ranges::greater{}, &DrawnTable::Share::share);
}

std::string_view WayWords(std::size_t way) { return SideOf(Pair::kRack, way == 0); }

// "2.78 to 2.92 turns".
std::string MiddleText(const Spread& spread, double tolerance, Kind kind, const Units& units) {
  const std::string high = RoundedText(spread.high, tolerance, kind, units);
  std::string low = RoundedText(spread.low, tolerance, kind, units);
  // One unit behind both is enough.
  const std::size_t unit = high.find(' ');
  if (unit != std::string::npos && low.ends_with(high.substr(unit))) {
    low.erase(low.find(' '));
  }
  return fmt::format("{} to {}", low, high);
}

std::string List(const std::vector<DrawnTable::Share>& shares) {
  std::string list;
  for (const auto& s : shares) {
    list += fmt::format("{}{} in {}", list.empty() ? "" : ", ", s.name, s.text);
  }
  return list;
}

}  // namespace

DrawnTable DrawnTableOf(const SetupReport& setup, const Units& units) {
  const DrawnOver& drawn = *setup.drawn;
  DrawnTable table;
  for (std::size_t way = 0; way < 2; ++way) {
    for (std::size_t end = 0; end < kRackEnds; ++end) {
      const RackEndInfo& info = RackEnds()[end];
      if (const double share = drawn.end_beyond[way][end].value_or(0.0); share > 0.0) {
        table.exceeded.push_back(
            ShareOf(info.key, fmt::format("{}, {}", info.label, WayWords(way)), share));
      }
      if (drawn.first[way][end] > 0.0) {
        table.first[way].push_back(
            ShareOf(info.key, std::string(info.label), drawn.first[way][end]));
      }
    }
    SortMostFirst(table.first[way]);
  }
  for (const CheckInfo& info : Checks()) {
    const double share = drawn.beyond[static_cast<std::size_t>(info.id)].value_or(0.0);
    if (share > 0.0) table.exceeded.push_back(ShareOf(info.key, std::string(info.label), share));
  }
  SortMostFirst(table.exceeded);
  for (const OutputInfo& info : Outputs()) {
    const auto& figure = setup.results[info.id].figure;
    const auto& spread = drawn.result[static_cast<std::size_t>(info.id)];
    if (!figure || figure->tolerance == 0.0 || !spread) continue;
    if (!SpreadsOtherwise(*spread, figure->value, figure->tolerance)) continue;
    table.otherwise.push_back({info.id, NameOf(info), FigureText(*figure, info.kind, units),
                               MiddleText(*spread, figure->tolerance, info.kind, units)});
  }
  return table;
}

std::string DrawnLines(const SetupReport& setup, const Units& units) {
  if (!setup.drawn) return {};
  const DrawnTable table = DrawnTableOf(setup, units);
  std::string out;
  for (std::size_t way = 0; way < 2; ++way) {
    if (table.first[way].empty()) continue;
    out += Wrap(fmt::format("{} it runs out first at: {}", WayWords(way), List(table.first[way])),
                kPage - 2, 4);
  }
  if (table.exceeded.empty()) {
    out += Wrap("No limit is exceeded in any of them.", kPage, 4);
  } else {
    out += "    Exceeded:\n";
    Table limits;
    for (const auto& s : table.exceeded) limits.Add({s.name, s.text});
    out += limits.Set(6);
  }
  if (table.otherwise.empty()) {
    return out + Wrap("The middle 95 % of every result lies as its ± says.", kPage, 4);
  }
  out += "    The middle 95 % lies otherwise than the ± says:\n";
  for (const auto& row : table.otherwise) {
    out += Wrap(fmt::format("{}, {}: {}", row.name, row.stated, row.middle), kPage - 2, 6);
  }
  return out;
}

}  // namespace steerbench
