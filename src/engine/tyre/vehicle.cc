#include "engine/tyre/vehicle.h"

#include <algorithm>
#include <cmath>

namespace steerbench::tyre {
namespace {

// Share of an axle's grip from which on it counts as sliding: the slip is then too badly known.
constexpr double kAllGrip = 1.0 - 1e-9;
constexpr int kMostSteps = 60;       // bisection alone reaches the last bit in about 55
constexpr double kLastBits = 1e-15;  // of the force, which rounding makes

template <class T>
T Grip(const Brush<T>& t) {
  return t.friction * t.load;
}

// Magnitude of the side force at x = |tan slip|.
template <class T>
T ForceAt(const Brush<T>& t, const T& x) {
  const T y = t.cornering_stiffness * x / (3.0 * Grip(t));
  if (Value(y) >= 1.0) return Grip(t);
  return Grip(t) * y * (3.0 - 3.0 * y + y * y);
}

double SlopeAt(const Brush<double>& t, double x) {
  const double y = t.cornering_stiffness * x / (3.0 * Grip(t));
  return y >= 1.0 ? 0.0 : t.cornering_stiffness * (1.0 - y) * (1.0 - y);
}

template <class T>
Brush<double> Plain(const Brush<T>& t) {
  return {Value(t.cornering_stiffness), Value(t.half_length), Value(t.load), Value(t.friction)};
}

// |tan slip| at which the two tyres give `force` together; Newton's method kept inside a bracket.
// The sum rises and bends down, so the bracket always holds the one root.
double SlopeOfSlip(const Brush<double>& left, const Brush<double>& right, double force) {
  double low = 0.0;
  double high = 3.0 * std::max(Grip(left) / left.cornering_stiffness,
                               Grip(right) / right.cornering_stiffness);
  // Both as one tyre, whose slip is closed form: two that are alike are there at once.
  const double grip = Grip(left) + Grip(right);
  const double stiffness = left.cornering_stiffness + right.cornering_stiffness;
  double x = std::min(high, 3.0 * grip / stiffness * (1.0 - std::cbrt(1.0 - force / grip)));
  for (int i = 0; i < kMostSteps; ++i) {
    const double error = ForceAt(left, x) + ForceAt(right, x) - force;
    if (std::abs(error) <= kLastBits * force) break;
    (error > 0.0 ? high : low) = x;
    const double slope = SlopeAt(left, x) + SlopeAt(right, x);
    double next = x - error / slope;
    if (!(next > low && next < high)) next = (low + high) / 2.0;
    if (next == x) break;
    x = next;
  }
  return x;
}

template <class T>
struct Axle {
  T slip{};  // ISO sign
  T used{};
  WheelForce<T> left, right;
};

// One axle that must give `force`; `slides` when it cannot.
template <class T>
Outcome<Axle<T>, Problem> SolveAxle(const AxleTyre<T>& tyre, const WheelLoads<T>& loads,
                                    const T& force, Problem slides) {
  using std::atan;
  const Brush<T> left = AtLoad(tyre, loads.left), right = AtLoad(tyre, loads.right);
  const double side = Value(force) < 0.0 ? -1.0 : 1.0;
  Axle<T> axle;
  axle.used = side * force / (Grip(left) + Grip(right));
  if (!(Value(axle.used) < kAllGrip)) return slides;
  const Brush<double> plain_left = Plain(left), plain_right = Plain(right);
  const double x = SlopeOfSlip(plain_left, plain_right, side * Value(force));
  // One Newton step in T at the root carries the derivatives over (implicit function theorem).
  const double slope = SlopeAt(plain_left, x) + SlopeAt(plain_right, x);
  const T error = ForceAt<T>(left, T(x)) + ForceAt<T>(right, T(x)) - side * force;
  axle.slip = -side * atan(x - error / slope);
  const auto on_left = ForceAtSlip(left, axle.slip), on_right = ForceAtSlip(right, axle.slip);
  if (!on_left) return on_left.why();
  if (!on_right) return on_right.why();
  axle.left = {loads.left, *on_left};
  axle.right = {loads.right, *on_right};
  return axle;
}

template <class T>
std::optional<Problem> WrongTyre(const AxleTyre<T>& t) {
  if (!IsPositive(t.cornering_stiffness)) return Problem::kNoStiffness;
  if (!IsPositive(t.half_length)) return Problem::kNoLength;
  if (!IsPositive(t.friction)) return Problem::kNoFriction;
  if (!IsPositive(t.reference_load)) return Problem::kNoLoad;
  if (!IsFinite(t.stiffness_exponent)) return Problem::kNotFinite;
  return std::nullopt;
}

template <class T>
std::optional<Problem> WrongCar(const RoadCar<T>& car) {
  if (!IsPositive(car.loads.front, car.loads.rear)) return Problem::kNoLoad;
  if (!IsPositive(car.wheelbase)) return Problem::kNoWheelbase;
  if (const auto wrong = WrongTyre(car.front)) return wrong;
  return WrongTyre(car.rear);
}

template <class T>
Outcome<CarLoads<T>, Problem> LoadsOf(const RoadCar<T>& car, const T& ay) {
  if (car.transfer) return LoadsInBend(car.loads, *car.transfer, ay);
  const auto half = [](const T& axle) { return WheelLoads<T>{axle / 2.0, axle / 2.0}; };
  return CarLoads<T>{half(car.loads.front), half(car.loads.rear)};
}

}  // namespace

template <class T>
Outcome<Handling<T>, Problem> HandlingOf(const TwoWheel<T>& car) {
  using std::sqrt;
  if (!IsPositive(car.mass)) return Problem::kNoMass;
  if (!IsPositive(car.wheelbase)) return Problem::kNoWheelbase;
  const T to_rear = car.wheelbase - car.cg_to_front;
  if (!IsPositive(car.cg_to_front, to_rear)) return Problem::kCgOutside;
  if (!IsPositive(car.front_stiffness, car.rear_stiffness)) return Problem::kNoStiffness;
  Handling<T> h;
  h.understeer = car.mass / car.wheelbase *
                 (to_rear / car.front_stiffness - car.cg_to_front / car.rear_stiffness);
  if (!IsFinite(h.understeer)) return Problem::kNotFinite;
  if (Value(h.understeer) > 0.0) h.characteristic_speed = sqrt(car.wheelbase / h.understeer);
  if (Value(h.understeer) < 0.0) h.critical_speed = sqrt(-car.wheelbase / h.understeer);
  return h;
}

template <class T>
Brush<T> AtLoad(const AxleTyre<T>& tyre, const T& load) {
  using std::pow;
  const T ratio = load / tyre.reference_load;
  return {tyre.cornering_stiffness * pow(ratio, tyre.stiffness_exponent), tyre.half_length * ratio,
          load, tyre.friction};
}

template <class T>
Outcome<Bend<T>, Problem> SteadyBend(const RoadCar<T>& car, const T& ay) {
  if (const auto wrong = WrongCar(car)) return *wrong;
  if (!IsFinite(ay)) return Problem::kNotFinite;
  const auto loads = LoadsOf(car, ay);
  if (!loads) return loads.why();
  const auto front =
      SolveAxle<T>(car.front, loads->front, car.loads.front * ay / kGravity, Problem::kFrontSlides);
  if (!front) return front.why();
  const auto rear =
      SolveAxle<T>(car.rear, loads->rear, car.loads.rear * ay / kGravity, Problem::kRearSlides);
  if (!rear) return rear.why();
  Bend<T> b;
  b.front_slip = front->slip;
  b.rear_slip = rear->slip;
  b.front_used = front->used;
  b.rear_used = rear->used;
  b.front_left = front->left;
  b.front_right = front->right;
  b.rear_left = rear->left;
  b.rear_right = rear->right;
  if (!IsFinite(b.front_slip, b.rear_slip)) return Problem::kNotFinite;
  return b;
}

template <class T>
Outcome<T, Problem> SteerInBend(const Bend<T>& bend, const T& wheelbase, const T& speed,
                                const T& ay) {
  if (!IsPositive(wheelbase)) return Problem::kNoWheelbase;
  if (!IsPositive(speed)) return Problem::kNoSpeed;
  const T steer = wheelbase * ay / (speed * speed) + bend.rear_slip - bend.front_slip;
  if (!IsFinite(steer)) return Problem::kNotFinite;
  return steer;
}

#define STEERBENCH_INSTANTIATE(T)                                             \
  template Outcome<Handling<T>, Problem> HandlingOf(const TwoWheel<T>&);      \
  template Brush<T> AtLoad(const AxleTyre<T>&, const T&);                     \
  template Outcome<Bend<T>, Problem> SteadyBend(const RoadCar<T>&, const T&); \
  template Outcome<T, Problem> SteerInBend(const Bend<T>&, const T&, const T&, const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::tyre
