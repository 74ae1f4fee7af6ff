// Quantities and points as a document states them.
#pragma once

#include <optional>
#include <string>

#include "document/node.h"
#include "model/field.h"

namespace steerbench {

// A quantity as it was written, or, when a program made it (or changed it since), the shortest
// text in its own unit, the trade's or the SI unit that reads back as the very same doubles.
// Unset when it is not finite.
[[nodiscard]] std::optional<std::string> QuantityText(const Quantity& quantity);

// A quantity as it was written, else as it is shown in metric units: for people.
[[nodiscard]] std::string WrittenText(const Quantity& quantity);

// The value of a field: a text, a number where the text is a plain one, or a table with `value`,
// `from` and `note`. A point is one text when its components share their unit and plus-minus, else
// a list of three. Unset when something in it is not finite.
[[nodiscard]] std::optional<Node> QuantityNode(const Quantity& quantity);
[[nodiscard]] std::optional<Node> PointNode(const Point<Quantity>& point);

// Nodes made by a program.
[[nodiscard]] Node TextNode(std::string_view text);

}  // namespace steerbench
