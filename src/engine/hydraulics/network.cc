#include "engine/hydraulics/network.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/hydraulics/smooth.h"

namespace steerbench::hydraulics {
namespace {

constexpr int kMostNewton = 200;
constexpr int kMostSearch = 60;
constexpr double kOvershoot = 0.9;     // share of the first slope above which a step is searched
constexpr double kSearchShare = 0.2;   // and share at which the search may end
constexpr double kLeastPivot = 1e-15;  // of the diagonal entry
constexpr double kNoStep = 4e-16;      // of the pressures, below which a step changes nothing
constexpr double kLongestStep = 1e9;   // [Pa] before the search: flat places suggest absurd steps
constexpr double kRunaway = 1e11;      // [Pa]

// Calls `visit(from, to, flow point)` for every passage.
template <class T, class Visit>
void ForEachFlow(const Network<T>& network, const NodeVector<T>& pressure, Visit&& visit) {
  const auto all = [&](const auto& passages) {
    for (const auto& p : passages) {
      const T drop = PressureAt(pressure, p.from) - PressureAt(pressure, p.to);
      visit(p.from, p.to, FlowThrough<T>(p.law, drop));
    }
  };
  all(network.orifices);
  all(network.lines);
  all(network.checks);
}

// One step of the search along `step`: where the slope of the co-content is near zero.
struct Search {
  const Network<double>& network;
  const NodeVector<double>& start;
  const NodeVector<double>& step;
  NodalState& state;
  NodeVector<double>& pressure;
  double aim;

  double SlopeAt(double share) {
    pressure = start + share * step;
    Evaluate(network, pressure, state);
    return state.surplus.dot(step);
  }

