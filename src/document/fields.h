// Small helpers over the model's field visitors that several files of this layer need.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include "model/document.h"

namespace steerbench {

template <class T>
inline constexpr bool kIsNamed = false;
template <class T>
inline constexpr bool kIsNamed<Named<T>> = true;

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

// The one mapping from a setup to the parts it chooses: a text field of `Setup` whose key (or the
// table that its FieldInfo names) is the key of a table of named parts in `Document` holds the name
// of such a part, and the part itself goes to the field of `Fitted` with the text field's key. A
// new kind of part needs its key in those three structs and nothing here.

// Name chosen by a setup under a key ("rack"); null when setups choose nothing there.
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

// Calls `f(key, table, parts)` for each key under which a setup chooses a part: the key, that of
// the table of parts, and the parts.
template <class F>
void ForEachPartKind(const Document& document, F&& f) {
  const Setup<Quantity> any;
  Setup<Quantity>::Visit(
      [&](const FieldInfo& chosen, const auto& text) {
        if constexpr (std::is_same_v<std::remove_cvref_t<decltype(text)>, std::string>) {
          Document::Visit(
              [&](const FieldInfo& info, const auto& parts) {
                if constexpr (kIsNamed<std::remove_cvref_t<decltype(parts)>>) {
                  if (info.key == chosen.Table()) f(chosen.key, chosen.Table(), parts);
                }
              },
              document);
        }
      },
      any);
}

}  // namespace steerbench
