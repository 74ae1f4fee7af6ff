#include "engine/evaluate/sweep.h"

#include <fmt/format.h>

#include <algorithm>

#include "cli/load.h"
#include "cli/range.h"
#include "engine/evaluate/evaluate.h"
#include "engine/evaluate/weight_curves.h"

namespace steerbench::cli {
namespace {

constexpr const char* kHeld =
    "Torque at the hand wheel, to the left positive, standing, dry, engine idling. turn: turned\n"
    "slowly; brake: with the foot on it; lost: assistance lost, brake off.\n"
    "held: what holds the wheel where such a turn has stopped and the hand has eased off, so that\n"
    "friction helps it; 0: it stays when let go. In 'simulate' the hand does not ease off.\n";
constexpr const char* kInAndOut =
    "Torque at the hand wheel in a left bend, engine at cruise speed. in: turned further in; out:\n"
    "let back slowly; below zero it must be pulled back, for friction holds it.\n";
constexpr const char* kAtValve =
    "Rack held; torque at the valve, so without the column's friction. No speed: standing, engine\n"
    "idling; with one: engine at cruise speed.\n";
constexpr const char* kOnBench =
    "Rack held; torque at the valve; the pump at its regulated flow.\n";
constexpr const char* kKerb =
    "Turned slowly to the left at the kerb, brake off, dry, rack centred. catch_up: hand-wheel "
    "speed\n"
    "that outruns the pump, where half of the slow turn's assistance is left.\n";
constexpr std::size_t kMostRows = 100'000;  // about 200 MB with every column

std::string LegendOf(const Sweep& sweep, SweepOf of) {
  // On a bench there is no car that stands anywhere.
  const auto has = [&sweep](std::string_view key) {
    return std::ranges::find(sweep.column, key, &SweepColumn::key) != sweep.column.end();
  };
  if (of == SweepOf::kPump && !has("engine_speed")) return "";
  if (of == SweepOf::kBoost && !has("pressure_80")) return kOnBench;
  switch (of) {
    case SweepOf::kKerb:
      return kHeld;
    case SweepOf::kRoad:
      return kInAndOut;
    case SweepOf::kBoost:
      return kAtValve;
    case SweepOf::kPump:
      return kKerb;
    default:
      return "";
  }
}

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

// What a table shows unless asked for more; CSV and JSON have all columns.
constexpr std::string_view kUsualColumns =
    "travel,jounce_left,jounce_right,hand_wheel,steer_left,steer_right,ackermann_inner,camber_left,"
    "camber_right,bump_steer_left,bump_steer_right";

// The sweep with the columns asked for: a list of keys, or "all". Unset, and said why, for a key
// that is none.
std::optional<Sweep> KeepColumns(const Sweep& sweep, std::string list, bool table) {
  if (list == "all" || (list.empty() && !table)) return sweep;
  const bool usual = list.empty();
  if (usual) list = kUsualColumns;
  std::vector<std::size_t> keep;
  for (std::size_t from = 0; from <= list.size();) {
    const std::size_t comma = std::min(list.find(',', from), list.size());
    const std::string_view key = std::string_view(list).substr(from, comma - from);
    from = comma + 1;
    const auto found = std::ranges::find(sweep.column, key, &SweepColumn::key);
    if (found != sweep.column.end()) {
      keep.push_back(static_cast<std::size_t>(found - sweep.column.begin()));
    } else if (!usual) {
      std::string keys;
      for (const SweepColumn& c : sweep.column) keys += fmt::format(" {}", c.key);
      Complain(fmt::format("--columns: no column '{}'; they are:{}", key, keys));
      return std::nullopt;
    }
  }
  Sweep kept;
  kept.level = sweep.level;
  kept.assumed = sweep.assumed;
  kept.gaps = sweep.gaps;
  kept.doubts = sweep.doubts;
  for (const std::size_t i : keep) kept.column.push_back(sweep.column[i]);
  for (SweepDoubt& doubt : kept.doubts) {
    std::erase_if(doubt.columns, [&kept](std::string_view key) {
      return std::ranges::find(kept.column, key, &SweepColumn::key) == kept.column.end();
    });
  }
  std::erase_if(kept.doubts, [](const SweepDoubt& doubt) { return doubt.columns.empty(); });
  const auto keep_cells = [&keep](const auto& from, auto& to) {
    for (const std::vector<double>& row : from) {
      std::vector<double>& cells = to.emplace_back();
      for (const std::size_t i : keep) cells.push_back(row[i]);
    }
  };
  keep_cells(sweep.row, kept.row);
  keep_cells(sweep.pm, kept.pm);
  return kept;
}

// Prints the columns asked for in the form asked for.
int Show(const Loaded& loaded, const std::string& setup, const Evaluation<double>& found,
         const Sweep& sweep, const SweepOptions& options) {
  const bool table = !options.json && !options.csv;
  const bool all = options.columns.empty() && options.of != SweepOf::kLinkage;
  const auto kept = KeepColumns(sweep, all ? "all" : options.columns, table);
  if (!kept) return kUnusable;
  const TextStyle style = StyleOf(loaded.document, options);
  if (table) Print(fmt::format("Setup {}\n", setup));
  Print(options.json  ? SweepJson("sweep", loaded.document.title, setup, *kept)
        : options.csv ? SweepCsv(*kept)
                      : SweepText(*kept, style) + BeyondEndText(sweep, found.ends, style) +
                            LegendOf(sweep, options.of) + SweepNotes(*kept));
  return kAllWell;
}

// The curve asked for; unset, and said why, when an option does not belong to it.
// `fitted` holds quantities for a curve with plus-minus, else numbers.
template <class S>
std::optional<WeightCurve> CurveOf(const Fitted<S>& fitted, const Evaluation<double>& found,
                                   const SweepOptions& options) {
  if (!options.jounce.empty() || !options.jounce_left.empty() || !options.jounce_right.empty() ||
      (!options.travel.empty() && options.of != SweepOf::kKerb)) {
    Complain(
        "--rack-travel belongs to --of linkage and kerb, the wheel-travel options to --of linkage");
    return std::nullopt;
  }
  switch (options.of) {
    case SweepOf::kRoad:
      return RoadCurve(fitted, UsualAccelerations());
    case SweepOf::kBoost:
      return BoostCurve(fitted);
    case SweepOf::kPump:
      return PumpCurve(fitted);
    default:
      break;
  }
  std::vector<double> travel;
  if (!TakeRange("rack-travel", options.travel, UsualTravel(found, kCurvePoints), travel)) {
    return std::nullopt;
  }
  return KerbCurve(fitted, travel);
}

int SweepWeights(const Loaded& loaded, const std::string& setup, const Fitted<Quantity>& known,
                 const Fitted<double>& fitted, const Evaluation<double>& found,
                 const SweepOptions& options) {
  const auto curve = options.pm ? CurveOf(known, found, options) : CurveOf(fitted, found, options);
  if (!curve) return kUnusable;
  if (curve->missing.empty()) return Show(loaded, setup, found, curve->sweep, options);
  std::string missing;
  for (const std::string_view path : curve->missing) missing += " " + FullPath(fitted, path);
  Complain(fmt::format("setup '{}' needs for this curve:{}", setup, missing));
  return kUnusable;
}

}  // namespace

int RunSweep(const SweepOptions& options) {
  const Loaded loaded = Load(options.file);
  if (!loaded.usable) return kUnusable;
  const auto* setup = OneSetup(loaded, options);
  if (setup == nullptr) return kUnusable;
  const Fitted<Quantity> known = Fit(loaded.document, setup->second);
  const auto fitted = LiftTo<double>(known, [](std::size_t, double value) { return value; });
  const Evaluation<double> found = Evaluate(fitted);
  if (options.of != SweepOf::kLinkage) {
    return SweepWeights(loaded, setup->first, known, fitted, found, options);
  }
  if (options.pm) {
    Complain("--pm belongs to the curves of what the wheel weighs: kerb, road, boost and pump");
    return kUnusable;
  }
  constexpr int kPoints = 25;
  SweepGrid grid;
  grid.wheels_together = options.jounce_left.empty() && options.jounce_right.empty();
  const std::string& left = grid.wheels_together ? options.jounce : options.jounce_left;
  if (!grid.wheels_together && !options.jounce.empty()) {
    Complain("--wheel-travel moves both wheels: give it, or one for each side, not both");
    return kUnusable;
  }
  if (!TakeRange("rack-travel", options.travel, UsualTravel(found, kPoints), grid.travel) ||
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
  const bool moves = options.jounce.size() + left.size() + options.jounce_right.size() > 0;
  const Sweep sweep = steerbench::RunSweep(fitted, grid);
  if (sweep.level == Level::kUnknown) {
    Complain(
        fmt::format("setup '{}' does not say enough of the linkage to sweep it: see "
                    "'steerbench check {}' for what is missing",
                    setup->first, options.file));
    return kUnusable;
  }
  if (moves && sweep.level != Level::kPoints) {
    Complain(
        fmt::format("setup '{}' is known from above or from turn plates only, which says "
                    "nothing of wheel travel: leave the wheel-travel options out",
                    setup->first));
    return kUnusable;
  }
  return Show(loaded, setup->first, found, sweep, options);
}

}  // namespace steerbench::cli
