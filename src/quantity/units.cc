#include "quantity/units.h"

#include <udunits2.h>

#include <array>
#include <cmath>
#include <cstdlib>
#include <map>
#include <memory>
#include <mutex>
#include <span>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "quantity/number.h"

namespace steerbench {
namespace {

struct FreeUnit {
  void operator()(ut_unit* unit) const { ut_free(unit); }
};
struct FreeSystem {
  void operator()(ut_system* system) const { ut_free_system(system); }
};
struct FreeConverter {
  void operator()(cv_converter* converter) const { cv_free(converter); }
};
using UnitPointer = std::unique_ptr<ut_unit, FreeUnit>;

struct Factor {
  const UnitDefinition* definition;
  int exponent;
};

// The algebra of units, on base units of our own instead of UDUNITS' file: no file is read, and
// the radian is a dimension. ut_parse is not used: it misreads the trade's spellings.
class UnitSystem {
 public:
  UnitSystem() {
    ut_set_error_message_handler(ut_ignore);
    system_.reset(ut_new_system());
    for (UnitPointer& base : bases_) base.reset(ut_new_base_unit(system_.get()));
  }

  // SI units in one of the product; unset when that has another dimension.
  std::optional<double> ScaleOf(std::span<const Factor> factors, const Dimension& expected) const {
    // UDUNITS keeps its status and scratch buffers in global variables and fills in the units it
    // reads, so even calls that only read must not run at the same time.
    const std::scoped_lock lock(mutex_);
    Key key{Exponents(expected), {}};
    for (const Factor& f : factors) key.second.emplace_back(f.definition, f.exponent);
    if (const auto known = known_.find(key); known != known_.end()) return known->second;
    const std::optional<double> scale = WorkOut(factors, expected);
    // A document has a few dozen; one that is made to have endless ones fills no memory.
    constexpr std::size_t kMostKnown = 4096;
    if (known_.size() < kMostKnown) known_.emplace(std::move(key), scale);
    return scale;
  }

 private:
  std::optional<double> WorkOut(std::span<const Factor> factors, const Dimension& expected) const {
    const UnitPointer si = Build(expected);
    UnitPointer unit = Build({});
    for (const Factor& factor : factors) {
      const UnitPointer one = Build(factor.definition->dimension);
      const UnitPointer scaled(ut_scale(factor.definition->factor, one.get()));
      const UnitPointer raised(ut_raise(scaled.get(), factor.exponent));
      unit.reset(ut_multiply(unit.get(), raised.get()));
    }
    // Not ut_are_convertible: that also takes a unit for its reciprocal.
    const UnitPointer quotient(ut_divide(unit.get(), si.get()));
    if (quotient == nullptr || ut_is_dimensionless(quotient.get()) == 0) return std::nullopt;
    const std::unique_ptr<cv_converter, FreeConverter> converter(
        ut_get_converter(unit.get(), si.get()));
    if (converter == nullptr) return std::nullopt;
    return cv_convert_double(converter.get(), 1.0);
  }

  static std::array<int, 6> Exponents(const Dimension& d) {
    return {d.metre, d.kilogram, d.second, d.kelvin, d.ampere, d.radian};
  }

  UnitPointer Build(const Dimension& dimension) const {
    const std::array<int, 6> exponents = Exponents(dimension);
    UnitPointer unit(ut_get_dimensionless_unit_one(system_.get()));
    for (std::size_t i = 0; i < exponents.size(); ++i) {
      if (exponents[i] == 0) continue;
      const UnitPointer raised(ut_raise(bases_[i].get(), exponents[i]));
      unit.reset(ut_multiply(unit.get(), raised.get()));
    }
    return unit;
  }

