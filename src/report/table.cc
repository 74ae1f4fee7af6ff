#include "report/table.h"

#include <algorithm>

namespace steerbench {
namespace {

constexpr std::string_view kNoBreak = "\u00a0";

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

}  // namespace steerbench
