// How the model's structs describe their own fields.
//
// Each struct of the model has one static function `Visit(visitor, a...)` that names every field
// once: its key in the document, its kind, one line of help. Reading, writing, the JSON Schema, the
// starter file, the reference page and the lifting of a model to another scalar are all visitors,
// so a field is added in one place. Passing two structs at once visits them in step.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include "quantity/quantity.h"

namespace steerbench {

// A point or direction of the car, ISO 8855 axes; components of the scalar S.
template <class S>
using Point = std::array<S, 3>;

// Which values a quantity can have at all; a value outside is a slip of the pen. The shares are of
// a whole; kOnCar is of a temperature.
enum class Range : std::uint8_t { kAny, kNotNegative, kPositive, kShare, kShareNotZero, kOnCar };

// -60 and 250 degrees Celsius [K]: past an oil's pour point and its flash point.
inline constexpr double kColdestOnCar = 213.15, kHottestOnCar = 523.15;

[[nodiscard]] constexpr bool Allows(Range range, double value) {
  using enum Range;
  if (range == kAny) return true;
  if (range == kOnCar) return value >= kColdestOnCar && value <= kHottestOnCar;
  if (value == 0.0) return range == kNotNegative || range == kShare;
  return value > 0.0 && (value <= 1.0 || range == kNotNegative || range == kPositive);
}

// The range as what a field must be, in words.
[[nodiscard]] constexpr std::string_view Describe(Range range) {
  switch (range) {
    case Range::kNotNegative:
      return "zero or greater";
    case Range::kPositive:
      return "greater than zero; leave it out when it is not known";
    case Range::kShare:
      return "a share of a whole, 0 to 100 %";
    case Range::kShareNotZero:
      return "a share of a whole, above 0 and at most 100 %; leave it out when it is not known";
    case Range::kOnCar:
      return "a temperature that is met on a car, -60 to 250 °C";
    case Range::kAny:
      break;
  }
  return "any value";
}

// What a field is, apart from its type.
struct FieldInfo {
  std::string_view key;       // in the document
  Kind kind = Kind::kRatio;   // of a quantity or of a point's components
  std::string_view help;      // one line: what it is and how to measure it
  Range range = Range::kAny;  // of a quantity
  // Of a part or a part's name: the table of parts it stands in, when that is not `key`.
  std::string_view table = {};

  [[nodiscard]] constexpr std::string_view Table() const { return table.empty() ? key : table; }
};

// Words of an enumeration in the document; specialised beside each enumeration as
//   template <> struct Words<E> { static constexpr std::array<std::string_view, N> value{...}; };
// in the order of the enumerators, which count from zero.
template <class E>
struct Words;

template <class E>
constexpr std::string_view WordOf(E e) {
  return Words<E>::value[static_cast<std::size_t>(e)];
}

template <class T>
inline constexpr bool kIsOptional = false;
template <class T>
inline constexpr bool kIsOptional<std::optional<T>> = true;

// A struct of the model, which names its fields.
template <class T>
concept Described = requires(T& t) {
  std::remove_const_t<T>::Visit([](auto&&...) {}, t);
};

}  // namespace steerbench
