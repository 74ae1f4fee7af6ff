// Every field that a document can have, for a page that edits them.
#include <algorithm>
#include <array>

#include "document/fields.h"
#include "document/shape.h"
#include "server/routes.h"

namespace steerbench::server {
namespace {

// "a kinematic viscosity" without its article, as one word.
std::string WordOfKind(Kind kind) {
  std::string_view name = KindName(kind);
  name.remove_prefix(std::min(name.find(' ') + 1, name.size()));
  std::string word(name);
  std::ranges::replace(word, ' ', '_');
  return word;
}

// The table of parts that a setup's field names a part of; empty for other fields.
std::string PartOf(std::string_view path, std::string_view key) {
  std::string part;
  if (path != "setup.*") return part;
  ForEachPartKind(Document{}, [&](std::string_view chosen, std::string_view table, const auto&) {
    if (chosen == key) part = table;
  });
  return part;
}

void AddQuantity(Json& json, Kind kind) {
  json["si_unit"] = SiSymbol(kind);
  json["example"] = KindExample(kind);
  json["units"] = KindUnits(kind);
}

Json FieldJson(std::string_view path, const ShapeField& field) {
  const Shape& shape = field.shape;
  Json json{{"key", field.key}, {"kind", "text"}, {"help", shape.help}};
  switch (shape.type) {
    case Shape::Type::kQuantity:
      json["kind"] = MayBeBare(shape.kind) ? "number" : WordOfKind(shape.kind);
      AddQuantity(json, shape.kind);
      break;
    case Shape::Type::kPoint:
      json["kind"] = "point";
      AddQuantity(json, shape.kind);
      break;
    case Shape::Type::kTruth:
      json["kind"] = "boolean";
      break;
    case Shape::Type::kWord:
      json["kind"] = "choice";
      json["choices"] = shape.words;
      break;
    default:
      if (const std::string part = PartOf(path, field.key); !part.empty()) {
        json["kind"] = "part";
        json["part"] = part;
      }
  }
  return json;
}

// The heading under which a table is shown: those of one kind of part, or of one end of the car.
struct Section {
  std::string_view path, title;  // of its first table
};
constexpr std::array<Section, 18> kSections{{{"", "The file"},
                                             {"car.front", "Front axle"},
                                             {"car", "The car"},
                                             {"rack", "Racks"},
                                             {"spacer", "Spacers"},
                                             {"tie_rod", "Tie rods"},
                                             {"arms", "Steering arms"},
                                             {"pump", "Pumps"},
                                             {"pulley", "Pump pulleys"},
                                             {"belt", "Belts"},
                                             {"fluid", "Fluids"},
                                             {"control_valve", "Control valves"},
                                             {"adapter", "Adapters"},
                                             {"setup", "Setups"},
                                             {"work", "Jobs"},
                                             {"search", "What is wished"},
                                             {"limits", "Limits"},
                                             {"identify", "Parts to identify"}}};

// The longest beginning of a path counts; a table that is new in the model goes by its own name.
Json SectionJson(const std::string& path) {
  for (const Section& s : kSections) {
    const bool below = path.starts_with(s.path) && path.size() > s.path.size() &&
                       (path[s.path.size()] == '.' || path[s.path.size()] == '[');
    if (path == s.path || (below && !s.path.empty())) return {{"id", s.path}, {"title", s.title}};
  }
  const std::string id = path.substr(0, path.find_first_of(".["));
  return {{"id", id}, {"title", id}};
}

// Tables in the order of the reference: a table's own fields, then the tables below it.
void AddTables(const Shape& shape, const std::string& path, Json& tables) {
  if (shape.type == Shape::Type::kNamed) {
    return AddTables(shape.fields.front().shape, path + ".*", tables);
  }
  const bool list = shape.type == Shape::Type::kList;
  const Shape& table = list ? shape.fields.front().shape : shape;
  const std::string own = path + (list ? "[]" : "");
  Json fields = Json::array();
  for (const ShapeField& field : table.fields) {
    if (!IsSection(field.shape)) fields.push_back(FieldJson(own, field));
  }
  tables.push_back({{"path", own},
                    {"section", SectionJson(own)},
                    {"help", shape.help},
                    {"fields", std::move(fields)}});
  for (const ShapeField& field : table.fields) {
    if (!IsSection(field.shape)) continue;
    AddTables(field.shape,
              own.empty() ? std::string(field.key) : own + "." + std::string(field.key), tables);
  }
}

}  // namespace

Response GetFields(Workbench&, const Request&) {
  Json tables = Json::array();
  AddTables(DocumentShape(), "", tables);
  return AnswerOf(Json{{"tables", std::move(tables)}});
}

}  // namespace steerbench::server
