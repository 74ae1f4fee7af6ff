// Changes to a TOML text that leave every other byte where it is.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "document/node.h"

namespace steerbench {

// Nodes from the root down a path; shorter than the path where it leaves the tree.
[[nodiscard]] std::vector<const Node*> NodesAlong(const Node& root, const Path& path);

// The text with the value at a path replaced, put in (with the headers it needs) or taken out (a
// table with all its sections and the comments right above them, the item of a list too); nothing
// when this place cannot be edited line by line. `root` is the tree of `text`, `value` is TOML. The
// caller reads the result and compares, so these need not foresee every odd layout.
[[nodiscard]] std::optional<std::string> SpliceValue(std::string_view text, const Node& root,
                                                     const Path& path, std::string_view value);
[[nodiscard]] std::optional<std::string> SpliceOut(std::string_view text, const Node& root,
                                                   const Path& path);

// True when two trees differ nowhere but at a path. A table that is not there counts as empty.
[[nodiscard]] bool SameExceptAt(const Node& before, const Node& after, const Path& path);

// True when `after` is `before` with what stands at a path taken out, items behind it moving up.
// Empty tables and lists count as not there.
[[nodiscard]] bool SameWithout(const Node& before, const Node& after, const Path& path);

}  // namespace steerbench
