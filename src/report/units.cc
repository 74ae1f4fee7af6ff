#include <algorithm>
#include <array>

#include "model/lift.h"
#include "report/report.h"

namespace steerbench {
namespace {

// Whether a unit as written belongs to the inch-pound system.
bool IsInchPound(std::string_view unit) {
  constexpr std::array<std::string_view, 14> kSigns{"in", "\"", "ft",  "'",   "thou", "mil", "psi",
                                                    "lb", "oz", "gal", "gpm", "mph",  "F",   "hp"};
  // "min" is in L/min, not inches.
  std::string text(unit);
  for (std::size_t at; (at = text.find("min")) != std::string::npos;) text.erase(at, 3);
  return std::ranges::any_of(
      kSigns, [&text](std::string_view sign) { return text.find(sign) != std::string::npos; });
}

// Counts the quantities of a document by kind and system.
class Counter {
 public:
  template <class A>
  void operator()(const FieldInfo&, const A& a) {
    See(a);
  }
  [[nodiscard]] Units Result() const {
    Units units;
    for (const auto& [kind, balance] : balance_) {
      units.of[kind] = balance > 0 ? UnitStyle::kImperial : UnitStyle::kMetric;
    }
    units.usual = units.For(Kind::kLength);
    return units;
  }

 private:
  template <class A>
  void See(const A& a) {
    if constexpr (std::same_as<A, Quantity>) {
      if (!a.unit.empty()) balance_[a.kind] += IsInchPound(a.unit) ? 1 : -1;
    } else if constexpr (std::same_as<A, Point<Quantity>>) {
      See(a[0]);
    } else if constexpr (Described<A>) {
      A::Visit(*this, a);
    } else if constexpr (requires { a.has_value(); }) {
      if (a) See(*a);
    } else if constexpr (requires { a.begin()->second; }) {
      for (const auto& entry : a) See(entry.second);
    } else if constexpr (requires { a.size(); } && !std::same_as<A, std::string>) {
      for (const auto& entry : a) See(entry);
    }
  }

  std::map<Kind, int> balance_;
};

}  // namespace

Units UnitsAsWritten(const Document& document) {
  Counter counter;
  Document::Visit(counter, document);
  return counter.Result();
}

}  // namespace steerbench
