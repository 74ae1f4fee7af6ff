// Short texts that the reports for people and those for programs share. Internal to report.
#pragma once

#include <string>

#include "report/report.h"

namespace steerbench {

// A value with its ±, and an "a" behind it when it leans on something assumed.
[[nodiscard]] std::string FigureText(const Figure& f, Kind kind, const Units& units);

// The bound of a margin: "at least 14 mm"; empty when there is none.
[[nodiscard]] std::string BoundText(const PropagatedMargin& m, Kind kind, const Units& units);

// Where a limit of the travel is met: "left wheel down 60 mm", behind an obstacle's name; empty
// when there is nothing to say.
[[nodiscard]] std::string CircumstanceText(const SetupReport& setup, const PropagatedEnd& e,
                                           const Units& units);

// A change of a figure, with its sign, in the unit of the figure even where it is small enough for
// a smaller one.
[[nodiscard]] std::string ChangeText(const Figure& change, const Figure& of, Kind kind,
                                     const Units& units);

}  // namespace steerbench
