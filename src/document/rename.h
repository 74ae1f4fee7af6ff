// A setup under another name.
#pragma once

#include <string_view>

#include "document/document.h"

namespace steerbench {

// Renames a setup of a TOML text, in its headers and where the document refers to it (search.base).
// Every other byte stays. Refused, with the problem: a setup that is not there, a name that is
// empty or taken, and a layout whose keys cannot be told apart (EditResult::problems).
[[nodiscard]] EditResult RenameSetup(std::string_view text, std::string_view from,
                                     std::string_view to);

}  // namespace steerbench
