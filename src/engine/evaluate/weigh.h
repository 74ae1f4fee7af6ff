// What the hand wheel weighs: tyre, linkage, rack, valve and pump tied together.
#pragma once

#include "engine/evaluate/evaluate.h"

namespace steerbench {

// Fills the results of OutputGroup::kWeight of an evaluation, what AddPower (power.h) adds to them,
// and the trouble of control valves; or what is missing for them, or a note why one that misses
// nothing has no value. `hand` is unset, with `hand_missing`, when ratio or column are not known.
// `found` is what was found without derivatives when T carries them, else null; `roots` as for
// Chain. Needs the linkage in space. The states weighed are those of the catalogue (outputs.h), the
// chain is chain.h's; see docs/methods/weight.md. A setup with neither pump nor piston is weighed
// without assistance.
template <class T>
void Weigh(const Fitted<T>& fitted, const Front<T>& front, const std::optional<HandToRack<T>>& hand,
           const Missing& hand_missing, const Evaluation<double>* found,
           hydraulics::KnownRoots* roots, Evaluation<T>& evaluation);

}  // namespace steerbench
