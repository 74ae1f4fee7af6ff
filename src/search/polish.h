// Settings that can take any value, set to the best for one combination.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "search/conclude.h"

namespace steerbench::search {

// One adjustment that was polished.
struct Setting {
  std::string key;  // of the setup, such as "rack_up"
  Kind kind = Kind::kLength;
  std::optional<double> before;  // SI: as set, else as the parts have it; unset: not known
  double after = 0.0;
  bool at_bound = false;
};

struct Polished {
  std::vector<Setting> settings;
  Line line;  // with them set
};

// Moves the adjustments that `search` states as `from` .. `to` so that what is wished gets better
// by the most steps (aims.h) in all, while no wish gets worse by more than half a step and no limit
// is passed: Powell's method of linear approximations (M. J. D. Powell, A direct search
// optimization method that models the objective and constraint functions by linear interpolation,
// 1994), by NLopt. Unset when nothing can be set or nothing got better.
[[nodiscard]] std::optional<Polished> Polish(const Document& document, const StatedWishes& wishes,
                                             const Line& line);

}  // namespace steerbench::search
