#include "report/control.h"

#include <fmt/format.h>

#include <algorithm>

namespace steerbench {
namespace {

constexpr double kNotable = 0.02;  // share of the weight below which a change of it is none

// A weight to two digits after the point, where no ± belongs to it.
std::string Weight(double torque, const Units& units) {
  const Shown shown = Show(torque, std::nullopt, Kind::kTorque, units.For(Kind::kTorque));
  return fmt::format("{:.2f} {}", shown.value, shown.unit);
}

std::string WhatIsWrong(const ControlTrouble::Weak& weak, const Fitted<Quantity>& fitted) {
  const auto& part = weak.second ? fitted.second_control_valve : fitted.control_valve;
  if (weak.unplugged) {
    return fmt::format(
        "control valve {} is unplugged and stands in the circuit as it does without current, where "
        "{:.2f} A is asked for",
        part->name, weak.asked);
  }
  std::string why;
  if (weak.in_series) why = ": the two coils in series share the driver's voltage";
  if (weak.shared) why = ": the two coils in parallel share the driver's current";
  return fmt::format("control valve {} gets {:.2f} A of the {:.2f} A asked for{}{}", part->name,
                     weak.current, weak.asked,
                     weak.current < weak.pull_in
                         ? fmt::format(", less than the {:.2f} A from which it moves", weak.pull_in)
                         : "",
                     why);
}

// What the best cure does to the weight tells whether the fault makes it heavy or light.
std::string WhatItDoes(const ControlTrouble& trouble, const Units& units) {
  if (!trouble.torque) return "";
  const auto best = std::ranges::find_if(
      trouble.trials, [](const auto& t) { return t.cures && t.torque.has_value(); });
  std::string text =
      fmt::format("{} so: {}", InfoOf(trouble.weight).label, Weight(*trouble.torque, units));
  if (best == trouble.trials.end()) return text;
  const double change = *trouble.torque / *best->torque - 1.0;
  if (std::abs(change) < kNotable) return text + ", which is no other than with all its current";
  return fmt::format("{}, {} for that reason: with all its current it is {}", text,
                     change > 0.0 ? "heavy" : "light", Weight(*best->torque, units));
}

std::string WhatWasTried(const ControlTrouble::Trial& trial, const Units& units) {
  const std::string weight = trial.torque ? Weight(*trial.torque, units) : "cannot be weighed";
  return fmt::format("{}: {}, {}", trial.cures ? "cure" : "no cure", trial.change, weight);
}

}  // namespace

std::vector<std::string> ControlTroubleLines(const SetupReport& setup, const Units& units) {
  const auto& trouble = setup.results.control_trouble;
  if (!trouble) return {};
  std::vector<std::string> lines;
  for (const ControlTrouble::Weak& weak : trouble->weak) {
    lines.push_back(WhatIsWrong(weak, setup.fitted));
  }
  const std::string weight = WhatItDoes(*trouble, units);
  if (!weight.empty()) lines.push_back(weight);
  for (const ControlTrouble::Trial& trial : trouble->trials) {
    lines.push_back(WhatWasTried(trial, units));
  }
  return lines;
}

}  // namespace steerbench
