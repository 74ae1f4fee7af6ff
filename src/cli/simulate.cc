#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>

#include "cli/load.h"
#include "engine/evaluate/evaluate.h"
#include "engine/evaluate/sweep.h"
#include "simulate/plant.h"

namespace steerbench::cli {
namespace {

using simulate::Manoeuvre;
using simulate::Shape;

// A run by its name, and what it is when nothing more is said.
struct Usual {
  std::string_view word;
  Shape shape;
  double amplitude;  // [rad]; of lock runs counted from lock
  bool from_lock;
  double time;    // [s]
  double length;  // of the whole run, in times
};
constexpr double kDegree = M_PI / 180.0;
constexpr std::array<Usual, 5> kRuns{
    {{"step", Shape::kStep, 90.0 * kDegree, false, 0.3, 5.0},
     {"ramp", Shape::kRamp, 180.0 * kDegree, false, 1.0, 1.5},
     {"sine", Shape::kSine, 45.0 * kDegree, false, 2.0, 3.0},
     {"parking", Shape::kParking, -10.0 * kDegree, true, 3.0, 3.0},
     {"lock-impact", Shape::kLockImpact, 5.0 * kDegree, true, 2.0, 1.5}}};

constexpr int kTableRows = 31;
constexpr int kFileRows = 301;

// A value of a kind, or `usual` when it was not given. Unset, and said why, when it is wrong.
std::optional<double> Take(std::string_view option, const std::string& text, Kind kind,
                           double usual) {
  if (text.empty()) return usual;
  const ParsedQuantity read = ParseQuantity(text, kind);
  if (read.quantity) return read.quantity->value;
  Complain(fmt::format("--{} '{}': {}", option, text, read.error.message));
  return std::nullopt;
}

// The same without a usual value.
bool TakeOptional(std::string_view option, const std::string& text, Kind kind,
                  std::optional<double>& value) {
  if (text.empty()) return true;
  value = Take(option, text, kind, 0.0);
  return value.has_value();
}

std::optional<simulate::FittedPlant> MakePlant(const SimulateOptions& o,
                                               const Fitted<Quantity>& written) {
  simulate::Given given;
  const auto air = Take("air", o.air, Kind::kShare, 0.0);
  if (!air ||
      !TakeOptional("engine-speed", o.engine_speed, Kind::kAngularSpeed, given.engine_speed) ||
      !TakeOptional("rack-mass", o.rack_mass, Kind::kMass, given.rack_mass)) {
    return std::nullopt;
  }
  given.air = *air;
  const Fitted<double> fitted =
      LiftTo<double>(written, [](std::size_t, double value) { return value; });
  Missing missing;
  auto made = simulate::PlantOf(fitted, Evaluate(fitted), given, missing);
  if (made) return made;
  std::vector<std::string> names;
  for (const std::string_view path : missing) names.push_back(FullPath(fitted, path));
  Complain(fmt::format("setup '{}' lacks what a simulation needs: {}", fitted.setup_name,
                       names.empty() ? "a load at the kerb that can be computed"
                                     : fmt::format("{}", fmt::join(names, ", "))));
  return std::nullopt;
}

// What the hand does, in the plant's sense; unset, and said why, when an option is wrong.
std::optional<simulate::Run> MakeRun(const SimulateOptions& o, const simulate::FittedPlant& made) {
  const auto* usual = std::ranges::find(kRuns, o.run, &Usual::word);
  if (usual == kRuns.end()) {
    Complain(fmt::format("--run '{}': write step, ramp, sine, parking or lock-impact", o.run));
    return std::nullopt;
  }
  simulate::Run run;
  Manoeuvre& m = run.manoeuvre;
  m.shape = usual->shape;
  const simulate::Plant& p = made.plant;
  const double lock =
      (made.turn > 0.0 ? p.stops.high : -p.stops.low) / p.circuit.cylinder.travel_per_radian;
  m.of_torque = ParseQuantity(o.amplitude, Kind::kTorque).quantity.has_value();
  const auto amplitude = Take("amplitude", o.amplitude, m.of_torque ? Kind::kTorque : Kind::kAngle,
                              usual->amplitude + (usual->from_lock ? lock : 0.0));
  const auto time = Take("time", o.time, Kind::kTime, usual->time);
  if (!amplitude || !time) return std::nullopt;
  m.amplitude = made.turn * *amplitude;
  m.time = *time;
  const auto duration = Take("duration", o.duration, Kind::kTime, *time * usual->length);
  if (!duration) return std::nullopt;
  run.duration = *duration;
  run.samples = o.csv || o.json ? kFileRows : kTableRows;
  return run;
}

// What is smaller than the solver's own error is none; also takes the sign off a zero.
double Quiet(double x, double error) { return std::abs(x) < error ? 0.0 : x; }
constexpr double kSpeedError = 1e-6, kForceError = 1e-3, kTorqueError = 1e-6;  // SI

// The history as the driver sees it: hand wheel and rack positive to the left.
Sweep AsSweep(const simulate::History& history, double turn) {
  Sweep sweep;
  sweep.level = Level::kPoints;
  sweep.column = {{"time", "Time", Kind::kTime},
                  {"hand_angle", "Hand-wheel angle, to the left positive", Kind::kAngle},
                  {"hand_torque", "Torque of the hand, to the left positive", Kind::kTorque},
                  {"travel", "Rack travel, to the left positive", Kind::kLength},
                  {"rack_speed", "Rack speed", Kind::kSpeed},
                  {"outlet", "Pressure at the pump", Kind::kPressureGauge},
                  {"chamber_left", "Pressure that pushes to the left", Kind::kPressureGauge},
                  {"chamber_right", "Pressure that pushes to the right", Kind::kPressureGauge},
                  {"flow", "Flow delivered by the pump", Kind::kFlow},
                  {"assist", "Force of the oil on the rack", Kind::kForce},
                  {"load", "Force of the wheels against the rack", Kind::kForce}};
  // Energies [J] are of the kind of a torque, 1 N m = 1 J; a table for people has no room for them.
  for (const auto& [key, label] : std::initializer_list<std::pair<const char*, const char*>>{
           {"hand_work", "Energy brought in by the hand (1 N m = 1 J)"},
           {"pump_work", "Energy brought in by the pump (1 N m = 1 J)"},
           {"load_work", "Energy given to the wheels (1 N m = 1 J)"},
           {"stored", "Energy kept in motion, springs and oil (1 N m = 1 J)"},
           {"lost", "Energy turned to heat (1 N m = 1 J)"},
           {"carried", "Elastic energy that came with the oil (1 N m = 1 J)"}}) {
    sweep.column.push_back({key, label, Kind::kTorque});
  }
  for (const simulate::Sample& s : history.samples) {
    sweep.row.push_back({s.time, Quiet(turn * s.hand_angle, kTorqueError),
                         Quiet(turn * s.hand_torque, kTorqueError), s.travel,
                         Quiet(s.speed, kSpeedError), s.outlet, s.chamber_a, s.chamber_b,
                         s.delivered, Quiet(s.assist, kForceError), Quiet(s.load, kForceError),
                         s.hand_work, s.pump_work, s.load_work, s.stored, s.lost, s.carried});
  }
  return sweep;
}

constexpr std::size_t kTableColumns = 11;  // the energies are for CSV and JSON

// Says how far a run is once it has taken a while, to a person who watches.
class Watched {
 public:
  void operator()(double share) {
    if (!terminal_) return;
    const auto now = std::chrono::steady_clock::now();
    if (now - last_ < kPatience && !(share >= 1.0 && shown_)) return;
    last_ = now;
    shown_ = true;
    std::fprintf(stderr, "\rsimulate: %3.0f %%%s", 100.0 * share, share >= 1.0 ? "\r\033[K" : "");
  }

