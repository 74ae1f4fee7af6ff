#include "report/swaps.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "document/fields.h"
#include "report/ink.h"
#include "report/phrases.h"
#include "report/table.h"

namespace steerbench {
namespace {

// What it means that a setup states nothing for a field.
std::string_view Unstated(std::string_view field) {
  if (field == "arms") return "the car's own";
  if (field == "stops") return "kept";
  if (field == "control_powered" || field == "second_control_powered") return "true";
  return ChosenPart(Setup<Quantity>(), field) != nullptr ? "none" : "not set";
}

// Digits that are worth showing: those of the ± of the difference, and of all that makes it no more
// than four.
double LastDigit(const Figure& difference, const std::vector<fit::Swap>& swaps, std::size_t at) {
  constexpr double kShare = 1e-3;
  double most = std::abs(difference.value);
  for (const fit::Swap& swap : swaps) {
    for (const auto& effect : {swap.alone[at], swap.last[at]}) {
      most = std::max(most, std::abs(effect.value_or(0.0)));
    }
  }
  return std::max(difference.tolerance, kShare * most);
}

bool IsNothing(const std::string& effect) {
  return effect.find_first_of("123456789?") == std::string::npos;
}

// How one result differs, and what each swap makes of it.
class RowMaker {
 public:
  RowMaker(const SetupReport& base, const SetupReport& other, const std::vector<fit::Swap>& swaps,
           const Units& units)
      : base_(base), other_(other), swaps_(swaps), units_(units) {}

  // Unset where neither of the two knows the result, or nothing changes it beyond the ±.
  [[nodiscard]] std::optional<SwapTable::Row> Of(const OutputInfo& info) const {
    const auto &now = other_.results[info.id].figure, &before = base_.results[info.id].figure;
    if (now && before) return Known(info, *now, *before);
    if (!now && !before) return std::nullopt;
    // Of what one of the two has no part for, such as a pump, nothing is asked.
    const PropagatedResult& other = (now ? base_ : other_).results[info.id];
    if (other.missing.empty() && !other.failed) return std::nullopt;
    SwapTable::Row row{{info.id}, NameOf(info), now ? "known only now" : "not known now", {}};
    for (const fit::Swap& swap : swaps_) {
      row.effects.push_back(EffectOf(swap, info, *(now ? now : before), *(now ? now : before)));
    }
    return row;
  }

 private:
  [[nodiscard]] std::optional<SwapTable::Row> Known(const OutputInfo& info, const Figure& now,
                                                    const Figure& before) const {
    const Figure d = Difference(now, other_.results, before, base_.results);
    const auto at = static_cast<std::size_t>(info.id);
    const auto acts = [&](const std::optional<double>& effect) {
      Figure part = d;
      part.value = effect.value_or(0.0);
      return !effect || !IsSame(part, now);
    };
    const bool same = IsSame(d, now);
    // Changes may make up for each other.
    if (same && std::ranges::none_of(swaps_, [&](const fit::Swap& s) {
          return acts(s.alone[at]) || acts(s.last[at]);
        })) {
      return std::nullopt;
    }
    SwapTable::Row row{{info.id}, NameOf(info), ChangeText(d, now, info.kind, units_), {}};
    row.unit = UnitOf(row.all);
    if (same) row.all = SameText(d, now, info.kind);
    for (const fit::Swap& swap : swaps_) row.effects.push_back(EffectOf(swap, info, d, now));
    return row;
  }

  // "+4.9 ± 1.7 bar": " bar".
  static std::string UnitOf(const std::string& change) {
    constexpr std::string_view kPm = " ± ";
    const std::size_t pm = change.find(kPm);
    const std::size_t blank = change.find(' ', pm == std::string::npos ? 0 : pm + kPm.size());
    std::string unit = blank == std::string::npos ? "" : change.substr(blank);
    if (unit.ends_with(" a")) unit.resize(unit.size() - 2);  // of a figure that is guessed
    return unit == " %" ? "" : unit;
  }

  [[nodiscard]] std::string SameText(const Figure& d, const Figure& now, Kind kind) const {
    Figure within = d;
    within.value = d.tolerance;
    if (d.tolerance == 0.0) return "same";
    std::string text = ChangeText(within, now, kind, units_);
    // "+0.40 ± 0.40 N·m": one of the two, with its unit.
    const std::size_t pm = text.find(" ± ");
    return "same within " + (pm == std::string::npos ? text : text.substr(pm + 4));
  }

  [[nodiscard]] SwapTable::Effect EffectOf(const fit::Swap& swap, const OutputInfo& info,
                                           const Figure& difference, const Figure& of) const {
    const auto at = static_cast<std::size_t>(info.id);
    const double digit = LastDigit(difference, swaps_, at);
    const auto text = [&](const std::optional<double>& effect) -> std::string {
      if (!effect) return "?";
      if (digit == 0.0) return "0";
      Figure part = difference;
      part.value = *effect;
      part.tolerance = digit;
      const std::string shown = ChangeText(part, of, info.kind, units_);
      return shown.substr(0, shown.find(" ±"));
    };
    SwapTable::Effect effect{text(swap.alone[at]), text(swap.last[at])};
    effect.none = IsNothing(effect.alone) && IsNothing(effect.last);
    if (effect.last == effect.alone) effect.last.clear();
    return effect;
  }