  std::unique_ptr<ut_system, FreeSystem> system_;
  std::array<UnitPointer, 6> bases_;  // m, kg, s, K, A, rad
  using Key = std::pair<std::array<int, 6>, std::vector<std::pair<const UnitDefinition*, int>>>;
  mutable std::mutex mutex_;
  mutable std::map<Key, std::optional<double>> known_;  // scales worked out before
};

const UnitSystem& System() {
  static const UnitSystem system;
  return system;
}

UnitResult Failure(std::string problem, std::size_t begin, std::size_t end) {
  return {.scale = std::nullopt, .problem = std::move(problem), .begin = begin, .end = end};
}

// A character of a unit's name. Bytes above ASCII are taken whole, so that an unknown sign is
// reported as one.
bool IsNameByte(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || static_cast<unsigned char>(c) >= 0x80;
}

std::size_t EndOfName(std::string_view text, std::size_t at) {
  std::size_t end = at;
  while (end < text.size() && IsNameByte(text[end])) ++end;
  const bool sign = end == at && end < text.size() &&
                    std::string_view("'\"%").find(text[end]) != std::string_view::npos;
  return sign ? end + 1 : end;
}

struct Factors {
  std::vector<Factor> list;
  double divisor = 1.0;  // the 25 of "deg/25 mm"
  std::optional<UnitResult> failure;
};

// Reads the factors of a unit one after the other.
class UnitReader {
 public:
  UnitReader(std::string_view text, Kind kind) : text_(text), kind_(kind) {}

  Factors Read() {
    Factors factors;
    int sign = 1;
    while (!failure_) {
      if (sign < 0) factors.divisor *= ReadDivisor();
      const UnitDefinition* const definition = failure_ ? nullptr : ReadName();
      const int exponent = failure_ ? 1 : ReadExponent();
      if (failure_) break;
      factors.list.push_back({definition, sign * exponent});
      if (at_ == text_.size()) return factors;
      const int next_sign = ReadOperator();
      if (sign < 0 && next_sign > 0 && !failure_) {
        Fail("after a / only one unit can follow; write the / last", at_);
      }
      sign = next_sign;
    }
    factors.failure = std::move(failure_);
    return factors;
  }

 private:
  void Fail(std::string problem, std::size_t end) {
    failure_ = Failure(std::move(problem), at_, end);
  }

  // The longest name in the table that starts here: "imp gal" before "imp".
  const UnitDefinition* ReadName() {
    constexpr int kMostWords = 3;  // "imp fl oz"
    const std::size_t begin = at_;
    const std::size_t first_end = EndOfName(text_, begin);
    const UnitDefinition* best = nullptr;
    std::string name;
    std::size_t start = begin;
    for (int word = 0; word < kMostWords; ++word) {
      const std::size_t end = EndOfName(text_, start);
      if (end == start) break;
      if (word > 0) name += ' ';
      name += text_.substr(start, end - start);
      if (const UnitDefinition* const found = FindUnit(name, kind_)) {
        best = found;
        at_ = end;
      }
      start = SkipBlanks(text_, end);
      if (start == end) break;
    }
    if (best == nullptr) FailAtName(begin, first_end);
    return best;
  }

  void FailAtName(std::size_t begin, std::size_t end) {
    const std::string_view name = text_.substr(begin, end - begin);
    if (name.empty()) return Fail("a unit is missing or unreadable", text_.size());
    const std::string_view nearest = NearestSpelling(name, kind_);
    const std::string offer =
        nearest.empty() ? std::string() : fmt::format(", did you mean \"{}\"?", nearest);
    Fail("unknown unit" + offer, end);
  }

  // The 25 of "deg/25 mm", or 1 where no number follows the /.
  double ReadDivisor() {
    if (at_ >= text_.size() || !IsDigit(text_[at_])) return 1.0;
    const NumberResult number = ReadNumber(text_, at_);
    if (!number.problem.empty() || !number.whole || number.value == 0.0) {
      Fail("after a / only a unit or a whole number of it can follow", text_.size());
      return 1.0;
    }
    at_ = SkipBlanks(text_, number.end);
    return number.value;
  }

