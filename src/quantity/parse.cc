// Reading of quantities: terms, plus-minus and the messages for what cannot be read.
#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "quantity/kinds.h"
#include "quantity/number.h"
#include "quantity/plain_text.h"
#include "quantity/quantity.h"
#include "quantity/units.h"
#include "quantity/utf8.h"

namespace steerbench {
namespace {

constexpr std::size_t kLongestText = 200;

// A part [begin, end) of the plain text.
struct Range {
  std::size_t begin = 0;
  std::size_t end = 0;
  [[nodiscard]] bool Empty() const { return begin == end; }
};

// One number with the unit after it.
struct Term {
  double number = 0.0;
  bool whole = false;
  Range number_range;
  Range unit;  // empty when there is none
};

// Whether "-6" follows a number, as in "4-6 mm" or "4 - 6 mm".
bool IsRange(std::string_view text, std::size_t at) {
  at = SkipBlanks(text, at);
  if (at >= text.size() || text[at] != '-') return false;
  at = SkipBlanks(text, at + 1);
  return at < text.size() && IsDigit(text[at]);
}

// Raised inside this file only: reading has one way out at any depth.
struct Unreadable {
  std::string problem;
  Range range;  // where; in the plain text
};

class Reader {
 public:
  Reader(std::string_view raw, PlainText plain, Kind kind)
      : raw_(raw), plain_(std::move(plain)), text_(plain_.text), kind_(kind) {}
  Reader(const Reader&) = delete;  // `text_` looks into `plain_`
  Reader& operator=(const Reader&) = delete;

  [[nodiscard]] Quantity ReadQuantity() const;
  [[nodiscard]] std::vector<Quantity> ReadVector() const;

  [[nodiscard]] QuantityError ErrorOf(const Unreadable& unreadable,
                                      std::string_view expectation) const;

 private:
  struct Halves {
    Range value;
    std::optional<Range> spread;
  };
  // A value or plus-minus in its unit.
  struct Measure {
    std::vector<Term> terms;
    bool negative = false;
    Range range;
    [[nodiscard]] const Range& Unit() const { return terms.front().unit; }
  };

  [[nodiscard]] Range Trim(Range range) const;
  [[nodiscard]] std::string_view Part(Range range) const {
    return text_.substr(range.begin, range.end - range.begin);
  }
  [[nodiscard]] std::string Written(Range range) const;
  [[nodiscard]] Halves Split() const;
  [[nodiscard]] Measure ReadMeasure(Range range) const;
  [[nodiscard]] std::vector<Measure> ReadComponents(Range numbers) const;
  [[nodiscard]] std::size_t EndOfUnit(std::size_t at, std::size_t end) const;
  [[nodiscard]] UnitScale Resolve(Range unit, Role role) const;
  [[nodiscard]] double Sum(const Measure& measure, Role role) const;
  [[nodiscard]] double SumOfTerms(const Measure& measure, Role role) const;
  [[nodiscard]] double Spread(const Measure& spread, const Range& value_unit, double value) const;
  [[nodiscard]] Quantity Make(const Measure& value, const std::optional<Measure>& spread) const;
  [[nodiscard]] bool IsPercent(Range unit) const;
  void CheckValue(double si, Range range) const;
  void CheckPercent(const Measure& value, const Measure& spread) const;

