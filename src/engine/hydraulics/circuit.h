// The whole circuit: pump, lines, rotary valve, cylinder, control valves; and the network it forms
// under one set of conditions.
//
// Side A is the chamber whose pressure pushes the rack along positive travel; positive twist is
// that of a driver who turns the rack along positive travel and opens supply to A.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <vector>

#include "engine/base/outcome.h"
#include "engine/hydraulics/control.h"
#include "engine/hydraulics/network.h"
#include "engine/hydraulics/rotary_valve.h"

namespace steerbench::hydraulics {

template <class T>
struct Cylinder {
  T area_a{}, area_b{};   // of the piston on each side [m^2]
  T travel_per_radian{};  // of the pinion [m/rad]
};

// Area of a piston ring [m^2] from bore and rod diameter [m].
template <class T>
[[nodiscard]] T RingArea(const T& bore, const T& rod) {
  return (bore * bore - rod * rod) * (M_PI / 4.0);
}

// Flow that the piston's filling side takes at a rack speed [m^3/s], whichever side fills.
template <class T>
[[nodiscard]] T Swallowed(const Cylinder<T>& cylinder, const T& speed) {
  return Value(speed) >= 0.0 ? T(cylinder.area_a * speed) : T(-cylinder.area_b * speed);
}

// What solves of one circuit found. Those which differ in their derivatives alone have bit for bit
// the same values, and so share what had to be searched for. For one thread.
class KnownRoots {
 public:
  // Where a solve begins: afresh, so that its result is the same whatever was asked before; or, for
  // curves and the steps of a search, at the solve before it that is nearest, which takes half the
  // time, but leaves its last bits, and where several balances hold the choice between them, to
  // what was asked before.
  enum class Start : std::uint8_t { kAfresh, kNear };

  explicit KnownRoots(Start start = Start::kAfresh);
  ~KnownRoots();
  KnownRoots(const KnownRoots&) = delete;
  KnownRoots& operator=(const KnownRoots&) = delete;

  void Forget();

  [[nodiscard]] Start From() const { return start_; }
  [[nodiscard]] std::size_t Count() const;

  struct Table;  // of steady.cc
  [[nodiscard]] Table& Content() { return *table_; }

 private:
  Start start_;
  std::unique_ptr<Table> table_;
};

template <class T>
struct Circuit {
  Fluid<T> fluid;
  Pump<T> pump;
  Line<T> pressure_line, return_line;  // pump to valve; valve through the cooler to the reservoir
  RotaryValve<T> valve;
  Cylinder<T> cylinder;
  std::vector<ControlBranch<T>> control;
  // Where solves of this circuit look first and leave what they find; null: nowhere. Good as long
  // as no figure of it but cylinder.travel_per_radian changes its value.
  KnownRoots* known = nullptr;
};

// What the circuit works under.
template <class T>
struct Condition {
  T rack_force{};   // load that valve and hand must push the rack with, along positive travel [N]
  T rack_speed{};   // [m/s]
  T pump_speed{};   // [rad/s]
  T temperature{};  // of the oil [K]
  T air_pressure = T(kAtmosphere);               // absolute [Pa]
  std::array<T, kMostControlValves> currents{};  // of the control valves' coils [A], counted
                                                 // through the branches in order

  friend bool operator==(const Condition&, const Condition&) = default;
};

// The same without derivatives; in double the same again, for code in any T.
[[nodiscard]] inline Circuit<double> Plain(const Circuit<double>& circuit) { return circuit; }
[[nodiscard]] inline Condition<double> Plain(const Condition<double>& condition) {
  return condition;
}
[[nodiscard]] Circuit<double> Plain(const Circuit<Jet>& circuit);
[[nodiscard]] Condition<double> Plain(const Condition<Jet>& condition);

// Why a circuit cannot be worked with, or nothing.
template <class T>
[[nodiscard]] std::optional<Problem> WhyUnsound(const Circuit<T>& circuit);
template <class T>
[[nodiscard]] std::optional<Problem> WhyUnsound(const Condition<T>& condition);

// Nodes of the network; two are one and the same when no line lies between.
struct Places {
  int outlet = 0, feed = 0,
      supply = 0;                    // pump outlet, past control valves in the feed, valve inlet
  int chamber_a = 0, chamber_b = 0;  // sides of the cylinder, and the valve's ports to them
  int back = kReservoir;             // valve return
};

// A reaction chamber as built, with its share of the supply pressure.
template <class T>
struct BuiltReaction {
  T share{}, torque_per_pressure{}, onset{};
};

// The first orifices of a built network are those of the rotary valve, then those of the control
// valves, branch by branch.
inline constexpr int kSupplyToA = 0, kSupplyToB = 1, kAToReturn = 2, kBToReturn = 3;

template <class T>
struct Built {
  Network<T> network;
  Places at;
  FluidState<T> fluid;
  FewOf<BuiltReaction<T>, kMostControlValves> reactions;
  FewOf<int, kMostControlValves> pump_bypasses, piston_bypasses;  // first orifice of each branch
  Marks marks;
  // Rate of each valve orifice's flow law with twist, for the derivatives of a solve.
  std::array<double, 4> area_slope{}, laminar_slope{};
};

// Builds the network. Pre: circuit and condition are sound.
template <class T>
[[nodiscard]] Built<T> Build(const Circuit<T>& circuit, const Condition<T>& condition);

// Sets the valve to a twist [rad].
template <class T>
void SetTwist(Built<T>& built, const Circuit<T>& circuit, const T& twist);

// Rate of the nodes' surplus with the twist [m^3/(s rad)], at pressures of the nodes.
[[nodiscard]] NodeVector<double> SurplusByTwist(const Built<double>& built,
                                                const NodeVector<double>& pressure);

// Sets the rack's speed [m/s]: what the piston swallows and pushes out.
template <class T>
void SetRackSpeed(Built<T>& built, const Circuit<T>& circuit, const T& speed);

}  // namespace steerbench::hydraulics
