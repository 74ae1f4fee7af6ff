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

}  // namespace steerbench
