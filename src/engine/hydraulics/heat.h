// Where the oil's temperature settles.
#pragma once

#include "engine/hydraulics/steady.h"

namespace steerbench::hydraulics {

// One way of driving on and on, until the oil has settled.
template <class T>
struct Duty {
  Condition<T> working;  // its temperature is not used
  T cooling{};           // heat shed by cooler, lines and reservoir per kelvin [W/K]
  T surroundings{};      // temperature of the air around them [K]
};

template <class T>
struct OilBalance {
  T temperature{};  // [K]
  T heat{};         // shed there [W]
  T in_circuit{};  // of that: in lines and valves, what is left of the power that the pump hands on
                   // less the work on the rack; the rest stays in the pump, which turns what its
                   // flow control and relief valve send back, its leak and its friction to heat
  Marks marks;     // of the working state there
};

// Temperature at which the heat made equals that shed: lumped, one temperature for all oil;
// heat made = shaft power less useful work, both of which depend on the oil's viscosity.
// Errors: kNoCooling; kTooHot when there is no balance below kHottest; those of SolveSteady.
template <class T>
[[nodiscard]] Outcome<OilBalance<T>, Problem> SettleTemperature(const Circuit<T>& circuit,
                                                                const Duty<T>& duty);

// The balance at the temperature [K] that SettleTemperature found for the same values, with its
// derivatives: nothing is searched again (implicit function theorem).
template <class T>
[[nodiscard]] Outcome<OilBalance<T>, Problem> BalanceAt(const Circuit<T>& circuit,
                                                        const Duty<T>& duty, double settled);

}  // namespace steerbench::hydraulics
