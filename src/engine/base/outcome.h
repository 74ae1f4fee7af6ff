// A result, or the reason why there is none; and the checks on inputs that decide between them.
#pragma once

#include <cmath>
#include <utility>
#include <variant>

#include "engine/base/scalar.h"

namespace steerbench {

// Holds a result R, or a reason Why (an enumeration of the module, which it can put in words).
// Reading the one that is not there throws std::bad_variant_access: an error of the caller.
template <class R, class Why>
class [[nodiscard]] Outcome {
 public:
  Outcome(R result) : content_(std::in_place_index<0>, std::move(result)) {}
  Outcome(Why why) : content_(std::in_place_index<1>, why) {}

  explicit operator bool() const { return content_.index() == 0; }
  const R& operator*() const { return std::get<0>(content_); }
  const R* operator->() const { return &std::get<0>(content_); }
  Why why() const { return std::get<1>(content_); }

 private:
  std::variant<R, Why> content_;
};

// Whether all of these are finite numbers. Derivatives are not looked at.
template <class... T>
bool IsFinite(const T&... x) {
  return (std::isfinite(Value(x)) && ...);
}

// Of one Jet: named apart so that Ceres' own function of this name, found by its argument, is not
// taken instead.
inline bool IsFinite(const Jet& x) { return std::isfinite(x.a); }

// Whether all of these are finite and above zero.
template <class... T>
bool IsPositive(const T&... x) {
  return ((std::isfinite(Value(x)) && Value(x) > 0.0) && ...);
}

// Whether all of these are finite and not below zero.
template <class... T>
bool IsNotNegative(const T&... x) {
  return ((std::isfinite(Value(x)) && Value(x) >= 0.0) && ...);
}

}  // namespace steerbench
