// Text to tree: the only files that know the TOML and JSON libraries.
#pragma once

#include <optional>

#include "document/findings.h"
#include "document/node.h"

namespace steerbench {

// The tree of a TOML or JSON text, or nothing and findings that say why: too long, too deep, too
// many values, not UTF-8, bad syntax (the first place only: what follows cannot be told), or a
// key given twice. The tree is a table and nests no deeper than kMaxDepth.
[[nodiscard]] std::optional<Node> TomlTree(const TextIndex& index, Findings& findings);
[[nodiscard]] std::optional<Node> JsonTree(const TextIndex& index, Findings& findings);

// The tree of a TOML text, or nothing, without the reasons.
[[nodiscard]] std::optional<Node> TomlTree(std::string_view text);

// What both refuse, in the same words.
[[nodiscard]] bool RefuseTooLong(const TextIndex& index, Findings& findings);
void RefuseTooDeep(std::size_t offset, Findings& findings);
void RefuseTooMany(std::size_t offset, Findings& findings);

// What to add to a parser's words when they are about the encoding; else nothing.
[[nodiscard]] std::string_view UnicodeHint(std::string_view why);

}  // namespace steerbench
