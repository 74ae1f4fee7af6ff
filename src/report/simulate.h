// Time histories as people read them and as programs do.
#pragma once

#include <string>

#include "report/report.h"
#include "simulate/order.h"
#include "simulate/remarks.h"

namespace steerbench {

// A history as a table of at most `rows` moments, evenly picked from its samples, and in words.
// `run` is the word of its order.
[[nodiscard]] std::string SimulateText(const std::string& setup, const std::string& run,
                                       const simulate::History& history,
                                       const simulate::FittedPlant& plant, const TextStyle& style);
// Every sample, with the energies, and the remarks as `summary`.
[[nodiscard]] std::string SimulateJson(const std::string& title, const std::string& setup,
                                       const simulate::History& history,
                                       const simulate::FittedPlant& plant, int indent = 2);

}  // namespace steerbench
