// Time histories of the steering: hand wheel, valve, oil and rack in motion.
//
// The oil network of engine/hydraulics with a store of compressed oil at every node, the rack with
// its load as a mass, and what the hand does. Positive along rack travel, which oil in chamber A
// pushes. SI units and radians, gauge pressures. Derivations: docs/methods/simulate.md.
#pragma once

#include <cstdint>
#include <functional>
#include <string_view>
#include <vector>

#include "engine/base/outcome.h"
#include "engine/hydraulics/circuit.h"
#include "simulate/manoeuvre.h"
#include "simulate/summary.h"

namespace steerbench::simulate {

// What the wheels do to the rack.
struct Load {
  double friction = 0.0;  // of standing tyres and joints, magnitude at the limit [N]
  double wind_up = 0.0;   // stiffness with which that friction builds up [N/m]
  double spring = 0.0;    // towards centre: road or linkage [N/m]
  double damping = 0.0;   // [N s/m]
};

// The housing stops: F = stiffness d (1 + bounce d') with d the way into the stop.
// Source: Hunt & Crossley, J. Appl. Mech. 42 (1975) (from memory).
struct Stops {
  double low = -0.07, high = 0.07;  // rack travel at which they are met [m]
  double stiffness = 2e7;           // [N/m]
  double bounce = 5.0;              // [s/m]
};

struct Plant {
  // Its travel_per_radian is the plain one here: the mesh's loss is `mesh_efficiency`'s.
  hydraulics::Circuit<double> circuit;
  hydraulics::Condition<double> condition;  // its rack force and speed are not used
  double mesh_efficiency = 1.0;             // above 0 to 1
  double rack_friction = 0.0;               // rack and seals, magnitude [N]
  double presliding = 1e-4;                 // travel over which that friction builds up [m]
  double rack_mass = 0.0;                   // of all that moves with the rack [kg]
  double hand_inertia = 0.0;                // [kg m^2]; used when the hand's torque is given
  double hand_damping = 0.0;                // [N m s/rad]; likewise
  double supply_volume = 0.0, return_volume = 0.0;  // of oil in the lines [m^3]
  double dead_volume = 0.0;   // of a chamber and its pipe, beside what the piston sweeps [m^3]
  double hose_modulus = 0.0;  // rise of pressure per share of the supply line's volume [Pa]
  Load load;
  Stops stops;
};

struct Run {
  Manoeuvre manoeuvre;
  double duration = 1.0;    // [s]
  int samples = 101;        // evenly from 0 to the end, both included
  double tolerance = 1e-6;  // relative, of every step
};

struct Sample {
  double time{}, hand_angle{}, hand_torque{}, twist{}, travel{}, speed{};
  double outlet{}, chamber_a{}, chamber_b{};  // pressures [Pa]
  double delivered{}, assist{};               // [m^3/s], [N]
  double load{}, friction{};                  // against the rack [N]: wheels; rack, seals and mesh
  double stop{};                              // of the end stop, against the rack [N]
  // Energy since the start [J]: brought in by hand and pump, given to the load, kinetic and elastic
  // less that at the start, turned to heat, and carried (docs/methods/simulate.md).
  double hand_work{}, pump_work{}, load_work{}, stored{}, lost{}, carried{};

  // What the balance lacks [J].
  [[nodiscard]] double Unbalanced() const {
    return hand_work + pump_work - load_work - stored - lost - carried;
  }
};

struct History {
  std::vector<Sample> samples;
  Summary summary;                // of every step of the integration, not of the samples alone
  double turned_over = 0.0;       // largest of hand work plus pump work, and of stored energy [J]
  double worst_unbalanced = 0.0;  // largest of |Unbalanced| / turned_over
  long steps = 0;
};

enum class Why : std::uint8_t {
  kCircuit,
  kPlant,
  kManoeuvre,
  kSpan,
  kTolerance,
  kBroken,
  kStuck,
  kTooLong,
  kUnbalanced
};
[[nodiscard]] std::string_view Describe(Why why);

inline constexpr int kMostSamples = 100'001;
inline constexpr double kLongest = 600.0;  // [s]
inline constexpr double kFinest = 1e-10, kCoarsest = 1e-3;

// Accuracy of a sample at the usual tolerance, tested against a ten times finer one.
inline constexpr double kTravelAccuracy = 1e-5;     // [m]
inline constexpr double kTorqueAccuracy = 0.02;     // [N m]
inline constexpr double kPressureAccuracy = 0.5e5;  // [Pa]

// Told the share done, 0..1, after every sample. What it throws ends the run.
using Progress = std::function<void(double)>;

// Runs from rest: rack centred, hand off, oil flowing steadily. Stiff integration by backward
// differentiation formulas of variable order (CVODE; Hindmarsh et al., ACM TOMS 31, 2005).
// Errors: kCircuit, kPlant, kManoeuvre, kSpan, kTolerance for input that cannot be used; kStuck
// when no step meets the tolerance; kTooLong when it needs more than kMostSteps steps; kBroken when
// the rack is forced kMostIntoStop into a stop; kUnbalanced when energy does not close to
// kMostUnbalanced: better none than a wrong history.
[[nodiscard]] Outcome<History, Why> Simulate(const Plant& plant, const Run& run,
                                             const Progress& progress = {});
inline constexpr long kMostSteps = 2'000'000;
inline constexpr double kMostIntoStop = 5e-3;  // [m] ten tons at the usual stiffness: it is broken
inline constexpr double kMostUnbalanced = 1e-3;

}  // namespace steerbench::simulate
