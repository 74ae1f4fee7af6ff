// Control valves driven by a coil, which make the steering light or firm with road speed.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "engine/base/monotone_cubic.h"
#include "engine/hydraulics/orifice.h"

namespace steerbench::hydraulics {

// What a control valve acts on.
enum class Principle : std::uint8_t {
  kPumpBypass,    // lets pump flow past the rotary valve, from its supply to its return
  kPistonBypass,  // lets oil from one side of the piston to the other
  kReaction,      // feeds a chamber that holds the rotary valve towards its centre
  kFeed           // stands in the feed of the rotary valve
};

// Opening against coil current [A]: an area [m^2], or for a reaction chamber the share 0..1 of the
// supply pressure that it gets. The first row is at no current: its fail state.
// Beyond the last row the opening is held there, and marked.
template <class T>
struct ControlValve {
  MonotoneCubic<T> opening;
  double coefficient = kSharpEdge;
};

// A reaction chamber: plungers that press the valve to its centre with a torque that grows with
// pressure and is fully there after a small twist.
template <class T>
struct Reaction {
  T torque_per_pressure{};  // [N m/Pa]
  T onset{};                // twist over which the torque builds up [rad]
};

// Control valves one after another in one passage. Passages of the same principle lie in parallel.
template <class T>
struct ControlBranch {
  Principle principle = Principle::kPumpBypass;
  std::vector<ControlValve<T>> valves;  // in series, in the order of the flow
  std::optional<Reaction<T>> reaction;  // of kReaction
};

inline constexpr int kMostControlValves = 8;  // in one circuit

// Opening at a current [A], and whether the current lay beyond the table.
template <class T>
struct ControlOpening {
  T opening{};
  bool beyond = false;
};
template <class T>
[[nodiscard]] ControlOpening<T> OpeningAt(const ControlValve<T>& valve, const T& current);

// Whether the figures of a branch can be used.
template <class T>
[[nodiscard]] bool IsSound(const ControlBranch<T>& branch);

}  // namespace steerbench::hydraulics
