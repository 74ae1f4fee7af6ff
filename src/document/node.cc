#include "document/node.h"

#include <algorithm>
#include <charconv>
#include <map>
#include <nlohmann/json.hpp>

#include "quantity/quoted.h"

namespace steerbench {
namespace {

// One mark per this many code points: a lookup walks over fewer than these.
constexpr std::size_t kStride = 64;
constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

bool StartsCodePoint(char c) { return (static_cast<unsigned char>(c) & 0xC0u) != 0x80u; }

bool SameTables(const Node& a, const Node& b) {
  if (a.members.size() != b.members.size()) return false;
  std::map<std::string_view, const Node*> others;
  for (const Member& m : b.members) others.emplace(m.key, &m.value);
  return std::all_of(a.members.begin(), a.members.end(), [&](const Member& m) {
    const auto other = others.find(m.key);
    return other != others.end() && SameValues(m.value, *other->second);
  });
}

}  // namespace

const Node* FindMember(const Node& table, std::string_view key) {
  for (const Member& m : table.members) {
    if (m.key == key) return &m.value;
  }
  return nullptr;
}

bool IsSectionList(const Node& node) {
  return node.type == Node::Type::kArray && !node.items.empty() &&
         node.items.front().type == Node::Type::kTable && !node.items.front().braces;
}

bool SameValues(const Node& a, const Node& b) {
  if (a.type != b.type) return false;
  switch (a.type) {
    case Node::Type::kTable:
      return SameTables(a, b);
    case Node::Type::kArray:
      return std::equal(a.items.begin(), a.items.end(), b.items.begin(), b.items.end(), SameValues);
    case Node::Type::kText:
    case Node::Type::kOther:
      return a.text == b.text;
    case Node::Type::kNumber:  // NaN is written the same and must count as the same
      return a.number == b.number || (a.number != a.number && b.number != b.number);
    case Node::Type::kTruth:
      return a.truth == b.truth;
  }
  return false;
}

TextIndex::TextIndex(std::string_view text) : text_(text) {
  const std::size_t first = text.substr(0, kByteOrderMark.size()) == kByteOrderMark ? 3 : 0;
  line_bytes_.push_back(first);
  line_points_.push_back(0);
  std::size_t points = 0;
  for (std::size_t i = first; i < text.size(); ++i) {
    if (!StartsCodePoint(text[i])) continue;
    if (points % kStride == 0) marks_.push_back(i);
    ++points;
    if (text[i] == '\n') {
      line_bytes_.push_back(i + 1);
      line_points_.push_back(points);
    }
  }
}

Place TextIndex::PlaceOf(std::size_t offset) const {
  const auto after = std::upper_bound(line_bytes_.begin(), line_bytes_.end(), offset);
  if (after == line_bytes_.begin()) return {1, 1};
  const auto line = static_cast<std::size_t>(after - line_bytes_.begin());
  return {line, PointsBefore(offset) - line_points_[line - 1] + 1};
}

// From the last mark before the offset, so that a long line costs no more than a short one.
std::size_t TextIndex::PointsBefore(std::size_t offset) const {
  offset = std::min(offset, text_.size());
  const auto after = std::lower_bound(marks_.begin(), marks_.end(), offset);
  if (after == marks_.begin()) return 0;
  const std::string_view walked = text_.substr(*(after - 1), offset - *(after - 1));
  const auto marks = static_cast<std::size_t>(after - marks_.begin());
  return (marks - 1) * kStride +
         static_cast<std::size_t>(std::count_if(walked.begin(), walked.end(), StartsCodePoint));
}

std::size_t TextIndex::OffsetOf(std::size_t line, std::size_t code_point) const {
  if (line == 0 || line > line_bytes_.size()) return text_.size();
  const std::size_t point = line_points_[line - 1] + (code_point == 0 ? 0 : code_point - 1);
  const std::size_t mark = point / kStride;
  if (mark >= marks_.size()) return text_.size();
  std::size_t offset = marks_[mark];
  for (std::size_t left = point % kStride; left > 0 && offset < text_.size(); --left) {
    ++offset;
    while (offset < text_.size() && !StartsCodePoint(text_[offset])) ++offset;
  }
  return offset;
}

std::string Printable(std::string_view text) {
  const std::string quoted = QuotedText(text);
  std::string out;
  for (std::size_t i = 1; i + 1 < quoted.size(); ++i) {
    // Only what cannot be shown stays escaped.
    const bool harmless = quoted[i] == '\\' && (quoted[i + 1] == '"' || quoted[i + 1] == '\\');
    if (harmless) ++i;
    out += quoted[i];
  }
  return out;
}

std::string Shortened(std::string_view text) {
  std::size_t keep = std::min(text.size(), kShownBytes);
  while (keep > 0 && keep < text.size() && !StartsCodePoint(text[keep])) --keep;
  return Printable(text.substr(0, keep)) + (keep < text.size() ? "…" : "");
}

std::string PathText(const Path& path) {
  std::string out;
  for (const PathStep& step : path) {
    if (step.IsIndex()) {
      out += "[" + std::to_string(step.index) + "]";
      continue;
    }
    if (!out.empty()) out += '.';
    out += KeyText(step.key);
  }
  return out;
}

namespace {

// Takes the quoted key at the start of `text`, or gives false.
bool TakeQuotedKey(std::string_view& text, std::string& key) {
  const char quote = text.front();
  std::size_t close = 1;
  while (close < text.size() && text[close] != quote) {
    close += quote == '"' && text[close] == '\\' ? 2u : 1u;
  }
  if (close >= text.size()) return false;
  const std::string_view inside = text.substr(1, close - 1);
  if (quote == '\'') {
    key = std::string(inside);
  } else {
    const auto read = nlohmann::json::parse(text.substr(0, close + 1), nullptr, false);
    if (!read.is_string()) return false;
    key = read.get<std::string>();
  }
  text.remove_prefix(close + 1);
  return true;
}

bool TakeKey(std::string_view& text, std::string& key) {
  if (text.empty()) return false;
  if (text.front() == '"' || text.front() == '\'') return TakeQuotedKey(text, key);
  std::size_t size = 0;
  while (size < text.size() && IsBareKeyByte(text[size])) ++size;
  key = std::string(text.substr(0, size));
  text.remove_prefix(size);
  return size > 0;
}

bool TakeIndex(std::string_view& text, std::size_t& index) {
  const char* const end = text.data() + text.size();
  const auto [after, error] = std::from_chars(text.data() + 1, end, index);
  if (error != std::errc{} || after == end || *after != ']' || index == PathStep::kNoIndex) {
    return false;
  }
  text.remove_prefix(static_cast<std::size_t>(after + 1 - text.data()));
  return true;
}

}  // namespace

Path ParsePath(std::string_view text) {
  Path path;
  for (bool first = true; first || !text.empty(); first = false) {
    PathStep step;
    if (!first && text.front() == '[') {
      if (!TakeIndex(text, step.index)) return {};
    } else {
      if (!first) {
        if (text.front() != '.') return {};
        text.remove_prefix(1);
      }
      if (!TakeKey(text, step.key)) return {};
    }
    path.push_back(std::move(step));
  }
  return path;
}

}  // namespace steerbench
