#include "server/target.h"

#include <algorithm>
#include <charconv>

namespace steerbench::server {
namespace {

std::string Unescaped(std::string_view text, bool plus_is_blank) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    unsigned char byte = 0;
    const char* const digits = text.data() + i + 1;
    const bool escape = text[i] == '%' && i + 2 < text.size() &&
                        std::from_chars(digits, digits + 2, byte, 16).ptr == digits + 2;
    if (escape) i += 2;
    out += escape ? static_cast<char>(byte) : plus_is_blank && text[i] == '+' ? ' ' : text[i];
  }
  return out;
}

// What stands before the first of a sign, which goes with it.
std::string_view TakeUntil(std::string_view& text, char sign) {
  const std::size_t at = std::min(text.find(sign), text.size());
  const std::string_view before = text.substr(0, at);
  text.remove_prefix(std::min(at + 1, text.size()));
  return before;
}

}  // namespace

std::string PathOf(std::string_view target) { return Unescaped(TakeUntil(target, '?'), false); }

std::map<std::string, std::string> QueryOf(std::string_view target) {
  std::map<std::string, std::string> query;
  TakeUntil(target, '?');
  while (!target.empty()) {
    std::string_view value = TakeUntil(target, '&');
    if (value.empty()) continue;
    const std::string name = Unescaped(TakeUntil(value, '='), true);
    query.emplace(name, Unescaped(value, true));
  }
  return query;
}

std::string Lower(std::string_view text) {
  std::string out(text);
  std::ranges::transform(out, out.begin(), [](char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c;
  });
  return out;
}

}  // namespace steerbench::server
