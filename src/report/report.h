// Results as people read them (text) and as programs read them (JSON). Pure: strings in and out.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "engine/evaluate/draws.h"
#include "engine/evaluate/hold_against.h"
#include "engine/evaluate/sweep.h"
#include "fit/fit.h"
#include "fit/needs.h"
#include "fit/swaps.h"
#include "model/document.h"
#include "report/cautions.h"

namespace steerbench {

// In which units results are shown: one system, or for each kind the system in which the document
// writes most values of that kind.
struct Units {
  UnitStyle usual = UnitStyle::kMetric;
  std::map<Kind, UnitStyle> of;
  [[nodiscard]] UnitStyle For(Kind kind) const {
    const auto found = of.find(kind);
    return found == of.end() ? usual : found->second;
  }
};

// The systems that a document itself is written in. Kinds that it does not use follow its lengths.
[[nodiscard]] Units UnitsAsWritten(const Document& document);

// How JSON is set.
struct JsonStyle {
  Units units;
  int indent = 2;  // blanks for each depth; negative: on one line
  // Of the inputs that bear on a figure, only those with the largest shares of its ±.
  std::size_t most_inputs = static_cast<std::size_t>(-1);
};

// "points", "plan_view", "turn_plate" or "unknown".
[[nodiscard]] std::string_view LevelKey(Level level);

// How text is set. `terminal` allows weight and colour; words say the same without them.
struct TextStyle {
  Units units;
  bool terminal = false;
};

// One setup with all that was found out about it.
struct SetupReport {
  std::string name, note;
  Fitted<Quantity> fitted;
  Propagated results;
  fit::Adapters adapters = {};  // all of the document, which `fit` and `needs` count
  fit::SetupFit fit = {};
  std::vector<fit::Need> needs = {};
  std::optional<HeldAgainst> held = {};  // against what was read on the car, where it was
  std::optional<DrawnOver> drawn = {};   // all over its ±, where that was asked for
};
[[nodiscard]] SetupReport ReportOf(std::string name, const Setup<Quantity>& setup,
                                   Fitted<Quantity> fitted, fit::Adapters adapters,
                                   const Named<Belt<Quantity>>& belts);

// A field that is missing, and how many results and margins of all setups wait for it.
struct Unlock {
  std::string field;
  int results = 0;
};
// The most useful first; fields that wait behind others count as well.
[[nodiscard]] std::vector<Unlock> Unlocks(const std::vector<SetupReport>& setups);

// Whether any setup has a limit exceeded, or faces that differ and no adapter (exit status 1).
[[nodiscard]] bool AnyExceeded(const std::vector<SetupReport>& setups);

// How the ± of the difference between two figures of two setups comes out when they share inputs:
// inputs of the same path move both. Source: JCGM 100:2008, 5.2 (correlated quantities).
[[nodiscard]] Figure Difference(const Figure& figure, const Propagated& of, const Figure& base,
                                const Propagated& base_of);

[[nodiscard]] std::string CheckText(const std::string& title,
                                    const std::vector<SetupReport>& setups, const TextStyle& style);
[[nodiscard]] std::string CheckJson(const std::string& title,
                                    const std::vector<SetupReport>& setups, const JsonStyle& style);

// Setups side by side, each against `base` (an index into `setups`). `swaps`: what each changes
// against it, by setup (side_by_side.h).
using SwapsBySetup = std::vector<std::vector<fit::Swap>>;
[[nodiscard]] std::string CompareText(const std::string& title,
                                      const std::vector<SetupReport>& setups, std::size_t base,
                                      const SwapsBySetup& swaps, const TextStyle& style);
[[nodiscard]] std::string CompareJson(const std::string& title,
                                      const std::vector<SetupReport>& setups, std::size_t base,
                                      const SwapsBySetup& swaps, const JsonStyle& style);

// A sweep of a setup as a table, as CSV (SI units in the header) and as JSON.
[[nodiscard]] std::string SweepText(const Sweep& sweep, const TextStyle& style);
// What must be said of it, as lines to stand beneath it: why values are missing, which are outside
// a model's range, what was taken for granted.
[[nodiscard]] std::string SweepNotes(const Sweep& sweep);
// Where the rack's travel ends before it comes so far [m], and by what: "71 mm (housing stop)";
// empty where nothing known ends it.
[[nodiscard]] std::string EndBefore(double travel, const std::array<TravelEnds<double>, 2>& ends,
                                    const Units& units);
// The same of the rows of a sweep, as a sentence to stand beneath it.
[[nodiscard]] std::string BeyondEndText(const Sweep& sweep,
                                        const std::array<TravelEnds<double>, 2>& ends,
                                        const TextStyle& style);
[[nodiscard]] std::string SweepCsv(const Sweep& sweep);
// `verb` is what made it: "sweep", "simulate".
[[nodiscard]] std::string SweepJson(std::string_view verb, const std::string& title,
                                    const std::string& setup, const Sweep& sweep, int indent = 2);

}  // namespace steerbench
