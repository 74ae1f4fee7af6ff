// What differs between two texts of a document, field by field.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace steerbench {

// Dotted paths of all values that differ between two TOML texts, in the order of the first, then of
// what only the second has. Comments and layout do not count. The one empty path when either text
// is no TOML: then anything may differ.
[[nodiscard]] std::vector<std::string> ChangedPaths(std::string_view before,
                                                    std::string_view after);

// The value at a path as a user would type it; unset when there is none or it is a table.
[[nodiscard]] std::optional<std::string> ValueAt(std::string_view text, std::string_view path);

// Whether two paths name the same field, or one a table that holds the other. The empty path holds
// everything.
[[nodiscard]] bool PathsMeet(std::string_view a, std::string_view b);

}  // namespace steerbench
