// A fitted car with derivatives to its inputs, a group of them at a time.
#pragma once

#include <algorithm>
#include <utility>
#include <vector>

#include "engine/base/scalar.h"
#include "model/lift.h"

namespace steerbench {

// Calls `f(seeded, first)` for one group of kJetWidth inputs after another, until all `inputs` of
// Inputs(fitted) were in one: `seeded` is the fitted car in which derivative k is to input
// first + k. `value_of(index, value)` gives each input's value.
template <class F, class ValueOf>
void ForEachSeeded(const Fitted<Quantity>& fitted, std::size_t inputs, F&& f,
                   const ValueOf& value_of) {
  Fitted<Jet> seeded;
  std::vector<Jet*> slot;
  LiftInto<Jet>(fitted, seeded, [&](std::size_t i, double value, Jet& place) {
    place = Jet(value_of(i, value));
    slot.push_back(&place);
  });
  for (std::size_t first = 0; first < inputs; first += kJetWidth) {
    const std::size_t end = std::min(first + kJetWidth, slot.size());
    for (std::size_t i = first; i < end; ++i) slot[i]->v[static_cast<int>(i - first)] = 1.0;
    f(std::as_const(seeded), first);
    for (std::size_t i = first; i < end; ++i) slot[i]->v.setZero();
  }
}

// The same with every input as it is.
template <class F>
void ForEachSeeded(const Fitted<Quantity>& fitted, std::size_t inputs, F&& f) {
  ForEachSeeded(fitted, inputs, std::forward<F>(f),
                [](std::size_t, double value) { return value; });
}

}  // namespace steerbench
