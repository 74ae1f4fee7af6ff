// Showing of quantities, and conversion to a unit by its spelling.
#include <algorithm>
#include <charconv>
#include <cmath>

#include <fmt/format.h>

#include "quantity/kinds.h"
#include "quantity/plain_text.h"
#include "quantity/quantity.h"
#include "quantity/units.h"

namespace steerbench {
namespace {

// The scale of a unit in any accepted spelling; unset when it is none of the kind.
std::optional<UnitScale> ScaleOf(std::string_view unit, Kind kind) {
  const PlainTextResult plain = ToPlainText(unit);
  if (!plain.problem.empty()) return std::nullopt;
  std::string_view text = plain.plain.text;
  while (text.starts_with(' ')) text.remove_prefix(1);
  while (text.ends_with(' ')) text.remove_suffix(1);
  if (text.empty()) return IsBare(kind) ? std::optional(UnitScale{}) : std::nullopt;
  return ResolveUnit(text, kind, Role::kValue).scale;
}

// Position of the first significant digit: 2 for 117.5, -1 for 0.2, after rounding to `digits`.
int LeadingPlace(double value, int digits) {
  const std::string text = fmt::format("{:.{}e}", std::fabs(value), digits - 1);
  const std::size_t mark = text.find('e');
  int place = 0;
  const bool plus = text[mark + 1] == '+';
  std::from_chars(text.data() + mark + (plus ? 2 : 1), text.data() + text.size(), place);
  return place;
}

std::string WithoutMinusZero(const std::string& text) {
  const bool zero = text.find_first_not_of("-0.") == std::string::npos;
  return zero && text.starts_with('-') ? text.substr(1) : text;
}

// Rounded so that its last digit stands at `place`: -2 for hundredths.
std::string Rounded(double value, int place) {
  if (place <= 0) return WithoutMinusZero(fmt::format("{:.{}f}", value, -place));
  const double step = std::pow(10.0, place);
  return WithoutMinusZero(fmt::format("{:.0f}", std::round(value / step) * step));
}

// Beyond these a plain number is a row of zeros.
constexpr double kLargestPlain = 1e9;
constexpr double kSmallestPlain = 1e-5;
constexpr int kDigits = 6;

bool IsPlain(double value) {
  const double size = std::fabs(value);
  return value == 0.0 || (size >= kSmallestPlain && size < kLargestPlain);
}

// Six significant digits, trailing zeros dropped; whole digits are all kept.
std::string Unbounded(double value) {
  if (!IsPlain(value)) return fmt::format("{:.{}g}", value, kDigits);
  if (value == 0.0) return "0";
  std::string text = Rounded(value, std::min(0, LeadingPlace(value, kDigits) - kDigits + 1));
  if (text.find('.') != std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
    if (text.ends_with('.')) text.pop_back();
  }
  return text;
}

// To the cent, but no row of hundreds of digits.
std::string Money(double value) {
  constexpr int kCents = -2;
  return std::fabs(value) < kLargestPlain ? Rounded(value, kCents) : Unbounded(value);
}

struct Digits {
  std::string value;
  std::string tolerance;  // empty when there is none
};

// The value to the place of the second significant digit of its plus-minus (JCGM 100:2008, 7.2.6).
Digits Format(double value, std::optional<double> tolerance, Kind kind) {
  constexpr int kToleranceDigits = 2;
  constexpr double kPrecision = 1e-13;  // a plus-minus below this part of the value is none
  if (!tolerance) return {kind == Kind::kMoney ? Money(value) : Unbounded(value), ""};
  if (*tolerance <= kPrecision * std::fabs(value)) return {Unbounded(value), "0"};
  if (!IsPlain(std::max(std::fabs(value), *tolerance)) || !IsPlain(*tolerance)) {
    return {Unbounded(value), fmt::format("{:.{}g}", *tolerance, kToleranceDigits)};
  }
  const int place = LeadingPlace(*tolerance, kToleranceDigits) - kToleranceDigits + 1;
  return {Rounded(value, place), Rounded(*tolerance, place)};
}

// What follows the number: nothing, a sign set close to it, or a unit after a blank.
std::string Suffix(std::string_view unit, Kind kind) {
  if (unit.empty()) return {};
  const bool angle = kind == Kind::kAngle || kind == Kind::kTurns;
  if (angle && (unit == "deg" || unit == "°")) return "°";
  const bool close = unit == ":1" || unit == "'" || unit == "\"" || unit == "′" || unit == "″";
  return fmt::format("{}{}", close ? "" : " ", unit);
}

Shown ShowScaled(double value_si, std::optional<double> tolerance_si, Kind kind,
                 std::string_view unit, const UnitScale& scale) {
  Shown shown;
  shown.unit = std::string(unit);
  shown.value = scale.FromSi(value_si);
  if (tolerance_si && std::isfinite(*tolerance_si)) {
    shown.tolerance = std::fabs(scale.DifferenceFromSi(*tolerance_si));
  }
  if (!std::isfinite(shown.value)) {
    shown.number = shown.text = "not known";
    return shown;
  }
  const Digits digits = Format(shown.value, shown.tolerance, kind);
  shown.number =
      shown.tolerance ? fmt::format("{} ± {}", digits.value, digits.tolerance) : digits.value;
  const std::string suffix = Suffix(unit, kind);
  // The sign is close to the value as well where it alone would be lost: 33.5° ± 0.1°, 35 % ± 3 %.
  const bool both = !suffix.starts_with(' ') || scale.marker == Marker::kPercent;
  shown.text = shown.tolerance ? fmt::format("{}{} ± {}{}", digits.value, both ? suffix : "",
                                             digits.tolerance, suffix)
                               : digits.value + suffix;
  return shown;
}

}  // namespace

Shown Show(double value_si, std::optional<double> tolerance_si, Kind kind, UnitStyle style) {
  const KindInfo& info = InfoOf(kind);
  const UsualUnit& usual = style == UnitStyle::kMetric ? info.metric : info.imperial;
  const bool large = !usual.large.empty() && std::fabs(value_si) >= usual.from_si;
  const std::string_view unit = large ? usual.large : usual.small;
  const auto scale = ScaleOf(unit, kind);
  // A usual unit is always one of its kind (tested); if not, SI is no lie.
  if (!scale) return ShowScaled(value_si, tolerance_si, kind, info.si_symbol, UnitScale{});
  return ShowScaled(value_si, tolerance_si, kind, unit, *scale);
}

Shown ShowIn(double value_si, std::optional<double> tolerance_si, Kind kind,
             std::string_view unit) {
  const auto scale = ScaleOf(unit, kind);
  if (!scale) return Show(value_si, tolerance_si, kind, UnitStyle::kMetric);
  return ShowScaled(value_si, tolerance_si, kind, unit, *scale);
}

std::optional<double> ToUnit(double value_si, Kind kind, std::string_view unit) {
  const auto scale = ScaleOf(unit, kind);
  if (!scale) return std::nullopt;
  return scale->FromSi(value_si);
}

}  // namespace steerbench
