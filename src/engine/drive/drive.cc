#include "engine/drive/drive.h"

namespace steerbench::drive {

template <class T>
T SpeedRatio(const PulleyPair<T>& pulleys) {
  const T twice = 2.0 * pulleys.line_differential;
  return (pulleys.crank + twice) / (pulleys.pump + twice);
}

template <class T>
T PumpSpeed(const PulleyPair<T>& pulleys, const T& engine_speed) {
  return engine_speed * SpeedRatio(pulleys);
}

template <class T>
T EngineSpeed(const PulleyPair<T>& pulleys, const T& pump_speed) {
  return pump_speed / SpeedRatio(pulleys);
}

#define STEERBENCH_INSTANTIATE(T)                          \
  template T SpeedRatio<T>(const PulleyPair<T>&);          \
  template T PumpSpeed<T>(const PulleyPair<T>&, const T&); \
  template T EngineSpeed<T>(const PulleyPair<T>&, const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::drive
