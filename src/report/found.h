// A number of the car found from a measurement on it, for people and programs.
#pragma once

#include <string>

#include "engine/evaluate/find_input.h"
#include "report/report.h"

namespace steerbench {

struct FoundReport {
  std::string setup;  // name
  FindTask task;
  Kind kind = Kind::kRatio;  // of the number sought
  bool stated = true;        // the document states it already
  FoundInput found;
};

// How the search ended, in words without a full stop.
[[nodiscard]] std::string_view Describe(FindStatus status);

[[nodiscard]] std::string FoundText(const FoundReport& report, const Units& units);
[[nodiscard]] std::string FoundJson(const std::string& title, const FoundReport& report,
                                    const JsonStyle& style);

// The value found with its ± as a document states it: finely enough that nothing is lost against
// its ±. Pre: it was found.
[[nodiscard]] std::string FoundValue(const FoundReport& report, const Units& units);

}  // namespace steerbench
