// From derivatives to a figure with its ±. Internal to evaluate.
#pragma once

#include <vector>

#include "engine/evaluate/propagate.h"

namespace steerbench {

// A value with the ± that its inputs leave it, taken as independent; `gradient` holds its
// derivatives to the inputs, in their order. Source: JCGM 100:2008, 5.1.2.
[[nodiscard]] Figure MakeFigure(double value, const std::vector<double>& gradient,
                                const std::vector<Input>& inputs);

// Adds one pass's derivatives behind those of the passes before it.
void AppendDerivatives(std::vector<double>& gradient, const std::optional<Jet>& x,
                       std::size_t inputs);

}  // namespace steerbench
