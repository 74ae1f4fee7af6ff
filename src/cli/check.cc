#include "cli/load.h"

namespace steerbench::cli {

int RunCheck(const Common& options) {
  const Loaded loaded = Load(options.file);
  if (!loaded.usable) return kUnusable;
  const auto setups = Evaluated(loaded, options);
  if (!setups) return kUnusable;
  const TextStyle style = StyleOf(loaded.document, options);
  const std::string& title = loaded.document.title;
  Print(options.json ? CheckJson(title, *setups, {style.units}) : CheckText(title, *setups, style));
  return AnyExceeded(*setups) ? kLimitExceeded : kAllWell;
}

}  // namespace steerbench::cli
