#include <fmt/core.h>

#include <cmath>
#include <unordered_set>

#include "document/fields.h"
#include "document/read.h"

namespace steerbench {
namespace {

// Travels are read to a tenth of a millimetre at best: halves that miss the whole by less than
// this are rounded, not wrong.
constexpr double kTravelRounding = 1e-4;  // [m]

const Node* FindMember(const Node* table, std::string_view key) {
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

void CheckPartNames(const Document& document, const Node& root, Findings& findings) {
  ForEachPartKind(document, [&](std::string_view key, std::string_view table, const auto& parts) {
    auto names = std::make_shared<std::vector<std::string>>();
    for (const auto& [name, part] : parts) names->push_back(name);
    const std::unordered_set<std::string_view> known(names->begin(), names->end());
    ForEachNamed(root, "setup", document.setup,
                 [&](const std::string& name, const Setup<Quantity>& setup, const Node& node) {
                   const std::string* chosen = ChosenPart(setup, key);
                   const Node* at = FindMember(&node, key);
                   if (at == nullptr || chosen->empty() || known.contains(*chosen)) return;
                   findings.Add({at->begin, PathText({{"setup"}, {name}, {std::string(key)}}),
                                 Shortened(*chosen),
                                 fmt::format("no [{0}.{1}] in this document: add it, or take the "
                                             "name of a {0} that is there",
                                             table, KeyText(*chosen)),
                                 *chosen, names});
                 });
  });
}

double ToleranceOf(const Quantity& q) { return q.tolerance.value_or(0.0); }

void CheckTravel(const Document& document, const Node& root, Findings& findings) {
  ForEachNamed(
      root, "rack", document.rack,
      [&](const std::string& name, const Rack<Quantity>& rack, const Node& node) {
        if (!rack.travel || !rack.travel_left || !rack.travel_right) return;
        const double sum = rack.travel_left->value + rack.travel_right->value;
        const double allowed = kTravelRounding + ToleranceOf(*rack.travel) +
                               ToleranceOf(*rack.travel_left) + ToleranceOf(*rack.travel_right);
        const Node* at = FindMember(&node, "travel");
        if (at == nullptr || std::abs(rack.travel->value - sum) <= allowed) return;
        const std::string_view unit = rack.travel->unit;
        findings.Add({.offset = at->begin,
                      .field = PathText({{"rack"}, {name}, {"travel"}}),
                      .found = Shortened(rack.travel->written),
                      .message = fmt::format(
                          "travel_left and travel_right add up to {}, not to this; correct one of "
                          "the three, or leave travel out",
                          ShowIn(sum, {}, Kind::kLength, unit).text)});
      });
}

}  // namespace

void CheckMeaning(const Document& document, const Node& root, Findings& findings) {
  CheckPartNames(document, root, findings);
  CheckTravel(document, root, findings);
}

}  // namespace steerbench
