// Short texts that the reports for people and those for programs share. Internal to report.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "report/report.h"

namespace steerbench {

// How many of a thing, before its name: empty for one, else "2 × ".
[[nodiscard]] std::string Pieces(std::size_t count);

// Digits in groups of three, as they are read: "5 800 000".
[[nodiscard]] std::string Grouped(double count);

// A value with its ±, and an "a" behind it when it leans on something assumed.
[[nodiscard]] std::string FigureText(const Figure& f, Kind kind, const Units& units);

// The bound of a margin: "at least 14 mm"; empty when there is none.
[[nodiscard]] std::string BoundText(const PropagatedMargin& m, Kind kind, const Units& units);

// Where a limit of the travel is met: "left wheel down 60 mm", behind an obstacle's name; empty
// when there is nothing to say.
[[nodiscard]] std::string CircumstanceText(const SetupReport& setup, const PropagatedEnd& e,
                                           const Units& units);

// Turn-plate readings that contradict the linkage: by how much, where, and what to do about it; one
// sentence for each wheel, none where they agree within their ±.
[[nodiscard]] std::vector<std::string> PlateTroubles(const SetupReport& setup, const Units& units);

// An input by its path in the document; what a model itself leaves open, in words.
[[nodiscard]] std::string NameOf(const Input& input);

// A result with which of a pair it is: "Kerb, assist lost, pull at the rim".
[[nodiscard]] std::string NameOf(const OutputInfo& info);
// Both of its pair at once, where they are the same thing on two sides: "Caster, each side". Unset
// where they are not, as pressure and flow.
[[nodiscard]] std::optional<std::string> NameOfBoth(const OutputInfo& info);

// What makes a figure's ±, the greatest part of its square first: "car.oil.cooling 62 %, ...". Each
// of `others` is a half width that no input makes, and its name. Empty when there is no ±.
[[nodiscard]] std::string SharesText(const Figure& figure, const std::vector<Input>& inputs,
                                     std::vector<std::pair<double, std::string>> others = {});

// A share to a tenth of a percent; what is not quite none or all says so: "< 0.1 %".
[[nodiscard]] std::string TenthPercent(double share);

// A value to the digits of a ± (more than 0), without it: "2.78 turns".
[[nodiscard]] std::string RoundedText(double value, double tolerance, Kind kind,
                                      const Units& units);

// A figure with its sign, also where it is above zero.
[[nodiscard]] std::string Signed(const Figure& f, Kind kind, const Units& units);

// A change of a figure, with its sign, in the unit of the figure even where it is small enough for
// a smaller one.
[[nodiscard]] std::string ChangeText(const Figure& change, const Figure& of, Kind kind,
                                     const Units& units);

// A part of a weight (Evaluation::Breakdown) with its sign, in the unit in which torques are shown,
// without it; and that unit. Parts below the least are not worth a place.
inline constexpr double kLeastTermShown = 0.005;  // [N m] two digits are shown
// The weights that stand for the others where there is room for few.
inline constexpr std::array kTakenApart{Output::kKerbTorque, Output::kRoadTorque};
[[nodiscard]] std::string TermText(double torque, const Units& units);
[[nodiscard]] std::string TermUnit(const Units& units);

}  // namespace steerbench
