// Small helpers over the model's field visitors that several files of this layer need.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include "model/setup.h"

namespace steerbench {

template <class T>
inline constexpr bool kIsNamed = false;
template <class T>
inline constexpr bool kIsNamed<Named<T>> = true;

template <class T>
inline constexpr bool kIsOptional = false;
template <class T>
inline constexpr bool kIsOptional<std::optional<T>> = true;

// The keys of a struct's fields.
template <Described T>
std::vector<std::string> KeysOf() {
  std::vector<std::string> keys;
  T object{};
  T::Visit([&](const FieldInfo& info, auto&) { keys.emplace_back(info.key); }, object);
  return keys;
}

// Calls `f` with every quantity inside a field or struct, in the order of the model.
template <class T, class F>
void ForEachQuantity(T& value, F&& f) {
  using Plain = std::remove_const_t<T>;
  if constexpr (std::is_same_v<Plain, Quantity>) {
    f(value);
  } else if constexpr (Described<Plain>) {
    Plain::Visit([&](const FieldInfo&, auto& field) { ForEachQuantity(field, f); }, value);
  } else if constexpr (kIsOptional<Plain>) {
    if (value) ForEachQuantity(*value, f);
  } else if constexpr (kIsNamed<Plain>) {
    for (auto& [name, item] : value) ForEachQuantity(item, f);
  } else if constexpr (!std::is_same_v<Plain, std::string> && requires { value.begin(); }) {
    for (auto& item : value) ForEachQuantity(item, f);
  }
}

// The one mapping from a setup to the parts it chooses: a text field of `Setup` whose key is also
// the key of a table of named parts in `Document` holds the name of such a part, and the part
// itself goes to the field of `Fitted` with that key. A new kind of part needs its key in those
// three structs and nothing here.

// Name chosen by a setup for a kind of part ("rack"); null when setups choose no such kind.
inline const std::string* ChosenPart(const Setup<Quantity>& setup, std::string_view key) {
  const std::string* chosen = nullptr;
  Setup<Quantity>::Visit(
      [&](const FieldInfo& info, const auto& field) {
        if constexpr (std::is_same_v<std::remove_cvref_t<decltype(field)>, std::string>) {
          if (info.key == key) chosen = &field;
        }
      },
      setup);
  return chosen;
}

// Calls `f(key, parts)` for each kind of part that a setup chooses.
template <class F>
void ForEachPartKind(const Document& document, F&& f) {
  const Setup<Quantity> any;
  Document::Visit(
      [&](const FieldInfo& info, const auto& field) {
        if constexpr (kIsNamed<std::remove_cvref_t<decltype(field)>>) {
          if (ChosenPart(any, info.key) != nullptr) f(info.key, field);
        }
      },
      document);
}

}  // namespace steerbench
