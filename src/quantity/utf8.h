// Code points of a text in UTF-8.
#pragma once

#include <cstddef>
#include <string_view>

namespace steerbench {

struct CodePoint {
  char32_t value;
  std::size_t length;  // in bytes; 0 when the bytes are not UTF-8
};

// The code point that bytes begin with; refuses overlong forms, surrogates and values above
// U+10FFFF (RFC 3629, 2003). Pre: not empty.
[[nodiscard]] CodePoint Decode(std::string_view bytes);

// ASCII and C1 controls, and those that turn the direction of text: a message that repeats them
// could garble a terminal or show another text than there is.
[[nodiscard]] bool IsControl(char32_t c);

// Whether a text holds one, line breaks and tabs aside.
[[nodiscard]] bool HasControl(std::string_view text);

}  // namespace steerbench
