// Tree to document, and the checks of what it says.
#pragma once

#include "document/findings.h"
#include "document/node.h"

namespace steerbench {

// Fills a document from a tree; every node that does not fit its field gives a finding.
[[nodiscard]] Document DocumentFromTree(const Node& root, const TextIndex& index,
                                        Findings& findings);

// What the fields say together: names of parts that do not exist, a travel that contradicts its
// two halves. `root` is the tree that `document` was read from.
void CheckMeaning(const Document& document, const Node& root, Findings& findings);

}  // namespace steerbench