 private:
  static constexpr std::chrono::milliseconds kPatience{500};
  bool terminal_ = isatty(STDERR_FILENO) == 1;
  bool shown_ = false;
  std::chrono::steady_clock::time_point last_ = std::chrono::steady_clock::now();
};

std::string Text(const SimulateOptions& o, const std::string& setup,
                 const simulate::FittedPlant& made, const simulate::History& history,
                 const TextStyle& style) {
  Sweep table = AsSweep(history, made.turn);
  table.column.resize(kTableColumns);
  for (std::vector<double>& row : table.row) row.resize(kTableColumns);
  std::string out = fmt::format("Setup {}, {} at the kerb, brake off, dry\n", setup, o.run);
  out += SweepText(table, style);
  out += fmt::format(
      "\nEnergy: {:.0f} J by the pump and {:.1f} J by the hand; it balances to "
      "{:.0e} of all turned over.\nTaken for granted:\n",
      history.samples.back().pump_work, history.samples.back().hand_work, history.worst_unbalanced);
  for (const std::string& what : made.assumed) out += "  " + what + "\n";
  return out;
}

}  // namespace

int RunSimulate(const SimulateOptions& o) {
  const Loaded loaded = Load(o.file);
  if (!loaded.usable) return kUnusable;
  const auto* setup = OneSetup(loaded, o);
  if (setup == nullptr) return kUnusable;
  const auto made = MakePlant(o, Fit(loaded.document, setup->second));
  if (!made) return kUnusable;
  const auto run = MakeRun(o, *made);
  if (!run) return kUnusable;
  Watched watched;
  const auto history = simulate::Simulate(made->plant, *run, std::ref(watched));
  if (!history) {
    Complain(fmt::format("{}: {}", o.run, simulate::Describe(history.why())));
    return kUnusable;
  }
  const Sweep sweep = AsSweep(*history, made->turn);
  Print(o.json  ? SweepJson("simulate", loaded.document.title, setup->first, sweep)
        : o.csv ? SweepCsv(sweep)
                : Text(o, setup->first, *made, *history, StyleOf(loaded.document, o)));
  return kAllWell;
}

}  // namespace steerbench::cli
