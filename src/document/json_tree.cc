#include <fmt/core.h>

#include <algorithm>
#include <iterator>
#include <map>
#include <nlohmann/json.hpp>

#include "document/tree.h"

namespace steerbench {
namespace {

using nlohmann::json;

// What stands between the tokens of JSON that the builder wants to know the place of.
constexpr std::string_view kBetween = " \t\r\n,:]}";

// Hands bytes to the JSON library and counts them, because its events carry no places.
class CountingIterator {
 public:
  using iterator_category = std::input_iterator_tag;
  using value_type = char;
  using difference_type = std::ptrdiff_t;
  using pointer = const char*;
  using reference = const char&;

  CountingIterator(const char* at, std::size_t* taken) : at_(at), taken_(taken) {}
  reference operator*() const { return *at_; }
  CountingIterator& operator++() {
    ++at_;
    ++*taken_;
    return *this;
  }
  CountingIterator operator++(int) {
    CountingIterator old = *this;
    ++*this;
    return old;
  }
  bool operator==(const CountingIterator& other) const { return at_ == other.at_; }
  bool operator!=(const CountingIterator& other) const { return at_ != other.at_; }

 private:
  const char* at_;
  std::size_t* taken_;
};

// Builds the tree from the events of the library's parser, which itself does not recurse.
class TreeBuilder : public nlohmann::json_sax<json> {
 public:
  TreeBuilder(const TextIndex& index, const std::size_t& taken, Findings& findings)
      : text_(index.Text()), taken_(taken), findings_(findings) {}

  bool null() override { return Put({}); }
  bool boolean(bool value) override {
    Node node = NodeOf(Node::Type::kTruth);
    node.truth = value;
    return Put(std::move(node));
  }
  bool number_integer(number_integer_t value) override {
    return PutNumber(static_cast<double>(value));
  }
  bool number_unsigned(number_unsigned_t value) override {
    return PutNumber(static_cast<double>(value));
  }
  bool number_float(number_float_t value, const string_t&) override { return PutNumber(value); }
  bool string(string_t& value) override {
    Node node = NodeOf(Node::Type::kText);
    node.text = std::move(value);
    return Put(std::move(node));
  }
  bool binary(binary_t&) override { return false; }  // JSON text has none
  bool start_object(std::size_t) override { return Open(Node::Type::kTable); }
  bool start_array(std::size_t) override { return Open(Node::Type::kArray); }
  bool end_object() override { return Close(); }
  bool end_array() override { return Close(); }

  bool key(string_t& value) override {
    const std::size_t begin = TokenBegin();
    Level& level = open_.back();
    if (const auto [first, fresh] = level.keys.emplace(value, begin); !fresh) {
      findings_.Add({.offset = begin,
                     .found = Shortened(value),
                     .message = "this key is given twice in the same object; keep one of them",
                     .first = first->second});
    }
    level.node.members.push_back({std::move(value), begin, {}});
    return true;
  }

  bool parse_error(std::size_t position, const std::string&,
                   const json::exception& error) override {
    std::string_view why = error.what();
    // Drops "[json.exception...] parse error at line 1, column 2: ".
    why.remove_prefix(std::min(why.find("] "), why.size() - 2) + 2);
    if (why.starts_with("parse error")) why.remove_prefix(why.find(": ") + 2);
    findings_.Add(
        {.offset = position > 0 ? position - 1 : 0,
         .message = fmt::format("not valid JSON: {}{}", Printable(why), UnicodeHint(why))});
    return false;
  }

  std::optional<Node> root;

 private:
  struct Level {
    Node node;
    std::map<std::string, std::size_t> keys;  // and where each stands
  };

  static Node NodeOf(Node::Type type) {
    Node node;
    node.type = type;
    return node;
  }

  // The first byte of the token just read. Between the last token and this one stand only blanks
  // and separators; a number takes one of them with it.
  std::size_t TokenBegin() {
    const std::size_t begin = text_.find_first_not_of(kBetween, last_end_);
    last_end_ = taken_;
    return begin == std::string_view::npos ? text_.size() : begin;
  }

  bool PutNumber(double value) {
    Node node = NodeOf(Node::Type::kNumber);
    node.number = value;
    node.begin = TokenBegin();
    node.end = text_.find_last_not_of(kBetween, taken_ - 1) + 1;
    return Attach(std::move(node));
  }

  bool Put(Node node) {
    node.begin = TokenBegin();
    node.end = taken_;
    return Attach(std::move(node));
  }

  bool Attach(Node node) {
    if (++values_ > kMaxValues) {
      RefuseTooMany(node.begin, findings_);
      return false;
    }
    if (open_.empty()) {
      root = std::move(node);
    } else if (open_.back().node.type == Node::Type::kArray) {
      open_.back().node.items.push_back(std::move(node));
    } else {
      open_.back().node.members.back().value = std::move(node);
    }
    return true;
  }

  bool Open(Node::Type type) {
    Level level;
    level.node = NodeOf(type);
    level.node.braces = true;
    level.node.begin = TokenBegin();
    open_.push_back(std::move(level));
    if (open_.size() <= kMaxDepth) return true;
    RefuseTooDeep(open_.back().node.begin, findings_);
    return false;
  }

  bool Close() {
    Node node = std::move(open_.back().node);
    open_.pop_back();
    node.end = taken_;
    last_end_ = taken_;
    return Attach(std::move(node));
  }

  std::string_view text_;
  const std::size_t& taken_;
  Findings& findings_;
  std::vector<Level> open_;
  std::size_t last_end_ = 0;
  std::size_t values_ = 0;
};

}  // namespace

std::optional<Node> JsonTree(const TextIndex& index, Findings& findings) {
  if (RefuseTooLong(index, findings)) return {};
  const std::string_view text = index.Text();
  std::size_t taken = 0;
  TreeBuilder builder(index, taken, findings);
  const bool read = json::sax_parse(CountingIterator(text.data(), &taken),
                                    CountingIterator(text.data() + text.size(), &taken), &builder);
  if (!read || !builder.root) return {};
  if (builder.root->type == Node::Type::kTable) return std::move(builder.root);
  findings.Add({.offset = builder.root->begin,
                .found = Shortened(text.substr(builder.root->begin)),
                .message = "a document is one JSON object, { \"format\": 1, ... }"});
  return {};
}

}  // namespace steerbench
