#include "report/side_by_side.h"

#include "search/parallel.h"

namespace steerbench {
namespace {

fit::Values ValuesOf(const Propagated& results) {
  fit::Values values;
  for (std::size_t i = 0; i < kOutputs; ++i) {
    if (results.result[i].figure) values[i] = results.result[i].figure->value;
  }
  return values;
}

}  // namespace

SwapsBySetup SwapsAgainst(const std::vector<SetupReport>& setups, std::size_t base, int threads) {
  SwapsBySetup swaps(setups.size());
  const fit::Values before = ValuesOf(setups[base].results);
  search::ParallelFor(threads, setups.size(), [&](std::size_t, std::size_t i) {
    if (i == base) return;
    swaps[i] = fit::SwapsBetween(setups[base].fitted, before, setups[i].fitted,
                                 ValuesOf(setups[i].results));
  });
  return swaps;
}

DrawnOver DrawMany(const SetupReport& setup, std::size_t draws, int threads,
                   const std::function<void(double)>& watch) {
  const InputDraws drawn = DrawInputs(setup.results.inputs, draws, kUsualSeed);
  std::vector<DrawnCar> cars(draws);
  search::ParallelFor(threads, draws, [&](std::size_t thread, std::size_t i) {
    cars[i] = EvaluateDrawn(setup.fitted, drawn, i);
    if (thread == 0 && watch) watch(static_cast<double>(i) / static_cast<double>(draws));
  });
  return Over(cars);
}

}  // namespace steerbench
