// What the hand wheel weighs: tyre, linkage, rack, valve and pump tied together.
#pragma once

#include "engine/evaluate/evaluate.h"

namespace steerbench {

// Fills the results of OutputGroup::kWeight and kOil of an evaluation, or what is missing for them,
// or a note why one that misses nothing has no value. `hand` is unset, with `hand_missing`, when
// ratio or column are not known. Needs the linkage in space. The states weighed are those of the
// catalogue (outputs.h), the chain is chain.h's; see docs/methods/weight.md.
// A setup with neither pump nor piston is weighed without assistance.
template <class T>
void Weigh(const Fitted<T>& fitted, const Front<T>& front, const std::optional<HandToRack<T>>& hand,
           const Missing& hand_missing, Evaluation<T>& evaluation);

}  // namespace steerbench
