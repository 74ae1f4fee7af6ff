#include "quantity/quoted.h"

#include <algorithm>
#include <nlohmann/json.hpp>

namespace steerbench {

bool IsBareKeyByte(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
         c == '-';
}

std::string QuotedText(std::string_view text) {
  using nlohmann::json;
  // JSON's escapes are a subset of TOML's; only DEL may stand bare in JSON but not in TOML.
  const std::string quoted =
      json(std::string(text)).dump(-1, ' ', false, json::error_handler_t::replace);
  std::string out;
  for (const char c : quoted) {
    if (c == '\x7F') {
      out += "\\u007f";
    } else {
      out += c;
    }
  }
  return out;
}

std::string KeyText(std::string_view key) {
  const bool bare = !key.empty() && std::all_of(key.begin(), key.end(), IsBareKeyByte);
  return bare ? std::string(key) : QuotedText(key);
}

}  // namespace steerbench
