// Time histories, for people.
#include "report/simulate.h"

#include <fmt/format.h>

#include "report/ink.h"
#include "report/table.h"

namespace steerbench {
namespace {

constexpr std::size_t kTableRows = 31;

// "Hardest pull at the rim: 45 N, after 2.10 s".
std::string RemarkText(const simulate::Remark& r, const Units& units) {
  std::string text = fmt::format("{}: ", r.label);
  if (r.value) {
    const std::string unit = Show(*r.value, std::nullopt, r.kind, units.For(r.kind)).unit;
    text += fmt::format("{:.4g} {}", ToUnit(*r.value, r.kind, unit).value_or(*r.value), unit);
  }
  if (r.value && !r.note.empty()) text += ", ";
  return text + r.note;
}

}  // namespace

std::string SimulateText(const std::string& setup, const std::string& run,
                         const simulate::History& history, const simulate::FittedPlant& plant,
                         const TextStyle& style) {
  const Sweep all = simulate::AsSweep(history, plant);
  Sweep table = all;
  table.column.resize(simulate::kShownColumns);
  table.row.clear();
  const std::size_t step = (all.row.size() - 2) / (kTableRows - 1) + 1;
  for (std::size_t i = 0; i < all.row.size(); i += step) {
    table.row.push_back(all.row[i]);
    table.row.back().resize(simulate::kShownColumns);
  }
  std::string out = fmt::format("Setup {}, {} at the kerb, brake off, dry\n", setup, run);
  out += SweepText(table, style) + "\n";
  for (const simulate::Remark& r : simulate::RemarksOn(history, plant)) {
    out += Wrap(RemarkText(r, style.units), kPage, 0);
  }
  out += "Taken for granted:\n";
  for (const std::string& what : plant.assumed) out += "  - " + Wrap(what, kPage, 4).substr(4);
  return out;
}

}  // namespace steerbench
