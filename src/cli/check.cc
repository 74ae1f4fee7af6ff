#include "cli/load.h"
#include "cli/watched.h"
#include "search/parallel.h"

namespace steerbench::cli {
namespace {

void Draw(std::vector<SetupReport>& setups, std::size_t draws) {
  Watched watched("check");
  std::size_t done = 0;
  std::vector<DrawnCar> cars(draws);
  for (SetupReport& setup : setups) {
    search::ParallelFor(search::Cores(), draws, [&](std::size_t thread, std::size_t i) {
      cars[i] = DrawCar(setup.fitted, kUsualSeed, i);
      if (thread > 0) return;
      watched((static_cast<double>(done) + static_cast<double>(i) / static_cast<double>(draws)) /
              static_cast<double>(setups.size()));
    });
    ++done;
    setup.drawn = Over(cars);
  }
  watched(1.0);
}

}  // namespace

int RunCheck(const CheckOptions& options) {
  const Loaded loaded = Load(options.file);
  if (!loaded.usable) return kUnusable;
  auto setups = Evaluated(loaded, options);
  if (!setups) return kUnusable;
  if (options.draws) Draw(*setups, *options.draws);
  const TextStyle style = StyleOf(loaded.document, options);
  const std::string& title = loaded.document.title;
  Print(options.json ? CheckJson(title, *setups, {style.units}) : CheckText(title, *setups, style));
  return AnyExceeded(*setups) ? kLimitExceeded : kAllWell;
}

}  // namespace steerbench::cli
