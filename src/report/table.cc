#include "report/table.h"

#include <algorithm>
#include <cstddef>

#include "report/ink.h"

namespace steerbench {
namespace {

constexpr std::string_view kNoBreak = "\u00a0";

// Most figures stay on one line in that many columns, and three of them go on a page.
constexpr std::size_t kWidestLabel = 26, kWidestCell = 20, kGap = 2;

std::vector<std::string> Pieces(const std::string& cell, std::size_t width) {
  std::vector<std::string> pieces;
  for (std::string rest = Wrap(cell, width, 0); !rest.empty();) {
    const std::size_t end = rest.find('\n');
    pieces.push_back(rest.substr(0, end));
    rest.erase(0, end + 1);
  }
  return pieces;
}

void AddWrapped(const std::vector<std::vector<std::string>>& cells, Table& table) {
  std::size_t height = 0;
  for (const auto& cell : cells) height = std::max(height, cell.size());
  for (std::size_t at = 0; at < height; ++at) {
    std::vector<std::string> row;
    for (const auto& cell : cells) row.push_back(at < cell.size() ? cell[at] : "");
    table.Add(std::move(row));
  }
}

}  // namespace

std::size_t Width(std::string_view utf8) {
  // Continuation bytes of UTF-8 are 10xxxxxx.
  return static_cast<std::size_t>(
      std::ranges::count_if(utf8, [](char c) { return (c & 0xC0) != 0x80; }));
}

std::string PadRight(std::string_view text, std::size_t width) {
  return std::string(text) + std::string(width > Width(text) ? width - Width(text) : 0, ' ');
}

std::string PadLeft(std::string_view text, std::size_t width) {
  return std::string(width > Width(text) ? width - Width(text) : 0, ' ') + std::string(text);
}

std::string Wrap(std::string_view text, std::size_t width, std::size_t indent) {
  std::string out, line;
  const auto flush = [&] {
    for (std::size_t at; (at = line.find(kNoBreak)) != std::string::npos;) {
      line.replace(at, kNoBreak.size(), " ");
    }
    if (!line.empty()) out += std::string(indent, ' ') + line + "\n";
    line.clear();
  };
  while (!text.empty()) {
    const std::size_t blank = text.find(' ');
    const std::string_view word = text.substr(0, blank);
    if (!line.empty() && Width(line) + 1 + Width(word) > width) flush();
    line += (line.empty() ? "" : " ") + std::string(word);
    text = blank == std::string_view::npos ? std::string_view{} : text.substr(blank + 1);
  }
  flush();
  return out;
}

std::string Table::Set(std::size_t indent) const {
  std::vector<std::size_t> width;
  for (const auto& row : rows_) {
    width.resize(std::max(width.size(), row.size()), 0);
    for (std::size_t i = 0; i < row.size(); ++i) width[i] = std::max(width[i], Width(row[i]));
  }
  std::string out;
  for (const auto& row : rows_) {
    std::string line(indent, ' ');
    for (std::size_t i = 0; i < row.size(); ++i) {
      line += i == 0 ? PadRight(row[i], width[i]) : "  " + PadLeft(row[i], width[i]);
    }
    out += line.substr(0, line.find_last_not_of(' ') + 1) + "\n";
  }
  return out;
}

void WideTable::Add(const std::string& label, const std::vector<std::string>& cells) {
  std::vector<std::string> row{label};
  row.insert(row.end(), cells.begin(), cells.end());
  rows_.push_back(std::move(row));
}

// What a column is wide, its longer cells wrapped.
std::size_t WideTable::WidthOf(std::size_t column) const {
  const std::size_t most = column == 0 ? kWidestLabel : kWidestCell;
  std::size_t width = 0;
  const auto widen = [&width](const std::string& cell, std::size_t at) {
    for (const std::string& piece : Pieces(cell, at)) width = std::max(width, Width(piece));
  };
  for (std::size_t i = 1; i < rows_.size(); ++i) widen(rows_[i][column], most);
  widen(rows_.front()[column], width);
  return width;
}

// As many columns from `first` on as a page is wide for, and at least one; moves `first` on.
std::string WideTable::Block(std::size_t& first, std::size_t page, std::size_t indent) const {
  const std::size_t columns = rows_.front().size();
  std::size_t width = indent + WidthOf(0), end = first;
  do {
    width += kGap + WidthOf(end++);
  } while (end < columns && width + kGap + WidthOf(end) <= page);
  Table table;
  for (const auto& row : rows_) {
    std::vector<std::vector<std::string>> cells{Pieces(row[0], kWidestLabel)};
    for (std::size_t i = first; i < end; ++i) cells.push_back(Pieces(row[i], WidthOf(i)));
    AddWrapped(cells, table);
  }
  first = end;
  return table.Set(indent);
}

std::string WideTable::Set(std::size_t page, std::size_t indent) const {
  std::string out;
  for (std::size_t first = 1; !rows_.empty() && first < rows_.front().size();) {
    out += (out.empty() ? "" : "\n") + Block(first, page, indent);
  }
  return out;
}

}  // namespace steerbench
