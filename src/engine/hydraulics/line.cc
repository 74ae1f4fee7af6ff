#include "engine/hydraulics/line.h"

#include <cmath>

#include "engine/base/outcome.h"

namespace steerbench::hydraulics {
namespace {

constexpr double kLaminarFactor = 64.0;  // f Re of a round pipe
constexpr int kMostSteps = 60;           // bisection alone would need about 50
constexpr double kFlowAccuracy = 1e-15;  // of the flow, relative

// f Re / 64 and its rate with Re.
template <class T>
struct Excess {
  T phi, slope;
};

template <class T>
Excess<T> Turbulent(const T& reynolds) {
  using std::sqrt;
  const T root = sqrt(reynolds);
  const T phi = (kBlasius / kLaminarFactor) * root * sqrt(root);  // Re^(3/4)
  return {phi, 0.75 * phi / reynolds};
}

template <class T>
Excess<T> ExcessAt(const T& reynolds) {
  if (Value(reynolds) <= kLaminarEnd) return {T(1.0), T(0.0)};
  const Excess<T> turbulent = Turbulent<T>(reynolds);
  if (Value(reynolds) >= kTurbulentStart) return turbulent;
  const double width = kTurbulentStart - kLaminarEnd;
  const T s = (reynolds - kLaminarEnd) / width;
  const T share = s * s * (3.0 - 2.0 * s);
  const T share_slope = 6.0 * s * (1.0 - s) / width;
  return {1.0 + share * (turbulent.phi - 1.0),
          share_slope * (turbulent.phi - 1.0) + share * turbulent.slope};
}

// Flow were the line laminar throughout: never less than the real one.
double LaminarFlow(const LineLaw<double>& law, double drop) {
  const double linear = law.laminar + law.linear;
  return 2.0 * drop / (linear + std::sqrt(linear * linear + 4.0 * law.square * drop));
}

// Flow at a drop above zero.
double FlowOf(const LineLaw<double>& law, double drop) {
  double most = LaminarFlow(law, drop);
  if (most * law.reynolds <= kLaminarEnd) return most;
  double least = 0.0;
  double flow = most;
  for (int i = 0; i < kMostSteps && most - least > kFlowAccuracy * most; ++i) {
    const DropPoint<double> at = DropAt<double>(law, flow);
    (at.drop > drop ? most : least) = flow;
    const double newton = flow - (at.drop - drop) / at.slope;
    const bool inside = newton > least && newton < most;
    const double next = inside ? newton : 0.5 * (least + most);
    if (std::abs(next - flow) <= kFlowAccuracy * most) return next;
    flow = next;
  }
  return flow;
}

}  // namespace

template <class T>
LineLaw<T> MakeLine(const Line<T>& line, const FluidState<T>& fluid) {
  LineLaw<T> law;
  const T bore2 = line.bore * line.bore;
  law.laminar = 128.0 * fluid.dynamic * line.length / (M_PI * bore2 * bore2);
  law.linear = line.resistance * fluid.dynamic;
  const T area = bore2 * (M_PI / 4.0);
  law.square = line.bends * fluid.density / (2.0 * area * area);
  law.reynolds = 4.0 / (M_PI * line.bore * fluid.kinematic);
  return law;
}

template <class T>
T FrictionFactor(const T& reynolds) {
  return kLaminarFactor * ExcessAt<T>(reynolds).phi / reynolds;
}

template <class T>
DropPoint<T> DropAt(const LineLaw<T>& law, const T& flow) {
  using std::abs;
  const T size = abs(flow);
  const Excess<T> excess = ExcessAt<T>(size * law.reynolds);
  return {(law.laminar * excess.phi + law.linear + law.square * size) * flow,
          law.laminar * (excess.phi + excess.slope * law.reynolds * size) + law.linear +
              2.0 * law.square * size};
}

template <>
FlowPoint<double> FlowThrough(const LineLaw<double>& law, const double& drop) {
  const double size = FlowOf(law, std::abs(drop));
  return {std::copysign(size, drop), 1.0 / DropAt<double>(law, size).slope};
}

template <>
FlowPoint<Jet> FlowThrough(const LineLaw<Jet>& law, const Jet& drop) {
  const LineLaw<double> plain = {law.laminar.a, law.linear.a, law.square.a, law.reynolds.a};
  const double flow = FlowThrough<double>(plain, drop.a).flow;
  // One Newton step with derivatives at the solution: the implicit function theorem.
  const DropPoint<Jet> at = DropAt<Jet>(law, Jet(flow));
  return {flow - (at.drop - drop) / at.slope.a, Jet(1.0 / at.slope.a)};
}

template <class T>
bool HasLoss(const Line<T>& line) {
  return Value(line.length) > 0.0 || Value(line.resistance) > 0.0;
}

template <class T>
bool IsSound(const Line<T>& line) {
  if (!IsNotNegative(line.length, line.bends, line.resistance)) return false;
  return !HasLoss(line) || IsPositive(line.bore);
}

#define STEERBENCH_INSTANTIATE(T)                                        \
  template LineLaw<T> MakeLine<T>(const Line<T>&, const FluidState<T>&); \
  template T FrictionFactor<T>(const T&);                                \
  template DropPoint<T> DropAt<T>(const LineLaw<T>&, const T&);          \
  template bool HasLoss<T>(const Line<T>&);                              \
  template bool IsSound<T>(const Line<T>&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::hydraulics
