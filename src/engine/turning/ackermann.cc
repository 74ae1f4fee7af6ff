#include "engine/turning/ackermann.h"

#include <cmath>

namespace steerbench::turning {
namespace {

// Angle whose cotangent is that of `angle` plus `shift`; odd in the angle.
template <class T>
T ShiftCotangent(const T& angle, const T& shift) {
  using std::atan2, std::cos, std::sin;
  const double side = Value(angle) < 0.0 ? -1.0 : 1.0;
  const T size = side * angle;
  return side * atan2(sin(size), cos(size) + shift * sin(size));
}

template <class T>
T Cotangent(const T& angle) {
  using std::cos, std::sin;
  return cos(angle) / sin(angle);
}

// Both angles as sizes, told apart by the side of the turn.
template <class T>
struct Pair {
  T inner, outer;
};

// Unset unless both wheels are turned to the same side.
template <class T>
std::optional<Pair<T>> PairOf(const WheelAngles<T>& angles) {
  if (Value(angles.left) > 0.0 && Value(angles.right) > 0.0) {
    return Pair<T>{angles.left, angles.right};
  }
  if (Value(angles.left) < 0.0 && Value(angles.right) < 0.0) {
    return Pair<T>{-angles.right, -angles.left};
  }
  return std::nullopt;
}

template <class T>
T IdealDifferenceAtMeanCotangent(const Layout<T>& layout, const Pair<T>& pair) {
  using std::atan2;
  const T mean = (Cotangent(pair.inner) + Cotangent(pair.outer)) / 2.0;
  const T half = layout.spacing / layout.wheelbase / 2.0;
  return atan2(T(1.0), T(mean - half)) - atan2(T(1.0), T(mean + half));
}

}  // namespace

template <class T>
T IdealOuter(const Layout<T>& layout, const T& inner) {
  return ShiftCotangent(inner, T(layout.spacing / layout.wheelbase));
}

template <class T>
T IdealInner(const Layout<T>& layout, const T& outer) {
  return ShiftCotangent(outer, T(-layout.spacing / layout.wheelbase));
}

std::string_view NameOf(AckermannBasis basis) {
  switch (basis) {
    case AckermannBasis::kSameInner:
      return "against the same inner angle";
    case AckermannBasis::kSameOuter:
      return "against the same outer angle";
    case AckermannBasis::kCotangents:
      return "by the cotangents of the angles";
    case AckermannBasis::kSameMeanRadius:
      return "against the same mean radius";
  }
  return {};
}

template <class T>
std::optional<T> AckermannShare(AckermannBasis basis, const Layout<T>& layout,
                                const WheelAngles<T>& angles) {
  const auto pair = PairOf(angles);
  if (!pair || Value(pair->inner) + Value(pair->outer) < 2.0 * kLeastAckermannSteer) {
    return std::nullopt;
  }
  const T difference = pair->inner - pair->outer;
  switch (basis) {
    case AckermannBasis::kSameInner:
      return difference / (pair->inner - IdealOuter(layout, pair->inner));
    case AckermannBasis::kSameOuter:
      return difference / (IdealInner(layout, pair->outer) - pair->outer);
    case AckermannBasis::kCotangents:
      return (Cotangent(pair->outer) - Cotangent(pair->inner)) * layout.wheelbase / layout.spacing;
    case AckermannBasis::kSameMeanRadius:
      return difference / IdealDifferenceAtMeanCotangent(layout, *pair);
  }
  return std::nullopt;
}

template <class T>
std::optional<T> SteeringError(const Layout<T>& layout, const WheelAngles<T>& angles) {
  const auto pair = PairOf(angles);
  if (!pair) return std::nullopt;
  return pair->outer - IdealOuter(layout, pair->inner);
}

template <class T>
std::optional<T> NormalsCrossing(const Layout<T>& layout, const WheelAngles<T>& angles) {
  const auto pair = PairOf(angles);
  if (!pair) return std::nullopt;
  const T difference = Cotangent(pair->outer) - Cotangent(pair->inner);
  if (Value(difference) == 0.0) return std::nullopt;
  return layout.spacing / difference;
}

#define STEERBENCH_INSTANTIATE(T)                                                      \
  template T IdealOuter<T>(const Layout<T>&, const T&);                                \
  template T IdealInner<T>(const Layout<T>&, const T&);                                \
  template std::optional<T> AckermannShare<T>(AckermannBasis, const Layout<T>&,        \
                                              const WheelAngles<T>&);                  \
  template std::optional<T> SteeringError<T>(const Layout<T>&, const WheelAngles<T>&); \
  template std::optional<T> NormalsCrossing<T>(const Layout<T>&, const WheelAngles<T>&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::turning
