#include "engine/gear/teeth.h"

#include <cmath>
#include <numbers>

namespace steerbench::gear {

using std::numbers::pi;

template <class T>
TravelEachWay<T> ToothTravel(const ToothedRack<T>& rack) {
  const T middle = (rack.toothed_length - rack.contact_length) / 2.0 - rack.reserve;
  return {middle - rack.offset, middle + rack.offset};
}

template <class T>
T TransverseContactRatio(const PinionTeeth<T>& pinion) {
  using std::cos, std::sin, std::sqrt;
  const T shift = pinion.profile_shift * pinion.module;
  const T pitch_radius = pinion.teeth * pinion.module / 2.0;
  const T tip_radius = pitch_radius + pinion.addendum + shift;
  const T base_radius = pitch_radius * cos(pinion.pressure_angle);
  const T sine = sin(pinion.pressure_angle);
  const T recess = sqrt(tip_radius * tip_radius - base_radius * base_radius) - pitch_radius * sine;
  const T approach = (pinion.addendum - shift) / sine;
  return (recess + approach) / (pi * pinion.module * cos(pinion.pressure_angle));
}

template <class T>
T MinTeethWithoutUndercut(const PinionTeeth<T>& pinion) {
  using std::sin;
  const T sine = sin(pinion.pressure_angle);
  return 2.0 * (pinion.addendum / pinion.module - pinion.profile_shift) / (sine * sine);
}

template <class T>
T OverlapRatio(const T& face_width, const T& helix, const T& normal_module) {
  using std::sin;
  return face_width * sin(helix) / (pi * normal_module);
}

#define STEERBENCH_INSTANTIATE(T)                                  \
  template TravelEachWay<T> ToothTravel<T>(const ToothedRack<T>&); \
  template T TransverseContactRatio<T>(const PinionTeeth<T>&);     \
  template T MinTeethWithoutUndercut<T>(const PinionTeeth<T>&);    \
  template T OverlapRatio<T>(const T&, const T&, const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::gear
