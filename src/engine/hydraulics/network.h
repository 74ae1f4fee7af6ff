// A network of passages between places of one pressure each, and its one solution.
#pragma once

#include <Eigen/Core>
#include <array>

#include "engine/hydraulics/line.h"
#include "engine/hydraulics/marks.h"
#include "engine/hydraulics/pump.h"

namespace steerbench::hydraulics {

inline constexpr int kMostNodes = 16;
inline constexpr int kReservoir = -1;  // the node held at zero gauge pressure

// A vector with an entry per node, without heap.
template <class T>
using NodeVector = Eigen::Matrix<T, Eigen::Dynamic, 1, 0, kMostNodes, 1>;
using NodeMatrix =
    Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor, kMostNodes, kMostNodes>;

// A list of at most N, without heap.
template <class Item, int N>
struct FewOf {
  std::array<Item, N> items{};
  int count = 0;

  int Add(const Item& item) {
    items[static_cast<std::size_t>(count)] = item;
    return count++;
  }
  Item& operator[](int i) { return items[static_cast<std::size_t>(i)]; }
  const Item& operator[](int i) const { return items[static_cast<std::size_t>(i)]; }
  auto begin() { return items.begin(); }
  auto end() { return items.begin() + count; }
  auto begin() const { return items.begin(); }
  auto end() const { return items.begin() + count; }
};

// A passage by which oil flows from one node to another, positive that way.
template <class Law>
struct Passage {
  int from = kReservoir, to = kReservoir;
  Law law{};
};

// The gas that fills a chamber drawn empty: a check that opens at `cracking` [Pa].
template <class T>
struct CheckLaw {
  T cracking{};
};
// An open check is as good as a hole: 10 L/min for a hundredth of a bar.
inline constexpr double kCheckSlope = 1.7e-7;  // [m^3/(s Pa)]
inline constexpr double kCheckCorner = 1e3;    // rounding of its opening [Pa]

// Every passage's flow rises with the pressure across it and the pump's delivery falls with its
// pressure, so the pressures are the minimum of a convex function (co-content: the sum over the
// passages of the integral of flow over pressure): there is one solution and no other.
// Source: Duffin, Bull. Amer. Math. Soc. 53 (1947) 963-971; Birkhoff & Diaz, Quart. Appl. Math. 13
// (1956) 431-443 (both from memory); for pipe networks Elhay, Piller, Deuerlein & Simpson, J. Water
// Resour. Plann. Manage. (2015).
template <class T>
struct Network {
  int nodes = 0;
  FewOf<Passage<OrificeLaw<T>>, 24> orifices;
  FewOf<Passage<LineLaw<T>>, 6> lines;
  FewOf<Passage<CheckLaw<T>>, 4> checks;
  PumpLaw<T> pump;
  int pump_node = 0;
  NodeVector<T> injected;  // flow pushed in from outside, as by a moving piston [m^3/s]
};

// Pressure of a node, of the reservoir too [Pa].
template <class T>
[[nodiscard]] T PressureAt(const NodeVector<T>& pressure, int node) {
  return node == kReservoir ? T(0.0) : pressure[node];
}

// Flow through a check, positive from its `from` to its `to` [m^3/s].
template <class T>
[[nodiscard]] FlowPoint<T> FlowThrough(const CheckLaw<T>& law, const T& drop);

// Surplus of flow leaving each node over flow entering it [m^3/s], zero at the solution.
template <class T>
[[nodiscard]] NodeVector<T> Surplus(const Network<T>& network, const NodeVector<T>& pressure);

// The same with its derivatives to the pressures, which are symmetric and positive definite but for
// nodes that everything is shut to.
struct NodalState {
  NodeVector<double> surplus;
  NodeMatrix slope;
};
void Evaluate(const Network<double>& network, const NodeVector<double>& pressure,
              NodalState& state);

// Cholesky's factors of the slopes, for any number of right sides, with a diagonal added so small
// that it matters only to nodes that everything is shut to.
class NodalFactors {
 public:
  explicit NodalFactors(const NodeMatrix& slope);
  // x of slope x = right.
  [[nodiscard]] NodeVector<double> Solve(const NodeVector<double>& right) const;

 private:
  NodeMatrix low_;  // its diagonal inverted
};
inline constexpr double kIsolated = 1e-22;  // [m^3/(s Pa)] a leak of a drop in ten years

[[nodiscard]] inline double Largest(const NodeVector<double>& v) {
  return v.lpNorm<Eigen::Infinity>();
}

// Where the flow in a line is one that its model is not good for.
template <class T>
[[nodiscard]] Marks DoubtsOfLines(const Network<T>& network, const NodeVector<T>& pressure);

struct NetworkSolve {
  bool solved = false;
  double residual = 0.0;  // largest surplus [m^3/s]
  int iterations = 0;
};

// Surplus below which a network counts as solved [m^3/s]: 6e-7 L/min.
inline constexpr double kFlowTolerance = 1e-11;

// Pressure past which no circuit holds and rounding spoils flows [Pa].
inline constexpr double kHighest = 1e9;

// Surplus that a solve aims at [m^3/s]: what rounding leaves.
inline constexpr double kFlowAim = 1e-14;

// Newton's method from the given pressures until the surplus is `aim`, with a line search on the
// convex co-content by its slope along the step, so that it reaches the one solution from anywhere.
// `pressure` holds the solution afterwards, or the last try; `state` its surplus and slopes.
NetworkSolve SolveNetwork(const Network<double>& network, NodeVector<double>& pressure,
                          NodalState& state, double aim = kFlowAim);

}  // namespace steerbench::hydraulics
