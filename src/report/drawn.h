// What a setup does all over the ± of its numbers, in words. Internal to report.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "report/report.h"

namespace steerbench {

struct DrawnTable {
  struct Share {
    std::string key;
    std::optional<Way> way;  // of a limit of the travel
    std::string name;        // "tyre touches, rack to the left"
    double share = 0.0;      // of the draws in which it is known
    std::size_t known = 0;
    std::string text;  // "0.3 %"
    std::string note;  // "of the 1509 in which it is known"; empty where it is in all
  };
  struct Row {
    Output of = Output::kTurns;
    std::string name, stated, middle;  // "2.869 ± 0.086 turns", "2.78 to 2.92 turns"
  };
  std::vector<Share> exceeded;              // limits, those exceeded most often first
  std::array<std::vector<Share>, 2> first;  // by Way: what ends the travel, most often first
  // Results that spread otherwise than their ± says: of a pair that says the same the first, and
  // torques without the pulls that they are.
  std::vector<Row> otherwise;
  // Sentences: that no limit is exceeded or no result spreads otherwise, what is known in only
  // some of the draws, what is not known at all.
  std::vector<std::string> remarks;
};
// Pre: the setup was drawn.
[[nodiscard]] DrawnTable DrawnTableOf(const SetupReport& setup, const Units& units);

// The whole section of one setup, a line each; empty where it was not drawn.
[[nodiscard]] std::string DrawnLines(const SetupReport& setup, const Units& units);

}  // namespace steerbench
