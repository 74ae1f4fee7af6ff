// What is computed, held against what was read on the car, in words. Internal to report.
#pragma once

#include <string>
#include <vector>

#include "report/report.h"

namespace steerbench {

// How a reading stands: "✓ agrees", "✗ DIFFERS", "? not known".
[[nodiscard]] std::string HeldWord(const Compared& compared);

// Which number of the file alone would explain a difference: "rack.quick.friction 310 N in place of
// 200 ± 50 N, 2.2 of its ±".
[[nodiscard]] std::string TextOf(const Suspect& suspect, const SetupReport& setup,
                                 const Units& units);

// A reading as it was made, and what it is more than is computed. Pre of the second: it is
// computed.
[[nodiscard]] std::string SeenText(const Compared& compared, const Units& units);
[[nodiscard]] std::string DifferenceText(const Compared& compared, const Units& units);

// Of the inputs and results on which the readings bear those that are worth a line, for they become
// much narrower or move much: so many of those that gain most, in their order.
[[nodiscard]] std::vector<Counted> InputsWorthALine(const SetupReport& setup);
[[nodiscard]] std::vector<Counted> ResultsWorthALine(const SetupReport& setup);

// The value of an input or a result once the readings count.
[[nodiscard]] std::string TextOf(const Counted& counted, Kind kind, const Units& units);

// The whole section of one setup, a line each; empty where nothing was read.
[[nodiscard]] std::string HeldLines(const SetupReport& setup, const Units& units);

}  // namespace steerbench
