#include "cli/load.h"
#include "cli/watched.h"
#include "report/side_by_side.h"
#include "search/parallel.h"

namespace steerbench::cli {
namespace {

void Draw(std::vector<SetupReport>& setups, std::size_t draws) {
  Watched watched("check");
  for (std::size_t i = 0; i < setups.size(); ++i) {
    setups[i].drawn = DrawMany(setups[i], draws, search::Cores(), [&](double share) {
      watched((static_cast<double>(i) + share) / static_cast<double>(setups.size()));
    });
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
