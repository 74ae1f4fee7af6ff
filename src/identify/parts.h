// In what the parts differ that the variants left are: what a wrong guess would get wrong.
#pragma once

#include <span>
#include <string>
#include <utility>
#include <vector>

#include "model/document.h"

namespace steerbench::identify {

// A field whose values differ, with the value as written of each part that states one.
struct Difference {
  std::string field;                                       // "travel", "face[0].seat"
  std::vector<std::pair<std::string, std::string>> value;  // part, value
};

// The fields in which parts of one table of the document ("rack") differ: quantities further apart
// than their ± together, words and counts that are not the same. A field that only one of them
// states is no difference, nor are names, prices, notes, owners and tables of readings. `parts`:
// their names; those that do not exist are left out. In the order of the fields.
[[nodiscard]] std::vector<Difference> Differences(const Document& document, std::string_view table,
                                                  std::span<const std::string> parts);

}  // namespace steerbench::identify
