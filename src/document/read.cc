#include "document/read.h"

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <cmath>

#include "document/fields.h"
#include "document/shape.h"
#include "document/tree.h"
#include "quantity/utf8.h"

namespace steerbench {
namespace {

using std::string_literals::operator""s;

constexpr std::string_view kNoControl =
    "control characters have no place in a text or a name: leave them out";

constexpr std::string_view kFormatKey = "format";
constexpr double kFormat = 1;

template <class T>
KnownWords KeysKnown() {
  static const KnownWords keys = std::make_shared<const std::vector<std::string>>(KeysOf<T>());
  return keys;
}

KnownWords DocumentKeys() {
  auto keys = std::make_shared<std::vector<std::string>>(KeysOf<Document>());
  keys->emplace_back(kFormatKey);
  return keys;
}

// A value written as a table, { value = "8 mm", tolerance = "0.1 mm", from = "measured" }.
struct Stated {
  const Node* value = nullptr;
  const Node* tolerance = nullptr;
  Origin origin = Origin::kUnstated;
  std::string note;
};

class Reader {
 public:
  Reader(const TextIndex& index, Findings& findings) : index_(index), findings_(findings) {}

  Document ReadRoot(const Node& root) {
    Document document;
    const Node* format = FindMember(root, kFormatKey);
    CheckFormat(format);
    ReadFields(root, document, DocumentKeys(), kFormatKey);
    return document;
  }

 private:
  // ---- Structure -----------------------------------------------------------------------------

  template <Described T>
  bool ReadValue(const Node& node, const FieldInfo&, T& out) {
    if (node.type != Node::Type::kTable) return Wrong(node, "a table of fields is expected here");
    ReadFields(node, out, KeysKnown<T>(), {});
    return true;
  }

  // `taken` is the key of a member already dealt with.
  template <Described T>
  void ReadFields(const Node& node, T& out, const KnownWords& keys, std::string_view taken) {
    std::vector<bool> known(node.members.size(), false);
    T::Visit(
        [&](const FieldInfo& info, auto& field) {
          for (std::size_t i = 0; i < node.members.size(); ++i) {
            if (node.members[i].key != info.key) continue;
            known[i] = true;
            Under({std::string(info.key)}, [&] { ReadValue(node.members[i].value, info, field); });
          }
        },
        out);
    for (std::size_t i = 0; i < node.members.size(); ++i) {
      const Member& m = node.members[i];
      if (known[i] || (!taken.empty() && m.key == taken)) continue;
      Under({m.key}, [&] { Unknown(m, keys); });
    }
  }

  template <class T>
  bool ReadValue(const Node& node, const FieldInfo& info, std::optional<T>& out) {
    T value{};
    if (!ReadValue(node, info, value)) return false;
    out = std::move(value);
    return true;
  }

  template <class T>
  bool ReadValue(const Node& node, const FieldInfo& info, Named<T>& out) {
    if (node.type != Node::Type::kTable) {
      return Wrong(node, fmt::format("each of these has a name: write [{}.some-name]", info.key));
    }
    for (const Member& m : node.members) {
      out.emplace_back(m.key, T{});
      Under({m.key}, [&] {
        if (m.key.empty()) WrongAt(m.key_begin, "\"\"", "it needs a name to be chosen by");
        if (HasControl(m.key)) WrongAt(m.key_begin, Shortened(m.key), kNoControl);
        ReadValue(m.value, info, out.back().second);
      });
    }
    return true;
  }

  template <class T>
  bool ReadValue(const Node& node, const FieldInfo& info, std::vector<T>& out) {
    if (node.type != Node::Type::kArray) {
      return Wrong(node, Described<T> ? fmt::format("there can be several of these: write [[{}]], "
                                                    "in double brackets, above each",
                                                    PathText(path_))
                                      : "a list in square brackets is expected here"s);
    }
    for (std::size_t i = 0; i < node.items.size(); ++i) {
      out.emplace_back();
      Under({{}, i}, [&] { ReadValue(node.items[i], info, out.back()); });
    }
    return true;
  }

  // ---- Words ---------------------------------------------------------------------------------

  bool ReadValue(const Node& node, const FieldInfo&, std::string& out) {
    if (node.type != Node::Type::kText) return Wrong(node, "a text in quotes is expected here");
    if (HasControl(node.text)) {
      return Wrong(node, kNoControl);
    }
    out = node.text;
    return true;
  }

  bool ReadValue(const Node& node, const FieldInfo&, bool& out) {
    if (node.type != Node::Type::kTruth) {
      return Wrong(node, "true or false, without quotes, is expected here");
    }
    out = node.truth;
    return true;
  }

  template <class E>
  requires std::is_enum_v<E>
  bool ReadValue(const Node& node, const FieldInfo&, E& out) {
    constexpr auto& words = Words<E>::value;
    if (node.type == Node::Type::kText) {
      for (std::size_t i = 0; i < words.size(); ++i) {
        if (node.text != words[i]) continue;
        out = static_cast<E>(i);
        return true;
      }
    }
    return WrongWord(node, {words.begin(), words.end()});
  }

