#include "simulate/remarks.h"

#include <fmt/format.h>

#include <algorithm>

namespace steerbench::simulate {
namespace {

std::string After(double time) { return fmt::format("after {:.2f} s", time); }

Remark PullRemark(const Peak& torque, const FittedPlant& plant) {
  Remark r{"peak_pull", "Hardest pull at the rim", Kind::kForce, {}, After(torque.time)};
  if (plant.rim_radius) {
    r.value = torque.value / *plant.rim_radius;
  } else {
    r.note = "not known without column.rim_diameter";
  }
  return r;
}

Remark ReliefRemark(const Summary& s, const FittedPlant& plant) {
  Remark r{"relief", "Longest with the relief valve open", Kind::kTime, s.relief, ""};
  if (!plant.plant.circuit.pump.relief) {
    r.value.reset();
    r.note = "the pump has no relief valve";
  } else {
    r.note = s.relief > 0.0 ? "all of the pump's power heats the oil meanwhile" : "it stays shut";
  }
  return r;
}

Remark OutrunRemark(const History& history) {
  const Summary& s = history.summary;
  Remark r{"outrun", "Oil too slow for the hand, valve at its stop", Kind::kTime, s.outrun,
           "the oil keeps up"};
  if (std::ranges::all_of(history.samples, [](const Sample& at) { return at.delivered <= 0.0; })) {
    r.value.reset();
    r.note = "the pump delivers nothing: the wheel is heavy all along";
  } else if (s.outrun > 0.0) {
    r.note = fmt::format(
        "from {:.2f} s on: the wheel is heavy; 'check' counts from half of the "
        "kerb's assistance lost",
        s.outrun_from);
  }
  return r;
}

Remark BalanceRemark(const History& history) {
  const Sample& end = history.samples.back();
  return {
      "unbalanced", "Energy that does not add up", Kind::kShare, history.worst_unbalanced,
      fmt::format("of all turned over; brought in by the pump {:.0f} J and by the hand {:.1f} J, "
                  "given to the wheels {:.1f} J, turned to heat {:.0f} J, kept in motion, springs "
                  "and oil {:.1f} J",
                  end.pump_work, end.hand_work, end.load_work, end.lost, end.stored - end.carried)};
}

}  // namespace

std::vector<Remark> RemarksOn(const History& history, const FittedPlant& plant) {
  const Summary& s = history.summary;
  return {PullRemark(s.hand_torque, plant),
          {"peak_torque", "Greatest torque of the hand", Kind::kTorque, s.hand_torque.value,
           After(s.hand_torque.time)},
          {"peak_pressure", "Highest pressure at the pump", Kind::kPressureGauge, s.outlet.value,
           After(s.outlet.time)},
          ReliefRemark(s, plant),
          OutrunRemark(history),
          BalanceRemark(history)};
}

}  // namespace steerbench::simulate
