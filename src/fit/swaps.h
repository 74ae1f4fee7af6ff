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
  // The part's name, or the adjustment as written; empty where none is stated.
  std::string from, to;
  // Only what the part has for one purpose, named so ("friction"); empty: all of it.
  std::string_view aspect = {};
};

// Changes that only make sense together, else one on its own: where only one of the two setups has
// a pump, the oil circuit's parts, and the rack where only one has a piston; where control valves
// come or go, they and what is set at them (without a pump they do nothing); where toe is stated
// another way, all that states it. What it makes of each result [SI], where that is known: `alone`,
// made in the first setup with nothing else changed; `last`, made where all else is changed
// already. The two differ where changes act on each other, and neither sum need be the whole
// difference. Without ±: they are parts of a difference, which has one.
using Values = std::array<std::optional<double>, kOutputs>;  // by Output [SI]
struct Swap {
  std::vector<Change> changes;
  Values alone, last;
  std::vector<Swap> apart = {};  // of a rack: the aspects in which it acts, where these are several
};

// The changes from one setup to another of the same document, in the order of a setup's fields;
// empty where nothing differs. A number that differs by its ± alone is no change.
// The results of both setups are given: two evaluations for each swap, ten more for a rack's.
// Source: one-factor-at-a-time effects at the two ends of the change (first-in and last-in), as of
// a two-level factorial experiment: G. E. P. Box, J. S. Hunter, W. G. Hunter, Statistics for
// Experimenters, 2nd ed., Wiley 2005, ch. 5 (from memory).
[[nodiscard]] std::vector<Swap> SwapsBetween(const Fitted<Quantity>& from, const Values& results,
                                             const Fitted<Quantity>& to,
                                             const Values& other_results);

}  // namespace steerbench::fit
