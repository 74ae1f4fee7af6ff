// The circuit at rest in a moment: pressures, flows, twist and torque under a load.
#pragma once

#include "engine/hydraulics/circuit.h"

namespace steerbench::hydraulics {

// Everything known of a solved circuit. Gauge pressures [Pa], flows [m^3/s], powers [W].
template <class T>
struct SteadyState {
  T twist{};       // of the valve [rad]
  T torque{};      // of the hand at the valve [N m]: bar, stop and reaction
  T reaction{};    // its share that comes from reaction chambers [N m]
  T assist{};      // force of the oil on the rack along positive travel [N]
  T rack_force{};  // of oil and hand together [N]
  T rack_speed{};  // [m/s]
  T outlet{}, supply{}, chamber_a{}, chamber_b{}, back{};  // pressures
  T delivered{};                                           // by the pump
  T through_valve{};                                       // into the rotary valve
  T swallowed{};                                           // by the piston's filling side
  T pump_bypass{}, piston_bypass{};  // through control valves; the latter from A to B
  PumpState<T> pump;
  T useful{};  // assist x rack speed; negative when the load drives the piston
  T heat{};    // shaft power less useful power
  Marks marks;
  double flow_residual = 0.0;   // largest surplus at a node [m^3/s], below kFlowTolerance
  double force_residual = 0.0;  // of the balance solved for, below kForceTolerance of its scale
  int iterations = 0;           // how often the network was evaluated for a Newton step
};

// What of the delivered oil control valves pass by, for a piston that fills from the side of `sign`
// (+1: A) [m^3/s].
template <class T>
[[nodiscard]] T PassedBy(const SteadyState<T>& state, double sign) {
  return state.pump_bypass + sign * state.piston_bypass;
}

// Unbalanced force left on the rack [N], plus the same share of the force itself.
inline constexpr double kForceTolerance = 1e-7;

// Twist, pressures and flows under `condition`: valve and hand together carry the rack force.
// Newton's method on pressures and twist at once, the force on a scale of asinh, on which a boost
// curve is near a straight line; it must end where the force rises with the twist. Where it does
// not arrive, the twist is bracketed and each trial solves the network, which always can be. Exact
// derivatives with a Jet: one Newton step in T on the whole system at the solution (implicit
// function theorem).
// When the pump gives out (relief, catch-up, standstill) the twist runs into the stop and the hand
// carries the rest. Errors: those of WhyUnsound; kNotConverged; kNotFinite also when torque or
// power leave the range of a double.
// Source: derived in docs/methods/hydraulics.md.
template <class T>
[[nodiscard]] Outcome<SteadyState<T>, Problem> SolveSteady(const Circuit<T>& circuit,
                                                           const Condition<T>& condition);

// The same with the hand's torque [N m] given in place of the rack force.
template <class T>
[[nodiscard]] Outcome<SteadyState<T>, Problem> SolveAtTorque(const Circuit<T>& circuit,
                                                             const Condition<T>& condition,
                                                             const T& torque);

// The same at a twist [rad]; rack force and torque follow.
template <class T>
[[nodiscard]] Outcome<SteadyState<T>, Problem> SolveAtTwist(const Circuit<T>& circuit,
                                                            const Condition<T>& condition,
                                                            const T& twist);

// Catch-up: the rack speed at which the piston takes so much that, with the valve held at `twist`,
// the oil pushes the rack with no more than `assist` [N]. What the valve lets past at that twist
// and that pressure, what bypasses take and what the pump leaks are in it. The condition's rack
// speed and force are not used. Assist and twist of one sign give the speed of that sign. Errors:
// kNotReached when it is not reached at rest.
template <class T>
[[nodiscard]] Outcome<SteadyState<T>, Problem> SolveCatchUp(const Circuit<T>& circuit,
                                                            const Condition<T>& condition,
                                                            const T& twist, const T& assist);

// What control valves of a built network pass by, as PassedBy of a state.
[[nodiscard]] double PassedBy(const Built<double>& built, const NodeVector<double>& pressure,
                              double sign);

// Torque [N m] that the reaction chambers of a built network add at a twist [rad], under given
// pressures of its nodes.
[[nodiscard]] double ReactionTorque(const Built<double>& built, const NodeVector<double>& pressure,
                                    double twist);

}  // namespace steerbench::hydraulics
