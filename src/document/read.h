// Tree to document, and the checks of what it says.
#pragma once

#include "document/findings.h"
#include "document/node.h"

namespace steerbench {

// Fills a document from a tree; every node that does not fit its field gives a finding.
[[nodiscard]] Document DocumentFromTree(const Node& root, const TextIndex& index,
                                        Findings& findings);

// What the fields say together: names of parts that do not exist, values that contradict each
// other, and what CheckPlausible finds. `root` is the tree that `document` was read from.
void CheckMeaning(const Document& document, const Node& root, Findings& findings);

// Signs and sizes that no car has: a point on the other side of the car, a wheelbase of 2.48 mm,
// front wheels turned to opposite sides.
void CheckPlausible(const Document& document, const Node& root, Findings& findings);
// The same of pumps and the belt drive.
void CheckPower(const Document& document, const Node& root, Findings& findings);
void CheckPowerWhole(const Document& document, const Node& root, Findings& findings);
// Of parts of unknown history: features and parts that do not exist, two answers in one row, two
// kinds of answer to one feature, a share that leaves nothing to be told.
void CheckRiddles(const Document& document, const Node& root, Findings& findings);
// Of a search: a base that does not exist, bounds that are swapped, "near" without a value.
void CheckSearch(const Document& document, const Node& root, Findings& findings);
// Of faces and adapters: two faces of one part at one place, adapters between two places.
void CheckFaces(const Document& document, const Node& root, Findings& findings);

// Rows of readings that lack a field; apart from the others because a document may be short of
// them while it is edited field by field.
void CheckComplete(const Document& document, const Node& root, Findings& findings);
// The same of faces that do not say where they are.
void CheckFacesWhole(const Document& document, const Node& root, Findings& findings);

}  // namespace steerbench
