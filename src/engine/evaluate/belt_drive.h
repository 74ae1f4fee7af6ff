// The belt that drives the pump: which lengths fit, where the tensioner stands, whether it slips.
#pragma once

#include "engine/evaluate/evaluate.h"

namespace steerbench {

// Fills the results of OutputGroup::kBelt and the belt's checks, or what is missing for them, or a
// note why a run of the belt is not possible. A car without pulleys of its belt drive has none.
// `found` is what was found without derivatives when T carries them, else null.
template <class T>
void AddBelt(const Fitted<T>& fitted, const Evaluation<double>* found, Evaluation<T>& out);

}  // namespace steerbench