  // "2", "^2", "^-2" or nothing.
  int ReadExponent() {
    constexpr int kLargest = 9;
    const bool caret = at_ < text_.size() && text_[at_] == '^';
    std::size_t at = caret ? at_ + 1 : at_;
    const bool negative = caret && at < text_.size() && text_[at] == '-';
    if (negative) ++at;
    const bool digit = at < text_.size() && IsDigit(text_[at]);
    if (!digit && !caret) return 1;
    const int exponent = digit ? text_[at] - '0' : 0;
    const bool longer = at + 1 < text_.size() && IsDigit(text_[at + 1]);
    if (exponent == 0 || longer || exponent > kLargest) {
      Fail("the exponent of a unit is not one of 1 to 9", text_.size());
      return 1;
    }
    at_ = at + 1;
    return negative ? -exponent : exponent;
  }

  // +1 for a product, -1 for a quotient.
  int ReadOperator() {
    const std::size_t begin = at_;
    at_ = SkipBlanks(text_, at_);
    constexpr std::string_view kPer = "per ";
    const bool per = text_.substr(at_).starts_with(kPer);
    const char c = at_ < text_.size() ? text_[at_] : ' ';
    const bool slash = c == '/';
    if (per || slash) {
      at_ = SkipBlanks(text_, at_ + (per ? kPer.size() : 1));
      return -1;
    }
    if (c == '*' || c == '.' || c == '-') {
      at_ = SkipBlanks(text_, at_ + 1);
    } else if (at_ == begin) {
      Fail("a unit is missing or unreadable", text_.size());
    }
    return 1;
  }

