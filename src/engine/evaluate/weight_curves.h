// Curves of what the hand wheel weighs, and of the oil behind it, as rows of a Sweep.
#pragma once

#include <vector>

#include "engine/evaluate/evaluate.h"
#include "engine/evaluate/sweep.h"

namespace steerbench {

inline constexpr int kCurvePoints = 41;  // of a curve, unless asked for otherwise

// A curve, or what is missing for it: fields of the fitted car, as in a Result. Not a number where
// a row has no value: out of the linkage's reach, beyond the tyres' grip.
struct WeightCurve {
  Sweep sweep;
  Missing missing;
};

// Torques are at the hand wheel [N m], positive to the left. Assumptions, states and sources are
// those of the results of the same name (outputs.h), the method docs/methods/weight.md. With the
// plus-minus of every value when the car comes as quantities, by the law of propagation
// (propagate.h), else without; what a curve is drawn over has none. Cost with plus-minus: about
// two evaluations of a row for each input.
//
// Values are looked up in what is solved at fewer points: the oil's characteristic
// (hydraulics/characteristic.h) and, on the road, the axle over its steer angle (steer_map.h).
// Torques agree with the results' to 3e-4 of 1 N m and of themselves; plus-minus are of solves, and
// not a number where a value that could be looked up cannot be solved.

// Standing, dry, engine idling, over rack travel [m], to the left positive: turned slowly to the
// left and to the right, held where such a turn has stopped (zero: it stays when let go), brake off
// and on; turned with the assistance lost.
[[nodiscard]] WeightCurve KerbCurve(const Fitted<double>& fitted,
                                    const std::vector<double>& travel);
[[nodiscard]] WeightCurve KerbCurve(const Fitted<Quantity>& fitted,
                                    const std::vector<double>& travel);

// Over lateral acceleration of a left bend [m/s^2], engine at cruise speed, at 50, 80, 110 and
// 140 km/h: turned further in and turned out.
[[nodiscard]] WeightCurve RoadCurve(const Fitted<double>& fitted, const std::vector<double>& ay);
[[nodiscard]] WeightCurve RoadCurve(const Fitted<Quantity>& fitted, const std::vector<double>& ay);
[[nodiscard]] std::vector<double> UsualAccelerations(int points = kCurvePoints);

// Rack held, over torque at the valve up to that of its twist stop: pressure at the pump's outlet
// and assistance, standing with the engine idling, and at 80 and 140 km/h at cruise speed. Where
// nothing is known of the engine (rack and pump on a bench): at the pump's regulated flow alone.
[[nodiscard]] WeightCurve BoostCurve(const Fitted<double>& fitted, int points = kCurvePoints);
[[nodiscard]] WeightCurve BoostCurve(const Fitted<Quantity>& fitted, int points = kCurvePoints);

// Over engine speed from idle to top, turning left at the kerb, brake off, dry: pump speed, flow
// delivered, pressure, the hand's torque, and the hand-wheel speeds that outrun the pump [rad/s].
// Where nothing is known of the engine or of the linkage: over the pump's own speed up to its top
// speed, flow delivered and pressure with the hand wheel let go, and flow at half the relief
// pressure.
[[nodiscard]] WeightCurve PumpCurve(const Fitted<double>& fitted, int points = kCurvePoints);
[[nodiscard]] WeightCurve PumpCurve(const Fitted<Quantity>& fitted, int points = kCurvePoints);

// All of them at their usual points, of a car that was evaluated; what they share is found once.
struct WeightCurves {
  WeightCurve kerb, road, boost, pump;
};
[[nodiscard]] WeightCurves AllCurves(const Fitted<double>& fitted, const Evaluation<double>& found);

}  // namespace steerbench
