// What the wishes and jobs of a search contradict themselves in.
#include <fmt/core.h>

#include <map>

#include "document/fields.h"
#include "document/read.h"
#include "document/walk.h"

namespace steerbench {
namespace {

Finding AboutSearch(const Node& search, std::string_view table, std::string_view key,
                    std::string message) {
  const Node* in = FindMember(search, table);
  const Node* at = FindMember(in, key);
  return {.offset = at != nullptr   ? at->begin
                    : in != nullptr ? in->begin
                                    : search.begin,
          .field = PathText({{"search"}, {std::string(table)}, {std::string(key)}}),
          .message = std::move(message)};
}

void CheckBase(const Document& document, const Node& search, Findings& findings) {
  const std::string& base = document.search->base;
  auto names = std::make_shared<std::vector<std::string>>();
  for (const auto& [name, setup] : document.setup) names->push_back(name);
  const Node* at = FindMember(search, "base");
  if (at == nullptr || base.empty()) return;
  for (const std::string& name : *names) {
    if (name == base) return;
  }
  findings.Add({.offset = at->begin,
                .field = "search.base",
                .found = Shortened(base),
                .message = "there is no setup of this name to count from",
                .wanted = base,
                .known = names,
                .list_known = true});
}

// Near a value: the wish needs the value. A value alone may stand, as may one end of `from` and
// `to`: fields are set one by one.
void CheckNear(const Search& s, const Node& search, Findings& findings) {
  std::map<std::string_view, bool> valued;
  Aims<Quantity>::Visit(
      [&](const FieldInfo& info, const auto& value) { valued[info.key] = value.has_value(); },
      s.near);
  Aims<Want>::Visit(
      [&](const FieldInfo& info, const auto& want) {
        // A value that cannot be read is told already.
        const bool written = FindMember(FindMember(search, "near"), info.key) != nullptr;
        if (want == Want::kNear && !valued[info.key] && !written) {
          findings.Add(AboutSearch(
              search, "want", info.key,
              fmt::format("near which value? add it as {} to [search.near]", info.key)));
        }
      },
      s.want);
}

template <class Fields>
void CheckOrder(const Fields& low, const Fields& high, std::string_view low_table,
                std::string_view high_table, bool strict, const Node& search, Findings& findings) {
  Fields::Visit(
      [&](const FieldInfo& info, const auto& a, const auto& b) {
        if (!a || !b || (strict ? a->value < b->value : a->value <= b->value)) return;
        Finding finding =
            AboutSearch(search, low_table, info.key,
                        fmt::format("it is not below the one in [search.{}], {}; the two may be "
                                    "swapped",
                                    high_table, Shortened(b->written)));
        finding.found = Shortened(a->written);
        findings.Add(std::move(finding));
      },
      low, high);
}

}  // namespace

void CheckSearch(const Document& document, const Node& root, Findings& findings) {
  const Node* search = FindMember(root, "search");
  if (search == nullptr || !document.search) return;
  const Search& s = *document.search;
  CheckBase(document, *search, findings);
  CheckNear(s, *search, findings);
  CheckOrder(s.at_least, s.at_most, "at_least", "at_most", false, *search, findings);
  CheckOrder(s.from, s.to, "from", "to", true, *search, findings);
}

}  // namespace steerbench
