#include "document/quantity_text.h"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <cmath>

namespace steerbench {
namespace {

using Values = std::vector<const Quantity*>;  // one quantity, or a point's three

bool Finite(const Quantity& q) {
  return std::isfinite(q.value) && std::isfinite(q.tolerance.value_or(0.0));
}

bool SameNumbers(const Quantity& a, const Quantity& b) {
  return a.value == b.value && a.tolerance == b.tolerance;
}

bool ReadsBack(const std::string& text, const Values& values) {
  if (values.size() == 1) {
    const auto read = ParseQuantity(text, values[0]->kind);
    return read.quantity && SameNumbers(*read.quantity, *values[0]);
  }
  const auto read = ParseVector(text, values[0]->kind);
  return std::equal(read.components.begin(), read.components.end(), values.begin(), values.end(),
                    [](const Quantity& a, const Quantity* b) { return SameNumbers(a, *b); });
}

std::string WithUnit(const std::string& number, const std::string& unit) {
  return unit.empty() ? number : number + " " + unit;
}

// The two ways of placing the unit: once behind all, and behind the value as well.
std::vector<std::string> TextsIn(const Values& values, const std::string& unit) {
  std::string numbers;
  for (const Quantity* q : values) {
    const double value = ShowIn(q->value, {}, q->kind, unit).value;
    numbers += fmt::format("{}{}", numbers.empty() ? "" : ", ", value);
  }
  if (values.size() > 1) numbers = "(" + numbers + ")";
  if (!values[0]->tolerance) return {WithUnit(numbers, unit)};
  const Shown shown = ShowIn(values[0]->value, values[0]->tolerance, values[0]->kind, unit);
  const std::string spread = WithUnit(fmt::format("{}", shown.tolerance.value_or(0.0)), unit);
  const std::string once = numbers + " ± " + spread;
  const std::string twice = WithUnit(numbers, unit) + " ± " + spread;
  return values.size() == 1 ? std::vector{once, twice} : std::vector{twice};
}

std::optional<std::string> TextOf(const Values& values) {
  const Quantity& first = *values[0];
  const bool as_written =
      !first.written.empty() &&
      std::all_of(values.begin(), values.end(),
                  [&](const Quantity* q) { return q->written == first.written; }) &&
      ReadsBack(first.written, values);
  if (as_written) return first.written;
  const std::string trade = Show(first.value, first.tolerance, first.kind, UnitStyle::kMetric).unit;
  const std::string si(SiSymbol(first.kind));
  for (const std::string& unit : {first.unit, trade, si == "1" ? std::string() : si}) {
    for (const std::string& text : TextsIn(values, unit)) {
      if (ReadsBack(text, values)) return text;
    }
  }
  return std::nullopt;
}

// True for a text that TOML and JSON both read as a number and that comes back letter for letter.
bool IsPlainNumber(const std::string& text) {
  double value = 0.0;
  const char* const end = text.data() + text.size();
  const auto [after, error] = std::from_chars(text.data(), end, value);
  if (error != std::errc{} || after != end || !std::isfinite(value)) return false;
  constexpr double kWholeLimit = 1e15;  // beyond it a whole number may not fit TOML's integers
  return std::abs(value) < kWholeLimit && fmt::format("{}", value) == text;
}

Node ValueNode(const std::string& text) {
  Node node = TextNode(text);
  if (IsPlainNumber(text)) node.type = Node::Type::kNumber;
  return node;
}

Node WithOrigin(Node value, const Quantity& q) {
  if (q.origin == Origin::kUnstated && q.note.empty()) return value;
  Node table;
  table.type = Node::Type::kTable;
  table.braces = true;
  table.members.push_back({"value", 0, std::move(value)});
  if (q.origin != Origin::kUnstated) {
    table.members.push_back({"from", 0, TextNode(OriginName(q.origin))});
  }
  if (!q.note.empty()) table.members.push_back({"note", 0, TextNode(q.note)});
  return table;
}

}  // namespace

Node TextNode(std::string_view text) {
  Node node;
  node.type = Node::Type::kText;
  node.text = std::string(text);
  return node;
}

std::optional<std::string> QuantityText(const Quantity& quantity) {
  if (!Finite(quantity)) return std::nullopt;
  if (const auto text = TextOf({&quantity})) return text;
  // No unit gives the same doubles: the trade's comes within a rounding of them.
  const std::string unit = Show(quantity.value, {}, quantity.kind, UnitStyle::kMetric).unit;
  return TextsIn({&quantity}, unit).back();
}

std::string WrittenText(const Quantity& q) {
  return q.written.empty() ? Show(q.value, q.tolerance, q.kind, UnitStyle::kMetric).text
                           : q.written;
}

std::optional<Node> QuantityNode(const Quantity& quantity) {
  const auto text = QuantityText(quantity);
  if (!text) return std::nullopt;
  return WithOrigin(ValueNode(*text), quantity);
}

std::optional<Node> PointNode(const Point<Quantity>& point) {
  if (!std::all_of(point.begin(), point.end(), Finite)) return std::nullopt;
  const bool shared = std::all_of(point.begin(), point.end(), [&](const Quantity& q) {
    return q.tolerance == point[0].tolerance && q.origin == point[0].origin &&
           q.note == point[0].note && (q.written == point[0].written);
  });
  if (shared) {
    if (const auto text = TextOf({&point[0], &point[1], &point[2]})) {
      return WithOrigin(TextNode(*text), point[0]);
    }
  }
  Node list;
  list.type = Node::Type::kArray;
  for (Quantity q : point) {
    // The text of all three is not that of one.
    if (shared) q.written.clear();
    auto item = QuantityNode(q);
    if (!item) return std::nullopt;
    list.items.push_back(std::move(*item));
  }
  return list;
}

}  // namespace steerbench
