#include <fmt/format.h>

#include <algorithm>

#include "cli/load.h"
#include "report/side_by_side.h"
#include "search/parallel.h"

namespace steerbench::cli {

int RunCompare(const CompareOptions& options) {
  const Loaded loaded = Load(options.file);
  if (!loaded.usable) return kUnusable;
  Common asked = options;
  // What the others are compared with is one of them.
  if (!options.base.empty() && !asked.setups.empty() &&
      std::ranges::find(asked.setups, options.base) == asked.setups.end()) {
    asked.setups.insert(asked.setups.begin(), options.base);
  }
  const auto setups = Evaluated(loaded, asked);
  if (!setups) return kUnusable;
  const auto base = options.base.empty()
                        ? setups->begin()
                        : std::ranges::find(*setups, options.base, &SetupReport::name);
  if (base == setups->end()) {
    std::string names;
    for (const SetupReport& s : *setups) names += (names.empty() ? "" : ", ") + s.name;
    Complain(fmt::format("--base {}: not among the setups compared, which are: {}", options.base,
                         names));
    return kUnusable;
  }
  const TextStyle style = StyleOf(loaded.document, options);
  const auto index = static_cast<std::size_t>(base - setups->begin());
  const std::string& title = loaded.document.title;
  const SwapsBySetup swaps = SwapsAgainst(*setups, index, search::Cores());
  Print(options.json ? CompareJson(title, *setups, index, swaps, {style.units})
                     : CompareText(title, *setups, index, swaps, style));
  return AnyExceeded(*setups) ? kLimitExceeded : kAllWell;
}

}  // namespace steerbench::cli
