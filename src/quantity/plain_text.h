// What people type, as plain ASCII wherever there is a plain equivalent. Internal.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace steerbench {

// Stands for "±", "+/-" and "+-". Control characters never come from outside, so it is free.
inline constexpr char kPlusMinus = '\x01';

// Text with every typographic form replaced: blanks by ' ', dashes by '-', products by '*',
// superscripts by ^n, fraction glyphs by " n/d", "°" by "deg ", primes by ' and ".
struct PlainText {
  std::string text;
  // For each byte of `text`, the bytes [begin, end) of the source it stands for.
  struct Span {
    std::size_t begin;
    std::size_t end;
  };
  std::vector<Span> source;
};

struct PlainTextResult {
  PlainText plain;
  std::string problem;     // empty when reading succeeded
  std::size_t column = 0;  // byte offset of the problem
};

// Errors: bytes that are not UTF-8; control characters other than tab and line ends, those that
// turn the direction of text included.
[[nodiscard]] PlainTextResult ToPlainText(std::string_view raw);

// The source bytes of plain.text[begin, end), begin < end.
[[nodiscard]] std::string_view SourceOf(const PlainText& plain, std::string_view raw,
                                        std::size_t begin, std::size_t end);

}  // namespace steerbench
