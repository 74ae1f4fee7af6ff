// Flow through a short restriction.
#pragma once

#include "engine/hydraulics/fluid.h"

namespace steerbench::hydraulics {

// Flow coefficient of a sharp edge in turbulent flow (Merritt, Hydraulic Control Systems, 1967,
// chapter 3: 0.611; from memory).
inline constexpr double kSharpEdge = 0.61;

// Reynolds number (on the hydraulic diameter) at which the laminar and the turbulent part of the
// loss are equal: (Cd/delta)^2, delta being the coefficient of the laminar law Cd = delta sqrt(Re).
// Merritt 1967, section 3-4: delta 0.2 for a round sharp edge (from memory).
inline constexpr double kRoundTransition = 9.3;

// The law dp = laminar Q/A + quadratic Q|Q| / (4 A^2): the viscous and the kinetic loss of the same
// flow added. It is Merritt's laminar law at low and the square-root law at high Reynolds numbers,
// odd and rising, its slope finite everywhere (also at zero), and it can be solved both ways.
// An area of zero passes nothing. Source: asymptotes Merritt 1967, section 3-4; sum derived in
// docs/methods/hydraulics.md.
template <class T>
struct OrificeLaw {
  T area{};       // [m^2]
  T laminar{};    // mu Rt / (2 Cd^2 Dh) [Pa s/m]
  T quadratic{};  // 2 rho / Cd^2 [kg/m^3]
};

// Of a round hole of an area that may be zero [m^2], and its coefficient of turbulent flow.
template <class T>
[[nodiscard]] OrificeLaw<T> MakeRoundOrifice(const T& area, double coefficient,
                                             const FluidState<T>& fluid);

// A flow [m^3/s] and its rate with the pressure difference [m^3/(s Pa)].
template <class T>
struct FlowPoint {
  T flow{}, slope{};
};

// Flow at a pressure difference [Pa], signed as that is.
template <class T>
[[nodiscard]] FlowPoint<T> FlowThrough(const OrificeLaw<T>& law, const T& drop) {
  using std::abs;
  using std::sqrt;
  const T root = sqrt(law.laminar * law.laminar + law.quadratic * abs(drop));
  return {2.0 * law.area * drop / (law.laminar + root), law.area / root};
}

// Pressure difference [Pa] at a flow [m^3/s]. Pre: area above zero.
template <class T>
[[nodiscard]] T DropAt(const OrificeLaw<T>& law, const T& flow) {
  using std::abs;
  const T speed = flow / law.area;
  return speed * (law.laminar + law.quadratic * abs(speed) / 4.0);
}

}  // namespace steerbench::hydraulics
