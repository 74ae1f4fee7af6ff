// The oil: how thick and how heavy it is at a temperature, and how stiff with air in it.
// SI units; temperatures absolute [K]; T is double or Jet.
#pragma once

#include <optional>

#include "engine/base/scalar.h"
#include "engine/hydraulics/marks.h"

namespace steerbench::hydraulics {

inline constexpr double kZeroCelsius = 273.15;                      // [K]
inline constexpr double kAtmosphere = 101325.0;                     // standard [Pa]
inline constexpr double kDensityTemperature = kZeroCelsius + 15.0;  // of a stated density [K]

// A viscosity known at two temperatures, as oil makers print it (mostly 40 and 100 deg C).
template <class T>
struct ViscosityPoint {
  T temperature{};  // [K]
  T viscosity{};    // kinematic [m^2/s]
};

template <class T>
struct Fluid {
  ViscosityPoint<T> cold, hot;
  T density{};                 // at 15 deg C [kg/m^3]
  std::optional<T> expansion;  // loss of density per kelvin, of the 15 deg C value [1/K]
  T bulk_modulus = T(1.4e9);   // without air [Pa]; 1.4 GPa: common for mineral oil, from memory
  T air = T(0.0);              // free air as a share of the volume at atmosphere, 0..1
  T gas_release = T(0.2e5);    // absolute pressure at which a chamber fills with gas [Pa]
};

// log10(log10(v + 0.7)) = a - b log10(temperature), v in mm^2/s.
template <class T>
struct WaltherLine {
  T a{}, b{};
};

// The line through two points. Pre: temperatures differ, viscosities above 0.3 mm^2/s.
// Source: Walther 1931; ASTM D341-20, its simple 0.7 form, good above about 2 mm^2/s.
template <class T>
[[nodiscard]] WaltherLine<T> FitWalther(const ViscosityPoint<T>& cold,
                                        const ViscosityPoint<T>& hot);

// Kinematic viscosity [m^2/s] on that line at an absolute temperature [K].
template <class T>
[[nodiscard]] T ViscosityAt(const WaltherLine<T>& line, const T& temperature);

// Density [kg/m^3] at a temperature [K]: linear with `expansion` when that is given, else the
// volume correction for lubricating oils, alpha = 0.6278 / rho15,
// rho = rho15 exp(-alpha dT (1 + 0.8 alpha dT)).
// Source: API MPMS chapter 11.1 / ASTM D1250-80 (coefficient from memory).
template <class T>
[[nodiscard]] T DensityAt(const Fluid<T>& fluid, const T& temperature);

// Bulk modulus [Pa] at an absolute pressure [Pa] with free air that follows Boyle's law:
// 1/K = (1 - x)/K_oil + x p0/p^2, x the air's share of the volume at p0 = one atmosphere.
// Source: Merritt, Hydraulic Control Systems (1967), section 1-3; air isothermal, not dissolving.
template <class T>
[[nodiscard]] T BulkModulusAt(const Fluid<T>& fluid, const T& absolute_pressure);

// What the flow laws need of the oil.
template <class T>
struct FluidState {
  T density{};    // [kg/m^3]
  T kinematic{};  // [m^2/s]
  T dynamic{};    // [Pa s]
  Marks marks;    // kThinFluid, kFarTemperature
};

// The oil at a temperature [K]. Beyond kTemperatureReach of the two points it is marked, and the
// temperature is held at the physical bounds kColdest, kHottest.
template <class T>
[[nodiscard]] FluidState<T> StateAt(const Fluid<T>& fluid, const T& temperature);

inline constexpr double kTemperatureReach = 60.0;  // [K]; oils with polymer leave the line earlier
inline constexpr double kColdest = 213.15;         // [K] -60 deg C: past every oil's pour point
inline constexpr double kHottest = 523.15;         // [K] 250 deg C: past every oil's flash point
inline constexpr double kThinnest = 2e-6;          // [m^2/s] end of the simple D341 form

// Whether the figures of an oil can be used.
template <class T>
[[nodiscard]] bool IsSound(const Fluid<T>& fluid);

}  // namespace steerbench::hydraulics
