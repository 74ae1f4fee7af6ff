// Curves a builder reads: delivery, catch-up.
#pragma once

#include "engine/hydraulics/steady.h"

namespace steerbench::hydraulics {

// Flow delivered at an outlet pressure [Pa] and the condition's pump speed [m^3/s].
template <class T>
[[nodiscard]] Outcome<T, Problem> DeliveredAt(const Circuit<T>& circuit,
                                              const Condition<T>& condition, const T& pressure);

// Pump speed [rad/s] from which its flow control has all the flow that it regulates, at an outlet
// pressure [Pa]: (flow + leak p / mu) / (filled V). Unset without a flow control.
template <class T>
[[nodiscard]] std::optional<T> FullFlowFrom(const Circuit<T>& circuit, const T& temperature,
                                            const T& pressure);

// What takes the oil that the pump delivers [m^3/s]: the piston that fills, the rotary valve, which
// lets some past to the return, and control valves that pass it by.
template <class T>
struct OilTaken {
  T piston{}, valve{}, control{};
};

// How fast the rack may be moved each way before assist gives out [m/s], and what takes the oil
// then.
template <class T>
struct CatchUp {
  T towards_a{}, towards_b{};  // sizes, not below zero; zero where oil has nothing to carry
  OilTaken<T> oil_a, oil_b;    // zero with a speed of zero
  Marks marks;                 // of both states
};

// Share of the assistance of slow turning that is left where the pump counts as outrun.
inline constexpr double kAssistLeft = 0.5;

// Catch-up at the condition's pump speed, for a load of the size of its rack_force against either
// way of turning: the speed at which half of the assistance that turning slowly calls up is left
// and the hand carries the rest. Where a boost curve ends in a closed valve, the pressure collapses
// within a few hundredths of speed about there; where it does not, half is as good a mark as any
// (common practice, no source). What the valve lets past then, what control valves pass by and what
// the pump leaks at that pressure are in it. A reaction chamber's torque counts by half there too.
// The condition's rack speed is not used. Errors: those of SolveSteady and SolveCatchUp.
template <class T>
[[nodiscard]] Outcome<CatchUp<T>, Problem> CatchUpAt(const Circuit<T>& circuit,
                                                     const Condition<T>& condition);

}  // namespace steerbench::hydraulics
