#include "engine/linkage/turn_plate.h"

#include <cmath>
#include <utility>

namespace steerbench::linkage {

template <class T>
std::optional<TurnPlate<T>> FitTurnPlate(std::vector<T> travel, std::vector<T> steer) {
  if (travel.size() < 2 || travel.size() != steer.size()) return std::nullopt;
  if (FirstRowOutOfOrder<T>(travel)) return std::nullopt;
  return TurnPlate<T>{FitMonotoneCubic<T>(std::move(travel), std::move(steer))};
}

template <class T>
std::optional<PlateState<T>> StateAt(const TurnPlate<T>& plate, T travel) {
  const auto point = PointAt<T>(plate.curve, travel);
  if (!point) return std::nullopt;
  return PlateState<T>{point->value, point->slope};
}

template <class T>
T EffectiveArm(T moved, T turned) {
  using std::sin;
  return moved / sin(turned);
}

#define STEERBENCH_INSTANTIATE(T)                                                       \
  template std::optional<TurnPlate<T>> FitTurnPlate<T>(std::vector<T>, std::vector<T>); \
  template std::optional<PlateState<T>> StateAt<T>(const TurnPlate<T>&, T);             \
  template T EffectiveArm<T>(T, T)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::linkage
