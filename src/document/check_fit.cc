// What faces and adapters contradict themselves in.
#include <fmt/core.h>

#include <array>

#include "document/fields.h"
#include "document/read.h"
#include "document/walk.h"

namespace steerbench {
namespace {

// Calls `f(faces, their node, their path)` with the faces of the car and of every part.
template <class F>
void ForEachFaces(const Document& document, const Node& root, F&& f) {
  f(document.car.face, FindMember(FindMember(&root, "car"), "face"), Path{{"car"}, {"face"}});
  Document::Visit(
      [&](const FieldInfo& info, const auto& parts) {
        if constexpr (kIsNamed<std::remove_cvref_t<decltype(parts)>>) {
          ForEachNamed(root, info.key, parts,
                       [&](const std::string& name, const auto& part, const Node& node) {
                         if constexpr (requires { part.face; }) {
                           f(part.face, FindMember(&node, "face"),
                             Path{{std::string(info.key)}, {name}, {"face"}});
                         }
                       });
        }
      },
      document);
}

// A part has one face at a place: two could not both be met.
void CheckPlaces(const std::vector<Face>& faces, const Node* list, const Path& path,
                 Findings& findings) {
  std::array<std::optional<std::size_t>, Words<Meeting>::value.size()> first;
  if (list == nullptr) return;
  ForEachRow(*list, {}, faces, [&](const Face& face, const Node& node, const Path& row) {
    if (!face.at) return;
    std::optional<std::size_t>& before = first[static_cast<std::size_t>(*face.at)];
    if (!before) {
      before = BeginOf(node, "at");
      return;
    }
    findings.Add({.offset = BeginOf(node, "at"),
                  .field = PathText(path) + PathText(row) + ".at",
                  .message = fmt::format("a second face at the {}; say all of it in one of them",
                                         WordOf(*face.at)),
                  .first = *before});
  });
}

bool StatesAnything(const Face& face) {
  bool states = false;
  Face::Visit(
      [&](const FieldInfo&, const auto& feature) {
        if constexpr (requires { feature.empty(); }) {
          states |= !feature.empty();
        } else {
          states |= feature.has_value();
        }
      },
      face);
  return states;
}

void CheckAdapter(const std::string& name, const Adapter<Quantity>& adapter, const Node& node,
                  Findings& findings) {
  if (!adapter.one.at || !adapter.other.at || adapter.one.at == adapter.other.at) return;
  const Node* other = FindMember(node, "other");
  findings.Add({.offset = other == nullptr ? node.begin : BeginOf(*other, "at"),
                .field = PathText({{"adapter"}, {name}, {"other"}, {"at"}}),
                .message = fmt::format("its other side is at the {}: an adapter joins two faces at "
                                       "one place; correct one of them, or leave this out",
                                       WordOf(*adapter.one.at))});
}

constexpr const char* kAtMissing =
    "at is missing: say where it meets something, e.g. at = \"pinion\"";

}  // namespace

void CheckFaces(const Document& document, const Node& root, Findings& findings) {
  ForEachFaces(document, root,
               [&](const std::vector<Face>& faces, const Node* list, const Path& path) {
                 CheckPlaces(faces, list, path, findings);
               });
  ForEachNamed(root, "adapter", document.adapter,
               [&](const std::string& name, const Adapter<Quantity>& adapter, const Node& node) {
                 CheckAdapter(name, adapter, node, findings);
               });
}

void CheckFacesWhole(const Document& document, const Node& root, Findings& findings) {
  ForEachFaces(
      document, root, [&](const std::vector<Face>& faces, const Node* list, const Path& path) {
        if (list == nullptr) return;
        ForEachRow(*list, {}, faces, [&](const Face& face, const Node& node, const Path& row) {
          // One that cannot be read is told already.
          if (face.at || FindMember(node, "at") != nullptr) return;
          findings.Add({.offset = node.begin,
                        .field = PathText(path) + PathText(row),
                        .message = kAtMissing});
        });
      });
  ForEachNamed(root, "adapter", document.adapter,
               [&](const std::string& name, const Adapter<Quantity>& adapter, const Node& node) {
                 const bool states = StatesAnything(adapter.one) || StatesAnything(adapter.other);
                 if (adapter.one.at || adapter.other.at || !states) return;
                 for (const char* side : {"one", "other"}) {
                   if (FindMember(FindMember(node, side), "at") != nullptr) return;
                 }
                 findings.Add({.offset = BeginOf(node, "one"),
                               .field = PathText({{"adapter"}, {name}, {"one"}}),
                               .message = kAtMissing});
               });
}

}  // namespace steerbench
