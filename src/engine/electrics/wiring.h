// Drivers and coils of control valves: what each coil gets, the meter readings to expect, and
// which change of wiring would bring every coil over its pull-in current.
// SI units; T is double or Jet.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "engine/electrics/network.h"

namespace steerbench::electrics {

// Coils at their temperature (CopperAt) with their wires, out and back (WireResistance).
template <class T>
struct Coil {
  T resistance{};  // [ohm]
  T wires{};       // [ohm], above zero: a plug contact alone has some
  T pull_in{};     // current from which the valve moves [A]
  T hold{};        // current below which it drops out [A]
};

template <class T>
struct Source {
  T voltage{};             // [V]; duty times supply when switched
  T resistance{};          // inside, with the shared wires and the supply [ohm]
  std::optional<T> limit;  // the most it gives, or the current it regulates to [A]
};

enum class Wiring : std::uint8_t { kSeries, kParallel, kOwnDrivers };

// Which coil meets how much. Nodes of `network`: 0 ground, then the pin of each driver, then the
// pins of the coils, as `pins` says.
template <class T>
struct Wired {
  Wiring wiring = Wiring::kSeries;
  std::vector<T> current;         // of each coil [A]
  std::vector<T> pull_in_margin;  // current - pull-in [A]
  std::vector<T> hold_margin;     // current - hold [A]
  std::vector<T> driver_current;  // [A]
  std::vector<Mode> mode;         // of each driver
  bool all_pull_in = false;
  Network<T> network;
  State<T> state;
  // For the meter: node before and after each coil (its own two pins), node of each driver.
  struct Pins {
    int in = 0, out = 0;
  };
  std::vector<Pins> coil_pins;
  std::vector<int> driver_pins;
};

// Coils in series or in parallel on the first source, or each on its own (as many as coils).
// Faults: kNoCoil, kNoDriver, kResistance (coil), kPullIn (coil), those of Solve.
template <class T>
Outcome<Wired<T>, Fault> Wire(Wiring wiring, const std::vector<Source<T>>& sources,
                              const std::vector<Coil<T>>& coils);

// What a meter shows on the bench at one coil.
template <class T>
struct Reading {
  T voltage_in{}, voltage_out{};  // of the coil's pins against ground, powered [V]
  T voltage_across{};             // [V]
  T current{};                    // in series with it [A]
  T resistance{};                 // between its pins, drivers unplugged and the rest left on [ohm]
};
template <class T>
Outcome<std::vector<Reading<T>>, Fault> ReadingsOf(const Wired<T>& wired);

enum class Change : std::uint8_t {
  kRewired,         // the same driver and coils, wired the other way
  kOwnDriver,       // each coil on a driver like the present one
  kSpareDriver,     // another driver instead of the present one
  kStrongerDriver,  // a driver like the present one with a higher limit: `needed` [A]
  kSpareCoil,       // another coil instead of one
  kSlimmerCoil      // a coil of lower resistance and no higher pull-in, in series: `needed` [ohm]
};

// The change in words.
std::string_view Describe(Change change);

// One change, tried: it was solved, and this came out.
template <class T>
struct Trial {
  Change change = Change::kRewired;
  int spare = -1;  // kSpareDriver, kSpareCoil: which of the spares
  int coil = -1;   // kSpareCoil, kSlimmerCoil: which coil is replaced
  std::optional<T> needed{};
  bool cures = false;  // every coil over its pull-in
  Wired<T> wired{};
};

// Every change that can be thought of with these parts, each solved, cures first, in a fixed order.
// `needed` of a stronger driver is the least limit at which all coils pull in; of a slimmer coil
// the largest resistance that does. Changes that cannot be built (no such resistance above zero)
// are left out. Faults: those of Wire for the present state. Derived: the same nodal analysis.
template <class T>
Outcome<std::vector<Trial<T>>, Fault> TryChanges(Wiring present, const Source<T>& source,
                                                 const std::vector<Coil<T>>& coils,
                                                 const std::vector<Source<T>>& spare_sources,
                                                 const std::vector<Coil<T>>& spare_coils);

}  // namespace steerbench::electrics
