#include "report/held.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "report/ink.h"
#include "report/phrases.h"
#include "report/table.h"

namespace steerbench {
namespace {

constexpr std::size_t kMostSuspects = 6, kMostInputs = 6, kMostResults = 10;
constexpr double kMuchNarrower = 0.8;  // of the ± that was, at which a number is worth a line
constexpr double kMuchMoved = 0.5;     // of that ±, the same

std::string Value(const Quantity& q, const Units& units) {
  return Show(q.value, q.tolerance, q.kind, units.For(q.kind)).text;
}

void AddComparison(const SetupReport& setup, const Units& units, std::string& out) {
  Table table;
  table.Add({"", "computed", "seen", "seen less computed", ""});
  for (const Compared& c : setup.held->compared) {
    const OutputInfo& info = InfoOf(c.seen.of);
    table.Add({NameOf(info), c.computed ? FigureText(*c.computed, info.kind, units) : "-",
               SeenText(c, units), c.computed ? DifferenceText(c, units) : "-", HeldWord(c)});
  }
  out += table.Set(4);
}

void AddSuspects(const SetupReport& setup, const Units& units, std::string& out) {
  const auto& suspects = setup.held->suspects;
  if (suspects.empty()) {
    out += Wrap("No single number of the file explains it, even if it is off by ten of its ±.",
                kPage - 2, 4);
    return;
  }
  const bool one = suspects.front().explains;  // such stand first
  out +=
      Wrap(one ? "Any one of these, if it alone is off, would explain it (on a straight line, the "
                 "least far off first); measure it again:"
               : "No single number of the file explains all of it. These come nearest, each "
                 "alone:",
           kPage - 2, 4);
  std::size_t shown = 0;
  for (const Suspect& s : suspects) {
    if (shown == kMostSuspects || (one && !s.explains)) break;
    out += Wrap(TextOf(s, setup, units), kPage - 2, 6);
    ++shown;
  }
}

// Of counted numbers those that are worth a line, so many of those that gain most, in their order.
template <class Before>
std::vector<Counted> WorthALine(const std::vector<Counted>& all, std::size_t most,
                                const Before& before) {
  std::vector<Counted> worth;
  for (const Counted& c : all) {
    const auto [value, tolerance] = before(c);
    const bool moved = std::abs(c.value - value) > kMuchMoved * tolerance;
    if (moved || c.tolerance < kMuchNarrower * tolerance) worth.push_back(c);
  }
  std::ranges::sort(worth, {}, [&](const Counted& c) { return c.tolerance / before(c).second; });
  if (worth.size() > most) worth.resize(most);
  std::ranges::sort(worth, {}, &Counted::of);
  return worth;
}

void AddCounted(const SetupReport& setup, const Units& units, std::string& out) {
  const Propagated& r = setup.results;
  Table table;
  for (const Counted& c : InputsWorthALine(setup)) {
    const Input& input = r.inputs[c.of];
    table.Add({NameOf(input), Value(input.quantity, units), TextOf(c, input.quantity.kind, units)});
  }
  for (const Counted& c : ResultsWorthALine(setup)) {
    const OutputInfo& info = InfoOf(static_cast<Output>(c.of));
    table.Add({NameOf(info), FigureText(*r[info.id].figure, info.kind, units),
               TextOf(c, info.kind, units)});
  }
  if (table.empty()) return;
  out +=
      Wrap("What the readings, counted, make of numbers of the file and of results:", kPage - 2, 4);
  out += table.Set(6);
}

}  // namespace

std::string HeldWord(const Compared& compared) {
  if (!compared.computed) return "? not known";
  return compared.agrees ? "✓ agrees" : "✗ DIFFERS";
}

std::string TextOf(const Suspect& suspect, const SetupReport& setup, const Units& units) {
  const Input& input = setup.results.inputs[suspect.input];
  const Quantity& q = input.quantity;
  const std::string would = Show(suspect.value, suspect.tolerance, q.kind, units.For(q.kind)).text;
  return fmt::format("{}: {} in place of {}{}", NameOf(input), would, Value(q, units),
                     std::isfinite(suspect.times) ? fmt::format(", {:.1f} of its ±", suspect.times)
                                                  : ", which states no ±");
}

std::string SeenText(const Compared& compared, const Units& units) {
  const Kind kind = InfoOf(compared.seen.of).kind;
  return Show(compared.seen.value, compared.seen.tolerance, kind, units.For(kind)).text;
}

std::string DifferenceText(const Compared& compared, const Units& units) {
  Figure apart;
  apart.value = compared.difference;
  apart.tolerance = compared.tolerance;
  return ChangeText(apart, *compared.computed, InfoOf(compared.seen.of).kind, units);
}

std::vector<Counted> InputsWorthALine(const SetupReport& setup) {
  return WorthALine(setup.held->inputs, kMostInputs, [&](const Counted& c) {
    const Quantity& q = setup.results.inputs[c.of].quantity;
    return std::pair{q.value, *q.tolerance};
  });
}

std::vector<Counted> ResultsWorthALine(const SetupReport& setup) {
  return WorthALine(setup.held->results, kMostResults, [&](const Counted& c) {
    const Figure& figure = *setup.results[static_cast<Output>(c.of)].figure;
    return std::pair{figure.value, figure.tolerance};
  });
}

std::string TextOf(const Counted& counted, Kind kind, const Units& units) {
  return Show(counted.value, counted.tolerance, kind, units.For(kind)).text;
}

std::string HeldLines(const SetupReport& setup, const Units& units) {
  if (!setup.held) return {};
  std::string out;
  AddComparison(setup, units, out);
  const bool known =
      std::ranges::any_of(setup.held->compared, [](const Compared& c) { return !!c.computed; });
  if (!known) return out;
  if (setup.held->agree) {
    AddCounted(setup, units, out);
    return out;
  }
  const bool each = std::ranges::all_of(setup.held->compared,
                                        [](const Compared& c) { return !c.computed || c.agrees; });
  if (each) out += Wrap("Each agrees by itself, but not all of them together.", kPage - 2, 4);
  AddSuspects(setup, units, out);
  return out;
}

}  // namespace steerbench
