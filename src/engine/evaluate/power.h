// Results around the weights: what pump, oil, coils and car have left. See docs/methods/weight.md.
#pragma once

#include <optional>

#include "engine/evaluate/chain.h"
#include "engine/evaluate/evaluate.h"

namespace steerbench {

// A state that was weighed, as the oil sees it: the load of the rack and its travel per angle of
// the pinion, the mesh's loss included.
template <class T>
struct Working {
  T rack_force{}, travel_per_radian{};
};

template <class T>
struct WeighedStates {
  std::optional<Working<T>> kerb, road;  // brake off, dry; 80 km/h, 3 m/s^2
};

// Fills the results of OutputGroup::kHandling, kHeat and kElectrics, the rest of kOil, and the
// checks of oil and coils, or what is missing for them. The results of Weigh must be there.
// `found` is what was found without derivatives when T carries them, else null.
template <class T>
void AddPower(const Fitted<T>& fitted, Chain<T>& chain, const WeighedStates<T>& states,
              const Evaluation<double>* found, Evaluation<T>& out);

// Marks the checks that AddPower fills as having nothing to look at.
template <class T>
void SkipPower(Evaluation<T>& out);

}  // namespace steerbench
