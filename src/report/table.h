// Text set in columns, for a terminal or a pipe. Internal to report.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace steerbench {

// Columns that a text takes on a terminal: its code points (no wide characters are printed).
[[nodiscard]] std::size_t Width(std::string_view utf8);
[[nodiscard]] std::string PadRight(std::string_view text, std::size_t width);
[[nodiscard]] std::string PadLeft(std::string_view text, std::size_t width);

// Breaks a text into lines of at most `width` columns, each behind `indent` blanks. At a no-break
// blank (U+00A0) it is not broken; a plain one comes out.
[[nodiscard]] std::string Wrap(std::string_view text, std::size_t width, std::size_t indent);

// Rows of cells set flush, the first column to the left and the others to the right.
class Table {
 public:
  void Add(std::vector<std::string> cells) { rows_.push_back(std::move(cells)); }
  bool empty() const { return rows_.empty(); }
  std::size_t Size() const { return rows_.size(); }
  // The rows, each behind `indent` blanks and ended by a newline.
  [[nodiscard]] std::string Set(std::size_t indent) const;

 private:
  std::vector<std::vector<std::string>> rows_;
};

// A label and cells in each row, wrapped where they are long; the first row is the head, and no
// wider than what stands below it. Columns that a page is not wide enough for stand in blocks below
// each other, the labels again before each.
class WideTable {
 public:
  void Add(const std::string& label, const std::vector<std::string>& cells);
  // The rows, each behind `indent` blanks and ended by a newline.
  [[nodiscard]] std::string Set(std::size_t page, std::size_t indent = 0) const;

 private:
  std::size_t WidthOf(std::size_t column) const;
  std::string Block(std::size_t& first, std::size_t page, std::size_t indent) const;

  std::vector<std::vector<std::string>> rows_;  // a label, then the cells
};

}  // namespace steerbench
