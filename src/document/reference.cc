#include <fmt/core.h>

#include "document/document.h"
#include "document/shape.h"

namespace steerbench {
namespace {

void PutSection(const Shape& shape, const std::string& path, std::string& out) {
  if (shape.type == Shape::Type::kNamed) {
    return PutSection(shape.fields.front().shape, path + ".NAME", out);
  }
  const bool list = shape.type == Shape::Type::kList;
  const Shape& table = list ? shape.fields.front().shape : shape;
  if (!path.empty()) {
    out += fmt::format("\n## `{}{}{}`\n\n{}.\n\n", list ? "[[" : "[", path, list ? "]]" : "]",
                       shape.help);
  }
  for (const ShapeField& field : table.fields) {
    if (IsSection(field.shape)) continue;
    out += fmt::format("- `{}`: {} ({})\n", field.key, field.shape.help, Accepts(field.shape));
  }
  for (const ShapeField& field : table.fields) {
    if (!IsSection(field.shape)) continue;
    PutSection(field.shape,
               path.empty() ? std::string(field.key) : fmt::format("{}.{}", path, field.key), out);
  }
}

}  // namespace

std::string FieldReference() {
  std::string out =
      "# Fields of a document\n\n"
      "Every field may be left out; what is left out is unknown. A quantity is a text with its "
      "unit and, if known, its plus-minus (`\"117.5 ± 0.2 mm\"`), or a table `{ value = \"8 mm\", "
      "tolerance = \"0.1 mm\", from = \"measured\", note = \"calipers\" }`. A point is three "
      "lengths, forward, left and up: `\"(12, -655.5, 195) mm ± 1 mm\"`.\n\n"
      "- `format`: always 1\n";
  PutSection(DocumentShape(), "", out);
  return out;
}

}  // namespace steerbench
