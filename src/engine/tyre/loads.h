// Wheel loads of a car at rest and in a steady bend.
// SI units and radians; T is double or Jet.
#pragma once

#include "engine/base/gravity.h"
#include "engine/base/outcome.h"
#include "engine/base/scalar.h"
#include "engine/tyre/problem.h"

namespace steerbench::tyre {

// Load of each axle, both wheels together [N].
template <class T>
struct AxleLoads {
  T front{}, rear{};
};

// From what stands on the scales under each axle [kg]. Problems: kNoMass. Statics.
template <class T>
Outcome<AxleLoads<T>, Problem> LoadsFromScales(const T& front_mass, const T& rear_mass);

// Distance of the centre of gravity behind the front axle [m]. Pre: positive loads. Statics.
template <class T>
T CgToFront(const AxleLoads<T>& loads, const T& wheelbase);

// What decides the load moved from the inner to the outer wheels.
template <class T>
struct Transfer {
  T cg_height{};                  // [m]
  T front_track{}, rear_track{};  // [m]
  T front_share{};                // share of the roll moment taken by the front axle, 0..1
};

// Load of each wheel [N].
template <class T>
struct WheelLoads {
  T left{}, right{};
};

// Loads of the two axles' wheels at lateral acceleration `ay` [m/s^2], positive in a left bend:
//   moved = share m ay h / track
// Body roll and roll-centre heights enter by `front_share` alone. Problems: kNotFinite, kNoMass,
// kCgOutside, kNoTrack, kShare, kWheelLifts.
// Source: Gillespie, Fundamentals of Vehicle Dynamics (1992), ch. 6 (from memory), simplified.
template <class T>
struct CarLoads {
  WheelLoads<T> front, rear;
};
template <class T>
Outcome<CarLoads<T>, Problem> LoadsInBend(const AxleLoads<T>& rest, const Transfer<T>& transfer,
                                          const T& ay);

}  // namespace steerbench::tyre