  const SetupReport &base_, &other_;
  const std::vector<fit::Swap>& swaps_;
  const Units& units_;
};

// The rows of a table, with the effect of each swap or without.
std::string RowLines(const SwapTable& table, const std::string& head, bool effects) {
  WideTable wide;
  std::vector<std::string> cells{head};
  if (effects) cells.insert(cells.end(), table.swaps.begin(), table.swaps.end());
  wide.Add("", cells);
  for (const SwapTable::Row& row : table.rows) {
    cells = {row.all};
    if (effects) std::ranges::transform(row.effects, std::back_inserter(cells), CellText);
    wide.Add(row.name, cells);
  }
  return wide.Set(kPage);
}

bool SayTheSame(const SwapTable::Row& a, const SwapTable::Row& b) {
  return a.all == b.all && std::ranges::equal(a.effects, b.effects, {}, CellText, CellText);
}

// Both sides of a symmetric car say everything twice: once is enough.
std::vector<SwapTable::Row> RowsOf(const SetupReport& base, const SetupReport& other,
                                   const std::vector<fit::Swap>& swaps, const Units& units) {
  std::vector<SwapTable::Row> rows;
  const RowMaker maker(base, other, swaps, units);
  for (const OutputInfo& info : Outputs()) {
    if (!DecidesChoice(info.id)) continue;
    auto row = maker.Of(info);
    if (!row) continue;
    SwapTable::Row* const left = rows.empty() ? nullptr : &rows.back();
    const auto both = NameOfBoth(info);
    if (left != nullptr && both && RightOf(left->of[0]) == info.id && SayTheSame(*left, *row)) {
      left->of.push_back(info.id);
      left->name = *both;
    } else {
      rows.push_back(*std::move(row));
    }
  }
  return rows;
}

// Names the swaps whose effects stand in a table's rows; those without any leave them.
void NameSwaps(const std::vector<fit::Swap>& swaps, SwapTable& table) {
  for (std::size_t i = swaps.size(); i-- > 0;) {
    const bool idle = std::ranges::all_of(
        table.rows, [i](const SwapTable::Row& row) { return row.effects[i].none; });
    auto& names = idle ? table.idle : table.swaps;
    names.insert(names.begin(), steerbench::NameOf(swaps[i]));
    if (!idle) continue;
    for (SwapTable::Row& row : table.rows) {
      row.effects.erase(row.effects.begin() + static_cast<std::ptrdiff_t>(i));
    }
  }
}

}  // namespace

std::string NameOf(const fit::Swap& swap) {
  if (const auto aspect = swap.changes[0].aspect; !aspect.empty()) return std::string(aspect);
  std::string list;
  for (const fit::Change& c : swap.changes) {
    const auto text = [&c](const std::string& stated) {
      return stated.empty() ? std::string(Unstated(c.field)) : stated;
    };
    std::string field = c.field;
    std::ranges::replace(field, '_', ' ');
    list += fmt::format("{}{} {} -> {}", list.empty() ? "" : ", ", field, text(c.from), text(c.to));
  }
  return list;
}

bool IsSame(const Figure& difference, const Figure& of) {
  constexpr double kLastDigits = 1e-9, kLeast = 1e-12;
  const double size = std::abs(difference.value);
  return size <= difference.tolerance + kLastDigits * std::abs(of.value) || size < kLeast;
}

std::string CellText(const SwapTable::Effect& effect) {
  if (effect.none) return "0";
  return effect.last.empty() ? effect.alone : fmt::format("{}, last {}", effect.alone, effect.last);
}

SwapTable TableOf(const SetupReport& base, const SetupReport& other,
                  const std::vector<fit::Swap>& swaps, const Units& units) {
  SwapTable table{{}, RowsOf(base, other, swaps, units), {}};
  NameSwaps(swaps, table);
  return table;
}

std::vector<ApartTable> TablesApart(const SetupReport& base, const SetupReport& other,
                                    const std::vector<fit::Swap>& swaps, const Units& units) {
  std::vector<ApartTable> tables;
  for (const fit::Swap& swap : swaps) {
    if (swap.apart.empty()) continue;
    std::vector<fit::Swap> whole_and_apart{swap};
    whole_and_apart.insert(whole_and_apart.end(), swap.apart.begin(), swap.apart.end());
    SwapTable table{{}, RowsOf(base, other, whole_and_apart, units), {}};
    // Rows of results that other swaps alone change say nothing here.
    std::erase_if(table.rows, [](const SwapTable::Row& row) {
      return std::ranges::all_of(row.effects, &SwapTable::Effect::none);
    });
    if (table.rows.empty()) continue;
    for (SwapTable::Row& row : table.rows) {
      SwapTable::Effect whole = row.effects[0];
      whole.alone += row.unit;
      row.all = CellText(whole);
      row.effects.erase(row.effects.begin());
    }
    NameSwaps(swap.apart, table);
    tables.push_back({NameOf(swap), std::move(table)});
  }
  return tables;
}

std::string SwapLines(const SetupReport& base, const SetupReport& other,
                      const std::vector<fit::Swap>& swaps, const Units& units) {
  const std::string against = fmt::format("{} against {}", other.name, base.name);
  if (swaps.empty()) return against + ": the same parts and adjustments\n";
  const SwapTable table = TableOf(base, other, swaps, units);
  const bool one = swaps.size() == 1;
  std::string out =
      one ? Wrap(fmt::format("{}: all that differs comes from {}", against, NameOf(swaps[0])),
                 kPage, 0)
          : against + ", change by change:\n";
  if (!table.rows.empty()) out += "\n" + RowLines(table, "in all", !one);
  if (!table.idle.empty()) {
    out += Wrap(fmt::format("Changes no result by which setups are mostly chosen: {}",
                            fmt::join(table.idle, "; ")),
                kPage, 0);
  }
  for (const ApartTable& apart : TablesApart(base, other, swaps, units)) {
    out += "\n" + Wrap(apart.swap + ", taken apart:", kPage, 0) + "\n" +
           RowLines(apart.table, "the swap", true);
  }
  return out;
}

}  // namespace steerbench
