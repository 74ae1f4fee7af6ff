// How reports for people are set: weight, colour, width. Internal to report.
#pragma once

#include <fmt/format.h>

#include <string>
#include <string_view>

#include "engine/limits/margin.h"

namespace steerbench {

inline constexpr std::size_t kPage = 92;  // columns of running text

// Weight and colour, only ever beside a word that says the same.
class Ink {
 public:
  explicit Ink(bool terminal) : on_(terminal) {}
  std::string Bold(std::string_view text) const { return Wrapped("1", text); }
  std::string Quiet(std::string_view text) const { return Wrapped("2", text); }
  std::string Of(limits::Status status, std::string_view text) const {
    switch (status) {
      case limits::Status::kExceeded:
        return Wrapped("1;31", text);
      case limits::Status::kClose:
        return Wrapped("1;33", text);
      case limits::Status::kUnknown:
        return Wrapped("2", text);
      case limits::Status::kHolds:
        break;
    }
    return std::string(text);
  }

 private:
  std::string Wrapped(std::string_view code, std::string_view text) const {
    return on_ ? fmt::format("\x1b[{}m{}\x1b[0m", code, text) : std::string(text);
  }
  bool on_;
};

// A status as it stands in a column: a sign and a word.
[[nodiscard]] inline std::string Word(limits::Status status) {
  switch (status) {
    case limits::Status::kExceeded:
      return "✗ EXCEEDED";
    case limits::Status::kClose:
      return "! close";
    case limits::Status::kHolds:
      return "✓ holds";
    case limits::Status::kUnknown:
      break;
  }
  return "? unknown";
}

}  // namespace steerbench
