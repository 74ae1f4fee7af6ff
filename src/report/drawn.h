// What a setup does all over the ± of its numbers, in words. Internal to report.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "report/report.h"

namespace steerbench {

struct DrawnTable {
  struct Share {
    std::string key, name;
    double share = 0.0;
    std::string text;  // of the share: "0.3 %", "49 %"
  };
  struct Row {
    Output of = Output::kTurns;
    std::string name, stated, middle;  // "2.869 ± 0.086 turns", "2.78 to 2.92 turns"
  };
  std::vector<Share> exceeded;              // limits, those exceeded most often first
  std::array<std::vector<Share>, 2> first;  // by Way: what ends the travel, most often first
  std::vector<Row> otherwise;               // results that spread otherwise than their ± says
};
// Pre: the setup was drawn.
[[nodiscard]] DrawnTable DrawnTableOf(const SetupReport& setup, const Units& units);

// The whole section of one setup, a line each; empty where it was not drawn.
[[nodiscard]] std::string DrawnLines(const SetupReport& setup, const Units& units);

}  // namespace steerbench
