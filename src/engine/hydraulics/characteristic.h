// The boost characteristic: what a circuit does at every twist of its valve while the rack stands
// still, to be looked up where a curve asks for many points.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "engine/base/monotone_cubic.h"
#include "engine/hydraulics/circuit.h"

namespace steerbench::hydraulics {

// Share of the highest pressure by which the cubic of a piece may miss a solve in its middle; both
// halves are then pieces of their own, with about a sixteenth of that.
inline constexpr double kTraced = 2e-4;

class Characteristic {
 public:
  struct Point {
    double twist = 0.0;   // of the valve [rad]
    double assist = 0.0;  // of the oil on the rack along positive travel [N]
    double outlet = 0.0;  // gauge pressure at the pump's outlet [Pa]
    Marks doubts{};       // of a model used outside its range, here or at the next solve
  };

  // Solves the network at twists from none to past the stop, the nodes' pressures between them by
  // cubics with the slopes that the solves give. Every piece is tried against a solve in its middle
  // and halved until it holds to kTraced or is too short to matter. With the rack at rest nothing
  // tells side A from side B but the piston's areas, so that one way of turning gives both. The
  // condition's rack force and speed are not used, nor is the size of cylinder.travel_per_radian.
  // A corner inside a piece may be missed by a few times kTraced. Unset where the circuit or the
  // condition is unsound, a network cannot be solved, a corner is too sharp for the shortest piece,
  // or assistance or torque fall while the twist rises, for then a force has more than one twist:
  // SolveSteady says why, or finds one. Source: as SolveSteady; cubic Hermite interpolation.
  [[nodiscard]] static std::optional<Characteristic> Trace(const Circuit<double>& circuit,
                                                           const Condition<double>& condition);

  // Where valve and hand together push the rack with a force [N], as SolveSteady, at so much travel
  // of the rack per turn of the pinion [m/rad], above zero.
  [[nodiscard]] Point UnderForce(double rack_force, double travel_per_radian) const;

  // Where the hand's torque at the valve is this [N m], as SolveAtTorque.
  [[nodiscard]] Point AtTorque(double torque) const;

 private:
  class Tracer;
  // A size of the twist, and the interval of the curves that it lies in: the number of their last
  // point when it lies past them all.
  struct Place {
    double twist;
    std::size_t interval;
  };
  [[nodiscard]] Place Find(double target, const MonotoneCubic<double>* assist,
                           double per_torque) const;
  [[nodiscard]] Point PointOf(const Place& at, std::size_t side) const;

  RotaryValve<double> valve_;
  // Over the size of the twist; assistance turned towards A, and towards B as that way counts.
  std::array<MonotoneCubic<double>, 2> assist_;
  MonotoneCubic<double> outlet_;
  std::optional<MonotoneCubic<double>> reaction_;  // torque of the chambers; unset without any
  std::vector<double> torque_;                     // of the hand at the same twists
  std::vector<Marks> doubts_;                      // there
};

}  // namespace steerbench::hydraulics
