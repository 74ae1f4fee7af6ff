// Numbers as builders write them. Internal.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace steerbench {

struct NumberResult {
  double value = 0.0;
  bool whole = false;   // digits only, so more may follow: 33° 30', 5' 8"
  std::size_t end = 0;  // offset after the number
  std::string problem;  // empty when reading succeeded; `end` is then where it failed
};

// Reads an unsigned number that starts at text[at]: "117.5", "8.5e-3", "8.5 * 10^-3", "5/8",
// "4 5/8", "4-5/8". Errors: no digit, too large or small for a double, a comma, a zero
// denominator, a mixed fraction of one or more. Never yields a value that is not finite.
[[nodiscard]] NumberResult ReadNumber(std::string_view text, std::size_t at);

[[nodiscard]] bool IsDigit(char c);
[[nodiscard]] std::size_t SkipBlanks(std::string_view text, std::size_t at);

}  // namespace steerbench
