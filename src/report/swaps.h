// What each change makes of the difference between two setups, in words. Internal to report.
#pragma once

#include <string>
#include <vector>

#include "fit/swaps.h"
#include "report/report.h"

namespace steerbench {

// "rack works -> quick", "arms the car's own -> short", "stops kept -> removed"; of an aspect of a
// part that aspect, "steering valve".
[[nodiscard]] std::string NameOf(const fit::Swap& swap);

// Whether a difference is within its ±, or what solvers leave in the last digits. `of` is the
// figure that differs.
[[nodiscard]] bool IsSame(const Figure& difference, const Figure& of);

// What each swap makes of the results by which people decide (DecidesChoice), ready to show.
struct SwapTable {
  struct Effect {
    std::string alone;  // with its sign, to the digits of the whole difference; "?" not known
    std::string last;   // the same, made as the last; empty where it is as alone
    bool none = false;  // both are nothing
  };
  struct Row {
    std::vector<Output> of;       // a result, or both of a pair where they say the same
    std::string name;             // "Turns lock to lock"
    std::string all;              // the whole difference; "same within 0.40 N·m"; "not known now"
    std::vector<Effect> effects;  // by swap
    std::string unit = {};  // of the effects, as it follows a number: " N·m"; "" where they have it
  };
  std::vector<std::string> swaps;  // names, of those that act
  std::vector<Row> rows;           // of results that a swap changes by more than the ±
  std::vector<std::string> idle;   // names, of those that change none of these
};
[[nodiscard]] SwapTable TableOf(const SetupReport& base, const SetupReport& other,
                                const std::vector<fit::Swap>& swaps, const Units& units);

// A swap taken apart: of each result what the whole swap makes (`all`) and what each aspect does.
struct ApartTable {
  std::string swap;  // its name
  SwapTable table;
};
[[nodiscard]] std::vector<ApartTable> TablesApart(const SetupReport& base, const SetupReport& other,
                                                  const std::vector<fit::Swap>& swaps,
                                                  const Units& units);

// An effect in one cell: "-1.35"; "+0.10, last +0.15"; "0"; "?".
[[nodiscard]] std::string CellText(const SwapTable::Effect& effect);

// The section of a comparison, each line ended; empty where the setups do not differ.
[[nodiscard]] std::string SwapLines(const SetupReport& base, const SetupReport& other,
                                    const std::vector<fit::Swap>& swaps, const Units& units);

}  // namespace steerbench
