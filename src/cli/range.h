// Ranges on the command line: "-70 mm .. 70 mm in 15".
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "quantity/quantity.h"

namespace steerbench::cli {

struct Range {
  std::vector<double> values;  // SI
  std::string error;           // empty when it was read
};

// One value ("10 mm"), or "FROM .. TO" in even steps, 11 of them unless "in N" says how many.
// Bounds take any unit of the kind; at most kMostSteps values.
[[nodiscard]] Range ParseRange(std::string_view text, Kind kind);
inline constexpr int kMostSteps = 100'000;

}  // namespace steerbench::cli
