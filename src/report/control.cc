#include "report/control.h"

#include <fmt/format.h>

#include <cmath>

#include "report/phrases.h"

namespace steerbench {
namespace {

constexpr double kNotable = 0.02;  // share of the weight below which a change of it is none

std::string Weight(const Figure& torque, const Units& units) {
  return FigureText(torque, Kind::kTorque, units);
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
  if (weak.open_loop) why = ": the other plug is off, which opens the series loop of both";
  if (weak.driver_limit && why.empty()) {
    why = fmt::format(": the driver gives at most {:.2f} A", *weak.driver_limit);
  }
  return fmt::format("control valve {} gets {:.2f} A of the {:.2f} A asked for{}{}", part->name,
                     weak.current, weak.asked,
                     weak.current < weak.pull_in
                         ? fmt::format(", less than the {:.2f} A from which it moves", weak.pull_in)
                         : "",
                     why);
}

// What the best cure does to the weight tells whether the fault makes it heavy or light.
std::string WhatItDoes(const Propagated& r, const Units& units) {
  const ControlTrouble& trouble = *r.control_trouble;
  const auto& torque = r.control_torque;
  if (!torque.front()) return "";
  std::string text =
      fmt::format("{} so: {}", InfoOf(trouble.weight).label, Weight(*torque.front(), units));
  const Figure* best = nullptr;
  for (std::size_t i = 0; i < trouble.trials.size() && best == nullptr; ++i) {
    if (trouble.trials[i].cures && torque[i + 1]) best = &*torque[i + 1];
  }
  if (best == nullptr) return text;
  const double change = torque.front()->value / best->value - 1.0;
  if (std::abs(change) < kNotable) return text + ", which is no other than with all its current";
  return fmt::format("{}, {} for that reason: with all its current it is {}", text,
                     change > 0.0 ? "heavy" : "light", Weight(*best, units));
}

std::string WhatWasTried(const ControlTrouble::Trial& trial, const std::optional<Figure>& torque,
                         const Units& units) {
  const std::string weight = torque ? Weight(*torque, units) : "cannot be weighed";
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
  const std::string weight = WhatItDoes(setup.results, units);
  if (!weight.empty()) lines.push_back(weight);
  for (std::size_t i = 0; i < trouble->trials.size(); ++i) {
    lines.push_back(WhatWasTried(trouble->trials[i], setup.results.control_torque[i + 1], units));
  }
  return lines;
}

}  // namespace steerbench
