// Finds control valves that get too little current, and tries what would cure them.
#pragma once

#include "engine/evaluate/chain.h"
#include "engine/evaluate/evaluate.h"

namespace steerbench {

// Sets `out.control_trouble` and its weights when the driver asks a control valve to move, at the
// kerb or at 80 km/h, and its coil is unplugged or gets less than kFullCurrent of what is asked
// for. Each cure is a change of the fitted car that is weighed anew: the wiring and parts that
// electrics::TryChanges thinks of, a plug put in, a valve taken out. Nothing is set where an input
// is missing; the weights say which.
void FindControlTrouble(const Fitted<double>& fitted, const Front<double>& front,
                        const std::optional<HandToRack<double>>& hand, Evaluation<double>& out);

// The weights of a trouble that was found without derivatives, with theirs: nothing is tried again.
void LiftControlTrouble(const Fitted<Jet>& fitted, const Front<Jet>& front,
                        const std::optional<HandToRack<Jet>>& hand, const ControlTrouble& found,
                        Evaluation<Jet>& out);

}  // namespace steerbench
