// Curves a builder reads: boost, delivery, catch-up, demand; and hoses against their class.
#pragma once

#include <vector>

#include "engine/hydraulics/steady.h"

namespace steerbench::hydraulics {

template <class T>
struct BoostCurvePoint {
  T twist{}, torque{};             // [rad], [N m]
  T outlet{}, supply{}, across{};  // pressures; across the piston [Pa]
  T assist{};                      // [N]
};

// Pressure against torque with the rack held, at `count` twists evenly from zero to `most_twist`,
// which may be negative for the other way. Pre: count at least 2. The condition's rack force and
// speed are not used. The first point that cannot be solved ends the curve with its problem.
template <class T>
[[nodiscard]] Outcome<std::vector<BoostCurvePoint<T>>, Problem> BoostCurve(
    const Circuit<T>& circuit, const Condition<T>& condition, const T& most_twist, int count);

// Flow delivered at an outlet pressure [Pa] and the condition's pump speed [m^3/s].
template <class T>
[[nodiscard]] Outcome<T, Problem> DeliveredAt(const Circuit<T>& circuit,
                                              const Condition<T>& condition, const T& pressure);

// Flow a hand-wheel speed asks for [m^3/s], the sign of the speed choosing the side that fills;
// `hand_wheel_speed` at the pinion [rad/s].
template <class T>
[[nodiscard]] T Demand(const Cylinder<T>& cylinder, const T& hand_wheel_speed);

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

// How far a hose is inside its class at the highest pressure it can see.
template <class T>
struct HoseMargin {
  T working{};  // working pressure less highest pressure [Pa]
  T burst{};    // burst pressure over highest pressure; common practice (no source): at least 4
};
template <class T>
[[nodiscard]] HoseMargin<T> MarginOf(const HoseClass<T>& hose, const T& highest_pressure);

}  // namespace steerbench::hydraulics
