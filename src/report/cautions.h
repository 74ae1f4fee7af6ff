// Warnings that belong to what is being done, not to a number.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace steerbench {

struct SetupReport;

struct Caution {
  std::string_view key;  // for programs
  std::string text;      // for people: what can happen and what to do instead
};

// Key and text of the caution that always holds: stands, law and inspection.
inline constexpr std::string_view kGeneralCaution = "inspection";
[[nodiscard]] std::string_view GeneralCaution();

// Cautions for one setup, the gravest first; the last one, that law and inspection decide, is
// always there. General knowledge of the trade (common practice, no source).
[[nodiscard]] std::vector<Caution> CautionsFor(const SetupReport& setup);

}  // namespace steerbench