  // From the whole step; `first` is the slope at its start, below zero.
  void Run(double first) {
    double low = 0.0, low_slope = first;
    double high = 1.0, high_slope = SlopeAt(high);
    const auto good = [&](double slope) {
      return std::abs(slope) <= kSearchShare * -first || Largest(state.surplus) < aim;
    };
    if (std::abs(high_slope) <= kOvershoot * -first) return;
    for (int i = 0; i < kMostSearch && high_slope < 0.0; ++i) {  // too short: go on
      low = high;
      low_slope = high_slope;
      high *= 2.0;
      high_slope = SlopeAt(high);
      if (good(high_slope)) return;
    }
    for (int i = 0; i < kMostSearch; ++i) {  // bracketed: secant and middle in turn
      const double secant = low - low_slope * (high - low) / (high_slope - low_slope);
      const double share = i % 2 == 0 && std::isfinite(secant) ? secant : 0.5 * (low + high);
      const double slope = SlopeAt(share);
      if (good(slope)) return;
      (slope < 0.0 ? low : high) = share;
      (slope < 0.0 ? low_slope : high_slope) = slope;
    }
  }
};

}  // namespace

template <class T>
FlowPoint<T> FlowThrough(const CheckLaw<T>& law, const T& drop) {
  const T over = drop - law.cracking;
  return {kCheckSlope * SoftPositive<T>(over, T(kCheckCorner)),
          T(kCheckSlope * SoftPositiveSlope(Value(over), kCheckCorner))};
}

template <class T>
Marks DoubtsOfLines(const Network<T>& network, const NodeVector<T>& pressure) {
  Marks marks;
  for (const Passage<LineLaw<T>>& line : network.lines) {
    const T drop = PressureAt(pressure, line.from) - PressureAt(pressure, line.to);
    const double reynolds =
        std::abs(Value(FlowThrough<T>(line.law, drop).flow)) * Value(line.law.reynolds);
    marks.Set(Mark::kTransition, reynolds > kLaminarEnd && reynolds < kTurbulentStart);
    marks.Set(Mark::kBeyondBlasius, reynolds > kBlasiusEnd);
  }
  return marks;
}

template <class T>
NodeVector<T> Surplus(const Network<T>& network, const NodeVector<T>& pressure) {
  NodeVector<T> surplus = -network.injected;
  ForEachFlow(network, pressure, [&](int from, int to, const FlowPoint<T>& at) {
    if (from != kReservoir) surplus[from] += at.flow;
    if (to != kReservoir) surplus[to] -= at.flow;
  });
  surplus[network.pump_node] -= Delivered<T>(network.pump, pressure[network.pump_node]).flow;
  return surplus;
}

void Evaluate(const Network<double>& network, const NodeVector<double>& pressure,
              NodalState& state) {
  state.surplus = -network.injected;
  state.slope.setZero(network.nodes, network.nodes);
  ForEachFlow(network, pressure, [&](int from, int to, const FlowPoint<double>& at) {
    if (from != kReservoir) {
      state.surplus[from] += at.flow;
      state.slope(from, from) += at.slope;
    }
    if (to != kReservoir) {
      state.surplus[to] -= at.flow;
      state.slope(to, to) += at.slope;
    }
    if (from != kReservoir && to != kReservoir) {
      state.slope(from, to) -= at.slope;
      state.slope(to, from) -= at.slope;
    }
  });
  const int n = network.pump_node;
  const FlowPoint<double> pump = Delivered<double>(network.pump, pressure[n]);
  state.surplus[n] -= pump.flow;
  state.slope(n, n) -= pump.slope;
}

// Own code: for these few nodes it takes a third of the time of a general routine, and most of a
// solve is spent here.
NodalFactors::NodalFactors(const NodeMatrix& slope) : low_(slope) {
  const int n = static_cast<int>(low_.rows());
  for (int j = 0; j < n; ++j) {
    double pivot = low_(j, j) + kIsolated;
    const double least = kLeastPivot * pivot;  // rounding alone can push a pivot to zero or below
    for (int k = 0; k < j; ++k) pivot -= low_(j, k) * low_(j, k);
    pivot = std::max(pivot, least);
    const double inverse = 1.0 / std::sqrt(pivot);
    low_(j, j) = inverse;
    for (int i = j + 1; i < n; ++i) {
      double sum = low_(i, j);
      for (int k = 0; k < j; ++k) sum -= low_(i, k) * low_(j, k);
      low_(i, j) = sum * inverse;
    }
  }
}

NodeVector<double> NodalFactors::Solve(const NodeVector<double>& right) const {
  const int n = static_cast<int>(right.size());
  NodeVector<double> x = right;
  for (int j = 0; j < n; ++j) {
    for (int k = 0; k < j; ++k) x[j] -= low_(j, k) * x[k];
    x[j] *= low_(j, j);
  }
  for (int j = n - 1; j >= 0; --j) {
    for (int i = j + 1; i < n; ++i) x[j] -= low_(i, j) * x[i];
    x[j] *= low_(j, j);
  }
  return x;
}

NetworkSolve SolveNetwork(const Network<double>& network, NodeVector<double>& pressure,
                          NodalState& state, double aim) {
  NetworkSolve solve;
  Evaluate(network, pressure, state);
  NodeVector<double> start, step;
  solve.residual = Largest(state.surplus);
  for (; solve.iterations < kMostNewton && solve.residual > aim; ++solve.iterations) {
    step = NodalFactors(state.slope).Solve(-state.surplus);
    const double first = state.surplus.dot(step);
    if (!(first < 0.0) || !step.allFinite()) break;
    if (Largest(step) < kNoStep * Largest(pressure)) break;
    const double shorten = std::min(1.0, kLongestStep / Largest(step));
    step *= shorten;
    start = pressure;
    Search{network, start, step, state, pressure, aim}.Run(shorten * first);
    const double residual = Largest(state.surplus);
    // Rounding alone is left once a solved network gets no better.
    if (solve.residual < kFlowTolerance && !(residual < solve.residual)) {
      pressure = start;
      Evaluate(network, pressure, state);
      break;
    }
    if (!std::isfinite(residual) || Largest(pressure) > kRunaway) {
      solve.residual = std::numeric_limits<double>::infinity();
      break;
    }
    solve.residual = residual;
  }
  solve.solved = solve.residual < kFlowTolerance;
  return solve;
}

template NodeVector<double> Surplus(const Network<double>&, const NodeVector<double>&);
template NodeVector<Jet> Surplus(const Network<Jet>&, const NodeVector<Jet>&);
template Marks DoubtsOfLines(const Network<double>&, const NodeVector<double>&);
template Marks DoubtsOfLines(const Network<Jet>&, const NodeVector<Jet>&);
template FlowPoint<double> FlowThrough(const CheckLaw<double>&, const double&);
template FlowPoint<Jet> FlowThrough(const CheckLaw<Jet>&, const Jet&);

}  // namespace steerbench::hydraulics
