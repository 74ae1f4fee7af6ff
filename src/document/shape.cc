#include "document/shape.h"

#include <fmt/core.h>
#include <fmt/ranges.h>

#include "document/fields.h"

namespace steerbench {
namespace {

template <class T>
Shape ShapeOf(const FieldInfo& info);

template <class T>
void FillFields(Shape& shape) {
  T object{};
  T::Visit(
      [&](const FieldInfo& info, auto& field) {
        using Field = std::remove_cvref_t<decltype(field)>;
        shape.fields.push_back({info.key, ShapeOf<Field>(info)});
      },
      object);
}

template <class Item>
Shape Holding(Shape::Type type, const FieldInfo& info) {
  Shape shape{.type = type, .kind = info.kind, .help = info.help, .words = {}, .fields = {}};
  shape.fields.push_back({"", ShapeOf<Item>(info)});
  return shape;
}

template <class T>
struct ItemOf;
template <class T>
struct ItemOf<Named<T>> {
  using Type = T;
};

template <class T>
Shape ShapeOf(const FieldInfo& info) {
  Shape shape{.type = {}, .kind = info.kind, .help = info.help, .words = {}, .fields = {}};
  if constexpr (kIsOptional<T>) {
    return ShapeOf<typename T::value_type>(info);
  } else if constexpr (kIsNamed<T>) {
    return Holding<typename ItemOf<T>::Type>(Shape::Type::kNamed, info);
  } else if constexpr (Described<T>) {
    shape.type = Shape::Type::kTable;
    FillFields<T>(shape);
  } else if constexpr (std::is_same_v<T, Quantity>) {
    shape.type = Shape::Type::kQuantity;
  } else if constexpr (std::is_same_v<T, Point<Quantity>>) {
    shape.type = Shape::Type::kPoint;
  } else if constexpr (std::is_same_v<T, std::string>) {
    shape.type = Shape::Type::kText;
  } else if constexpr (std::is_same_v<T, bool>) {
    shape.type = Shape::Type::kTruth;
  } else if constexpr (std::is_enum_v<T>) {
    shape.type = Shape::Type::kWord;
    shape.words.assign(Words<T>::value.begin(), Words<T>::value.end());
  } else {
    return Holding<typename T::value_type>(Shape::Type::kList, info);
  }
  return shape;
}

Shape PlainShape(Shape::Type type, const Shape& of) {
  return {.type = type, .kind = of.kind, .help = of.help, .words = {}, .fields = {}};
}

// One step below a value: its own table, or a component of a point.
std::optional<Shape> BelowValue(const Shape& shape, const PathStep& step) {
  const bool point = shape.type == Shape::Type::kPoint;
  if (!point && shape.type != Shape::Type::kQuantity) return std::nullopt;
  constexpr std::size_t kComponents = 3;
  if (step.IsIndex()) {
    if (!point || step.index >= kComponents) return std::nullopt;
    return PlainShape(Shape::Type::kQuantity, shape);
  }
  if (step.key == "value") return shape;
  if (step.key == "tolerance" || step.key == "from" || step.key == "note") {
    return PlainShape(Shape::Type::kText, shape);
  }
  return std::nullopt;
}

}  // namespace

Shape DocumentShape() {
  Shape shape;
  shape.type = Shape::Type::kTable;
  FillFields<Document>(shape);
  return shape;
}

std::optional<Shape> ShapeAt(const Shape& root, const Path& path, std::size_t* depth) {
  const Shape* at = &root;
  for (std::size_t i = 0; i < path.size(); ++i) {
    if (depth != nullptr) *depth = i;
    const Shape* next = nullptr;
    const bool holder = at->type == Shape::Type::kNamed || at->type == Shape::Type::kList;
    if (holder && path[i].IsIndex() == (at->type == Shape::Type::kList)) {
      next = &at->fields.front().shape;
    } else if (at->type == Shape::Type::kTable && !path[i].IsIndex()) {
      for (const ShapeField& field : at->fields) {
        if (field.key == path[i].key) next = &field.shape;
      }
    }
    if (next == nullptr) {
      auto below = BelowValue(*at, path[i]);
      if (!below) return std::nullopt;
      return ShapeAt(*below, {path.begin() + static_cast<std::ptrdiff_t>(i) + 1, path.end()});
    }
    at = next;
  }
  return *at;
}

bool MayBeBare(Kind kind) {
  return kind == Kind::kRatio || kind == Kind::kShare || kind == Kind::kCount ||
         kind == Kind::kMoney;
}

bool IsSection(const Shape& shape) {
  const bool list = shape.type == Shape::Type::kList;
  return shape.type == Shape::Type::kTable || shape.type == Shape::Type::kNamed ||
         (list && shape.fields.front().shape.type == Shape::Type::kTable);
}

std::string Accepts(const Shape& shape) {
  switch (shape.type) {
    case Shape::Type::kTable:
      return "a table";
    case Shape::Type::kNamed:
      return "tables under names of yours";
    case Shape::Type::kList:
      return "a list, each " + Accepts(shape.fields.front().shape);
    case Shape::Type::kQuantity:
      return std::string(KindName(shape.kind));
    case Shape::Type::kPoint:
      return "a point";
    case Shape::Type::kText:
      return "a text";
    case Shape::Type::kTruth:
      return "true or false";
    case Shape::Type::kWord:
      return fmt::format("one of \"{}\"", fmt::join(shape.words, "\", \""));
  }
  return {};
}

}  // namespace steerbench
