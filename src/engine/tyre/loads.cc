#include "engine/tyre/loads.h"

namespace steerbench::tyre {
namespace {

template <class T>
bool IsShare(const T& x) {
  return IsNotNegative(x) && Value(x) <= 1.0;
}

// The wheels of one axle; positive `moved` goes to the right wheel, the outer one in a left bend.
template <class T>
WheelLoads<T> Split(const T& axle, const T& moved) {
  return {axle / 2.0 - moved, axle / 2.0 + moved};
}

template <class T>
bool Stands(const WheelLoads<T>& w) {
  return IsPositive(w.left, w.right);
}

}  // namespace

template <class T>
Outcome<AxleLoads<T>, Problem> LoadsFromScales(const T& front_mass, const T& rear_mass) {
  if (!IsPositive(front_mass, rear_mass)) return Problem::kNoMass;
  const AxleLoads<T> loads{front_mass * kGravity, rear_mass * kGravity};
  if (!IsFinite(loads.front + loads.rear)) return Problem::kNotFinite;
  return loads;
}

template <class T>
T CgToFront(const AxleLoads<T>& loads, const T& wheelbase) {
  return wheelbase * loads.rear / (loads.front + loads.rear);
}

template <class T>
Outcome<CarLoads<T>, Problem> LoadsInBend(const AxleLoads<T>& rest, const Transfer<T>& transfer,
                                          const T& ay) {
  if (!IsPositive(rest.front, rest.rear)) return Problem::kNoLoad;
  if (!IsFinite(ay)) return Problem::kNotFinite;
  if (!IsNotNegative(transfer.cg_height)) return Problem::kCgOutside;
  if (!IsPositive(transfer.front_track, transfer.rear_track)) return Problem::kNoTrack;
  if (!IsShare(transfer.front_share)) return Problem::kShare;
  const T moment = (rest.front + rest.rear) / kGravity * ay * transfer.cg_height;
  const CarLoads<T> loads{
      Split<T>(rest.front, moment * transfer.front_share / transfer.front_track),
      Split<T>(rest.rear, moment * (1.0 - transfer.front_share) / transfer.rear_track)};
  if (!IsFinite(moment)) return Problem::kNotFinite;
  if (!Stands(loads.front) || !Stands(loads.rear)) return Problem::kWheelLifts;
  return loads;
}

#define STEERBENCH_INSTANTIATE(T)                                                             \
  template Outcome<AxleLoads<T>, Problem> LoadsFromScales(const T&, const T&);                \
  template T CgToFront(const AxleLoads<T>&, const T&);                                        \
  template Outcome<CarLoads<T>, Problem> LoadsInBend(const AxleLoads<T>&, const Transfer<T>&, \
                                                     const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::tyre
