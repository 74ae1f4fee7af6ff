#include "quantity/number.h"

#include <charconv>
#include <cmath>
#include <optional>
#include <system_error>

#include <fmt/format.h>

namespace steerbench {
namespace {

bool DigitAt(std::string_view text, std::size_t at) {
  return at < text.size() && IsDigit(text[at]);
}

NumberResult Failure(std::string problem, std::size_t at) {
  return {.value = 0.0, .whole = false, .end = at, .problem = std::move(problem)};
}

// Locale-independent, and reads neither "inf" nor hexadecimal since a digit must come first.
NumberResult ReadDecimal(std::string_view text, std::size_t at) {
  if (!DigitAt(text, at) && !(at < text.size() && text[at] == '.' && DigitAt(text, at + 1))) {
    return Failure("no number found", at);
  }
  NumberResult result;
  const char* const end = text.data() + text.size();
  const auto [stop, error] = std::from_chars(text.data() + at, end, result.value);
  if (error != std::errc{}) return Failure("the number is too large or too small", at);
  result.end = static_cast<std::size_t>(stop - text.data());
  const std::string_view read = text.substr(at, result.end - at);
  result.whole = read.find_first_not_of("0123456789") == std::string_view::npos;
  return result;
}

struct Whole {
  double value;
  std::size_t end;
};

std::optional<Whole> ReadWhole(std::string_view text, std::size_t at) {
  if (!DigitAt(text, at)) return std::nullopt;
  const NumberResult number = ReadDecimal(text, at);
  if (!number.problem.empty() || !number.whole) return std::nullopt;
  return Whole{number.value, number.end};
}

// The "/8" of a fraction whose numerator has just been read.
std::optional<Whole> ReadDenominator(std::string_view text, std::size_t at) {
  at = SkipBlanks(text, at);
  if (at >= text.size() || text[at] != '/') return std::nullopt;
  return ReadWhole(text, SkipBlanks(text, at + 1));
}

NumberResult Divide(double whole_part, Whole numerator, Whole denominator) {
  if (denominator.value == 0.0)
    return Failure("the fraction has a zero denominator", denominator.end);
  return {.value = whole_part + numerator.value / denominator.value,
          .whole = false,
          .end = denominator.end,
          .problem = {}};
}

// The " 5/8" or "-5/8" of a mixed fraction; unset when what follows is none.
std::optional<NumberResult> ReadMixedPart(std::string_view text, double whole_part,
                                          std::size_t at) {
  const bool dash = at < text.size() && text[at] == '-';
  const std::size_t start = dash ? at + 1 : SkipBlanks(text, at);
  if (start == at) return std::nullopt;
  const auto numerator = ReadWhole(text, start);
  if (!numerator) return std::nullopt;
  const auto denominator = ReadDenominator(text, numerator->end);
  if (!denominator) return std::nullopt;
  if (denominator->value != 0.0 && numerator->value >= denominator->value) {
    return Failure("the fraction after the whole number is not less than one", start);
  }
  return Divide(whole_part, *numerator, *denominator);
}

// The "* 10^-3" of scientific notation; leaves `number` as it is when none follows.
NumberResult ReadPowerOfTen(std::string_view text, NumberResult number) {
  constexpr std::string_view kTen = "10^";
  std::size_t at = SkipBlanks(text, number.end);
  if (at >= text.size() || text[at] != '*') return number;
  at = SkipBlanks(text, at + 1);
  if (text.substr(at, kTen.size()) != kTen) return number;
  at += kTen.size();
  const bool negative = at < text.size() && text[at] == '-';
  const auto exponent = ReadWhole(text, negative ? at + 1 : at);
  if (!exponent) return number;
  // Read again as one decimal, so that 8.5 * 10^-3 is the same double as 8.5e-3.
  const std::string again =
      fmt::format("{}e{}{:.0f}", number.value, negative ? "-" : "", exponent->value);
  const NumberResult read = ReadDecimal(again, 0);
  if (!read.problem.empty() || read.end != again.size()) {
    return Failure("the number is too large or too small", number.end);
  }
  return {.value = read.value, .whole = false, .end = exponent->end, .problem = {}};
}

NumberResult ReadUnchecked(std::string_view text, std::size_t at) {
  const NumberResult number = ReadDecimal(text, at);
  if (!number.problem.empty()) return number;
  if (number.whole) {
    const Whole numerator{number.value, number.end};
    if (const auto denominator = ReadDenominator(text, number.end)) {
      return Divide(0.0, numerator, *denominator);
    }
    if (const auto mixed = ReadMixedPart(text, number.value, number.end)) return *mixed;
  }
  return ReadPowerOfTen(text, number);
}

}  // namespace

bool IsDigit(char c) { return c >= '0' && c <= '9'; }

std::size_t SkipBlanks(std::string_view text, std::size_t at) {
  while (at < text.size() && text[at] == ' ') ++at;
  return at;
}

NumberResult ReadNumber(std::string_view text, std::size_t at) {
  const NumberResult number = ReadUnchecked(text, at);
  if (!number.problem.empty()) return number;
  const char next = number.end < text.size() ? text[number.end] : ' ';
  if (next == ',') {
    return Failure(
        "a comma in a number could be a decimal sign or a thousands sign; write 1.5 for one and a "
        "half and 1250 for twelve hundred and fifty",
        number.end);
  }
  if (next == '.' || next == '/' || !std::isfinite(number.value)) {
    return Failure("the number cannot be read to its end", number.end);
  }
  return number;
}

}  // namespace steerbench
