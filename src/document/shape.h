// The model's fields as data: what the schema, the reference page, the starter file and the editor
// walk over. Made from the structs' own visitors.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "document/node.h"
#include "model/field.h"

namespace steerbench {

struct ShapeField;

struct Shape {
  enum class Type : std::uint8_t {
    kTable,  // fields
    kNamed,  // a table of `fields.front()` under names of the user's
    kList,   // a list of `fields.front()`
    kQuantity,
    kPoint,
    kText,
    kTruth,
    kWord
  };
  Type type = Type::kText;
  Kind kind = Kind::kRatio;  // of kQuantity and kPoint
  std::string_view help;
  std::vector<std::string_view> words;  // of kWord
  std::vector<ShapeField> fields;
};

struct ShapeField {
  std::string_view key;  // empty for the item of a list or of named things
  Shape shape;
};

// The whole document without its `format`.
[[nodiscard]] Shape DocumentShape();

// The shape at a path, also of the parts of a value's own table (`value`, `tolerance`, `from`,
// `note`) and of a point's list; nothing when the model has no such field. `depth`, where given,
// receives the number of steps that exist.
[[nodiscard]] std::optional<Shape> ShapeAt(const Shape& root, const Path& path,
                                           std::size_t* depth = nullptr);

// True for kinds whose values may be numbers without a unit.
[[nodiscard]] bool MayBeBare(Kind kind);

// True for what stands under headers of its own: tables, named tables, lists of tables.
[[nodiscard]] bool IsSection(const Shape& shape);

// What is accepted, in a few words: "a length", "one of "kept", "removed"".
[[nodiscard]] std::string Accepts(const Shape& shape);

}  // namespace steerbench
