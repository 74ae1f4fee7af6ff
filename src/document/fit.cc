#include "document/document.h"
#include "document/fields.h"

namespace steerbench {
namespace {

template <class Part>
std::optional<Part> PartNamed(const Document& document, std::string_view key,
                              const std::string& name) {
  std::optional<Part> found;
  ForEachPartKind(document, [&](std::string_view kind, std::string_view, const auto& parts) {
    if constexpr (std::is_same_v<std::remove_cvref_t<decltype(parts)>, Named<Part>>) {
      if (kind != key) return;
      for (const auto& [part_name, part] : parts) {
        if (part_name != name) continue;
        found = part;
        found->name = name;
      }
    }
  });
  return found;
}

// What every setup shares, such as the car: the field of the document with the same key and type.
template <class T>
void CopyShared(const Document& document, std::string_view key, T& out) {
  Document::Visit(
      [&](const FieldInfo& info, const auto& field) {
        if constexpr (std::is_same_v<std::remove_cvref_t<decltype(field)>, T>) {
          if (info.key == key) out = field;
        }
      },
      document);
}

}  // namespace

Fitted<Quantity> Fit(const Document& document, const Setup<Quantity>& setup) {
  Fitted<Quantity> fitted;
  for (const auto& [name, one] : document.setup) {
    if (&one == &setup) fitted.setup_name = name;
  }
  Fitted<Quantity>::Visit(
      [&](const FieldInfo& info, auto& field) {
        using Field = std::remove_cvref_t<decltype(field)>;
        if constexpr (std::is_same_v<Field, Adjustments<Quantity>>) {
          field = setup.adjust;
        } else if constexpr (kIsOptional<Field>) {
          const std::string* name = ChosenPart(setup, info.key);
          if (name == nullptr || name->empty()) return;
          field = PartNamed<typename Field::value_type>(document, info.key, *name);
        } else {
          CopyShared(document, info.key, field);
        }
      },
      fitted);
  // The spread of a model counts as its 95 % (docs/methods/tyre.md).
  Quantity doubt;
  doubt.tolerance = 1.0;
  fitted.model.standing_torque = fitted.model.pneumatic_trail = doubt;
  return fitted;
}

}  // namespace steerbench