  std::string_view raw_;
  PlainText plain_;
  std::string_view text_;
  Kind kind_;
};

Range Reader::Trim(Range range) const {
  while (range.begin < range.end && text_[range.begin] == ' ') ++range.begin;
  while (range.begin < range.end && text_[range.end - 1] == ' ') --range.end;
  return range;
}

std::string Reader::Written(Range range) const {
  if (range.Empty()) return {};
  return std::string(SourceOf(plain_, raw_, range.begin, range.end));
}

Reader::Halves Reader::Split() const {
  const Range whole{0, text_.size()};
  const std::size_t at = text_.find(kPlusMinus);
  if (at == std::string_view::npos) return {Trim(whole), std::nullopt};
  const std::size_t again = text_.find(kPlusMinus, at + 1);
  if (again != std::string_view::npos) {
    throw Unreadable{"there is more than one plus-minus", {again, again + 1}};
  }
  const Halves halves{Trim({0, at}), Trim({at + 1, whole.end})};
  if (halves.value.Empty()) throw Unreadable{"no number before the plus-minus", whole};
  if (halves.spread->Empty()) throw Unreadable{"no number after the plus-minus", whole};
  return halves;
}

// A unit ends where the next number begins: at a digit after a blank or after ' or ", so that
// the digits of "mm2/s" and "deg/ 25 mm" stay with their unit. In 5'-8" the dash is no sign.
std::size_t Reader::EndOfUnit(std::size_t at, std::size_t end) const {
  for (std::size_t i = at; i < end; ++i) {
    const bool number =
        IsDigit(text_[i]) || (text_[i] == '.' && i + 1 < end && IsDigit(text_[i + 1]));
    if (!number || i == at) continue;
    const char before = text_[i - 1];
    const std::size_t sign = text_.find_last_not_of(' ', i - 1);
    if (sign != std::string_view::npos && text_[sign] == '/') continue;
    if (before == ' ' || before == '\'' || before == '"') return i;
    if (before == '-' && i >= at + 2 && (text_[i - 2] == '\'' || text_[i - 2] == '"')) return i - 1;
  }
  return end;
}

Reader::Measure Reader::ReadMeasure(Range range) const {
  Measure measure{.terms = {}, .negative = false, .range = range};
  const std::string_view text = text_.substr(0, range.end);
  std::size_t at = range.begin;
  if (at < range.end && (text[at] == '-' || text[at] == '+')) {
    measure.negative = text[at] == '-';
    at = SkipBlanks(text, at + 1);
  }
  do {
    const NumberResult number = ReadNumber(text, at);
    if (!number.problem.empty()) throw Unreadable{number.problem, {at, range.end}};
    if (IsRange(text, number.end)) {
      throw Unreadable{"a range is not read; write the middle ± half the width", {at, range.end}};
    }
    // From the byte after the number, so that a blank before a second number is seen as one.
    const std::size_t unit_end = EndOfUnit(number.end, range.end);
    const Range unit = Trim({number.end, unit_end});
    measure.terms.push_back({number.value, number.whole, {at, number.end}, unit});
    at = unit_end;
    if (at < range.end && text[at] == '-') ++at;
  } while (at < range.end);
  return measure;
}

UnitScale Reader::Resolve(Range unit, Role role) const {
  const std::string_view text = Part(unit);
  if (text.empty()) return {};
  if (text.find_first_of("+,") != std::string_view::npos || text.find(" -") != text.npos) {
    throw Unreadable{"unequal limits are not read; write the middle and half the width, as ±",
                     unit};
  }
  // The plus-minus of a point on the scale is a difference.
  const bool difference = role == Role::kSpread && kind_ == Kind::kTemperature;
  const Kind kind = difference ? Kind::kTemperatureDifference : kind_;
  UnitResult result = ResolveUnit(text, kind, role);
  if (result.scale) return *result.scale;
  throw Unreadable{
      std::move(result.problem),
      {unit.begin + result.begin, unit.begin + std::max(result.end, result.begin + 1)}};
}

// Whether a unit may be followed by one that goes `ratio` times into it.
bool IsDivision(Kind kind, double ratio) {
  constexpr double kInchesPerFoot = 12, kMinutesPerHour = 60, kMinutesPerDegree = 60,
                   kDegreesPerTurn = 360;
  constexpr double kRounding = 1e-9;
  const auto is = [ratio](double exact) { return std::fabs(ratio - exact) < kRounding; };
  if (kind == Kind::kLength) return is(kInchesPerFoot);
  if (kind == Kind::kTime) return is(kMinutesPerHour);
  const bool angle = kind == Kind::kAngle || kind == Kind::kTurns;
  return angle && (is(kMinutesPerDegree) || is(kDegreesPerTurn));
}

// 5 ft 8 1/2 in, 33° 30' 15": whole parts, each followed by less than one of its own.
double Reader::SumOfTerms(const Measure& measure, Role role) const {
  const Range range{measure.terms.front().number_range.begin, measure.range.end};
  double sum = 0.0;
  double last_size = 0.0;
  for (std::size_t i = 0; i < measure.terms.size(); ++i) {
    const Term& term = measure.terms[i];
    if (term.unit.Empty()) {
      throw Unreadable{"there are two numbers, and one of them has no unit", range};
    }
    const UnitScale scale = Resolve(term.unit, role);
    const double size = scale.DifferenceToSi(1.0);
    const double si = scale.DifferenceToSi(term.number);
    const bool fits = i == 0 || (IsDivision(kind_, last_size / size) &&
                                 measure.terms[i - 1].whole && si < last_size);
    if (!fits) {
      throw Unreadable{"the parts do not make one value, as 5 ft 8 1/2 in or 33 deg 30' do", range};
    }
    sum += si;
    last_size = size;
  }
  return measure.negative ? -sum : sum;
}

double Reader::Sum(const Measure& measure, Role role) const {
  if (measure.terms.size() > 1) return SumOfTerms(measure, role);
  const Term& term = measure.terms.front();
  const double number = measure.negative ? -term.number : term.number;
  const UnitScale scale = Resolve(term.unit, role);
  return role == Role::kSpread ? scale.DifferenceToSi(number) : scale.ToSi(number);
}

void Reader::CheckValue(double si, Range range) const {
  if (!std::isfinite(si)) throw Unreadable{"the number is too large or too small", range};
  if (kind_ == Kind::kCount && si != std::round(si)) {
    throw Unreadable{"a count is a whole number", range};
  }
  if (kind_ == Kind::kTemperature && si < 0.0) {
    throw Unreadable{"that is below absolute zero", range};
  }
  if (kind_ == Kind::kPressureAbsolute && si < 0.0) {
    throw Unreadable{"that is below vacuum", range};
  }
}

bool Reader::IsPercent(Range unit) const {
  const UnitDefinition* const definition = FindUnit(Part(unit), kind_);
  return definition != nullptr && definition->marker == Marker::kPercent;
}

// "85 ± 3 %" could be (85 ± 3) % or 85 ± 3 % of it; "0.85 ± 3 %" and "16.4:1 ± 3 %" are clear.
void Reader::CheckPercent(const Measure& value, const Measure& spread) const {
  const bool ratio = kind_ == Kind::kRatio || kind_ == Kind::kShare;
  const bool bare = ratio && value.Unit().Empty();
  if (bare && IsPercent(spread.Unit()) && value.terms.front().number >= 1.0) {
    throw Unreadable{"what the % belongs to is not clear; write 85 % ± 3 % or 16.4 ± 0.3",
                     value.range};
  }
}

double Reader::Spread(const Measure& spread, const Range& value_unit, double value) const {
  constexpr double kPercent = 0.01;
  const Range unit = spread.Unit();
  double si = 0.0;
  if (spread.negative) throw Unreadable{"a plus-minus is not negative", spread.range};
  const bool single = spread.terms.size() == 1;
  if (single && IsPercent(unit) && !IsPercent(value_unit)) {
    if (kind_ == Kind::kTemperature) {
      throw Unreadable{"a percentage of a temperature depends on its scale; write ± in K", unit};
    }
    si = kPercent * spread.terms.front().number * std::fabs(value);
  } else if (single && unit.Empty()) {
    si = Resolve(value_unit, Role::kSpread).DifferenceToSi(spread.terms.front().number);
  } else {
    si = Sum(spread, Role::kSpread);
  }
  if (!std::isfinite(si)) throw Unreadable{"the plus-minus is too large", spread.range};
  return si;
}

Quantity Reader::Make(const Measure& value, const std::optional<Measure>& spread) const {
  Measure measure = value;
  // "117.5 ± 0.2 mm": the unit after the plus-minus is the value's too. In "0.85 ± 3 %" it is not.
  const bool single = measure.terms.size() == 1;
  if (single && measure.Unit().Empty() && spread && !IsPercent(spread->Unit())) {
    measure.terms.front().unit = spread->Unit();
  }
  if (single && measure.Unit().Empty() && !IsBare(kind_)) {
    throw Unreadable{"the unit is missing", measure.range};
  }
  if (spread) CheckPercent(measure, *spread);
  if (!single && spread && spread->Unit().Empty()) {
    throw Unreadable{"say the unit of the plus-minus too", spread->range};
  }
  Quantity quantity;
  quantity.kind = kind_;
  quantity.value = Sum(measure, Role::kValue);
  CheckValue(quantity.value, measure.range);
  if (spread) quantity.tolerance = Spread(*spread, measure.Unit(), quantity.value);
  quantity.unit = Written(measure.Unit());
  quantity.written = Written(Trim({0, text_.size()}));
  return quantity;
}

Quantity Reader::ReadQuantity() const {
  const Halves halves = Split();
  const Measure value = ReadMeasure(halves.value);
  std::optional<Measure> spread;
  if (halves.spread) spread = ReadMeasure(*halves.spread);
  return Make(value, spread);
}

// The three numbers, each with the unit that stands once after them or after their bracket.
std::vector<Reader::Measure> Reader::ReadComponents(Range numbers) const {
  constexpr std::size_t kComponents = 3;
  Range unit{numbers.end, numbers.end};
  if (Part(numbers).starts_with('(')) {
    const std::size_t close = text_.find(')', numbers.begin);
    if (close >= numbers.end) {
      throw Unreadable{"the closing bracket is missing before the unit and the plus-minus",
                       numbers};
    }
    unit = Trim({close + 1, numbers.end});
    numbers = {numbers.begin + 1, close};
  }
  std::vector<Measure> components;
  for (std::size_t at = numbers.begin; at <= numbers.end;) {
    const std::size_t comma = std::min(text_.find(',', at), numbers.end);
    components.push_back(ReadMeasure(Trim({at, comma})));
    at = comma + 1;
  }
  if (components.size() != kComponents) {
    throw Unreadable{fmt::format("three numbers x, y, z are wanted, with commas between them only; "
                                 "{} found",
                                 components.size()),
                     numbers};
  }
  if (unit.Empty()) std::swap(unit, components.back().terms.front().unit);
  for (Measure& component : components) {
    if (component.terms.size() != 1 || !component.Unit().Empty()) {
      throw Unreadable{"the unit is written once, after the three numbers", component.range};
    }
    component.terms.front().unit = unit;
  }
  return components;
}

std::vector<Quantity> Reader::ReadVector() const {
  const Halves halves = Split();
  const std::vector<Measure> components = ReadComponents(halves.value);
  std::optional<Measure> spread;
  if (halves.spread) spread = ReadMeasure(*halves.spread);
  std::vector<Quantity> quantities;
  for (const Measure& component : components) quantities.push_back(Make(component, spread));
  return quantities;
}

// What was read, short enough for a line and without characters that upset a terminal.
std::string Echo(std::string_view raw) {
  constexpr std::size_t kLongestEcho = 60;
  const bool cut = raw.size() > kLongestEcho;
  if (cut) {
    raw = raw.substr(0, kLongestEcho);
    while (!raw.empty() && (static_cast<unsigned char>(raw.back()) & 0xC0) == 0x80) {
      raw.remove_suffix(1);
    }
    if (!raw.empty() && static_cast<unsigned char>(raw.back()) >= 0xC0) raw.remove_suffix(1);
  }
  std::string echo;
  while (!raw.empty()) {
    const CodePoint c = Decode(raw);
    const std::size_t length = c.length > 0 ? c.length : 1;
    const bool shown = c.length == 0 || !IsControl(c.value);
    echo += shown ? raw.substr(0, length) : std::string_view(" ");
    raw.remove_prefix(length);
  }
  return "\"" + echo + (cut ? "…\"" : "\"");
}

// `point`: three of them in one text.
std::string Expectation(Kind kind, bool point) {
  constexpr std::string_view kPointExample = "(12, -655.5, 195) mm ± 1 mm";
  const KindInfo& info = InfoOf(kind);
  const std::string units =
      info.accepted.empty() ? std::string() : fmt::format(" ({})", info.accepted);
  return fmt::format("Expected {} such as \"{}\"{}.", point ? "a point" : info.name,
                     point ? kPointExample : info.example, units);
}

// "problem" or "problem?" as a sentence.
std::string Sentence(std::string_view problem) {
  return std::string(problem) + (problem.ends_with('?') ? " " : ". ");
}

QuantityError Reader::ErrorOf(const Unreadable& unreadable, std::string_view expectation) const {
  const Range whole = Trim({0, text_.size()});
  const Range range{std::min(unreadable.range.begin, whole.end),
                    std::min(std::max(unreadable.range.end, unreadable.range.begin), whole.end)};
  const std::string echo = Echo(Written(whole));
  const bool partial = !range.Empty() && (range.begin != whole.begin || range.end != whole.end);
  const std::string at = partial ? Echo(Written(range)) + ": " : "";
  const std::size_t column =
      range.begin < plain_.source.size() ? plain_.source[range.begin].begin : raw_.size();
  return {fmt::format("{}: {}{}{}", echo, at, Sentence(unreadable.problem), expectation), column};
}

// Runs one way of reading on a text; returns the error when it fails.
template <typename Result>
std::optional<QuantityError> Read(std::string_view raw, Kind kind, Result (Reader::*read)() const,
                                  Result& result) {
  const std::string expectation = Expectation(kind, std::is_same_v<Result, std::vector<Quantity>>);
  if (raw.size() > kLongestText) {
    return QuantityError{fmt::format("the text has {} bytes, more than {}. {}", raw.size(),
                                     kLongestText, expectation),
                         kLongestText};
  }
  PlainTextResult plain = ToPlainText(raw);
  if (!plain.problem.empty()) {
    return QuantityError{Sentence(plain.problem) + expectation, plain.column};
  }
  if (plain.plain.text.find_first_not_of(' ') == std::string::npos) {
    return QuantityError{"nothing is written. " + expectation, 0};
  }
  const Reader reader(raw, std::move(plain.plain), kind);
  try {
    result = (reader.*read)();
    return std::nullopt;
  } catch (const Unreadable& unreadable) {
    return reader.ErrorOf(unreadable, expectation);
  }
}

}  // namespace

ParsedQuantity ParseQuantity(std::string_view text, Kind kind) {
  Quantity quantity;
  if (auto error = Read(text, kind, &Reader::ReadQuantity, quantity)) return {std::nullopt, *error};
  return {std::move(quantity), {}};
}

ParsedVector ParseVector(std::string_view text, Kind kind) {
  std::vector<Quantity> components;
  if (auto error = Read(text, kind, &Reader::ReadVector, components)) return {{}, *error};
  return {std::move(components), {}};
}

}  // namespace steerbench
