#include <fmt/core.h>

#include <algorithm>

#include "document/document.h"
#include "document/fields.h"
#include "document/names.h"
#include "document/read.h"
#include "document/shape.h"
#include "document/splice.h"
#include "document/tree.h"
#include "quantity/quoted.h"

namespace steerbench {
namespace {

constexpr std::string_view kUneditable =
    "this file lays the field out in a way that cannot be changed without touching its "
    "neighbours; change it by hand";

Problem ProblemWith(std::string_view field, std::string_view found, std::string message) {
  Problem problem;
  problem.field = std::string(field);
  problem.found = Shortened(found);
  problem.message = std::move(message);
  return problem;
}

EditResult Refused(Problem problem) {
  EditResult result;
  result.problems.push_back(std::move(problem));
  return result;
}

// A text read as far as it goes.
struct Reading {
  std::optional<Node> root;
  Findings findings;
};

Reading ReadBack(const TextIndex& index) {
  Reading reading;
  reading.root = TomlTree(index, reading.findings);
  if (reading.root) {
    const Document document = DocumentFromTree(*reading.root, index, reading.findings);
    CheckMeaning(document, *reading.root, reading.findings);
  }
  return reading;
}

Problem UnknownField(const Shape& root, const Path& path, std::size_t depth,
                     std::string_view path_text) {
  const Path parent(path.begin(), path.begin() + static_cast<std::ptrdiff_t>(depth));
  std::vector<std::string> known;
  if (const auto shape = ShapeAt(root, parent)) {
    for (const ShapeField& field : shape->fields) known.emplace_back(field.key);
  }
  const std::string_view nearest = Nearest(path[depth].key, known);
  return ProblemWith(path_text, path_text,
                     nearest.empty() ? "a document has no such field"
                                     : fmt::format("a document has no such field; did you mean "
                                                   "'{}'?",
                                                   nearest));
}

bool IsNumber(std::string_view text) {
  const std::string line = "v = " + std::string(text);
  Findings findings;
  if (text.find_first_of("\r\n#") != std::string_view::npos) return false;
  const auto tree = TomlTree(TextIndex(line), findings);
  return tree && tree->members.size() == 1 && tree->members[0].value.type == Node::Type::kNumber;
}

// What a user typed as TOML.
std::string ValueText(const Shape& shape, std::string_view typed) {
  const bool bare = shape.type == Shape::Type::kQuantity && MayBeBare(shape.kind);
  if (bare && IsNumber(typed)) return std::string(typed);
  const bool truth = shape.type == Shape::Type::kTruth;
  if (truth && (typed == "true" || typed == "false")) return std::string(typed);
  return QuotedText(typed);
}

// A value written as a table keeps its origin and note, but not the plus-minus of the old value.
std::optional<std::string> SpliceStated(std::string_view text, const Node& root, Path path,
                                        std::string_view value) {
  std::string lean(text);
  path.push_back({"tolerance"});
  if (const auto without = SpliceOut(text, root, path)) lean = *without;
  path.back() = {"value"};
  const TextIndex index(lean);
  Findings findings;
  const auto tree = TomlTree(index, findings);
  return tree ? SpliceValue(lean, *tree, path, value) : std::nullopt;
}

std::optional<std::string> Splice(std::string_view text, const Node& root, const Path& path,
                                  const Shape& shape, std::string_view typed) {
  if (typed.empty()) return SpliceOut(text, root, path);
  const std::vector<const Node*> nodes = NodesAlong(root, path);
  const bool there = nodes.size() == path.size() + 1;
  const std::string value = ValueText(shape, typed);
  if (there && nodes.back()->type == Node::Type::kTable) {
    return SpliceStated(text, root, path, value);
  }
  return SpliceValue(text, root, path, value);
}

// The step from a bare value to its table: `from`, `note` or `tolerance` of "8 mm" is asked for.
bool WantsTable(const std::vector<const Node*>& nodes, const Path& path) {
  const Node::Type type = nodes.back()->type;
  return nodes.size() == path.size() && !path.back().IsIndex() && type != Node::Type::kTable &&
         type != Node::Type::kArray;
}

std::string AsTable(std::string_view text, const Node& value, std::string_view key,
                    std::string_view typed) {
  if (key == "value") return QuotedText(typed);
  return fmt::format("{{ value = {}, {} = {} }}", text.substr(value.begin, value.end - value.begin),
                     key, QuotedText(typed));
}

// What an edit finds: the old value as a user would type it, and whether its table is there.
EditResult Found(std::string_view text, const std::vector<const Node*>& nodes, const Path& path) {
  EditResult result;
  result.made_table = nodes.size() < path.size();
  if (nodes.size() <= path.size()) return result;
  const Node& old = *nodes.back();
  result.before = old.type == Node::Type::kText
                      ? old.text
                      : std::string(text.substr(old.begin, old.end - old.begin));
  return result;
}

// Whether the text after an edit differs from that before it as it was meant to.
bool Meant(const Node& before, const Node& after, const Path& path, bool removed) {
  if (removed) return SameWithout(before, after, path);
  return NodesAlong(after, path).size() > path.size() && SameExceptAt(before, after, path);
}

bool HoldsFields(const Shape& shape) {
  return shape.type == Shape::Type::kTable || shape.type == Shape::Type::kNamed ||
         shape.type == Shape::Type::kList;
}

}  // namespace

EditResult EditToml(std::string_view text, std::string_view path_text, std::string_view value) {
  const Path path = ParsePath(path_text);
  if (path.empty() || path.size() > kMaxDepth) {
    return Refused(ProblemWith({}, path_text, "not a dotted path such as car.front.track"));
  }
  const Shape root_shape = DocumentShape();
  std::size_t depth = 0;
  const std::optional<Shape> shape = ShapeAt(root_shape, path, &depth);
  if (!shape) return Refused(UnknownField(root_shape, path, depth, path_text));
  if (HoldsFields(*shape) && !value.empty()) {
    return Refused(ProblemWith(path_text, path_text, "this holds fields; name one of them"));
  }
  const TextIndex index(text);
  const Reading before = ReadBack(index);
  if (!before.root) return {.text = {}, .problems = before.findings.ToProblems(index)};
  const std::vector<const Node*> nodes = NodesAlong(*before.root, path);
  if (value.empty() && nodes.size() <= path.size()) {
    return {.text = std::string(text), .problems = {}};
  }
  EditResult result = Found(text, nodes, path);
  Path changed = path;
  std::optional<std::string> edited;
  if (WantsTable(nodes, path)) {
    changed.pop_back();
    edited = SpliceValue(text, *before.root, changed,
                         AsTable(text, *nodes.back(), path.back().key, value));
  } else {
    edited = Splice(text, *before.root, path, *shape, value);
  }
  if (!edited) return Refused(ProblemWith(path_text, value, std::string(kUneditable)));
  const TextIndex edited_index(*edited);
  const Reading after = ReadBack(edited_index);
  std::vector<Problem> caused = after.findings.NotAmong(before.findings).ToProblems(edited_index);
  if (!caused.empty()) return {.text = {}, .problems = std::move(caused)};
  if (!after.root || !Meant(*before.root, *after.root, changed, value.empty())) {
    return Refused(ProblemWith(path_text, value, std::string(kUneditable)));
  }
  result.text = std::move(*edited);
  return result;
}

std::string EditWords(std::string_view path, std::string_view before, std::string_view after) {
  if (!before.empty() && !after.empty()) return fmt::format("{}: {} -> {}", path, before, after);
  if (!before.empty()) return fmt::format("{} removed, was {}", path, before);
  return after.empty() ? fmt::format("{}: nothing to remove", path)
                       : fmt::format("{} set to {}", path, after);
}

}  // namespace steerbench
