// Control valves that get too little current, or hardly enough, in words. Internal.
#pragma once

#include <string>
#include <vector>

#include "report/report.h"

namespace steerbench {

// What is wrong, what it does to the wheel's weight, and each change tried with what came out, as
// sentences; empty when nothing is wrong.
[[nodiscard]] std::vector<std::string> ControlTroubleLines(const SetupReport& setup,
                                                           const Units& units);

// The notes of a setup's results, and of coils that may as well not move their valve on the road.
[[nodiscard]] std::vector<std::string> NotesOf(const SetupReport& setup, const Units& units);

}  // namespace steerbench
