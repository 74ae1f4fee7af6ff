#include <fmt/core.h>

#include <nlohmann/json.hpp>
#include <set>

#include "document/document.h"
#include "document/shape.h"

namespace steerbench {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::string_view kPointExample = "(12, -655.5, 195) mm ± 1 mm";

// "an angular speed" -> "angular_speed", the name of the kind's definition.
std::string DefinitionName(Kind kind) {
  std::string name(KindName(kind));
  name.erase(0, name.find(' ') + 1);
  std::replace_if(
      name.begin(), name.end(), [](char c) { return c == ' ' || c == '-' || c == '/'; }, '_');
  return name;
}

Json Ref(const std::string& definition) { return {{"$ref", "#/$defs/" + definition}}; }

Json Origins() {
  Json words = Json::array();
  for (int i = static_cast<int>(Origin::kMeasured); i <= static_cast<int>(Origin::kTypical); ++i) {
    words.push_back(OriginName(static_cast<Origin>(i)));
  }
  return {{"enum", words}, {"description", "where the value comes from"}};
}

Json Stated(const Json& value) {
  return {{"type", "object"},
          {"required", {"value"}},
          {"additionalProperties", false},
          {"properties",
           {{"value", value},
            {"tolerance",
             {{"type", {"string", "number"}},
              {"description",
               "half-width of the interval that holds the true value with about "
               "95 % confidence"}}},
            {"from", Ref("origin")},
            {"note", {{"type", "string"}}}}}};
}

Json TextWith(std::string_view example) {
  return {{"type", "string"}, {"examples", Json::array({example})}};
}

Json QuantityDefinition(Kind kind) {
  Json value = TextWith(KindExample(kind));
  if (MayBeBare(kind)) value["type"] = {"string", "number"};
  return {{"description", fmt::format("{}, such as \"{}\"", KindName(kind), KindExample(kind))},
          {"anyOf", {value, Stated(value)}}};
}

Json PointDefinition(Kind kind) {
  const Json list = {
      {"type", "array"}, {"items", Ref(DefinitionName(kind))}, {"minItems", 3}, {"maxItems", 3}};
  const Json text = TextWith(kPointExample);
  return {{"description",
           fmt::format("three components, forward, left, up, such as \"{}\"", kPointExample)},
          {"anyOf", {text, list, Stated({{"anyOf", {text, list}}})}}};
}

class SchemaWriter {
 public:
  Json Write() {
    Json schema = {{"$schema", "https://json-schema.org/draft/2020-12/schema"},
                   {"title", "steerbench document"},
                   {"description", "A car, parts and setups of its power steering."}};
    schema.update(Table(DocumentShape()));
    Json properties = {{"format", {{"const", 1}, {"description", "format of the document"}}}};
    properties.update(schema["properties"]);
    schema["properties"] = properties;
    schema["required"] = {"format"};
    definitions_["origin"] = Origins();
    for (const Kind kind : kinds_) definitions_[DefinitionName(kind)] = QuantityDefinition(kind);
    schema["$defs"] = definitions_;
    return schema;
  }

 private:
  Json Table(const Shape& shape) {
    Json properties = Json::object();
    for (const ShapeField& field : shape.fields) {
      properties[std::string(field.key)] = Described(field.shape);
    }
    return {{"type", "object"}, {"additionalProperties", false}, {"properties", properties}};
  }

  Json Described(const Shape& shape) {
    Json json = Of(shape);
    json["description"] = shape.help;
    return json;
  }

  Json Of(const Shape& shape) {
    switch (shape.type) {
      case Shape::Type::kTable:
        return Table(shape);
      case Shape::Type::kNamed:
        return {{"type", "object"},
                {"propertyNames", {{"minLength", 1}}},
                {"additionalProperties", Of(shape.fields.front().shape)}};
      case Shape::Type::kList:
        return {{"type", "array"}, {"items", Of(shape.fields.front().shape)}};
      case Shape::Type::kQuantity:
        kinds_.insert(shape.kind);
        return Ref(DefinitionName(shape.kind));
      case Shape::Type::kPoint: {
        kinds_.insert(shape.kind);
        const std::string name = "point_" + DefinitionName(shape.kind);
        definitions_[name] = PointDefinition(shape.kind);
        return Ref(name);
      }
      case Shape::Type::kText:
        return {{"type", "string"}};
      case Shape::Type::kTruth:
        return {{"type", "boolean"}};
      case Shape::Type::kWord:
        return {{"enum", shape.words}};
    }
    return {};
  }

  Json definitions_ = Json::object();
  std::set<Kind> kinds_;
};

}  // namespace

std::string JsonSchema() { return SchemaWriter().Write().dump(2) + "\n"; }

}  // namespace steerbench
