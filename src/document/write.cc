#include <fmt/core.h>

#include <algorithm>

#include "document/document.h"
#include "document/fields.h"
#include "document/quantity_text.h"
#include "quantity/quoted.h"

namespace steerbench {
namespace {

// ---- Document to tree. Each gives nothing when there is nothing to say. ----------------------

std::optional<Node> ToNode(const Quantity& q) { return QuantityNode(q); }
std::optional<Node> ToNode(const Point<Quantity>& point) { return PointNode(point); }

std::optional<Node> ToNode(const std::string& text) {
  if (text.empty()) return std::nullopt;
  return TextNode(text);
}

std::optional<Node> ToNode(bool truth) {
  Node node;
  node.type = Node::Type::kTruth;
  node.truth = truth;
  return node;
}

template <class E>
requires std::is_enum_v<E> std::optional<Node> ToNode(E word) { return TextNode(WordOf(word)); }

template <Described T>
std::optional<Node> ToNode(const T& object);
template <class T>
std::optional<Node> ToNode(const std::optional<T>& value);
template <class T>
std::optional<Node> ToNode(const std::vector<T>& list);
template <class T>
std::optional<Node> ToNode(const Named<T>& named);

template <Described T>
Node ToTable(const T& object) {
  Node table;
  table.type = Node::Type::kTable;
  T::Visit(
      [&](const FieldInfo& info, const auto& field) {
        if (auto node = ToNode(field)) {
          table.members.push_back({std::string(info.key), 0, std::move(*node)});
        }
      },
      object);
  return table;
}

template <Described T>
std::optional<Node> ToNode(const T& object) {
  Node table = ToTable(object);
  if (table.members.empty()) return std::nullopt;
  return table;
}

template <class T>
std::optional<Node> ToNode(const std::optional<T>& value) {
  return value ? ToNode(*value) : std::nullopt;
}

// An item is there even when nothing is known of it.
template <class T>
std::optional<Node> ToItem(const T& item) {
  if constexpr (Described<T>) {
    return ToTable(item);
  } else {
    return ToNode(item);
  }
}

template <class T>
std::optional<Node> ToNode(const std::vector<T>& list) {
  Node array;
  array.type = Node::Type::kArray;
  for (const T& item : list) {
    if (auto node = ToItem(item)) array.items.push_back(std::move(*node));
  }
  if (array.items.empty()) return std::nullopt;
  return array;
}

template <class T>
std::optional<Node> ToNode(const Named<T>& named) {
  Node table;
  table.type = Node::Type::kTable;
  for (const auto& [name, item] : named) table.members.push_back({name, 0, ToTable(item)});
  if (table.members.empty()) return std::nullopt;
  return table;
}

Node RootOf(const Document& document) {
  Node root = ToTable(document);
  Node format = TextNode("1");
  format.type = Node::Type::kNumber;
  root.members.insert(root.members.begin(), {"format", 0, std::move(format)});
  return root;
}

// ---- Tree to text ----------------------------------------------------------------------------

std::string ScalarText(const Node& node) {
  if (node.type == Node::Type::kNumber) return node.text;
  if (node.type == Node::Type::kTruth) return node.truth ? "true" : "false";
  return QuotedText(node.text);
}

void PutJson(const Node& node, const std::string& indent, std::string& out) {
  const bool table = node.type == Node::Type::kTable;
  if (!table && node.type != Node::Type::kArray) {
    out += ScalarText(node);
    return;
  }
  const std::string inner = indent + "  ";
  std::string_view between = "\n";
  out += table ? '{' : '[';
  for (const Member& m : node.members) {
    out += fmt::format("{}{}{}: ", between, inner, QuotedText(m.key));
    PutJson(m.value, inner, out);
    between = ",\n";
  }
  for (const Node& item : node.items) {
    out += fmt::format("{}{}", between, inner);
    PutJson(item, inner, out);
    between = ",\n";
  }
  if (between != "\n") out += "\n" + indent;
  out += table ? '}' : ']';
}

// A value that stands behind its key on one line.
std::string InlineText(const Node& node) {
  std::string out;
  if (node.type == Node::Type::kTable) {
    for (const Member& m : node.members) {
      out +=
          fmt::format("{}{} = {}", out.empty() ? "{ " : ", ", KeyText(m.key), InlineText(m.value));
    }
    return out.empty() ? "{}" : out + " }";
  }
  if (node.type != Node::Type::kArray) return ScalarText(node);
  for (const Node& item : node.items) out += (out.empty() ? "" : ", ") + InlineText(item);
  return "[" + out + "]";
}

bool HasOwnHeader(const Node& node) {
  return (node.type == Node::Type::kTable && !node.braces) || IsSectionList(node);
}

void PutSections(const Node& table, const std::string& path, std::string& out);

void PutSection(const Node& table, const std::string& path, std::string_view brackets,
                std::string& out) {
  const bool lines = std::any_of(table.members.begin(), table.members.end(),
                                 [](const Member& m) { return !HasOwnHeader(m.value); });
  // A table of sections only needs no header; an item of a list and an empty part do.
  if (lines || brackets.size() > 1 || table.members.empty()) {
    out += fmt::format("\n{}{}{}\n", brackets, path, brackets.size() > 1 ? "]]" : "]");
  }
  PutSections(table, path, out);
}

// The lines of a table, then the sections below it.
void PutSections(const Node& table, const std::string& path, std::string& out) {
  for (const Member& m : table.members) {
    if (!HasOwnHeader(m.value)) {
      out += fmt::format("{} = {}\n", KeyText(m.key), InlineText(m.value));
    }
  }
  for (const Member& m : table.members) {
    if (!HasOwnHeader(m.value)) continue;
    const std::string inner = (path.empty() ? "" : path + ".") + KeyText(m.key);
    if (m.value.type == Node::Type::kTable) PutSection(m.value, inner, "[", out);
    for (const Node& item : m.value.items) PutSection(item, inner, "[[", out);
  }
}

}  // namespace

std::string WriteJson(const Document& document) {
  std::string out;
  PutJson(RootOf(document), "", out);
  return out + "\n";
}

std::string WriteToml(const Document& document) {
  std::string out;
  PutSections(RootOf(document), "", out);
  return out;
}

}  // namespace steerbench
