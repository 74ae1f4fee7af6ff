// A simulation as people ask for it: by the name of a run, with values in any unit.
#pragma once

#include <optional>
#include <string>

#include "engine/evaluate/sweep.h"
#include "simulate/plant.h"

namespace steerbench::simulate {

// Values as typed; empty: as usual for the run.
struct Order {
  std::string run = "parking";  // step, ramp, sine, parking or lock-impact
  std::string amplitude;        // hand-wheel angle to the left, or torque of the hand
  std::string time;             // of one turn of the hand, or of one wave
  std::string duration;         // of the whole run
  std::string engine_speed, rack_mass, air;
};

// What is wrong with an order, for the user.
struct Wrong {
  std::string field;  // of the order, "engine_speed"; empty when the setup itself lacks something
  std::string message;
};

// Ready to run, or what is wrong; `wrong` is unset when it is ready.
struct Prepared {
  FittedPlant plant;
  Run run;
  std::optional<Wrong> wrong;
};
[[nodiscard]] Prepared Prepare(const Order& order, const Fitted<double>& fitted,
                               const Evaluation<double>& results, int samples);

// A history as the driver sees it: hand wheel and rack positive to the left. `plant` is that of the
// run. Behind the first kShownColumns come the energies.
[[nodiscard]] Sweep AsSweep(const History& history, const FittedPlant& plant);
inline constexpr std::size_t kShownColumns = 11;
inline constexpr int kFileRows = 301;  // of a history for a program, usually

}  // namespace steerbench::simulate
