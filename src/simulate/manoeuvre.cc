#include "simulate/manoeuvre.h"

#include <cmath>

namespace steerbench::simulate {
namespace {

// From 0 to 1 for s in 0..1, speed rising and falling evenly over a share `ease` at either end.
HandInput Rise(double s, double ease) {
  if (s <= 0.0) return {0.0, 0.0};
  if (s >= 1.0) return {1.0, 0.0};
  const double speed = 1.0 / (1.0 - ease);
  if (s < ease) return {speed * s * s / (2.0 * ease), speed * s / ease};
  if (s > 1.0 - ease) {
    const double left = 1.0 - s;
    return {1.0 - speed * left * left / (2.0 * ease), speed * left / ease};
  }
  return {speed * (s - ease / 2.0), speed};
}

HandInput Unit(Shape shape, double s) {
  switch (shape) {
    case Shape::kStep:
      return Rise(s, 0.5);
    case Shape::kRamp:
    case Shape::kLockImpact:
      return Rise(s, kEase);
    case Shape::kSine:
      return s <= 0.0 ? HandInput{}
                      : HandInput{std::sin(2.0 * M_PI * s), 2.0 * M_PI * std::cos(2.0 * M_PI * s)};
    case Shape::kParking: {
      const HandInput out = Rise(s, kEase);
      const HandInput back = Rise(s - 1.0 - kParkingHold, kEase);
      return {out.value - back.value, out.rate - back.rate};
    }
  }
  return {};
}

}  // namespace

HandInput InputAt(const Manoeuvre& m, double time) {
  const HandInput unit = Unit(m.shape, time / m.time);
  return {m.amplitude * unit.value, m.amplitude * unit.rate / m.time};
}

}  // namespace steerbench::simulate
