// Curves a builder reads: delivery, catch-up.
#pragma once

#include "engine/hydraulics/steady.h"

namespace steerbench::hydraulics {

// Flow delivered at an outlet pressure [Pa] and the condition's pump speed [m^3/s].
template <class T>
[[nodiscard]] Outcome<T, Problem> DeliveredAt(const Circuit<T>& circuit,
                                              const Condition<T>& condition, const T& pressure);

// What takes the oil that the pump delivers [m^3/s]: the piston that fills, the rotary valve, which
// lets some past to the return, and control valves that pass it by.
template <class T>
struct OilTaken {
  T piston{}, valve{}, control{};
};

// How fast the hand wheel may be turned each way before assist gives out [rad/s at the pinion], and
// what takes the oil then.
template <class T>
struct CatchUp {
  T towards_a{}, towards_b{};  // both not below zero; zero when the load is not moved at all
  OilTaken<T> oil_a, oil_b;    // zero with a speed of zero
};

// Catch-up at the condition's pump speed, for a load of the size of its rack_force against either
// way of turning: the last speed at which oil helps to carry the load. That is where the valve is
// at its twist stop and oil and hand just carry the load; or, where the hand is strong enough there
// to draw more into the piston than is delivered, the speed at which the piston takes all of it but
// what control valves pass by. Errors: those of SolveCatchUp but kNotReached, which gives zero, and
// of SolveSteady.
template <class T>
[[nodiscard]] Outcome<CatchUp<T>, Problem> CatchUpAt(const Circuit<T>& circuit,
                                                     const Condition<T>& condition);

}  // namespace steerbench::hydraulics
