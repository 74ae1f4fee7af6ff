// The rotary valve: a torsion bar whose twist opens two edges and closes two.
#pragma once

#include <vector>

#include "engine/base/monotone_cubic.h"
#include "engine/base/outcome.h"
#include "engine/hydraulics/orifice.h"

namespace steerbench::hydraulics {

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
  FittedOpening<T> openings;
};

// One orifice at a twist: opening for positive twist, closing for negative. It counts as round: its
// slots are not known.
template <class T>
struct Opening {
  T area{}, area_slope{};  // [m^2], [m^2/rad]
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

// The twist [rad] that a torque [N m] makes: the inverse of TwistTorque.
template <class T>
[[nodiscard]] T TwistAt(const RotaryValve<T>& valve, const T& torque);

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
