#include "engine/tyre/brush.h"

#include <cmath>
#include <numbers>

namespace steerbench::tyre {
namespace {

template <class T>
bool IsSound(const Brush<T>& t) {
  return IsPositive(t.cornering_stiffness, t.half_length, t.load, t.friction);
}

template <class T>
Problem WhatIsWrong(const Brush<T>& t) {
  if (!IsPositive(t.load)) return Problem::kNoLoad;
  if (!IsPositive(t.friction)) return Problem::kNoFriction;
  if (!IsPositive(t.cornering_stiffness)) return Problem::kNoStiffness;
  if (!IsPositive(t.half_length)) return Problem::kNoLength;
  return Problem::kNotFinite;
}

}  // namespace

template <class T>
Outcome<BrushForce<T>, Problem> ForceAtSlip(const Brush<T>& tyre, const T& slip) {
  using std::tan;
  if (!IsSound(tyre)) return WhatIsWrong(tyre);
  if (!(std::abs(Value(slip)) < std::numbers::pi / 2.0)) return Problem::kNotFinite;
  const double side = Value(slip) < 0.0 ? -1.0 : 1.0;
  const T grip = tyre.friction * tyre.load;
  const T y = tyre.cornering_stiffness * side * tan(slip) / (3.0 * grip);
  BrushForce<T> f;
  f.slip_used = y;
  if (Value(y) >= 1.0) {
    f.side = -side * grip;
  } else {
    const T stick = 1.0 - y;  // share of the patch that sticks
    const T cube = stick * stick * stick;
    f.side = -side * grip * y * (3.0 - 3.0 * y + y * y);
    f.aligning = side * grip * tyre.half_length * y * cube;
    f.trail = tyre.half_length * cube / (3.0 - 3.0 * y + y * y);
  }
  if (!IsFinite(f.side, f.aligning, f.trail, f.slip_used)) return Problem::kNotFinite;
  return f;
}

template Outcome<BrushForce<double>, Problem> ForceAtSlip(const Brush<double>&, const double&);
template Outcome<BrushForce<Jet>, Problem> ForceAtSlip(const Brush<Jet>&, const Jet&);

}  // namespace steerbench::tyre
