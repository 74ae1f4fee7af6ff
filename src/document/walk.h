// Walks over a document and the tree that it was read from in step, for checks of what it says.
#pragma once

#include <string>
#include <string_view>

#include "document/node.h"
#include "model/document.h"

namespace steerbench {

inline const Node* FindMember(const Node* table, std::string_view key) {
  return table == nullptr ? nullptr : FindMember(*table, key);
}

// Calls `f(name, node)` with each entry of a table of named things; they stand in the tree in the
// order in which they were read, so `f` may count along.
template <class T, class F>
void ForEachNamed(const Node& root, std::string_view key, const Named<T>& named, F&& f) {
  const Node* table = FindMember(root, key);
  if (table == nullptr) return;
  for (std::size_t i = 0; i < named.size() && i < table->members.size(); ++i) {
    f(named[i].first, named[i].second, table->members[i].value);
  }
}

// Calls `f(row, its node, its path)` with each row of a list of tables that stands at `path`.
template <class Row, class F>
void ForEachRow(const Node& root, const Path& path, const std::vector<Row>& rows, F&& f) {
  const Node* list = &root;
  for (const PathStep& step : path) list = FindMember(list, step.key);
  if (list == nullptr || list->items.size() != rows.size()) return;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    Path row = path;
    row.push_back({{}, i});
    f(rows[i], list->items[i], row);
  }
}

// Where a member of a node begins; where it stands by a dotted key of another layout, the node.
[[nodiscard]] inline std::size_t BeginOf(const Node& node, std::string_view key) {
  const Node* at = FindMember(node, key);
  return at == nullptr ? node.begin : at->begin;
}

// Calls `f(rows, their path, what a row is called)` with each list of readings over rack travel.
template <class F>
void ForEachTravelTable(const Document& document, F&& f) {
  f(document.car.front.turn_plate, Path{{"car"}, {"front"}, {"turn_plate"}}, "turn plates");
  for (const auto& [name, rack] : document.rack) {
    f(rack.ratio, Path{{"rack"}, {name}, {"ratio"}}, "ratio table");
  }
}

}  // namespace steerbench
