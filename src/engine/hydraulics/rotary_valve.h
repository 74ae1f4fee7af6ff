// The rotary valve: a torsion bar whose twist opens two edges and closes two.
#pragma once

#include <variant>
#include <vector>

#include "engine/base/monotone_cubic.h"
#include "engine/base/outcome.h"
#include "engine/hydraulics/orifice.h"

namespace steerbench::hydraulics {

// Stiffness of a round bar [N m/rad]: pi d^4 G / (32 L). Shigley, Mechanical Engineering Design,
// chapter 4.
template <class T>
[[nodiscard]] T TorsionBarStiffness(const T& diameter, const T& length, const T& shear_modulus);

// Largest shear stress in it [Pa]: 16 M / (pi d^3). Same source.
template <class T>
[[nodiscard]] T TorsionBarStress(const T& diameter, const T& torque);

// Openings from the drawing. Each of the four orifices is `slots` gaps in parallel.
template <class T>
struct LandGeometry {
  int slots = 1;
  T length{};         // of a slot, along the shaft [m]
  T radius{};         // at which the edges meet [m]
  T underlap{};       // gap at no twist, without the chamfer [m]
  T chamfer{};        // length of the chamfer at the closing edge, along the circumference [m]
  T chamfer_slope{};  // its depth per length, 0..1
  T clearance{};      // radial, left when closed [m]
  T widest{};         // full width of a slot [m]
};

// Openings from measured points of pressure against twist: ln(area) of a closing orifice against
// twist, a monotone cubic. The logarithm, because pressure goes as area^-2 and so spans decades: a
// straight line between logarithms is an exponential boost curve, near what valves do. The
// opening orifice gains what the closing one loses, as edges of one sleeve do:
// area(twist) + area(-twist) = 2 area(0).
template <class T>
struct FittedOpening {
  MonotoneCubic<T> log_area;  // closing; abscissa twist from 0 [rad]
  T centre{};                 // area at no twist [m^2]
};

// One measured point: pressure between supply and return at a twist, rack held still.
template <class T>
struct BoostPoint {
  T twist{};     // [rad]; torque / stiffness when torque was measured
  T pressure{};  // [Pa]
};

// Openings that give these pressures at a known flow [m^3/s] through the valve with no bypass and
// the rack held. The first point has zero twist. Exact at the points, the laminar share included.
// kValvePoints: fewer than two points, first twist not zero, twists or pressures not rising.
// Source: bridge view of the valve as in Rosth, Linkoping dissertation 1068 (2007); inversion
// derived in docs/methods/hydraulics.md.
template <class T>
[[nodiscard]] Outcome<FittedOpening<T>, Problem> FitOpening(
    const std::vector<BoostPoint<T>>& points, const T& flow, double coefficient,
    const FluidState<T>& fluid);

template <class T>
struct RotaryValve {
  T stiffness{};                    // of the torsion bar [N m/rad]
  T stop{};                         // twist at which lost motion ends [rad]
  double coefficient = kSharpEdge;  // of its edges
  bool return_check = false;        // oil can flow back from return to supply past a check
  std::variant<LandGeometry<T>, FittedOpening<T>> openings;
};

// One orifice at a twist: opening for positive twist, closing for negative.
template <class T>
struct Opening {
  T area{}, area_slope{};          // [m^2], [m^2/rad]
  T diameter{}, diameter_slope{};  // hydraulic [m], [m/rad]
  double transition = kSlotTransition;
};

// The openings stay where they are once the stop is reached.
template <class T>
[[nodiscard]] Opening<T> OpeningAt(const RotaryValve<T>& valve, const T& twist);

// Torque that twists the valve [N m] and its rate [N m/rad]: the bar, and past the stop a spring
// kStopStiffness times as stiff, which stands for the solid drive through the stop.
template <class T>
struct TorquePoint {
  T torque{}, slope{};
};
template <class T>
[[nodiscard]] TorquePoint<T> TwistTorque(const RotaryValve<T>& valve, const T& twist);

inline constexpr double kStopStiffness = 1000.0;  // steel dogs against a thin bar; results are
                                                  // insensitive to it (tested)
inline constexpr double kStopRounding = 0.01;     // of the stop's twist

// Twist [rad] from which the stop carries a part of the torque.
template <class T>
[[nodiscard]] double StopBegins(const RotaryValve<T>& valve) {
  return (1.0 - 0.5 * kStopRounding) * Value(valve.stop);
}

// Whether a twist lies beyond the measured points.
template <class T>
[[nodiscard]] bool BeyondPoints(const RotaryValve<T>& valve, double twist);

// Whether the figures of a valve can be used.
template <class T>
[[nodiscard]] bool IsSound(const RotaryValve<T>& valve);

}  // namespace steerbench::hydraulics