  bool WrongWord(const Node& node, std::vector<std::string> words) {
    const std::string message =
        fmt::format("one of \"{}\" is expected here", fmt::join(words, "\", \""));
    const bool text = node.type == Node::Type::kText;
    findings_.Add({node.begin, PathText(path_), Found(node), message, text ? node.text : "",
                   std::make_shared<const std::vector<std::string>>(std::move(words))});
    return false;
  }

  // ---- Quantities ----------------------------------------------------------------------------

  bool ReadValue(const Node& node, const FieldInfo& info, Quantity& out) {
    Stated stated;
    if (!ReadStated(node, stated)) return false;
    return ReadQuantity(stated, info, out);
  }

  bool ReadValue(const Node& node, const FieldInfo& info, Point<Quantity>& out) {
    Stated stated;
    if (!ReadStated(node, stated)) return false;
    if (stated.value->type == Node::Type::kArray) return ReadComponents(stated, info, out);
    if (stated.value->type != Node::Type::kText) return WrongPoint(*stated.value);
    std::string text;
    if (!CombinedText(stated, text)) return false;
    const ParsedVector parsed = ParseVector(text, info.kind);
    if (parsed.components.size() != out.size()) return WrongText(stated, parsed.error);
    for (std::size_t i = 0; i < out.size(); ++i) {
      out[i] = parsed.components[i];
      Label(stated, info, out[i]);
    }
    return true;
  }

  bool WrongPoint(const Node& node) {
    return Wrong(node,
                 "a point is three lengths in one text, \"(12, -655.5, 195) mm ± 1 mm\": "
                 "forward, left, up; or a list of three texts");
  }

  bool ReadComponents(const Stated& stated, const FieldInfo& info, Point<Quantity>& out) {
    const std::vector<Node>& items = stated.value->items;
    if (items.size() != out.size()) return WrongPoint(*stated.value);
    bool whole = true;
    for (std::size_t i = 0; i < out.size(); ++i) {
      Under({{}, i}, [&] {
        Stated own;
        if (!ReadStated(items[i], own)) {
          whole = false;
          return;
        }
        if (own.tolerance == nullptr) own.tolerance = stated.tolerance;
        if (own.origin == Origin::kUnstated) own.origin = stated.origin;
        if (own.note.empty()) own.note = stated.note;
        whole = ReadQuantity(own, info, out[i]) && whole;
      });
    }
    return whole;
  }

  bool ReadQuantity(const Stated& stated, const FieldInfo& info, Quantity& out) {
    const Node& value = *stated.value;
    if (value.type != Node::Type::kText && value.type != Node::Type::kNumber) {
      return Wrong(value, fmt::format("{} is expected here, such as \"{}\"", KindName(info.kind),
                                      KindExample(info.kind)));
    }
    if (value.type == Node::Type::kNumber && !MayBeBare(info.kind)) {
      return Wrong(value, fmt::format("a number alone does not say its unit; write {} as \"{}\"",
                                      KindName(info.kind), KindExample(info.kind)));
    }
    std::string text;
    if (!CombinedText(stated, text)) return false;
    const ParsedQuantity parsed = ParseQuantity(text, info.kind);
    if (!parsed.quantity) return WrongText(stated, parsed.error);
    out = *parsed.quantity;
    Label(stated, info, out);
    return CheckRange(value, info, out);
  }

  // Origin and note, which stand beside the text of a value.
  static void Label(const Stated& stated, const FieldInfo& info, Quantity& out) {
    out.kind = info.kind;
    out.origin = stated.origin;
    out.note = stated.note;
  }

  bool CheckRange(const Node& node, const FieldInfo& info, const Quantity& q) {
    if (Allows(info.range, q.value)) return true;
    return Wrong(node,
                 fmt::format("'{}' ({}) must be {}", info.key, info.help, Describe(info.range)));
  }

  static bool HasText(const Node& node) {
    return node.type == Node::Type::kText || node.type == Node::Type::kNumber;
  }

  static std::string TextOf(const Node& node) {
    return node.type == Node::Type::kNumber ? fmt::format("{}", node.number) : node.text;
  }

  // The value with its plus-minus as one text, as a user would have written it in one.
  bool CombinedText(const Stated& stated, std::string& text) {
    text = TextOf(*stated.value);
    if (stated.tolerance == nullptr) return true;
    if (!HasText(*stated.tolerance)) {
      return Wrong(*stated.tolerance, "a plus-minus is a text such as \"0.1 mm\"");
    }
    if (text.find("±") != std::string::npos || text.find("+/-") != std::string::npos) {
      return Wrong(*stated.tolerance, "the value has a plus-minus of its own; keep one of the two");
    }
    text += kPlusMinus;
    text += TextOf(*stated.tolerance);
    return true;
  }

