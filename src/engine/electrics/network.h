// Networks of resistors and drivers, solved by nodal analysis. SI units; T is double or Jet.
// Node 0 is ground. Derivations: docs/methods/electrics.md.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "engine/base/outcome.h"
#include "engine/base/scalar.h"
#include "engine/electrics/problem.h"

namespace steerbench::electrics {

// A coil, a wire or any other ohmic path.
template <class T>
struct Resistor {
  int from = 0, to = 0;
  T resistance{};  // [ohm], above zero
};

// A driver pushes current from its return `from` out at `to`: `voltage` behind `resistance`, never
// more than `limit`, never backwards. A regulated current is its limit, with the voltage that the
// driver can muster; a plain voltage source has no limit.
template <class T>
struct Driver {
  int from = 0, to = 0;
  T voltage{};     // [V]; of a switched driver its mean, duty times supply
  T resistance{};  // [ohm], zero allowed
  std::optional<T> limit;
};

template <class T>
struct Network {
  int nodes = 1;  // ground included
  std::vector<Resistor<T>> resistors;
  std::vector<Driver<T>> drivers;
};

enum class Mode : std::uint8_t {
  kVoltage,  // gives its voltage, less what its resistance takes
  kLimited,  // gives its limit
  kBlocked   // others hold its pin higher: gives nothing
};

template <class T>
struct State {
  std::vector<T> voltage;           // of each node against ground [V]
  std::vector<T> resistor_current;  // from -> to [A]
  std::vector<T> driver_current;    // out of its pin `to` [A]
  std::vector<Mode> mode;           // of each driver
};

// Voltages and currents at rest. Each driver's mode is the one that agrees with the solution; all
// combinations are tried. The voltages are unique because every driver's voltage falls with its
// current; of several equal drivers without resistance on one pin one is taken to carry all.
// Faults: kNoSuchNode, kResistance, kVoltage, kLimit, kTooManyDrivers, kNoReturn (node),
// kShort, kNotFinite.
// Source: modified nodal analysis (C.-W. Ho, A. Ruehli, P. Brennan, IEEE Trans. Circuits and
// Systems CAS-22, 1975; from memory).
inline constexpr int kMostDrivers = 6;
template <class T>
Outcome<State<T>, Fault> Solve(const Network<T>& network);

// What an ohmmeter reads between two nodes with every driver unplugged [ohm]. Faults: kOpen, and
// those of Solve for the resistors.
template <class T>
Outcome<T, Fault> ResistanceBetween(const Network<T>& network, int one, int other);

}  // namespace steerbench::electrics
