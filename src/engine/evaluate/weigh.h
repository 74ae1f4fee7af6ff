// What the hand wheel weighs: tyre, linkage, rack, valve and pump tied together.
#pragma once

#include "engine/evaluate/evaluate.h"

namespace steerbench {

// Fills the results of OutputGroup::kWeight and kOil of an evaluation, or what is missing for them.
// `hand` is unset, with `hand_missing`, when ratio or column are not known. Needs the linkage in
// space. Standing: tyres turned on the spot (tyre/standing.h). On the road: steady bend of the
// two-wheel model (tyre/vehicle.h). Both wheels' moments go to the rack by virtual work
// (effort/hand_wheel.h); the assistance is that of the oil circuit under that load
// (hydraulics/steady.h). The hand wheel is turned slowly: no damping, no inertia.
// A setup with neither pump nor piston is weighed without assistance.
template <class T>
void Weigh(const Fitted<T>& fitted, const Front<T>& front, const std::optional<HandToRack<T>>& hand,
           const Missing& hand_missing, Evaluation<T>& evaluation);

}  // namespace steerbench
