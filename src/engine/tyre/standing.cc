#include "engine/tyre/standing.h"

#include <array>
#include <cmath>
#include <numbers>

namespace steerbench::tyre {
namespace {

// Integral of sqrt(x^2 + y^2) over the rectangle between the origin and (x, y), odd in both.
template <class T>
T CornerIntegral(const T& x, const T& y) {
  using std::log;
  using std::sqrt;
  const double side_x = Value(x) < 0.0 ? -1.0 : 1.0, side_y = Value(y) < 0.0 ? -1.0 : 1.0;
  const T ax = side_x * x, ay = side_y * y;
  // On an axis the value is zero but not its slope.
  if (Value(x) == 0.0) return x * y * ay / 2.0;
  if (Value(y) == 0.0) return x * ax * y / 2.0;
  const T across = sqrt(x * x + y * y);
  // asinh(y/x) = log((y + sqrt(x^2 + y^2)) / x), both above zero here.
  return x * y * across / 3.0 + (x * ax * ax * log((ay + across) / ax) * side_y +
                                 y * ay * ay * log((ax + across) / ay) * side_x) /
                                    6.0;
}

template <class T>
Problem WhatIsWrong(const Standing<T>& w) {
  if (!IsPositive(w.load)) return Problem::kNoLoad;
  if (!IsPositive(w.pressure)) return Problem::kNoPressure;
  if (!IsPositive(w.friction)) return Problem::kNoFriction;
  if (!IsPositive(w.tyre_width)) return Problem::kNoWidth;
  if (w.patch && !IsPositive(w.patch->width)) return Problem::kNoWidth;
  if (w.patch && !IsPositive(w.patch->length)) return Problem::kNoLength;
  return Problem::kNotFinite;
}

template <class T>
bool IsSound(const Standing<T>& w) {
  return IsPositive(w.load, w.pressure, w.friction, w.tyre_width) &&
         IsFinite(w.scrub_radius, w.mechanical_trail) &&
         (!w.patch || IsPositive(w.patch->width, w.patch->length));
}

template <class T>
void AddSpread(SpinTorque<T>& s) {
  T low = s.gough, high = s.gough;
  for (const T& m : {s.disc, s.handbook, s.patch.value_or(s.gough)}) {
    if (Value(m) < Value(low)) low = m;
    if (Value(m) > Value(high)) high = m;
  }
  s.middle = (low + high) / 2.0;
  s.half_spread = (high - low) / 2.0;
}

}  // namespace

template <class T>
Outcome<Patch<T>, Problem> PatchFromPressure(const T& load, const T& pressure, const T& width) {
  if (!IsPositive(load)) return Problem::kNoLoad;
  if (!IsPositive(pressure)) return Problem::kNoPressure;
  if (!IsPositive(width)) return Problem::kNoWidth;
  const Patch<T> patch{load / (pressure * width), width};
  if (!IsPositive(patch.length)) return Problem::kNotFinite;
  return patch;
}

template <class T>
bool IsLong(const Patch<T>& patch, const T& unloaded_radius) {
  return Value(patch.length) > kLongPatch * Value(unloaded_radius);
}

template <class T>
T GoughTorque(const T& friction, const T& load, const T& pressure) {
  using std::sqrt;
  return friction / 3.0 * load * sqrt(load / pressure);
}

template <class T>
T DiscTorque(const T& friction, const T& load, const T& pressure) {
  using std::sqrt;
  return 2.0 / 3.0 * friction * load * sqrt(load / (std::numbers::pi * pressure));
}

template <class T>
T HandbookTorque(const T& friction, const T& load, const T& tyre_width, const T& offset) {
  using std::sqrt;
  return friction * load * sqrt(tyre_width * tyre_width / 8.0 + offset * offset);
}

template <class T>
T PatchTorque(const T& friction, const T& load, const Patch<T>& patch, const T& behind,
              const T& aside) {
  const T x1 = behind + patch.length / 2.0, x0 = behind - patch.length / 2.0;
  const T y1 = aside + patch.width / 2.0, y0 = aside - patch.width / 2.0;
  const T integral = CornerIntegral<T>(x1, y1) - CornerIntegral<T>(x0, y1) -
                     CornerIntegral<T>(x1, y0) + CornerIntegral<T>(x0, y0);
  return friction * load * integral / (patch.length * patch.width);
}

template <class T>
Outcome<SpinTorque<T>, Problem> SpinTorqueStanding(const Standing<T>& wheel) {
  using std::sqrt;
  if (!IsSound(wheel)) return WhatIsWrong(wheel);
  const T aside = wheel.brake == Brake::kOn ? wheel.scrub_radius : T(wheel.scrub_radius * 0.0);
  const T& behind = wheel.mechanical_trail;
  const T offset_squared = aside * aside + behind * behind;
  const T sliding = wheel.friction * wheel.load;
  const auto with_offset = [&](const T& spin) -> T {
    return sqrt(spin * spin + sliding * sliding * offset_squared);
  };
  SpinTorque<T> s;
  s.gough = with_offset(GoughTorque(wheel.friction, wheel.load, wheel.pressure));
  s.disc = with_offset(DiscTorque(wheel.friction, wheel.load, wheel.pressure));
  s.handbook = with_offset(HandbookTorque(wheel.friction, wheel.load, wheel.tyre_width, T(0.0)));
  if (wheel.patch) s.patch = PatchTorque(wheel.friction, wheel.load, *wheel.patch, behind, aside);
  AddSpread(s);
  if (!IsPositive(s.middle) || !IsFinite(s.half_spread)) return Problem::kNotFinite;
  return s;
}

#define STEERBENCH_INSTANTIATE(T)                                                      \
  template Outcome<Patch<T>, Problem> PatchFromPressure(const T&, const T&, const T&); \
  template bool IsLong(const Patch<T>&, const T&);                                     \
  template T GoughTorque(const T&, const T&, const T&);                                \
  template T DiscTorque(const T&, const T&, const T&);                                 \
  template T HandbookTorque(const T&, const T&, const T&, const T&);                   \
  template T PatchTorque(const T&, const T&, const Patch<T>&, const T&, const T&);     \
  template Outcome<SpinTorque<T>, Problem> SpinTorqueStanding(const Standing<T>&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::tyre
