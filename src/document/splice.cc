#include "document/splice.h"

#include <fmt/core.h>

#include <algorithm>

namespace steerbench {
namespace {

bool IsBlank(char c) { return c == ' ' || c == '\t'; }

// A table that stands under a header of its own or of a table below it.
bool IsSection(std::string_view text, const Node& node) {
  return node.type == Node::Type::kTable && !node.braces && node.begin < text.size() &&
         text[node.begin] == '[';
}

std::size_t LineBegin(std::string_view text, std::size_t at) {
  const std::size_t newline = at == 0 ? std::string_view::npos : text.rfind('\n', at - 1);
  return newline == std::string_view::npos ? 0 : newline + 1;
}

// Of the line that holds the byte before `at`, which a value that ends the text may lie behind.
std::size_t LineEnd(std::string_view text, std::size_t at) {
  const std::size_t newline = std::min(text.find('\n', at), text.size());
  return newline > at && text[newline - 1] == '\r' ? newline - 1 : newline;
}

std::string_view NewlineOf(std::string_view text) {
  return text.find("\r\n") != std::string_view::npos ? "\r\n" : "\n";
}

std::size_t SkipBlanksBack(std::string_view text, std::size_t at) {
  while (at > 0 && IsBlank(text[at - 1])) --at;
  return at;
}

std::size_t SkipBlanks(std::string_view text, std::size_t at) {
  while (at < text.size() && IsBlank(text[at])) ++at;
  return at;
}

// Where the key that ends at `end` begins.
std::size_t KeyBegin(std::string_view text, std::size_t end) {
  std::size_t at = end;
  const char last = at > 0 ? text[at - 1] : '\0';
  if (last == '"' || last == '\'') {
    --at;
    while (at > 0) {
      --at;
      if (text[at] != last) continue;
      std::size_t slashes = 0;
      while (last == '"' && slashes < at && text[at - 1 - slashes] == '\\') ++slashes;
      if (slashes % 2 == 0) break;
    }
    return at;
  }
  constexpr std::string_view kEnds = " \t\r\n.{,[]}=";
  while (at > 0 && kEnds.find(text[at - 1]) == std::string_view::npos) --at;
  return at;
}

// Where a dotted key begins whose last part begins at `key`.
std::size_t EntryBegin(std::string_view text, std::size_t key) {
  std::size_t begin = key;
  for (;;) {
    const std::size_t dot = SkipBlanksBack(text, begin);
    if (dot == 0 || text[dot - 1] != '.') return begin;
    begin = KeyBegin(text, SkipBlanksBack(text, dot - 1));
  }
}

// Number of keys in the header that begins at `at`.
std::size_t HeaderKeys(std::string_view text, std::size_t at) {
  std::size_t keys = 1;
  char quote = '\0';
  for (; at < text.size() && text[at] != '\n'; ++at) {
    const char c = text[at];
    if (quote != '\0') {
      if (c == '\\' && quote == '"') ++at;
      if (c == quote) quote = '\0';
    } else if (c == '"' || c == '\'') {
      quote = c;
    } else if (c == '.') {
      ++keys;
    } else if (c == ']') {
      break;
    }
  }
  return keys;
}

std::size_t CountKeys(const Path& path) {
  return static_cast<std::size_t>(
      std::count_if(path.begin(), path.end(), [](const PathStep& s) { return !s.IsIndex(); }));
}

// The keys of a path from a step on, dotted, without indices, as a header or a key has them.
std::string Dotted(const Path& path, std::size_t from) {
  Path keys;
  std::copy_if(path.begin() + static_cast<std::ptrdiff_t>(from), path.end(),
               std::back_inserter(keys), [](const PathStep& s) { return !s.IsIndex(); });
  return PathText(keys);
}

bool AnyIndex(const Path& path, std::size_t from) {
  return std::any_of(path.begin() + static_cast<std::ptrdiff_t>(from), path.end(),
                     [](const PathStep& s) { return s.IsIndex(); });
}

// The last member of a table that stands on a line under the table's own header, if there is one.
struct LastLine {
  const Member* member = nullptr;
  std::size_t end = 0;  // of its value
};

LastLine LastOwnLine(std::string_view text, const Node& table) {
  LastLine last;
  for (const Member& m : table.members) {
    if (IsSection(text, m.value) || IsSectionList(m.value)) continue;
    const bool dotted = m.value.type == Node::Type::kTable && !m.value.braces;
    const std::size_t end = dotted ? LastOwnLine(text, m.value).end : m.value.end;
    if (last.member == nullptr || end > last.end) last = {&m, end};
  }
  return last;
}

std::string Inserted(std::string_view text, std::size_t at, std::string_view what) {
  std::string out(text.substr(0, at));
  out += what;
  out += text.substr(at);
  return out;
}

std::string Assignment(std::string_view key, std::string_view value) {
  std::string out(key);
  out += " = ";
  out += value;
  return out;
}

// Puts `key = value` before the closing brace of an inline table.
std::optional<std::string> IntoBraces(std::string_view text, const Node& table,
                                      std::string_view entry) {
  if (table.end <= table.begin + 1 || text[table.end - 1] != '}') return std::nullopt;
  const std::size_t brace = table.end - 1;
  const std::size_t at = SkipBlanksBack(text, brace);
  std::string what = table.members.empty() ? " " : ", ";
  what += entry;
  if (at == brace) what += " ";
  return Inserted(text, at, what);
}

// Puts `key = value` on a line below the last own line of a table, or below its header. The
// keys in front of that last line's own are repeated when the table is made of dotted keys.
std::optional<std::string> IntoLines(std::string_view text, const Node& table, bool is_root,
                                     std::string_view entry) {
  const std::string newline(NewlineOf(text));
  const LastLine last = LastOwnLine(text, table);
  if (last.member == nullptr) {
    if (!is_root) return Inserted(text, LineEnd(text, table.begin), newline + std::string(entry));
    const std::size_t begin = text.starts_with("\xEF\xBB\xBF") ? 3 : 0;
    return Inserted(text, begin, std::string(entry) + newline);
  }
  const std::size_t own = EntryBegin(text, last.member->key_begin);
  const std::size_t line = LineBegin(text, own);
  const bool dotted = !is_root && !IsSection(text, table);
  std::string what = newline;
  what += text.substr(line, SkipBlanks(text, line) - line);  // as far in as the line above
  if (dotted) what += text.substr(own, last.member->key_begin - own);
  what += entry;
  return Inserted(text, LineEnd(text, last.end), what);
}

std::string WithHeader(std::string_view text, std::string_view header, std::string_view entry) {
  const std::string newline(NewlineOf(text));
  std::string out(text);
  if (!out.empty() && out.back() != '\n') out += newline;
  out += newline;
  out += header;
  out += newline;
  out += entry;
  return out + newline;
}

// Index of the innermost table in braces among `nodes`; their number when there is none.
std::size_t InnermostBraces(const std::vector<const Node*>& nodes) {
  for (std::size_t i = nodes.size(); i-- > 0;) {
    if (nodes[i]->type == Node::Type::kTable && nodes[i]->braces) return i;
  }
  return nodes.size();
}

// True when a path goes on, behind its first `depth` steps, to a field of the item of a list that
// is `next` in it.
bool NamesNextItem(const Path& path, std::size_t depth, std::size_t next) {
  return depth + 2 == path.size() && path[depth].index == next && !path[depth + 1].IsIndex();
}

// Puts `{ key = value }` behind the last item of a list in square brackets.
std::optional<std::string> IntoList(std::string_view text, const Node& list,
                                    std::string_view entry) {
  if (list.items.empty() || list.end > text.size()) return std::nullopt;
  return Inserted(text, list.items.back().end, fmt::format(", {{ {} }}", entry));
}

std::optional<std::string> Insert(std::string_view text, const std::vector<const Node*>& nodes,
                                  const Path& path, std::string_view value) {
  const std::size_t depth = nodes.size() - 1;  // steps of the path that exist
  const Node& deepest = *nodes.back();
  const std::string last = Assignment(Dotted(path, path.size() - 1), value);
  const std::string item_header =
      path.size() > 2 ? "[[" + Dotted({path.begin(), path.end() - 2}, 0) + "]]" : "";
  if (deepest.type == Node::Type::kArray) {
    if (!NamesNextItem(path, depth, deepest.items.size())) return std::nullopt;
    if (IsSectionList(deepest)) return WithHeader(text, item_header, last);
    return IntoList(text, deepest, last);
  }
  if (deepest.type != Node::Type::kTable) return std::nullopt;
  const bool new_list = path.size() > depth + 2 && NamesNextItem(path, path.size() - 2, 0) &&
                        !AnyIndex({path.begin(), path.end() - 2}, depth);
  if (!new_list && AnyIndex(path, depth)) return std::nullopt;
  if (const std::size_t i = InnermostBraces(nodes); i < nodes.size()) {
    if (AnyIndex({path.begin(), path.begin() + static_cast<std::ptrdiff_t>(depth)}, i)) {
      return std::nullopt;
    }
    const std::string key = Dotted({path.begin(), path.end() - (new_list ? 2 : 0)}, i);
    return IntoBraces(text, *nodes[i],
                      Assignment(key, new_list ? fmt::format("[{{ {} }}]", last) : value));
  }
  if (new_list) return WithHeader(text, item_header, last);
  const Path own(path.begin(), path.begin() + static_cast<std::ptrdiff_t>(depth));
  const bool is_root = depth == 0;
  const bool section = IsSection(text, deepest);
  const bool explicit_table =
      is_root || (section && HeaderKeys(text, deepest.begin) == CountKeys(own));
  const bool one_key = depth + 1 == path.size();
  if ((explicit_table && (one_key || AnyIndex(own, 0))) || (!is_root && !section)) {
    return IntoLines(text, deepest, is_root, Assignment(Dotted(path, depth), value));
  }
  return WithHeader(text, "[" + Dotted({path.begin(), path.end() - 1}, 0) + "]", last);
}

// Takes one entry and one comma out of an inline table.
std::string OutOfBraces(std::string_view text, std::size_t begin, std::size_t end) {
  const std::size_t after = SkipBlanks(text, end);
  if (after < text.size() && text[after] == ',') {
    end = SkipBlanks(text, after + 1);
  } else {
    const std::size_t before = SkipBlanksBack(text, begin);
    if (before > 0 && text[before - 1] == ',') begin = before - 1;
  }
  return std::string(text.substr(0, begin)) + std::string(text.substr(end));
}

std::string OutOfLines(std::string_view text, std::size_t begin, std::size_t end) {
  const std::size_t newline = text.find('\n', end);
  const std::size_t next = newline == std::string_view::npos ? text.size() : newline + 1;
  return std::string(text.substr(0, LineBegin(text, begin))) + std::string(text.substr(next));
}

// Offsets of the headers of a table and of all tables below it.
void AddHeaders(std::string_view text, const Node& node, std::vector<std::size_t>& headers) {
  if (IsSection(text, node)) headers.push_back(node.begin);
  for (const Member& m : node.members) AddHeaders(text, m.value, headers);
  for (const Node& item : node.items) AddHeaders(text, item, headers);
}

// Where the comment lines right above a line begin.
std::size_t CommentsAbove(std::string_view text, std::size_t line) {
  while (line > 0) {
    const std::size_t above = LineBegin(text, line - 1);
    const std::size_t first = SkipBlanks(text, above);
    if (text[first] != '#') break;
    line = above;
  }
  return line;
}

// Takes out every section of a table, or of each item of a list.
std::string OutOfSections(std::string_view text, const Node& root, const Node& table) {
  std::vector<std::size_t> all, own;
  AddHeaders(text, root, all);
  AddHeaders(text, table, own);
  std::sort(all.begin(), all.end());
  std::string out;
  std::size_t kept = 0;
  std::sort(own.begin(), own.end());
  for (const std::size_t header : own) {
    const auto next = std::upper_bound(all.begin(), all.end(), header);
    const std::size_t begin = CommentsAbove(text, LineBegin(text, header));
    const std::size_t end =
        next == all.end() ? text.size() : CommentsAbove(text, LineBegin(text, *next));
    if (begin > kept) out += text.substr(kept, begin - kept);
    kept = std::max(kept, end);
  }
  return out + std::string(text.substr(kept));
}

// Without what stands at a path; what that leaves empty goes too.
void TakeOut(Node& node, const Path& path, std::size_t at) {
  const PathStep& step = path[at];
  const bool last = at + 1 == path.size();
  if (step.IsIndex()) {
    if (step.index >= node.items.size()) return;
    if (!last) return TakeOut(node.items[step.index], path, at + 1);
    node.items.erase(node.items.begin() + static_cast<std::ptrdiff_t>(step.index));
    return;
  }
  const auto member = std::find_if(node.members.begin(), node.members.end(),
                                   [&](const Member& m) { return m.key == step.key; });
  if (member == node.members.end()) return;
  if (!last) return TakeOut(member->value, path, at + 1);
  node.members.erase(member);
}

bool IsEmpty(const Node& node) {
  const bool holder = node.type == Node::Type::kTable || node.type == Node::Type::kArray;
  return holder && node.members.empty() && node.items.empty();
}

void DropEmpty(Node& node) {
  for (Member& m : node.members) DropEmpty(m.value);
  for (Node& item : node.items) DropEmpty(item);
  std::erase_if(node.members, [](const Member& m) { return IsEmpty(m.value); });
}

const Member* MemberOf(const Node& table, std::string_view key) {
  for (const Member& m : table.members) {
    if (m.key == key) return &m;
  }
  return nullptr;
}

bool SameOthers(const Node* a, const Node* b, std::string_view key) {
  const auto rest = [&](const Node* from) {
    Node others;
    others.type = Node::Type::kTable;
    if (from == nullptr) return others;
    std::copy_if(from->members.begin(), from->members.end(), std::back_inserter(others.members),
                 [&](const Member& m) { return m.key != key; });
    return others;
  };
  return SameValues(rest(a), rest(b));
}

bool SameItems(const Node* a, const Node* b, std::size_t index) {
  const std::size_t size_a = a == nullptr ? 0 : a->items.size();
  const std::size_t size_b = b == nullptr ? 0 : b->items.size();
  if (size_a != size_b && std::max(size_a, size_b) != index + 1) return false;
  for (std::size_t i = 0; i < std::min(size_a, size_b); ++i) {
    if (i != index && !SameValues(a->items[i], b->items[i])) return false;
  }
  return true;
}

const Node* Below(const Node* node, const PathStep& step) {
  if (node == nullptr) return nullptr;
  if (!step.IsIndex()) return FindMember(*node, step.key);
  return step.index < node->items.size() ? &node->items[step.index] : nullptr;
}

bool SameExcept(const Node* a, const Node* b, const Path& path, std::size_t at) {
  if (at == path.size() || (a == nullptr && b == nullptr)) return true;
  const PathStep& step = path[at];
  const auto type = step.IsIndex() ? Node::Type::kArray : Node::Type::kTable;
  if ((a != nullptr && a->type != type) || (b != nullptr && b->type != type)) return false;
  const bool others = step.IsIndex() ? SameItems(a, b, step.index) : SameOthers(a, b, step.key);
  return others && SameExcept(Below(a, step), Below(b, step), path, at + 1);
}

}  // namespace

std::vector<const Node*> NodesAlong(const Node& root, const Path& path) {
  std::vector<const Node*> nodes{&root};
  for (const PathStep& step : path) {
    const Node* next = Below(nodes.back(), step);
    if (next == nullptr) break;
    nodes.push_back(next);
  }
  return nodes;
}

std::optional<std::string> SpliceValue(std::string_view text, const Node& root, const Path& path,
                                       std::string_view value) {
  const std::vector<const Node*> nodes = NodesAlong(root, path);
  if (nodes.size() <= path.size()) return Insert(text, nodes, path, value);
  const Node& old = *nodes.back();
  const bool sections = (old.type == Node::Type::kTable && !old.braces) || IsSectionList(old);
  if (sections) return std::nullopt;
  std::string out(text.substr(0, old.begin));
  out += value;
  out += text.substr(old.end);
  return out;
}

std::optional<std::string> SpliceOut(std::string_view text, const Node& root, const Path& path) {
  std::vector<const Node*> nodes = NodesAlong(root, path);
  if (nodes.size() <= path.size()) return std::nullopt;
  const Node& old = *nodes.back();
  if (IsSection(text, old) || IsSectionList(old)) return OutOfSections(text, root, old);
  if (old.type == Node::Type::kTable && !old.braces) return std::nullopt;
  nodes.pop_back();
  if (path.back().IsIndex()) return OutOfBraces(text, old.begin, old.end);
  const Member* member = MemberOf(*nodes.back(), path.back().key);
  const std::size_t begin = EntryBegin(text, member->key_begin);
  const bool braces = InnermostBraces(nodes) < nodes.size();
  return braces ? OutOfBraces(text, begin, old.end) : OutOfLines(text, begin, old.end);
}

bool SameExceptAt(const Node& before, const Node& after, const Path& path) {
  return SameExcept(&before, &after, path, 0);
}

bool SameWithout(const Node& before, const Node& after, const Path& path) {
  Node expected = before, found = after;
  TakeOut(expected, path, 0);
  DropEmpty(expected);
  DropEmpty(found);
  return SameValues(expected, found);
}

}  // namespace steerbench
