// Helpers for property tests: numbers in a range, and exact derivatives against differences.
#pragma once

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <cmath>
#include <cstddef>
#include <vector>

#include "engine/base/scalar.h"

namespace steerbench::reference {

// A whole number between two bounds, both included. Drawn at full size from the first try on: left
// to itself the library keeps to the lower bound at first.
inline int Whole(int low, int high) {
  return *rc::gen::resize(rc::kNominalSize, rc::gen::inRange(low, high + 1));
}

// A number between two bounds, both included, in a million steps.
inline double Between(double low, double high) {
  constexpr int kSteps = 1'000'000;
  return low + (high - low) * Whole(0, kSteps) / kSteps;
}

// Whether the derivatives that `f` gives for Jets equal central differences of its values, to a
// share `tolerance` of the larger of 1 and the derivative. `f` takes a vector of double or Jet and
// returns the same scalar. At most kJetWidth inputs, scaled near one.
template <class F>
[[nodiscard]] bool DerivativesHold(const F& f, const std::vector<double>& at,
                                   double tolerance = 1e-6) {
  constexpr double kStep = 1e-5;  // error of the difference about the square of it
  std::vector<Jet> jets;
  for (std::size_t i = 0; i < at.size(); ++i) jets.emplace_back(at[i], static_cast<int>(i));
  const Jet exact = f(jets);
  if (std::abs(exact.a - f(at)) > 1e-12 * (1.0 + std::abs(exact.a))) return false;
  for (std::size_t i = 0; i < at.size(); ++i) {
    std::vector<double> up = at, down = at;
    up[i] += kStep;
    down[i] -= kStep;
    const double difference = (f(up) - f(down)) / (2.0 * kStep);
    const double error = std::abs(exact.v[static_cast<Eigen::Index>(i)] - difference);
    if (!(error <= tolerance * (1.0 + std::abs(difference)))) return false;
  }
  return true;
}

}  // namespace steerbench::reference
