// A fitted car with derivatives to its inputs, a group of them at a time.
#pragma once

#include "engine/base/scalar.h"
#include "model/lift.h"

namespace steerbench {

// Calls `f(seeded, first)` for one group of kJetWidth inputs after another, until all `inputs` of
// Inputs(fitted) were in one: `seeded` is the fitted car in which derivative k is to input
// first + k.
template <class F>
void ForEachSeeded(const Fitted<Quantity>& fitted, std::size_t inputs, F&& f) {
  for (std::size_t first = 0; first < inputs; first += kJetWidth) {
    const Fitted<Jet> seeded = LiftTo<Jet>(fitted, [first](std::size_t i, double value) {
      const bool here = i >= first && i < first + kJetWidth;
      return here ? Jet(value, static_cast<int>(i - first)) : Jet(value);
    });
    f(seeded, first);
  }
}

}  // namespace steerbench
