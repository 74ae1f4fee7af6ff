#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdio>

#include "cli/load.h"
#include "engine/evaluate/evaluate.h"
#include "simulate/order.h"

namespace steerbench::cli {
namespace {

constexpr int kTableRows = 31;

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
  Sweep table = AsSweep(history, made);
  table.column.resize(simulate::kShownColumns);
  for (std::vector<double>& row : table.row) row.resize(simulate::kShownColumns);
  std::string out = fmt::format("Setup {}, {} at the kerb, brake off, dry\n", setup, o.order.run);
  out += SweepText(table, style);
  out += fmt::format(
      "\nEnergy: {:.0f} J by the pump and {:.1f} J by the hand; it balances to "
      "{:.0e} of all turned over.\nTaken for granted:\n",
      history.samples.back().pump_work, history.samples.back().hand_work, history.worst_unbalanced);
  for (const std::string& what : made.assumed) out += "  " + what + "\n";
  return out;
}

void ComplainOf(const simulate::Wrong& wrong) {
  std::string option = wrong.field;
  std::ranges::replace(option, '_', '-');
  Complain(option.empty() ? wrong.message : fmt::format("--{} {}", option, wrong.message));
}

}  // namespace

int RunSimulate(const SimulateOptions& o) {
  const Loaded loaded = Load(o.file);
  if (!loaded.usable) return kUnusable;
  const auto* setup = OneSetup(loaded, o);
  if (setup == nullptr) return kUnusable;
  const Fitted<double> fitted = LiftTo<double>(Fit(loaded.document, setup->second),
                                               [](std::size_t, double value) { return value; });
  const auto ready = simulate::Prepare(o.order, fitted, Evaluate(fitted),
                                       o.csv || o.json ? simulate::kFileRows : kTableRows);
  if (ready.wrong) {
    ComplainOf(*ready.wrong);
    return kUnusable;
  }
  Watched watched;
  const auto history = simulate::Simulate(ready.plant.plant, ready.run, std::ref(watched));
  if (!history) {
    Complain(fmt::format("{}: {}", o.order.run, simulate::Describe(history.why())));
    return kUnusable;
  }
  const Sweep sweep = AsSweep(*history, ready.plant);
  Print(o.json  ? SweepJson("simulate", loaded.document.title, setup->first, sweep)
        : o.csv ? SweepCsv(sweep)
                : Text(o, setup->first, ready.plant, *history, StyleOf(loaded.document, o)));
  return kAllWell;
}

}  // namespace steerbench::cli