  // Points at the very byte where reading failed, when the text stands in the file as it is.
  bool WrongText(const Stated& stated, const QuantityError& error) {
    const std::size_t split = TextOf(*stated.value).size() + kPlusMinus.size();
    const bool in_tolerance = stated.tolerance != nullptr && error.column >= split;
    const Node& node = in_tolerance ? *stated.tolerance : *stated.value;
    const std::size_t column = in_tolerance ? error.column - split : error.column;
    std::size_t offset = node.begin;
    const std::string_view raw = index_.Text().substr(std::min(offset + 1, index_.Text().size()));
    if (node.type == Node::Type::kText && raw.starts_with(node.text)) {
      offset += 1 + std::min(column, node.text.size());
    }
    return WrongAt(offset, Found(node), error.message);
  }

  bool ReadStated(const Node& node, Stated& out) {
    out.value = &node;
    if (node.type != Node::Type::kTable) return true;
    static const KnownWords keys = std::make_shared<const std::vector<std::string>>(
        std::vector<std::string>{"value", "tolerance", "from", "note"});
    out.value = nullptr;
    bool good = true;
    for (const Member& m : node.members) {
      Under({m.key}, [&] { good = ReadStatedMember(m, keys, out) && good; });
    }
    if (out.value != nullptr) return good;
    return Wrong(node,
                 "a value written as a table needs its 'value', as in "
                 "{ value = \"8 mm\", tolerance = \"0.1 mm\", from = \"measured\" }");
  }

  bool ReadStatedMember(const Member& m, const KnownWords& keys, Stated& out) {
    if (m.key == "value") {
      out.value = &m.value;
    } else if (m.key == "tolerance") {
      out.tolerance = &m.value;
    } else if (m.key == "note") {
      return ReadValue(m.value, {}, out.note);
    } else if (m.key == "from") {
      return ReadOrigin(m.value, out.origin);
    } else {
      Unknown(m, keys);
      return false;
    }
    return true;
  }

  bool ReadOrigin(const Node& node, Origin& out) {
    if (node.type == Node::Type::kText) {
      if (const auto origin = ParseOrigin(node.text)) {
        out = *origin;
        return true;
      }
    }
    std::vector<std::string> words;
    for (const Origin o : {Origin::kMeasured, Origin::kDrawing, Origin::kManual, Origin::kSeller,
                           Origin::kGuess, Origin::kTypical}) {
      words.emplace_back(OriginName(o));
    }
    return WrongWord(node, std::move(words));
  }

  // ---- Complaints ----------------------------------------------------------------------------

  void CheckFormat(const Node* format) {
    constexpr std::string_view kHow = "a document says which format it has: format = 1";
    if (format == nullptr) {
      findings_.Add({.offset = 0, .field = std::string(kFormatKey), .message = std::string(kHow)});
    } else if (format->type != Node::Type::kNumber || format->number != kFormat) {
      Under({std::string(kFormatKey)},
            [&] { Wrong(*format, fmt::format("{}, the only one this program reads", kHow)); });
    }
  }

  void Unknown(const Member& m, const KnownWords& keys) {
    findings_.Add({.offset = m.key_begin,
                   .field = PathText(path_),
                   .found = Shortened(m.key),
                   .message = fmt::format("unknown key '{}'", Shortened(m.key)),
                   .wanted = m.key,
                   .known = keys,
                   .list_known = true});
  }

  [[nodiscard]] std::string Found(const Node& node) const {
    if (node.type == Node::Type::kTable) return "a table";
    return Shortened(index_.Text().substr(node.begin, node.end - node.begin));
  }

  bool Wrong(const Node& node, std::string_view message) {
    return WrongAt(node.begin, Found(node), message);
  }

  bool WrongAt(std::size_t offset, std::string found, std::string_view message) {
    findings_.Add({.offset = offset,
                   .field = PathText(path_),
                   .found = std::move(found),
                   .message = std::string(message)});
    return false;
  }

  template <class F>
  void Under(PathStep step, F&& f) {
    path_.push_back(std::move(step));
    f();
    path_.pop_back();
  }

  static constexpr std::string_view kPlusMinus = " ± ";

  const TextIndex& index_;
  Findings& findings_;
  Path path_;
};

ReadResult Read(std::string_view text,
                std::optional<Node> (*tree_of)(const TextIndex&, Findings&)) {
  const TextIndex index(text.substr(0, kMaxBytes + 1));
  Findings findings;
  ReadResult result;
  if (const std::optional<Node> root = tree_of(index, findings)) {
    result.document = DocumentFromTree(*root, index, findings);
    CheckMeaning(result.document, *root, findings);
    CheckComplete(result.document, *root, findings);
  }
  result.problems = findings.ToProblems(index);
  return result;
}

}  // namespace

Document DocumentFromTree(const Node& root, const TextIndex& index, Findings& findings) {
  Document document = Reader(index, findings).ReadRoot(root);
  return document;
}

ReadResult ReadToml(std::string_view text) { return Read(text, TomlTree); }
ReadResult ReadJson(std::string_view text) { return Read(text, JsonTree); }

}  // namespace steerbench
