#include "engine/linkage/turn_plate.h"

#include <cmath>

#include "engine/base/monotone_cubic.h"

namespace steerbench::linkage {

template <class T>
std::optional<PlateState<T>> StateAt(const TurnPlate<T>& plate, T travel) {
  if (plate.travel.size() < 2 || plate.travel.size() != plate.steer.size()) return std::nullopt;
  if (FirstRowOutOfOrder<T>(plate.travel)) return std::nullopt;
  const auto point = PointAt<T>(FitMonotoneCubic<T>(plate.travel, plate.steer), travel);
  if (!point) return std::nullopt;
  return PlateState<T>{point->value, point->slope};
}

template <class T>
T EffectiveArm(T moved, T turned) {
  using std::sin;
  return moved / sin(turned);
}

#define STEERBENCH_INSTANTIATE(T)                                           \
  template std::optional<PlateState<T>> StateAt<T>(const TurnPlate<T>&, T); \
  template T EffectiveArm<T>(T, T)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::linkage
