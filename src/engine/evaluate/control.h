// Control valves that get less current than their driver asks for, or none, and what would cure it.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/evaluate/outputs.h"
#include "model/setup.h"

namespace steerbench {

// Share of the current asked for that counts as all of it.
inline constexpr double kFullCurrent = 0.95;

// A change of the car that might cure it.
struct ControlChange {
  bool plugged = false;              // every plug in
  std::optional<CoilWiring> wiring;  // the coils wired so
  std::optional<double> gives;       // a driver that gives this current [A]
  std::optional<bool> slimmer, out;  // a valve, true the second one: with another coil; taken out
  double coil_share = 1.0;           // resistance of that coil, against the present one's
};

struct ControlTrouble {
  // In which state the driver asks for the current: the wheel's weight there suffers from it.
  Output weight = Output::kKerbTorque;
  struct Weak {
    bool second = false;                 // the second control valve
    bool unplugged = false;              // else it gets too little
    bool in_series = false;              // with the other one's coil
    bool shared = false;                 // in parallel with it on one driver
    bool open_loop = false;              // in series with one that is unplugged
    std::optional<double> driver_limit;  // [A], where it is less than what is asked for
    double asked = 0.0, current = 0.0, pull_in = 0.0;  // [A]
  };
  std::vector<Weak> weak;
  std::optional<double> torque;  // as it is, magnitude at the hand wheel [N m]
  // A change that was tried: the circuit was solved with it.
  struct Trial {
    std::string change;  // in words
    ControlChange made;
    bool cures = false;            // every coil then gets what is asked for
    std::optional<double> torque;  // with it, magnitude [N m]
  };
  std::vector<Trial> trials;  // cures first
};

}  // namespace steerbench
