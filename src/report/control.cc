#include "report/control.h"

#include <fmt/format.h>

#include <cmath>

#include "document/node.h"
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

// The weight with all its current: that of the first cure which is known.
const Figure* Cured(const Propagated& r) {
  for (std::size_t i = 0; i < r.control_trouble->trials.size(); ++i) {
    const auto& torque = r.control_torque[i + 1];
    if (r.control_trouble->trials[i].cures && torque) return &*torque;
  }
  return nullptr;
}

// What the best cure does to the weight tells whether the fault makes it heavy or light.
std::string WhatItDoes(const Propagated& r, const Units& units) {
  const ControlTrouble& trouble = *r.control_trouble;
  const auto& torque = r.control_torque;
  if (!torque.front()) return "";
  std::string text =
      fmt::format("{} so: {}", InfoOf(trouble.weight).label, Weight(*torque.front(), units));
  const Figure* const best = Cured(r);
  if (best == nullptr) return text;
  const double change = torque.front()->value / best->value - 1.0;
  if (std::abs(change) < kNotable) return text + ", which is no other than with all its current";
  return fmt::format("{}, {} for that reason: with all its current it is {}", text,
                     change > 0.0 ? "heavy" : "light", Weight(*best, units));
}

// One that leaves a coil short of current may still bring the weight back.
std::string WhatWasTried(const ControlTrouble::Trial& trial, const std::optional<Figure>& torque,
                         const Figure* cured, const Units& units) {
  const std::string weight = torque ? Weight(*torque, units) : "cannot be weighed";
  if (trial.cures) return fmt::format("cure: {}, {}", trial.change, weight);
  const bool as_good = torque && cured && std::abs(torque->value / cured->value - 1.0) < kNotable;
  return as_good ? fmt::format("as good at the wheel, though not with all its current: {}, {}",
                               trial.change, weight)
                 : fmt::format("no cure: {}, {}", trial.change, weight);
}

// A coil on the road whose current lies within the ± of that from which the valve moves: results
// count on one side of it, and their ± do not reach over.
void AddEdges(const SetupReport& setup, const Units& units, std::vector<std::string>& lines) {
  const auto look = [&](const std::optional<ControlValve<Quantity>>& part, Output id) {
    const auto& current = setup.results[id].figure;
    if (!part || !part->pull_in || !current) return;
    const Quantity& pull_in = *part->pull_in;
    const double apart = current->value - pull_in.value;
    if (std::abs(apart) > std::hypot(current->tolerance, pull_in.tolerance.value_or(0.0))) return;
    lines.push_back(fmt::format(
        "80 km/h: control valve {} gets {}, hardly {} than the {} from which it moves: it may "
        "{}, and the weights there be other than told",
        part->name, FigureText(*current, Kind::kCurrent, units), apart < 0.0 ? "less" : "more",
        Shortened(pull_in.written),
        apart < 0.0 ? "move after all" : "stand as it does with its plug off"));
  };
  look(setup.fitted.control_valve, Output::kCoilRoadCurrent);
  look(setup.fitted.second_control_valve, Output::kSecondCoilRoadCurrent);
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
    lines.push_back(WhatWasTried(trouble->trials[i], setup.results.control_torque[i + 1],
                                 Cured(setup.results), units));
  }
  return lines;
}

std::vector<std::string> NotesOf(const SetupReport& setup, const Units& units) {
  std::vector<std::string> notes = setup.results.notes;
  AddEdges(setup, units, notes);
  return notes;
}

}  // namespace steerbench
