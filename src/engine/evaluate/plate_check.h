// Turn-plate readings held against a linkage that is known from its points or from above.
#pragma once

#include "engine/evaluate/evaluate.h"

namespace steerbench {

// Sets Output::kPlateLeft and kPlateRight, and `out.plate_row`, where the car has readings and its
// linkage is known better: angle read less the angle of the linkage as it was measured (no other
// rack, spacer, arms or shims; toe as measured, else the setup's) at the same rack travel, of the
// reading at which they differ most. Readings beyond the linkage's reach are left out. `found` is
// what was found without derivatives when T carries them, else null.
template <class T>
void AddPlateCheck(const Fitted<T>& fitted, const Evaluation<double>* found, Evaluation<T>& out);

}  // namespace steerbench
