// What each of the changes that make one setup another does to the results. Pure functions.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "engine/evaluate/outputs.h"
#include "model/setup.h"

namespace steerbench::fit {

// One part or adjustment that is another in the second of two setups.
struct Change {
  std::string field;  // of a setup: "rack", "toe_length"
  std::string from,
      to;  // name of the part, or the adjustment as written; empty where there is none
};

// Changes that only make sense together: where only one of the two setups has a pump, the oil
// circuit's parts, and the rack where only one has a piston; else a change on its own. What it
// makes of each result [SI], where that is known: `alone`, made in the first setup with nothing
// else changed; `last`, made where all else is changed already. The two differ where changes act on
// each other, and neither sum need be the whole difference. Without ±: they are parts of a
// difference, which has one.
struct Swap {
  std::vector<Change> changes;
  std::array<std::optional<double>, kOutputs> alone, last;
};

// The changes from one setup to another of the same document, in the order of a setup's fields;
// empty where nothing differs. A number that differs by its ± alone is no change.
// Two evaluations for each, and two more.
// Source: one-factor-at-a-time effects at the two ends of the change (first-in and last-in), as of
// a two-level factorial experiment: G. E. P. Box, J. S. Hunter, W. G. Hunter, Statistics for
// Experimenters, 2nd ed., Wiley 2005, ch. 5 (from memory).
[[nodiscard]] std::vector<Swap> SwapsBetween(const Fitted<Quantity>& from,
                                             const Fitted<Quantity>& to);

}  // namespace steerbench::fit
