#include "document/tree.h"

// Compiled here and nowhere else, without exceptions, so that sanitizers and fuzzers see into it.
#define TOML_HEADER_ONLY 1
#define TOML_EXCEPTIONS 0
#define TOML_ENABLE_FORMATTERS 0
#include <fmt/core.h>
#include <toml++/toml.h>

#include <algorithm>

namespace steerbench {
namespace {

// Walks over brackets, dots and separators of a TOML text before the parser sees it: the parser
// recurses over brackets and its trees recurse over dotted keys when they are freed. In a text
// that is not TOML it may count wrongly, but only behind the place at which the parser stops.
class NestingScan {
 public:
  explicit NestingScan(std::string_view text) : text_(text) {}

  // Gives false, after a finding, when the text is nested too deep or holds too much.
  bool Passes(Findings& findings) {
    while (at_ < text_.size()) {
      Step();
      if (open_.size() + dots_ > kMaxDepth) return RefuseTooDeep(at_ - 1, findings), false;
      if (values_ > kMaxValues) return RefuseTooMany(at_ - 1, findings), false;
    }
    return true;
  }

 private:
  void Step() {
    const char c = text_[at_++];
    switch (c) {
      case '#':
        at_ = std::min(text_.find('\n', at_), text_.size());
        break;
      case '"':
      case '\'':
        SkipString(c);
        break;
      case '[':
        ++values_;
        open_ += c;
        break;
      case '{':
        open_ += c;
        break;
      case ']':
      case '}':
        if (!open_.empty()) open_.pop_back();
        break;
      case '.':
        ++dots_;
        break;
      case '=':
        ++values_;
        dots_ = 0;
        break;
      case ',':
        if (open_.ends_with('[')) ++values_;
        dots_ = 0;
        break;
      case '\n':
        dots_ = 0;
        break;
      default:
        break;
    }
  }

  void SkipString(char quote) {
    const std::string_view rest = text_.substr(at_ - 1);
    const bool long_form = rest.size() >= 3 && rest[1] == quote && rest[2] == quote;
    if (long_form) at_ += 2;
    while (at_ < text_.size()) {
      const char c = text_[at_++];
      if (c == '\\' && quote == '"') {
        ++at_;
      } else if (c == '\n' && !long_form) {
        return;
      } else if (c == quote) {
        if (!long_form) return;
        if (text_.substr(at_).starts_with(std::string(2, quote))) {
          at_ += 2;
          return;
        }
      }
    }
    at_ = std::min(at_, text_.size());
  }

  std::string_view text_;
  std::string open_;  // brackets not closed yet
  std::size_t at_ = 0, dots_ = 0, values_ = 0;
};

class Conversion {
 public:
  Conversion(const TextIndex& index, Findings& findings) : index_(index), findings_(findings) {}

  Node Convert(const toml::node& from, std::size_t depth) {
    Node node;
    node.begin = Offset(from.source().begin);
    node.end = std::max(node.begin, Offset(from.source().end));
    if (depth > kMaxDepth) {
      if (!too_deep_) RefuseTooDeep(node.begin, findings_);
      too_deep_ = true;
      return node;
    }
    if (const toml::table* table = from.as_table()) {
      FillTable(*table, node, depth);
    } else if (const toml::array* array = from.as_array()) {
      node.type = Node::Type::kArray;
      for (const toml::node& item : *array) node.items.push_back(Convert(item, depth + 1));
    } else {
      FillScalar(from, node);
    }
    return node;
  }

  [[nodiscard]] bool TooDeep() const { return too_deep_; }
  [[nodiscard]] std::size_t Offset(const toml::source_position& at) const {
    return index_.OffsetOf(at.line, at.column);
  }

 private:
  void FillTable(const toml::table& table, Node& node, std::size_t depth) {
    node.type = Node::Type::kTable;
    node.braces = table.is_inline();
    for (const auto& [key, value] : table) {
      node.members.push_back({std::string(key.str()), Offset(key.source().begin), {}});
      node.members.back().value = Convert(value, depth + 1);
    }
    // The library keeps keys in the order of the alphabet; a user's order is the text's.
    std::sort(node.members.begin(), node.members.end(),
              [](const Member& a, const Member& b) { return a.key_begin < b.key_begin; });
  }

  void FillScalar(const toml::node& from, Node& node) {
    if (const auto* text = from.as_string()) {
      node.type = Node::Type::kText;
      node.text = text->get();
    } else if (const auto* truth = from.as_boolean()) {
      node.type = Node::Type::kTruth;
      node.truth = truth->get();
    } else if (const auto number = from.value<double>()) {
      node.type = Node::Type::kNumber;
      node.number = *number;
    } else if (const auto* whole = from.as_integer()) {  // one that a double would round
      node.type = Node::Type::kNumber;
      node.number = static_cast<double>(whole->get());
    } else {  // a date or time
      node.text = std::string(index_.Text().substr(node.begin, node.end - node.begin));
    }
  }

  const TextIndex& index_;
  Findings& findings_;
  bool too_deep_ = false;
};

std::string SyntaxMessage(std::string_view why) {
  constexpr std::string_view kLead = "Error while parsing ";
  if (why.starts_with(kLead)) why.remove_prefix(kLead.size());
  const bool twice = why.find("cannot redefine") != std::string_view::npos;
  return fmt::format("not valid TOML: {}{}", Printable(why),
                     twice ? "; a key or table may be given only once" : "");
}

}  // namespace

bool RefuseTooLong(const TextIndex& index, Findings& findings) {
  if (index.Text().size() <= kMaxBytes) return false;
  findings.Add({.found = fmt::format("{} bytes", index.Text().size()),
                .message = fmt::format("the file is longer than the {} MB a document may have",
                                       kMaxBytes >> 20)});
  return true;
}

void RefuseTooDeep(std::size_t offset, Findings& findings) {
  findings.Add({.offset = offset,
                .message = fmt::format("nested more than {} levels deep; no field of a document "
                                       "lies that deep, so look for a bracket that is not closed",
                                       kMaxDepth)});
}

void RefuseTooMany(std::size_t offset, Findings& findings) {
  findings.Add({.offset = offset,
                .message = fmt::format("more than {} values; split the document", kMaxValues)});
}

std::optional<Node> TomlTree(const TextIndex& index, Findings& findings) {
  if (RefuseTooLong(index, findings)) return {};
  if (!NestingScan(index.Text()).Passes(findings)) return {};
  const toml::parse_result result = toml::parse(index.Text());
  Conversion conversion(index, findings);
  if (!result) {
    findings.Add({.offset = conversion.Offset(result.error().source().begin),
                  .message = SyntaxMessage(result.error().description())});
    return {};
  }
  Node root = conversion.Convert(result.table(), 0);
  if (conversion.TooDeep()) return {};
  return root;
}

}  // namespace steerbench
