// The car on the road: the linear two-wheel model, and a steady bend with tyres that saturate.
// Signs of ISO 8855: lateral acceleration, side force and steer are positive to the left.
// SI units and radians; T is double or Jet.
#pragma once

#include <optional>

#include "engine/base/outcome.h"
#include "engine/base/scalar.h"
#include "engine/tyre/brush.h"
#include "engine/tyre/loads.h"
#include "engine/tyre/problem.h"

namespace steerbench::tyre {

template <class T>
struct TwoWheel {
  T mass{}, wheelbase{}, cg_to_front{};   // [kg], [m]
  T front_stiffness{}, rear_stiffness{};  // cornering stiffness of an axle [N/rad]
};

// How the car answers to its road wheels.
template <class T>
struct Handling {
  T understeer{};                         // K in steer = L/R + K ay [rad s^2/m]
  std::optional<T> characteristic_speed;  // [m/s], when K > 0
  std::optional<T> critical_speed;        // [m/s], when K < 0
};

// Linear two-wheel model in a steady bend: K = (m/L)(lr/Cf - lf/Cr). Load transfer, roll steer and
// lag are left out: for gentle bends (docs/methods/tyre.md). Problems: kNoMass, kNoWheelbase,
// kCgOutside, kNoStiffness, kNotFinite.
// Source: Gillespie, Fundamentals of Vehicle Dynamics, ch. 6; Wong, Theory of Ground Vehicles,
// ch. 5; Rajamani, Vehicle Dynamics and Control, ch. 3 (forms from memory).
template <class T>
Outcome<Handling<T>, Problem> HandlingOf(const TwoWheel<T>& car);

// A tyre at a reference load, and how it changes with load: stiffness with a power of it
// (0: not at all, 1: in proportion; real tyres lie between), patch length in proportion (the
// width and the pressure stay).
template <class T>
struct AxleTyre {
  T cornering_stiffness{}, half_length{}, friction{}, reference_load{};  // of one tyre
  T stiffness_exponent{};
};

// The brush at another load. Pre: positive load and reference load.
template <class T>
Brush<T> AtLoad(const AxleTyre<T>& tyre, const T& load);

template <class T>
struct RoadCar {
  AxleLoads<T> loads;
  T wheelbase{};
  AxleTyre<T> front, rear;
  std::optional<Transfer<T>> transfer;  // unset: left and right carry the same
};

// One wheel in a bend.
template <class T>
struct WheelForce {
  T load{};
  BrushForce<T> force;
};

template <class T>
struct Bend {
  T front_slip{}, rear_slip{};  // [rad]
  T front_used{}, rear_used{};  // side force by the most the axle can give
  WheelForce<T> front_left, front_right, rear_left, rear_right;
};

// Steady bend at a lateral acceleration `ay` [m/s^2], at any speed, with brush tyres on both axles.
// Small steer angles (cos = 1), both wheels of an axle at one slip angle, no driving force, no roll
// steer or camber thrust; with no `transfer` the loads are those at rest.
// Problems: those of the parts, kFrontSlides and kRearSlides when ay is beyond the grip.
// Source: two-wheel model as above with the brush's axle characteristics; for symmetrical axles
// the slip angle is closed form, |tan slip| = (3 mu Fz / C)(1 - cbrt(1 - F / mu Fz)). Derived in
// docs/methods/tyre.md.
template <class T>
Outcome<Bend<T>, Problem> SteadyBend(const RoadCar<T>& car, const T& ay);

// Road-wheel angle that a bend of this lateral acceleration needs at a speed [m/s], mean of both
// wheels [rad]:
//   steer = L ay / V^2 + rear slip - front slip (ISO signs)
// Problems: kNoWheelbase, kNoSpeed, kNotFinite. Source: two-wheel model as above.
template <class T>
Outcome<T, Problem> SteerInBend(const Bend<T>& bend, const T& wheelbase, const T& speed,
                                const T& ay);

}  // namespace steerbench::tyre
