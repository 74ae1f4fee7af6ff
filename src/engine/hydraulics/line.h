// Loss along hoses, pipes, coolers and strainers.
#pragma once

#include "engine/hydraulics/orifice.h"

namespace steerbench::hydraulics {

template <class T>
struct Line {
  T length{};      // [m]; zero with no other loss: no line at all
  T bore{};        // inner diameter [m]
  T bends{};       // sum of loss coefficients of bends, fittings, entry, exit [1]
  T resistance{};  // of a cooler or strainer: dp = resistance x dynamic viscosity x flow [1/m^3]
};

// Reynolds numbers between which the friction changes over from laminar to turbulent, and the last
// one of the smooth-pipe formula.
inline constexpr double kLaminarEnd = 2000.0;
inline constexpr double kTurbulentStart = 4000.0;
inline constexpr double kBlasiusEnd = 1e5;
inline constexpr double kBlasius = 0.3164;

// dp = laminar x phi(Re) x Q + linear x Q + square x Q|Q|; phi = f Re / 64.
template <class T>
struct LineLaw {
  T laminar{};   // 128 mu L / (pi d^4) [Pa s/m^3]
  T linear{};    // of a strainer or cooler [Pa s/m^3]
  T square{};    // of bends [Pa s^2/m^6]
  T reynolds{};  // Re per flow, 4 / (pi d nu) [s/m^3]
};

// Pre: bore above zero.
template <class T>
[[nodiscard]] LineLaw<T> MakeLine(const Line<T>& line, const FluidState<T>& fluid);

// Darcy's friction factor at a Reynolds number above zero: 64/Re (Hagen-Poiseuille) to 2000,
// 0.3164 Re^-1/4 (Blasius 1913) from 4000, and f x Re blended between by a cubic, so that the loss
// rises with flow and its slope does not jump. Real friction there is anywhere between the two.
template <class T>
[[nodiscard]] T FrictionFactor(const T& reynolds);

// Pressure loss [Pa] at a flow [m^3/s], and how it rises with it.
template <class T>
struct DropPoint {
  T drop{}, slope{};
};
template <class T>
[[nodiscard]] DropPoint<T> DropAt(const LineLaw<T>& law, const T& flow);

// Flow [m^3/s] at a pressure difference [Pa]; closed form while laminar, else Newton's method kept
// within bounds. With a Jet the flow carries derivatives, its slope does not.
template <class T>
[[nodiscard]] FlowPoint<T> FlowThrough(const LineLaw<T>& law, const T& drop);

template <>
FlowPoint<double> FlowThrough(const LineLaw<double>& law, const double& drop);
template <>
FlowPoint<Jet> FlowThrough(const LineLaw<Jet>& law, const Jet& drop);

// Whether there is any loss at all; without one the line's two ends are one place.
template <class T>
[[nodiscard]] bool HasLoss(const Line<T>& line);

// Whether the figures of a line can be used.
template <class T>
[[nodiscard]] bool IsSound(const Line<T>& line);

}  // namespace steerbench::hydraulics
