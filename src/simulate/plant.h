// A fitted car made ready for time histories.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/evaluate/evaluate.h"
#include "simulate/simulate.h"

namespace steerbench::simulate {

// The plant, and what is needed to read its histories as a driver does.
struct FittedPlant {
  Plant plant;
  double turn = 1.0;                 // rack travel per hand wheel to the left: its sign
  std::optional<double> rim_radius;  // of the hand wheel [m]
  std::vector<std::string> assumed;  // in words, one sentence each
};

// What the document does not hold.
struct Given {
  std::optional<double> engine_speed;  // [rad/s]; unset: idle
  std::optional<double> rack_mass;     // [kg]
  double air = 0.0;                    // free air in the oil, 0..1 at one atmosphere
};

// Usual values, for what nobody measures; every use is said. Common practice, no source.
inline constexpr double kUsualRackMass = 8.0;       // rack, rods and arms [kg]
inline constexpr double kUsualDamping = 1000.0;     // of tyres and bushes seen at the rack [N s/m]
inline constexpr double kUsualHoseModulus = 2.5e8;  // of a rubber pressure hose's wall [Pa]
inline constexpr double kUsualLine = 1e-4;          // volume of a line whose size is unknown [m^3]
inline constexpr double kUsualDead = 2e-5;          // of a chamber and its pipe [m^3]
inline constexpr double kUsualWindUp = 1.5e-3;  // rack travel over which a standing tyre takes 63 %
                                                // of its limit, as Dahl's law has it [m]
inline constexpr double kUsualHandInertia = 0.04;  // of a hand wheel [kg m^2]
inline constexpr double kUsualHandDamping = 0.05;  // of arms and column [N m s/rad]

// The car standing at the kerb, brake off, dry. `results` are those of the same car. Unset when
// something is missing; `missing` then says what.
[[nodiscard]] std::optional<FittedPlant> PlantOf(const Fitted<double>& fitted,
                                                 const Evaluation<double>& results,
                                                 const Given& given, Missing& missing);

}  // namespace steerbench::simulate
