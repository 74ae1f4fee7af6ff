#include "document/changes.h"

#include <algorithm>

#include "document/splice.h"
#include "document/tree.h"

namespace steerbench {
namespace {

void Compare(const Node* a, const Node* b, Path& path, std::vector<std::string>& changed);

void CompareBelow(const Node* a, const Node* b, PathStep step, Path& path,
                  std::vector<std::string>& changed) {
  path.push_back(std::move(step));
  Compare(a, b, path, changed);
  path.pop_back();
}

void CompareTables(const Node& a, const Node& b, Path& path, std::vector<std::string>& changed) {
  for (const Member& m : a.members) {
    CompareBelow(&m.value, FindMember(b, m.key), {m.key}, path, changed);
  }
  for (const Member& m : b.members) {
    if (FindMember(a, m.key) == nullptr) CompareBelow(nullptr, &m.value, {m.key}, path, changed);
  }
}

void CompareLists(const Node& a, const Node& b, Path& path, std::vector<std::string>& changed) {
  for (std::size_t i = 0; i < std::max(a.items.size(), b.items.size()); ++i) {
    CompareBelow(i < a.items.size() ? &a.items[i] : nullptr,
                 i < b.items.size() ? &b.items[i] : nullptr, {{}, i}, path, changed);
  }
}

// A table that is there on one side only is told by its fields; one without any, by itself.
void Compare(const Node* a, const Node* b, Path& path, std::vector<std::string>& changed) {
  static const Node kNone;  // an empty table, and an empty list
  const auto is = [](const Node* n, Node::Type type) { return n == nullptr || n->type == type; };
  const Node* there = a != nullptr ? a : b;
  const auto has = [](const Node* n) { return !n->members.empty() || !n->items.empty(); };
  if (is(a, Node::Type::kTable) && is(b, Node::Type::kTable) && ((a && b) || has(there))) {
    return CompareTables(a ? *a : kNone, b ? *b : kNone, path, changed);
  }
  if (is(a, Node::Type::kArray) && is(b, Node::Type::kArray) && ((a && b) || has(there))) {
    return CompareLists(a ? *a : kNone, b ? *b : kNone, path, changed);
  }
  if (a == nullptr || b == nullptr || !SameValues(*a, *b)) changed.push_back(PathText(path));
}

}  // namespace

std::vector<std::string> ChangedPaths(std::string_view before, std::string_view after) {
  if (before == after) return {};
  const auto a = TomlTree(before), b = TomlTree(after);
  if (!a || !b) return {""};
  std::vector<std::string> changed;
  Path path;
  Compare(&*a, &*b, path, changed);
  return changed;
}

std::optional<std::string> ValueAt(std::string_view text, std::string_view path_text) {
  const Path path = ParsePath(path_text);
  const auto root = TomlTree(text);
  if (path.empty() || !root) return std::nullopt;
  const std::vector<const Node*> nodes = NodesAlong(*root, path);
  if (nodes.size() <= path.size()) return std::nullopt;
  const Node& node = *nodes.back();
  if (node.type == Node::Type::kText) return node.text;
  if (node.type == Node::Type::kTable && !node.braces) return std::nullopt;
  return std::string(text.substr(node.begin, node.end - node.begin));
}

bool PathsMeet(std::string_view a, std::string_view b) {
  const std::string_view shorter = a.size() < b.size() ? a : b;
  const std::string_view longer = a.size() < b.size() ? b : a;
  if (!longer.starts_with(shorter)) return false;
  return shorter.empty() || longer.size() == shorter.size() || longer[shorter.size()] == '.' ||
         longer[shorter.size()] == '[';
}

}  // namespace steerbench
