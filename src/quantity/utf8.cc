#include "quantity/utf8.h"

#include <cstdint>

namespace steerbench {

CodePoint Decode(std::string_view bytes) {
  const auto byte = [&](std::size_t i) { return static_cast<std::uint8_t>(bytes[i]); };
  const std::uint8_t lead = byte(0);
  if (lead < 0x80) return {lead, 1};
  const std::size_t length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
  if (lead < 0xC2 || lead > 0xF4 || bytes.size() < length) return {0, 0};
  char32_t value = lead & (0xFFU >> (length + 1));
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(i) & 0xC0) != 0x80) return {0, 0};
    value = (value << 6) | (byte(i) & 0x3FU);
  }
  constexpr char32_t kSmallest[] = {0, 0, 0x80, 0x800, 0x10000};
  const bool surrogate = value >= 0xD800 && value <= 0xDFFF;
  if (value < kSmallest[length] || surrogate || value > 0x10FFFF) return {0, 0};
  return {value, length};
}

bool IsControl(char32_t c) {
  return c < 0x20 || (c >= 0x7F && c < 0xA0) || (c >= 0x202A && c <= 0x202E) ||
         (c >= 0x2066 && c <= 0x2069);
}

bool HasControl(std::string_view text) {
  while (!text.empty()) {
    const CodePoint c = Decode(text);
    if (c.length > 0 && IsControl(c.value) && c.value != '\n' && c.value != '\t') return true;
    text.remove_prefix(c.length > 0 ? c.length : 1);
  }
  return false;
}

}  // namespace steerbench
