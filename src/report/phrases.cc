#include "report/phrases.h"

#include <fmt/format.h>

#include <cmath>

namespace steerbench {
namespace {

std::optional<double> ToleranceOf(const Figure& f) {
  return f.tolerance > 0.0 ? std::optional(f.tolerance) : std::nullopt;
}

// The kind of a difference of two values, which of points on a scale is another.
Kind DifferenceOf(Kind kind) {
  if (kind == Kind::kTemperature) return Kind::kTemperatureDifference;
  return kind == Kind::kPressureAbsolute ? Kind::kPressureDifference : kind;
}

}  // namespace

std::string FigureText(const Figure& f, Kind kind, const Units& units) {
  return Show(f.value, ToleranceOf(f), kind, units.For(kind)).text + (f.assumed ? " a" : "");
}

std::string BoundText(const PropagatedMargin& m, Kind kind, const Units& units) {
  if (!m.limit) return "";
  return fmt::format("{} {}", m.at_least ? "at least" : "at most",
                     Show(*m.limit, std::nullopt, kind, units.For(kind)).text);
}

std::string CircumstanceText(const SetupReport& setup, const PropagatedEnd& e, const Units& units) {
  std::string text;
  if (e.obstacle) text = setup.fitted.car.front.obstacle[*e.obstacle].name;
  if (e.wheel) text += fmt::format("{}{} wheel", text.empty() ? "" : ", ", WordOf(*e.wheel));
  if (e.jounce == 0.0) return text;
  const Shown moved =
      Show(std::abs(e.jounce), std::nullopt, Kind::kLength, units.For(Kind::kLength));
  return text + fmt::format(" {} {}", e.jounce > 0.0 ? "up" : "down", moved.text);
}

std::string ChangeText(const Figure& change, const Figure& of, Kind kind, const Units& units) {
  const std::string sign = change.value > 0.0 ? "+" : "";
  const Kind apart = DifferenceOf(kind);
  if (apart != kind) return sign + FigureText(change, apart, units);
  const std::string unit = Show(of.value, std::nullopt, kind, units.For(kind)).unit;
  return sign + ShowIn(change.value, ToleranceOf(change), kind, unit).text;
}

}  // namespace steerbench
