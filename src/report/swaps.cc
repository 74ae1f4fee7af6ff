#include "report/swaps.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "report/ink.h"
#include "report/phrases.h"
#include "report/table.h"

namespace steerbench {
namespace {

// Results by which people decide, in the order of the catalogue.
constexpr std::array kDeciding{
    Output::kTurns,         Output::kKerbCircleLeft, Output::kKerbCircleRight,
    Output::kBumpSteerLeft, Output::kBumpSteerRight, Output::kPumpIdle,
    Output::kPumpTop,       Output::kKerbTorque,     Output::kKerbLostTorque,
    Output::kRoadTorque,    Output::kCentreGradient, Output::kReturnTorque,
    Output::kKerbPressure,  Output::kIdleFlow,       Output::kCatchUpLeft,
    Output::kCatchUpRight,  Output::kParkingOil};

bool IsNothing(const std::string& effect) {
  return effect.find_first_of("123456789?") == std::string::npos;
}

// An effect on a result, with its sign, in the unit and to the digits in which the whole
// `difference` (of the figure `of`) is shown.
std::string EffectText(const std::optional<double>& effect, const Figure& difference,
                       const Figure& of, Kind kind, const Units& units) {
  if (!effect) return "?";
  // A difference without a ± has no last digit of its own.
  constexpr double kShare = 1e-3;
  Figure part = difference;
  part.value = *effect;
  if (part.tolerance == 0.0) part.tolerance = kShare * std::abs(difference.value);
  const std::string text = ChangeText(part, of, kind, units);
  return text.substr(0, text.find(" ±"));
}

// What a swap makes of a result, from what it makes alone and as the last.
std::string Both(const std::string& alone, const std::string& last) {
  if (IsNothing(alone) && IsNothing(last)) return "0";
  return alone == last ? alone : fmt::format("{}, last {}", alone, last);
}

// Unset where one of the two does not know the result, or nothing changes it beyond the ±.
std::optional<SwapTable::Row> RowOf(const OutputInfo& info, const SetupReport& base,
                                    const SetupReport& other, const std::vector<fit::Swap>& swaps,
                                    const Units& units) {
  const auto &now = other.results[info.id].figure, &before = base.results[info.id].figure;
  if (!now || !before) return std::nullopt;
  const Figure d = Difference(*now, other.results, *before, base.results);
  const auto at = static_cast<std::size_t>(info.id);
  const auto acts = [&](const std::optional<double>& effect) {
    Figure part = d;
    part.value = effect.value_or(0.0);
    return !IsSame(part, *now);
  };
  const bool same = IsSame(d, *now);
  // Changes may make up for each other.
  const bool all_still = std::ranges::none_of(
      swaps, [&](const fit::Swap& s) { return acts(s.alone[at]) || acts(s.last[at]); });
  if (same && all_still) return std::nullopt;
  SwapTable::Row row{
      {info.id}, NameOf(info), same ? "same" : ChangeText(d, *now, info.kind, units), {}};
  for (const fit::Swap& swap : swaps) {
    row.effects.push_back(Both(EffectText(swap.alone[at], d, *now, info.kind, units),
                               EffectText(swap.last[at], d, *now, info.kind, units)));
  }
  return row;
}

}  // namespace

std::string NameOf(const fit::Swap& swap) {
  const auto or_none = [](const std::string& name) { return name.empty() ? "none" : name; };
  std::string list;
  for (const fit::Change& c : swap.changes) {
    list += fmt::format("{}{} {} -> {}", list.empty() ? "" : ", ", c.field, or_none(c.from),
                        or_none(c.to));
  }
  return list;
}

bool IsSame(const Figure& difference, const Figure& of) {
  constexpr double kLastDigits = 1e-9, kLeast = 1e-12;
  const double size = std::abs(difference.value);
  return size <= difference.tolerance + kLastDigits * std::abs(of.value) || size < kLeast;
}

SwapTable TableOf(const SetupReport& base, const SetupReport& other,
                  const std::vector<fit::Swap>& swaps, const Units& units) {
  SwapTable table;
  for (const Output id : kDeciding) {
    const OutputInfo& info = InfoOf(id);
    auto row = RowOf(info, base, other, swaps, units);
    if (!row) continue;
    // Both sides of a symmetric car say everything twice: once is enough.
    SwapTable::Row* const left = table.rows.empty() ? nullptr : &table.rows.back();
    if (left != nullptr && info.pair != Pair::kNone && RightOf(left->of[0]) == id &&
        left->all == row->all && left->effects == row->effects) {
      left->of.push_back(id);
      left->name = std::string(info.label) + ", each side";
    } else {
      table.rows.push_back(*std::move(row));
    }
  }
  for (std::size_t i = swaps.size(); i-- > 0;) {
    const bool idle = std::ranges::all_of(
        table.rows, [i](const SwapTable::Row& row) { return row.effects[i] == "0"; });
    auto& names = idle ? table.idle : table.swaps;
    names.insert(names.begin(), NameOf(swaps[i]));
    if (!idle) continue;
    for (SwapTable::Row& row : table.rows) {
      row.effects.erase(row.effects.begin() + static_cast<std::ptrdiff_t>(i));
    }
  }
  return table;
}

std::string SwapLines(const SetupReport& base, const SetupReport& other, const Units& units) {
  const std::vector<fit::Swap> swaps = fit::SwapsBetween(base.fitted, other.fitted);
  if (swaps.empty()) return "";
  const std::string against = fmt::format("{} against {}", other.name, base.name);
  if (swaps.size() == 1) {
    return Wrap(fmt::format("{}: all that differs comes from {}", against, NameOf(swaps[0])), kPage,
                0);
  }
  const SwapTable table = TableOf(base, other, swaps, units);
  WideTable wide;
  std::vector<std::string> cells{"in all"};
  cells.insert(cells.end(), table.swaps.begin(), table.swaps.end());
  wide.Add("", cells);
  for (const SwapTable::Row& row : table.rows) {
    cells = {row.all};
    cells.insert(cells.end(), row.effects.begin(), row.effects.end());
    wide.Add(row.name, cells);
  }
  std::string out = against + ", change by change:\n";
  if (!table.rows.empty()) out += "\n" + wide.Set();
  if (table.idle.empty()) return out;
  std::string idle;
  for (const std::string& name : table.idle) idle += (idle.empty() ? "" : "; ") + name;
  return out + Wrap("Changes nothing of this kind: " + idle, kPage, 0);
}

}  // namespace steerbench
