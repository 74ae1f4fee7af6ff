// A document as a tree of keys and values that remember where they stand in the text. Both TOML
// and JSON are read into it and written from it, so everything behind it knows neither.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace steerbench {

struct Member;

struct Node {
  enum class Type : std::uint8_t { kTable, kArray, kText, kNumber, kTruth, kOther };
  Type type = Type::kOther;
  bool braces = false;          // a table written as { ... }
  bool truth = false;           // of kTruth
  double number = 0.0;          // of kNumber
  std::size_t begin = 0;        // byte offset in the text; of a table with a header, its
  std::size_t end = 0;          // header's
  std::string text;             // of kText; of kNumber when written by a program
  std::vector<Member> members;  // of kTable, in the order of the text
  std::vector<Node> items;      // of kArray
};

struct Member {
  std::string key;
  std::size_t key_begin = 0;
  Node value;
};

// A list of tables that each stand under a header of their own.
[[nodiscard]] bool IsSectionList(const Node& node);

// The member of a table with a key; null when there is none.
[[nodiscard]] const Node* FindMember(const Node& table, std::string_view key);

// True when two trees hold the same keys and values, wherever and in whatever order they stand.
// Recurses as deep as the trees are, so they must be ones that passed the guard (kMaxDepth).
[[nodiscard]] bool SameValues(const Node& a, const Node& b);

// A place in a text; both count from one, the column in code points.
struct Place {
  std::size_t line = 0;
  std::size_t column = 0;
};

// Where lines and code points of a text lie. Looking up costs the logarithm of the text's length.
class TextIndex {
 public:
  explicit TextIndex(std::string_view text);

  [[nodiscard]] std::string_view Text() const { return text_; }
  [[nodiscard]] Place PlaceOf(std::size_t offset) const;
  // Byte offset of a code point of a line, both counted from one; clamped to the text.
  [[nodiscard]] std::size_t OffsetOf(std::size_t line, std::size_t code_point) const;

 private:
  [[nodiscard]] std::size_t PointsBefore(std::size_t offset) const;

  std::string_view text_;
  std::vector<std::size_t> line_bytes_;   // offset of each line's first byte
  std::vector<std::size_t> line_points_;  // code points before it
  std::vector<std::size_t> marks_;        // byte offset of every kStride-th code point
};

// A text made fit to show in one line: control bytes escaped, broken UTF-8 replaced.
[[nodiscard]] std::string Printable(std::string_view text);
// The same of at most the first `kShownBytes` bytes, with an ellipsis when there are more.
inline constexpr std::size_t kShownBytes = 60;
[[nodiscard]] std::string Shortened(std::string_view text);

// One step of a dotted path: a key, or the index of an item when `index` is not kNoIndex.
struct PathStep {
  static constexpr std::size_t kNoIndex = static_cast<std::size_t>(-1);
  std::string key;
  std::size_t index = kNoIndex;
  [[nodiscard]] bool IsIndex() const { return index != kNoIndex; }
};
using Path = std::vector<PathStep>;

// "car.front.obstacle[0].gap" and back. Reading gives an empty path when the text is no path.
[[nodiscard]] std::string PathText(const Path& path);
[[nodiscard]] Path ParsePath(std::string_view text);

}  // namespace steerbench
