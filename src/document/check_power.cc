// What pumps and the belt drive of a document contradict themselves in.
#include <fmt/core.h>

#include "document/fields.h"
#include "document/read.h"
#include "document/walk.h"

namespace steerbench {
namespace {

// A value that must not lie above another of the same part.
void CheckNotAbove(const Path& part, const Node& node, std::string_view key,
                   const std::optional<Quantity>& value, std::string_view other_key,
                   const std::optional<Quantity>& other, Findings& findings) {
  if (!value || !other || value->value <= other->value) return;
  const Node* at = FindMember(node, key);
  Path path = part;
  path.push_back({std::string(key)});
  findings.Add({.offset = at == nullptr ? node.begin : at->begin,
                .field = PathText(path),
                .found = Shortened(value->written),
                .message = fmt::format("more than {}, {}; correct one of the two", other_key,
                                       Shortened(other->written))});
}

// One crank and one pump; one way to tension.
void CheckDrive(const Document& document, const Node& root, Findings& findings) {
  int cranks = 0, pumps = 0;
  ForEachRow(root, {{"car"}, {"drive"}, {"pulley"}}, document.car.drive.pulley,
             [&](const DrivePulley<Quantity>& p, const Node& node, const Path& path) {
               cranks += p.of == PulleyOf::kCrank;
               pumps += p.of == PulleyOf::kPump;
               const bool again = (p.of == PulleyOf::kCrank && cranks > 1) ||
                                  (p.of == PulleyOf::kPump && pumps > 1);
               if (again) {
                 findings.Add({.offset = node.begin,
                               .field = PathText(path) + ".of",
                               .message = fmt::format("a second pulley of the {}; one of them is "
                                                      "another's",
                                                      WordOf(*p.of))});
               }
               if (!p.slot || !(p.pivot_right || p.pivot_up || p.swing)) return;
               const Node* at = FindMember(node, "slot");
               findings.Add({.offset = at == nullptr ? node.begin : at->begin,
                             .field = PathText(path) + ".slot",
                             .message = "it tensions in a slot or on an arm (pivot and swing), not "
                                        "both; remove one of them"});
             });
}

}  // namespace

void CheckPower(const Document& document, const Node& root, Findings& findings) {
  ForEachNamed(root, "pump", document.pump,
               [&](const std::string& name, const Pump<Quantity>& pump, const Node& node) {
                 const Path part{{"pump"}, {name}};
                 CheckNotAbove(part, node, "relief_cracking", pump.relief_cracking, "relief",
                               pump.relief, findings);
                 CheckNotAbove(part, node, "flow_at_top", pump.flow_at_top, "flow", pump.flow,
                               findings);
               });
  CheckDrive(document, root, findings);
}

}  // namespace steerbench
