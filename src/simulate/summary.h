// What a history comes to: its peaks, and how long the oil was at its limits. SI units.
#pragma once

namespace steerbench::simulate {

// One moment, as far as a summary looks at it.
struct Glance {
  double time{}, hand_torque{}, outlet{};  // [s], [N m], pressure at the pump [Pa]
  bool relief_open = false;
  bool outrun = false;  // the hand outruns the pump (engine/hydraulics/outrun.h)
};

struct Peak {
  double value = 0.0, time = 0.0;
};

struct Summary {
  Peak hand_torque;          // the greatest magnitude [N m]
  Peak outlet;               // [Pa]
  double relief = 0.0;       // the longest time that the relief valve stood open [s]
  double relief_now = 0.0;   // how long it has been open by now, while a history is made [s]
  double outrun = 0.0;       // time in all that the hand outran the pump [s]
  double outrun_from = 0.0;  // when that began [s]; counts when `outrun` is above zero
};

// Takes in the step from one moment to the next, later one. A state counts for a step when it holds
// at both ends of it.
void Add(Summary& summary, const Glance& before, const Glance& now);

}  // namespace steerbench::simulate
