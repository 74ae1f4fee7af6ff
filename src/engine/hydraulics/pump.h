// The vane pump with its flow control valve, relief valve and inlet, as one source of oil.
#pragma once

#include <optional>
#include <vector>

#include "engine/hydraulics/line.h"

namespace steerbench::hydraulics {

// A metering orifice in the outlet sets the pressure difference across a sprung spool, which lets
// the surplus back to the inlet: delivery stays near `flow` however fast the pump turns.
template <class T>
struct FlowControl {
  T flow{};           // regulated [m^3/s], at the speed from which it regulates
  T droop{};          // loss of regulated flow per pump speed above `from_speed` [m^3/rad]
  T from_speed{};     // [rad/s]
  T metering_drop{};  // pressure across the metering orifice at the regulated flow [Pa]
};

// Opens gradually from `cracking`; passes `full_flow` at `full_pressure` (gauge) [Pa].
template <class T>
struct Relief {
  T cracking{}, full_pressure{}, full_flow{};
};

// From the reservoir to the pump.
template <class T>
struct Inlet {
  Line<T> hose;                // its `resistance` is the strainer's
  T head{};                    // oil level above the pump [m]
  T noise_limit{};             // absolute pressure below which it growls [Pa]
  T filling_limit = T(0.5e5);  // absolute pressure below which the vanes no longer fill [Pa]
};

template <class T>
struct Pump {
  T displacement{};       // per radian of its shaft [m^3/rad]
  T filled = T(1.0);      // share of the displacement that it delivers at no pressure, 0..1
  T leak{};               // flow lost = leak x pressure / dynamic viscosity [m^3]
  T efficiency = T(1.0);  // hydromechanical, 0..1
  std::optional<FlowControl<T>> flow_control;
  std::optional<Relief<T>> relief;
  std::optional<Inlet<T>> inlet;
  std::optional<T> top_speed;  // [rad/s]
};

// Regulated flow [m^3/s] through a metering orifice of an area [m^2] whose spool opens at a
// pressure difference [Pa] given by its spring: Cd A sqrt(2 dp/rho).
template <class T>
[[nodiscard]] T RegulatedFlow(const T& area, double coefficient, const T& spring_pressure,
                              const T& density);

// One reading of a pump on the bench or in the car, below the speed at which its flow control
// acts (or with the flow control blocked).
template <class T>
struct PumpReading {
  T speed{};      // of the pump [rad/s]
  T pressure{};   // at its outlet, gauge [Pa]
  T viscosity{};  // dynamic, of the oil as it was [Pa s]
  T flow{};       // by bucket and stopwatch [m^3/s]
};

// Leak coefficient [m^3] of a pump of known displacement [m^3/rad] from readings: the least squares
// of V w - Q against p / mu; of one reading (V w - Q) mu / p. Pre: a reading, pressures above zero.
template <class T>
[[nodiscard]] T LeakFrom(const T& displacement, const std::vector<PumpReading<T>>& readings);

// Displacement and leak from two readings at different pressure, or at different speed, or from
// more by least squares of the flow. Unset when they do not tell the two apart (same p / (mu w)).
template <class T>
struct DisplacementAndLeak {
  T displacement{}, leak{};
};
template <class T>
[[nodiscard]] std::optional<DisplacementAndLeak<T>> PumpFrom(
    const std::vector<PumpReading<T>>& readings);

// The pump at one speed and with one oil: delivery against outlet pressure, falling throughout.
//   Q(p) = min(min(filled V w - leak p / mu, regulated) - relief(p), suction), corners rounded.
// What the relief valve and the spool pass returns to the inlet inside the pump, so that only the
// delivery is drawn from the reservoir.
template <class T>
struct PumpLaw {
  T ideal{};          // filled V w [m^3/s]
  T leak{};           // [m^3/(s Pa)]
  T regulated{};      // [m^3/s]; kUnlimited without flow control
  T suction{};        // most that the inlet lets through [m^3/s]; kUnlimited without an inlet
  T cracking{};       // [Pa]
  T relief{};         // slope [m^3/(s Pa)]; zero without a relief valve
  T corner{};         // rounding of delivery where two limits meet [m^3/s]
  T relief_corner{};  // rounding of the relief valve's opening [Pa]
};
inline constexpr double kUnlimited = 1.0;  // [m^3/s] 60000 L/min, more than any pump gives

// Pre: IsSound(pump), speed not below zero [rad/s], air_pressure above zero [Pa].
template <class T>
[[nodiscard]] PumpLaw<T> MakePump(const Pump<T>& pump, const T& speed, const FluidState<T>& fluid,
                                  const T& air_pressure);

// Flow delivered [m^3/s] at an outlet pressure (gauge) [Pa] and its slope, never above zero.
template <class T>
[[nodiscard]] FlowPoint<T> Delivered(const PumpLaw<T>& law, const T& pressure);

// Flow that passes the relief valve [m^3/s].
template <class T>
[[nodiscard]] T ReliefFlow(const PumpLaw<T>& law, const T& pressure);

// What else is asked of a running pump.
template <class T>
struct PumpState {
  T inner_pressure{};  // ahead of the metering orifice, gauge [Pa]
  T inlet_pressure{};  // absolute [Pa]
  T inlet_loss{};      // of pressure on the way in [Pa]; the oil level's lift is no work, for the
                       // oil returns to that level
  T leak{}, relief{};  // flows lost inside [m^3/s]
  T shaft_torque{};    // V (inner pressure + inlet loss) / efficiency [N m]
  T shaft_power{};     // [W]
  Marks marks;         // relief open, inlet noise, inlet starved, overspeed, no assist
};

// At an outlet pressure [Pa], where it delivers `flow` [m^3/s].
// Torque: p V / (2 pi eta_hm) per revolution, any text on displacement pumps.
template <class T>
[[nodiscard]] PumpState<T> PumpStateAt(const Pump<T>& pump, const PumpLaw<T>& law, const T& speed,
                                       const FluidState<T>& fluid, const T& air_pressure,
                                       const T& pressure, const T& flow);

// Whether the figures of a pump can be used.
template <class T>
[[nodiscard]] bool IsSound(const Pump<T>& pump);

}  // namespace steerbench::hydraulics
