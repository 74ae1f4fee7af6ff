// A history in plain words, one figure each.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "quantity/kinds.h"
#include "simulate/plant.h"

namespace steerbench::simulate {

struct Remark {
  std::string_view key;         // for programs
  std::string_view label;       // for people
  Kind kind{};                  // of the value
  std::optional<double> value;  // SI; unset when what it needs is not known, as `note` says
  std::string note;             // what goes with the value; may be empty
};

// The hardest pull, the highest pressure, the relief valve, catch-up, and where the energy went.
// `plant` is that of the run.
[[nodiscard]] std::vector<Remark> RemarksOn(const History& history, const FittedPlant& plant);

}  // namespace steerbench::simulate