  std::string_view text_;
  Kind kind_;
  std::size_t at_ = 0;
  std::optional<UnitResult> failure_;
};

// A pressure unit without the words that say what it is counted from.
struct Unmarked {
  std::string_view unit;
  Marker marker;
};

Unmarked StripMarker(std::string_view text) {
  struct Ending {
    std::string_view text;
    Marker marker;
  };
  constexpr Ending kEndings[] = {
      {"(abs)", Marker::kAbsolute}, {"(a)", Marker::kAbsolute}, {" absolute", Marker::kAbsolute},
      {" abs", Marker::kAbsolute},  {" a", Marker::kAbsolute},  {"(gauge)", Marker::kGauge},
      {"(g)", Marker::kGauge},      {" gauge", Marker::kGauge}, {" g", Marker::kGauge},
  };
  for (const Ending& ending : kEndings) {
    if (!text.ends_with(ending.text) || text.size() == ending.text.size()) continue;
    text.remove_suffix(ending.text.size());
    while (text.ends_with(' ')) text.remove_suffix(1);
    return {text, ending.marker};
  }
  return {text, Marker::kNone};
}

// Why a marker does not go with a kind; empty when it does.
std::string_view MarkerProblem(Marker marker, Kind kind, Role role) {
  const bool spread = role == Role::kSpread;
  switch (marker) {
    case Marker::kNone:
      return kind == Kind::kPressureAbsolute && !spread
                 ? "it is not said to be absolute; write \"abs\" after the unit if it is, or add "
                   "1.013 bar (14.7 psi) to a gauge's reading"
                 : "";
    case Marker::kGauge:
      if (kind == Kind::kPressureGauge) return "";
      return kind == Kind::kPressureAbsolute
                 ? "it is counted from atmosphere; add 1.013 bar (14.7 psi) and write \"abs\" "
                   "after the unit"
                 : "a difference is counted from neither atmosphere nor vacuum; leave the mark off";
    case Marker::kAbsolute:
      if (kind == Kind::kPressureAbsolute) return "";
      return kind == Kind::kPressureGauge
                 ? "it is counted from vacuum; take 1.013 bar (14.7 psi) off for what a gauge shows"
                 : "a difference is counted from neither atmosphere nor vacuum; leave the mark off";
    case Marker::kPercent:
      return kind == Kind::kRatio || kind == Kind::kShare ? "" : "a percentage is a ratio";
    case Marker::kThings:
      return kind == Kind::kCount ? "" : "a number of things is a count";
  }
  return "";
}

// Reasons for the commonest wrong units, beyond the wrong dimension.
std::string_view Hint(std::span<const Factor> factors, Kind kind) {
  struct Entry {
    std::string_view unit;
    Kind kind;
    std::string_view text;
  };
  constexpr Entry kHints[] = {
      {"Hz", Kind::kAngularSpeed, "Hz counts events of any sort, not turns; write rev/s or rpm"},
      {"cP", Kind::kKinematicViscosity,
       "cP is a dynamic viscosity; divide it by the density in g/cm3 and write cSt"},
      {"kg", Kind::kForce, "kg is a mass; write N, or kgf for what a spring balance shows in kg"},
      {"oz", Kind::kVolume, "oz is a mass; write fl oz or imp fl oz for a volume"},
  };
  if (factors.size() != 1) return "";
  for (const Entry& entry : kHints) {
    if (entry.kind == kind && FindUnit(entry.unit, kind) == factors[0].definition)
      return entry.text;
  }
  return "";
}

std::string_view ClassName(Kind kind) {
  if (IsPressure(kind)) return "a pressure";
  return kind == Kind::kRatio ? "a number" : KindName(kind);
}

std::string DimensionProblem(std::span<const Factor> factors, Kind kind) {
  if (const std::string_view hint = Hint(factors, kind); !hint.empty()) return std::string(hint);
  for (int i = 0; i < kKindCount; ++i) {
    const KindInfo& info = InfoOf(static_cast<Kind>(i));
    if (System().ScaleOf(factors, info.dimension)) {
      const std::string_view name = ClassName(info.kind);
      return fmt::format("it is a unit of {}", name.substr(name.find(' ') + 1));
    }
  }
  return "it is a unit of something else";
}

UnitScale MakeScale(double factor) {
  // 1/1000 and the like are held as their exact inverse.
  const double inverse = 1.0 / factor;
  const double whole = std::round(inverse);
  constexpr double kRounding = 1e-14;  // some tens of roundings of a double
  if (whole > 1.0 && std::fabs(inverse - whole) <= kRounding * whole) {
    return {.multiply = 1.0, .divide = whole};
  }
  return {.multiply = factor, .divide = 1.0};
}

}  // namespace

UnitResult ResolveUnit(std::string_view text, Kind kind, Role role) {
  if (kind == Kind::kMoney) {
    return Failure("money has no unit; its currency is the document's own", 0, text.size());
  }
  if (kind == Kind::kRatio && text == ":1") return {.scale = UnitScale{}, .problem = {}};
  const Unmarked unmarked = IsPressure(kind) ? StripMarker(text) : Unmarked{text, Marker::kNone};
  Factors factors = UnitReader(unmarked.unit, kind).Read();
  if (factors.failure) return std::move(*factors.failure);
  const UnitDefinition& first = *factors.list.front().definition;
  const bool alone = factors.list.size() == 1 && factors.list.front().exponent == 1;
  for (const Factor& factor : factors.list) {
    if (factor.definition->marker != Marker::kNone && !alone) {
      return Failure("a marked unit cannot be part of another", 0, text.size());
    }
  }
  const auto factor = System().ScaleOf(factors.list, InfoOf(kind).dimension);
  if (!factor) return Failure(DimensionProblem(factors.list, kind), 0, text.size());
  const bool twice = first.marker != Marker::kNone && unmarked.marker != Marker::kNone;
  const Marker marker = first.marker != Marker::kNone ? first.marker : unmarked.marker;
  if (twice) return Failure("it is marked twice", 0, text.size());
  if (const std::string_view problem = MarkerProblem(marker, kind, role); !problem.empty()) {
    return Failure(std::string(problem), 0, text.size());
  }
  UnitResult result{.scale = MakeScale(*factor / factors.divisor), .problem = {}};
  if (kind == Kind::kTemperature && role == Role::kValue && alone) result.scale->zero = first.zero;
  result.scale->marker = marker;
  return result;
}

}  // namespace steerbench
