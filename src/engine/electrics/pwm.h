// Current of a coil that is switched on and off fast. SI units; T is double or Jet.
#pragma once

#include "engine/base/outcome.h"
#include "engine/base/scalar.h"
#include "engine/electrics/problem.h"

namespace steerbench::electrics {

template <class T>
struct Switched {
  T voltage{};     // while on, at coil and wires [V]
  T resistance{};  // of coil and wires [ohm]
  T inductance{};  // [H]
  T frequency{};   // [Hz]
  T duty{};        // share of the time that it is on, 0..1
  T diode_drop{};  // of the freewheel diode [V]
};

template <class T>
struct SwitchedCurrent {
  T mean{}, most{}, least{};  // [A]
  T linear_ripple{};          // U D (1 - D) / (L f), the workshop's estimate of most - least [A]
  bool gaps = false;          // the current falls to zero before the next pulse
};

// Current in the settled rhythm: exact exponentials towards U/R while on and -drop/R while off,
// down to zero. Without gaps the mean is (D U - (1 - D) drop) / R. Problems: kVoltage,
// kResistance, kInductance, kFrequency, kDuty, kNotFinite. Derived: RL circuit, mean voltage of an
// inductor in rhythm is zero.
template <class T>
Outcome<SwitchedCurrent<T>, Fault> CurrentOf(const Switched<T>& load);

// Current [A] at `time` [s] after switching on at rest: U/R (1 - exp(-t R / L)).
// Pre: positive resistance and inductance.
template <class T>
T RisingCurrent(const Switched<T>& load, const T& time);

// Time after switching on until the current reaches a value [s]. Problems: kUnreachable.
template <class T>
Outcome<T, Fault> TimeToReach(const Switched<T>& load, const T& current);

// Duty that gives a mean current without gaps: (I R + drop) / (U + drop). `load.duty` is not
// looked at. Problems: those of CurrentOf, kUnreachable (above 1, or with gaps).
template <class T>
Outcome<T, Fault> DutyFor(const Switched<T>& load, const T& mean_current);

}  // namespace steerbench::electrics
