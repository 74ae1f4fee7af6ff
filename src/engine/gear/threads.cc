#include "engine/gear/threads.h"

#include <cmath>
#include <numbers>

namespace steerbench::gear {
namespace {

using std::numbers::inv_sqrt3;
using std::numbers::pi;
using std::numbers::sqrt3;

// Height of the sharp triangle on which a 60 degree thread is built, per pitch.
constexpr double kTriangle = sqrt3 / 2.0;

}  // namespace

template <class T>
T InnerEngagement(const T& engaged, const T& spacer) {
  return engaged - spacer;
}

template <class T>
T OuterEngagement(const T& engaged_at_shortest, const T& shortest, const T& length) {
  return engaged_at_shortest - (length - shortest);
}

template <class T>
T EngagedDiameters(const T& engaged, const T& diameter) {
  return engaged / diameter;
}

template <class T>
ThreadPair<T> MetricThread(const T& diameter, const T& pitch) {
  const T height = kTriangle * pitch;
  const T pitch_diameter = diameter - 3.0 / 4.0 * height;
  const T minor_diameter = diameter - 5.0 / 4.0 * height;
  // The stress area is a circle midway between pitch diameter and root, a sixth of the triangle
  // below the basic minor diameter.
  const T stress_diameter = (pitch_diameter + minor_diameter - height / 6.0) / 2.0;
  return {pitch, pi / 4.0 * stress_diameter * stress_diameter, minor_diameter, pitch_diameter};
}

template <class T>
T StrengthEngagement(const ThreadPair<T>& thread) {
  const T sheared_per_length =
      pi * thread.minor_diameter *
      (0.5 + inv_sqrt3 * (thread.pitch_diameter - thread.minor_diameter) / thread.pitch);
  return 2.0 * thread.stress_area / sheared_per_length;
}

template <class T>
T SpacerTravelGain(const T& thickness, Striker striker) {
  return striker == Striker::kInnerJoint ? thickness : T(0.0);
}

#define STEERBENCH_INSTANTIATE(T)                              \
  template T InnerEngagement<T>(const T&, const T&);           \
  template T OuterEngagement<T>(const T&, const T&, const T&); \
  template T EngagedDiameters<T>(const T&, const T&);          \
  template ThreadPair<T> MetricThread<T>(const T&, const T&);  \
  template T StrengthEngagement<T>(const ThreadPair<T>&);      \
  template T SpacerTravelGain<T>(const T&, Striker)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::gear
