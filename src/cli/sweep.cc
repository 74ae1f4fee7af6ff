#include "engine/evaluate/sweep.h"

#include <fmt/format.h>

#include "cli/load.h"
#include "cli/range.h"
#include "engine/evaluate/evaluate.h"

namespace steerbench::cli {
namespace {

constexpr std::size_t kMostRows = 2'000'000;

// The range of an option, or `usual` when it was not given; false, and said why, when it is wrong.
bool TakeRange(std::string_view name, const std::string& text, std::vector<double> usual,
               std::vector<double>& values) {
  values = std::move(usual);
  if (text.empty()) return true;
  const Range range = ParseRange(text, Kind::kLength);
  if (!range.error.empty()) Complain(fmt::format("--{} {}", name, range.error));
  values = range.values;
  return range.error.empty();
}

// The travel that the setup has, so that a sweep without options shows all of it and no more.
std::vector<double> UsualTravel(const Fitted<double>& fitted) {
  constexpr double kWithoutStops = 0.06;  // [m] where the travel is not known
  constexpr int kPoints = 25;
  const Evaluation<double> e = Evaluate(fitted);
  const auto& left = e[Output::kTravelLeft];
  const auto& right = e[Output::kTravelRight];
  return EvenGrid(-right.value_or(kWithoutStops), left.value_or(kWithoutStops), kPoints);
}

}  // namespace

int RunSweep(const SweepOptions& options) {
  const Loaded loaded = Load(options.file);
  if (!loaded.usable) return kUnusable;
  const auto* setup = OneSetup(loaded, options);
  if (setup == nullptr) return kUnusable;
  const Fitted<double> fitted = LiftTo<double>(Fit(loaded.document, setup->second),
                                               [](std::size_t, double value) { return value; });
  SweepGrid grid;
  grid.wheels_together = options.jounce_left.empty() && options.jounce_right.empty();
  const std::string& left = grid.wheels_together ? options.jounce : options.jounce_left;
  if (!grid.wheels_together && !options.jounce.empty()) {
    Complain("--wheel-travel moves both wheels: give it, or one for each side, not both");
    return kUnusable;
  }
  if (!TakeRange("rack-travel", options.travel, UsualTravel(fitted), grid.travel) ||
      !TakeRange("wheel-travel", left, {0.0}, grid.jounce_left) ||
      !TakeRange("wheel-travel-right", options.jounce_right, {0.0}, grid.jounce_right)) {
    return kUnusable;
  }
  const std::size_t rows = grid.travel.size() * grid.jounce_left.size() *
                           (grid.wheels_together ? 1 : grid.jounce_right.size());
  if (rows > kMostRows) {
    Complain(fmt::format("the grid has {} rows; at most {} are made at a time", rows, kMostRows));
    return kUnusable;
  }
  const Sweep sweep = steerbench::RunSweep(fitted, grid);
  if (sweep.level == Level::kUnknown) {
    Complain(
        fmt::format("setup '{}' does not say enough of the linkage to sweep it: see "
                    "'steerbench check {}' for what is missing",
                    setup->first, options.file));
    return kUnusable;
  }
  Print(options.json  ? SweepJson(sweep)
        : options.csv ? SweepCsv(sweep)
                      : SweepText(sweep, StyleOf(loaded.document, options)));
  return kAllWell;
}

}  // namespace steerbench::cli
