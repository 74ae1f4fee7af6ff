#include "cli/range.h"

#include <fmt/format.h>

#include <charconv>

#include "engine/evaluate/sweep.h"
#include "quantity/trimmed.h"

namespace steerbench::cli {
namespace {

constexpr int kUsualSteps = 11;

Range Fail(std::string_view text, std::string_view why) {
  return {
      {},
      fmt::format(R"('{}': {} A range is e.g. "-70 mm .. 70 mm in 15" or "10 mm".)", text, why)};
}

}  // namespace

Range ParseRange(std::string_view text, Kind kind) {
  std::string_view bounds = text;
  int count = kUsualSteps;
  if (const auto at = text.rfind(" in "); at != std::string_view::npos) {
    const std::string_view number = Trimmed(text.substr(at + 4), " ");
    const auto [end, error] = std::from_chars(number.data(), number.data() + number.size(), count);
    if (error == std::errc{} && end == number.data() + number.size()) {
      bounds = text.substr(0, at);
    } else {
      count = kUsualSteps;  // "in" was the unit inch
    }
  }
  if (count < 1 || count > kMostSteps) {
    return Fail(text, fmt::format("the number of values must be 1 to {}.", kMostSteps));
  }
  const auto dots = bounds.find("..");
  const ParsedQuantity first = ParseQuantity(Trimmed(bounds.substr(0, dots), " "), kind);
  if (!first.quantity) return Fail(text, first.error.message);
  if (dots == std::string_view::npos) return {{first.quantity->value}, {}};
  const ParsedQuantity last = ParseQuantity(Trimmed(bounds.substr(dots + 2), " "), kind);
  if (!last.quantity) return Fail(text, last.error.message);
  return {EvenGrid(first.quantity->value, last.quantity->value, count), {}};
}

}  // namespace steerbench::cli
