#include "document/rename.h"

#include <fmt/core.h>

#include <algorithm>
#include <map>

#include "document/findings.h"
#include "document/tree.h"
#include "quantity/quoted.h"

namespace steerbench {
namespace {

constexpr std::string_view kTable = "setup";

EditResult Refused(std::string_view name, std::string message) {
  Problem problem;
  problem.field = fmt::format("{}.{}", kTable, KeyText(name));
  problem.found = Shortened(name);
  problem.message = std::move(message);
  EditResult result;
  result.problems.push_back(std::move(problem));
  return result;
}

Member* MemberOf(Node& table, std::string_view key) {
  const auto found = std::ranges::find(table.members, key, &Member::key);
  return found == table.members.end() ? nullptr : &*found;
}

// Behind the key that begins at `at`, bare or quoted.
std::size_t KeyEnd(std::string_view text, std::size_t at) {
  const char quote = text[at];
  if (quote != '"' && quote != '\'') return std::min(text.find_first_of(" \t.]=", at), text.size());
  for (++at; at < text.size() && text[at] != quote; ++at) {
    if (text[at] == '\\' && quote == '"') ++at;
  }
  return std::min(at + 1, text.size());
}

// Where the second key of the header at `at` begins.
std::size_t SecondKey(std::string_view text, std::size_t at) {
  const std::size_t first = text.find_first_not_of("[ \t", at);
  if (first == std::string_view::npos) return text.size();
  return std::min(text.find_first_not_of(" \t.", KeyEnd(text, first)), text.size());
}

// What is to be put in place of which bytes: [begin, end) by begin.
using Changes = std::map<std::size_t, std::pair<std::size_t, std::string>>;

// The key in every header of a table and of those below it.
void ChangeHeaders(std::string_view text, const Node& table, const std::string& key,
                   Changes& changes) {
  if (table.type == Node::Type::kArray) {
    for (const Node& item : table.items) ChangeHeaders(text, item, key, changes);
  }
  if (table.type != Node::Type::kTable || table.braces) return;
  if (table.begin < text.size() && text[table.begin] == '[') {
    const std::size_t at = SecondKey(text, table.begin);
    changes[at] = {KeyEnd(text, at), key};
  }
  for (const Member& m : table.members) ChangeHeaders(text, m.value, key, changes);
}

std::string Changed(std::string_view text, const Changes& changes) {
  std::string out;
  std::size_t at = 0;
  for (const auto& [begin, change] : changes) {
    out += text.substr(at, begin - at);
    out += change.second;
    at = change.first;
  }
  return out + std::string(text.substr(at));
}

// The node that says which setup a search begins with, when it is `name`.
Node* BaseOf(Node& root, std::string_view name) {
  Member* search = MemberOf(root, "search");
  Member* base = search == nullptr ? nullptr : MemberOf(search->value, "base");
  const bool is = base != nullptr && base->value.type == Node::Type::kText;
  return is && base->value.text == name ? &base->value : nullptr;
}

}  // namespace

EditResult RenameSetup(std::string_view text, std::string_view from, std::string_view to) {
  std::optional<Node> root = TomlTree(text);
  Member* setups = root ? MemberOf(*root, kTable) : nullptr;
  Member* setup = setups == nullptr ? nullptr : MemberOf(setups->value, from);
  if (setup == nullptr) return Refused(from, "there is no setup of this name");
  if (to.empty()) return Refused(to, "a setup needs a name");
  EditResult result;
  result.before = std::string(from);
  result.text = std::string(text);
  if (from == to) return result;
  if (MemberOf(setups->value, to) != nullptr) {
    return Refused(to, fmt::format("there is a setup '{}' already: choose another name", to));
  }
  const std::string key = KeyText(to);
  Changes changes;
  ChangeHeaders(text, setup->value, key, changes);
  if (changes.empty()) changes[setup->key_begin] = {KeyEnd(text, setup->key_begin), key};
  setup->key = std::string(to);
  if (Node* base = BaseOf(*root, from)) {
    changes[base->begin] = {base->end, QuotedText(to)};
    base->text = std::string(to);
  }
  result.text = Changed(text, changes);
  const auto after = TomlTree(result.text);
  if (!after || !SameValues(*root, *after)) {
    return Refused(from,
                   "this file lays the setup out in a way that cannot be renamed without touching "
                   "its neighbours; rename it by hand");
  }
  return result;
}

}  // namespace steerbench
