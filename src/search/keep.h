// A search that was stopped, as a text to go on from.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "search/search.h"

namespace steerbench::search {

// Progress as JSON, for the document in its JSON form `form`.
[[nodiscard]] std::string KeepProgress(const Progress& progress, std::string_view form);

// The progress in such a text; else in words why it cannot be gone on from: another document, or
// no such text. `space` is what it must fit.
struct Kept {
  std::optional<Progress> progress;
  std::string_view why;
};
[[nodiscard]] Kept KeptProgress(std::string_view text, std::string_view form, const Space& space,
                                const Wishes& wishes);

}  // namespace steerbench::search
