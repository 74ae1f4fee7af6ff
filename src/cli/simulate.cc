#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdio>

#include "cli/load.h"
#include "engine/evaluate/evaluate.h"
#include "report/simulate.h"

namespace steerbench::cli {
namespace {

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
  const auto ready = simulate::Prepare(o.order, fitted, Evaluate(fitted), simulate::kFileRows);
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
  const simulate::FittedPlant& plant = ready.plant;
  Print(o.json  ? SimulateJson(loaded.document.title, setup->first, *history, plant)
        : o.csv ? SweepCsv(AsSweep(*history, plant))
                : SimulateText(setup->first, o.order.run, *history, plant,
                               StyleOf(loaded.document, o)));
  return kAllWell;
}

}  // namespace steerbench::cli
