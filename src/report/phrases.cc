#include "report/phrases.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>

namespace steerbench {
namespace {

std::optional<double> ToleranceOf(const Figure& f) {
  constexpr double kRounding = 1e-12;  // of a figure, which no measurement reaches
  return f.tolerance > kRounding * std::abs(f.value) ? std::optional(f.tolerance) : std::nullopt;
}

// The kind of a difference of two values, which of points on a scale is another.
Kind DifferenceOf(Kind kind) {
  if (kind == Kind::kTemperature) return Kind::kTemperatureDifference;
  return kind == Kind::kPressureAbsolute ? Kind::kPressureDifference : kind;
}

Shown ShownTerm(double torque, const Units& units) {
  return Show(torque, std::nullopt, Kind::kTorque, units.For(Kind::kTorque));
}

}  // namespace

std::string Pieces(std::size_t count) { return count == 1 ? "" : fmt::format("{} × ", count); }

std::string Grouped(double count) {
  std::string digits = fmt::format("{:.0f}", count);
  for (std::size_t i = digits.size(); i > 3;) digits.insert(i -= 3, "\u00A0");
  return digits;
}

std::string FigureText(const Figure& f, Kind kind, const Units& units) {
  // What a solve leaves of nothing is nothing.
  constexpr double kLeast = 1e-12, kLeastTolerance = 1e-9;  // SI
  const bool none = std::abs(f.value) < kLeast && f.tolerance < kLeastTolerance;
  return Show(none ? 0.0 : f.value, none ? std::nullopt : ToleranceOf(f), kind, units.For(kind))
             .text +
         (f.assumed ? " a" : "");
}

std::string BoundText(const PropagatedMargin& m, Kind kind, const Units& units) {
  if (!m.limit) return "";
  const auto show = [&](double bound) {
    return Show(bound, std::nullopt, kind, units.For(kind)).text;
  };
  // Close for want of reserve, though the bound itself is kept over the whole ±.
  const bool wanting = m.status == limits::Status::kClose && m.wanted > 0.0 && m.at_least &&
                       m.margin && m.margin->value > m.margin->tolerance;
  return fmt::format("{} {}{}", m.at_least ? "at least" : "at most", show(*m.limit),
                     wanting ? fmt::format(", {} wanted", show(*m.limit + m.wanted)) : "");
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

std::string NameOf(const Input& input) {
  // What the model itself leaves open is no field of the document (model/setup.h).
  if (input.path == "model.standing_torque")
    return "the spread of the formulas for a standing tyre";
  if (input.path == "model.pneumatic_trail") return "the trail of a real tyre against the model's";
  return input.path;
}

std::string NameOf(const OutputInfo& info) {
  const std::string label(info.label);
  return info.pair == Pair::kNone ? label
                                  : fmt::format("{}, {}", label, SideOf(info.pair, info.left));
}

std::optional<std::string> NameOfBoth(const OutputInfo& info) {
  using enum Pair;
  const bool sides = info.pair == kWheels || info.pair == kTurns || info.pair == kRack;
  if (!sides && info.pair != kValves) return std::nullopt;
  return fmt::format("{}, each {}", info.label, sides ? "side" : "valve");
}

std::string SharesText(const Figure& figure, const std::vector<Input>& inputs,
                       std::vector<std::pair<double, std::string>> others) {
  constexpr std::size_t kMostShares = 5;
  constexpr double kLeastShare = 0.01;  // of the squared ±, below which an input is not listed
  auto shares = std::move(others);
  for (const Contribution& c : figure.from) {
    shares.emplace_back(c.half_width, NameOf(inputs[c.input]));
  }
  std::ranges::stable_sort(shares, std::ranges::greater{}, &std::pair<double, std::string>::first);
  const double all = figure.tolerance * figure.tolerance;
  std::string list;
  std::size_t shown = 0;
  for (const auto& [half, name] : shares) {
    if (shown == kMostShares || half * half < kLeastShare * all || half == 0.0) break;
    list += fmt::format("{}{}\u00a0{:.0f}\u00a0%", shown++ ? ", " : "", name,
                        100.0 * half * half / all);
  }
  return list;
}

std::string TenthPercent(double share) {
  constexpr double kLeast = 0.0005, kPercent = 100.0;  // shown to a tenth of a percent
  if (share > 0.0 && share < kLeast) return "< 0.1 %";
  if (share < 1.0 && share > 1.0 - kLeast) return "> 99.9 %";
  return fmt::format("{:.1f} %", kPercent * share);
}

std::string RoundedText(double value, double tolerance, Kind kind, const Units& units) {
  const Shown shown = Show(value, tolerance, kind, units.For(kind));
  const std::size_t pm = shown.text.find(" ± ");
  if (pm == std::string::npos) return shown.text;
  // The unit stands behind the ± alone, but for signs that are set close to the value.
  const std::size_t unit = shown.text.find(' ', pm + std::string_view(" ± ").size());
  const bool close = !std::isdigit(static_cast<unsigned char>(shown.text[pm - 1]));
  return shown.text.substr(0, pm) +
         (close || unit == std::string::npos ? "" : shown.text.substr(unit));
}

std::string Signed(const Figure& f, Kind kind, const Units& units) {
  std::string text = FigureText(f, kind, units);
  return f.value > 0.0 ? "+" + text : text;
}

std::string ChangeText(const Figure& change, const Figure& of, Kind kind, const Units& units) {
  const Kind apart = DifferenceOf(kind);
  if (apart != kind) return Signed(change, apart, units);
  const std::string sign = change.value > 0.0 ? "+" : "";
  const std::string unit = Show(of.value, std::nullopt, kind, units.For(kind)).unit;
  return sign + ShowIn(change.value, ToleranceOf(change), kind, unit).text;
}

std::string TermText(double torque, const Units& units) {
  if (std::abs(torque) < kLeastTermShown) return "0";
  return fmt::format("{:+.2f}", ShownTerm(torque, units).value);
}

std::string TermUnit(const Units& units) { return ShownTerm(1.0, units).unit; }

std::vector<std::string> PlateTroubles(const SetupReport& setup, const Units& units) {
  std::vector<std::string> troubles;
  const Propagated& r = setup.results;
  for (const Side side : kSides) {
    const auto& off = r[side == Side::kLeft ? Output::kPlateLeft : Output::kPlateRight].figure;
    const auto& row = r.plate_row[Index(side)];
    if (!off || !row || std::abs(off->value) <= off->tolerance) continue;
    const Quantity& travel = *setup.fitted.car.front.turn_plate[*row].travel;
    const std::string at =
        Show(travel.value, std::nullopt, Kind::kLength, units.For(Kind::kLength)).text;
    troubles.push_back(fmt::format(
        "turn-plate reading and linkage contradict each other: {} wheel at a rack travel of {} "
        "(car.front.turn_plate[{}]), read less computed {}; read it again, and measure the points "
        "on which it leans again",
        WordOf(side), at, *row, FigureText(*off, Kind::kAngle, units)));
  }
  return troubles;
}

}  // namespace steerbench
