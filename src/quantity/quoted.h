// Names and texts as TOML writes them.
#pragma once

#include <string>
#include <string_view>

namespace steerbench {

// Whether a byte may stand in a key without quotes.
[[nodiscard]] bool IsBareKeyByte(char c);

// A key as TOML writes it: bare where it can be, else in double quotes.
[[nodiscard]] std::string KeyText(std::string_view key);

// A string as TOML and JSON both write it, in double quotes; broken UTF-8 becomes U+FFFD.
[[nodiscard]] std::string QuotedText(std::string_view text);

}  // namespace steerbench
