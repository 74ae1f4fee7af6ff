#include <fmt/format.h>

#include <algorithm>

#include "cli/load.h"
#include "cli/watched.h"
#include "engine/evaluate/evaluate.h"
#include "report/simulate.h"

namespace steerbench::cli {
namespace {

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
  Watched watched("simulate");
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
