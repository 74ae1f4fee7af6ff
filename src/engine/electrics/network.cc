#include "engine/electrics/network.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <concepts>
#include <numeric>

namespace steerbench::electrics {
namespace {

template <class T>
using Matrix = Eigen::Matrix<T, Eigen::Dynamic, Eigen::Dynamic>;
template <class T>
using Vector = Eigen::Matrix<T, Eigen::Dynamic, 1>;

constexpr int kModes = 3;
// Slack of the check that a mode agrees with its solution, relative to the driver's own numbers.
constexpr double kAgree = 1e-9;

template <class T>
bool IsNode(const Network<T>& n, int node) {
  return node >= 0 && node < n.nodes;
}

template <class T>
std::optional<Fault> WrongParts(const Network<T>& n) {
  if (n.drivers.size() > static_cast<std::size_t>(kMostDrivers))
    return Fault{Problem::kTooManyDrivers};
  for (int i = 0; i < static_cast<int>(n.resistors.size()); ++i) {
    const Resistor<T>& r = n.resistors[i];
    if (!IsNode(n, r.from) || !IsNode(n, r.to)) return Fault{Problem::kNoSuchNode, i};
    if (!IsPositive(r.resistance)) return Fault{Problem::kResistance, i};
  }
  for (int i = 0; i < static_cast<int>(n.drivers.size()); ++i) {
    const Driver<T>& d = n.drivers[i];
    if (!IsNode(n, d.from) || !IsNode(n, d.to)) return Fault{Problem::kNoSuchNode, i};
    if (!IsNotNegative(d.voltage)) return Fault{Problem::kVoltage, i};
    if (!IsNotNegative(d.resistance)) return Fault{Problem::kResistance, i};
    if (d.limit && !IsPositive(*d.limit)) return Fault{Problem::kLimit, i};
  }
  return std::nullopt;
}

// For each node the number of the connected part that it belongs to; resistors connect, and
// drivers when asked.
template <class T>
std::vector<int> PartsOf(const Network<T>& n, bool through_drivers) {
  std::vector<int> part(n.nodes);
  std::iota(part.begin(), part.end(), 0);
  const auto join = [&part](int a, int b) {
    const int old = part[b], now = part[a];
    std::replace(part.begin(), part.end(), old, now);
  };
  for (const Resistor<T>& r : n.resistors) join(r.from, r.to);
  if (through_drivers) {
    for (const Driver<T>& d : n.drivers) join(d.from, d.to);
  }
  return part;
}

template <class T>
struct Equations {
  Matrix<T> a;
  Vector<T> b;
};

// Kirchhoff's current law at each node but ground, then one row for each driver in its mode. The
// unknowns are the voltages of nodes 1.., then the drivers' currents.
template <class T>
Equations<T> Assemble(const Network<T>& n, const std::vector<Mode>& modes) {
  const int free = n.nodes - 1, size = free + static_cast<int>(n.drivers.size());
  Equations<T> e{Matrix<T>::Constant(size, size, T(0.0)), Vector<T>::Constant(size, T(0.0))};
  const auto add = [&e](int row, int column, const T& x) {
    if (row >= 0 && column >= 0) e.a(row, column) += x;
  };
  for (const Resistor<T>& r : n.resistors) {
    const T conductance = 1.0 / r.resistance;
    add(r.from - 1, r.from - 1, conductance);
    add(r.to - 1, r.to - 1, conductance);
    add(r.from - 1, r.to - 1, -conductance);
    add(r.to - 1, r.from - 1, -conductance);
  }
  for (std::size_t k = 0; k < n.drivers.size(); ++k) {
    const Driver<T>& d = n.drivers[k];
    const int row = free + static_cast<int>(k);
    add(d.to - 1, row, T(-1.0));
    add(d.from - 1, row, T(1.0));
    if (modes[k] == Mode::kVoltage) {
      add(row, d.to - 1, T(1.0));
      add(row, d.from - 1, T(-1.0));
      add(row, row, d.resistance);
      e.b[row] = d.voltage;
    } else {
      add(row, row, T(1.0));
      if (modes[k] == Mode::kLimited) e.b[row] = *d.limit;
    }
  }
  return e;
}

template <class T>
State<T> StateFrom(const Network<T>& n, const Vector<T>& x, const std::vector<Mode>& modes) {
  State<T> s;
  s.mode = modes;
  s.voltage.reserve(static_cast<std::size_t>(n.nodes));
  s.resistor_current.reserve(n.resistors.size());
  s.driver_current.reserve(n.drivers.size());
  s.voltage.push_back(T(0.0));
  for (int i = 0; i < n.nodes - 1; ++i) s.voltage.push_back(x[i]);
  for (const Resistor<T>& r : n.resistors)
    s.resistor_current.push_back((s.voltage[r.from] - s.voltage[r.to]) / r.resistance);
  for (std::size_t k = 0; k < n.drivers.size(); ++k)
    s.driver_current.push_back(x[n.nodes - 1 + static_cast<int>(k)]);
  return s;
}

// Whether a driver's mode agrees with what it was found to give.
bool Agrees(const Driver<double>& d, Mode mode, double current, double across) {
  const double volts = kAgree * (1.0 + d.voltage);
  switch (mode) {
    case Mode::kVoltage:
      return current >= -kAgree * (1.0 + std::abs(across)) &&
             (!d.limit || current <= *d.limit * (1.0 + kAgree));
    case Mode::kLimited:
      return across <= d.voltage - d.resistance * current + volts;
    case Mode::kBlocked:
      return across >= d.voltage - volts;
  }
  return false;
}

template <class T>
Network<double> Plain(const Network<T>& n) {
  Network<double> plain;
  plain.nodes = n.nodes;
  for (const auto& r : n.resistors) plain.resistors.push_back({r.from, r.to, Value(r.resistance)});
  for (const auto& d : n.drivers) {
    plain.drivers.push_back({d.from, d.to, Value(d.voltage), Value(d.resistance),
                             d.limit ? std::optional(Value(*d.limit)) : std::nullopt});
  }
  return plain;
}

struct Found {
  std::vector<Mode> modes;
  Eigen::FullPivLU<Matrix<double>> lu;
  Vector<double> x;
};

bool AllAgree(const Network<double>& n, const Found& f) {
  const State<double> s = StateFrom(n, f.x, f.modes);
  for (std::size_t k = 0; k < n.drivers.size(); ++k) {
    const Driver<double>& d = n.drivers[k];
    const double across = s.voltage[d.to] - s.voltage[d.from];
    if (!Agrees(d, f.modes[k], s.driver_current[k], across)) return false;
  }
  return f.x.allFinite();
}

// Whether a driver without a limit is taken to be at it.
bool LimitsWithout(const Network<double>& n, const std::vector<Mode>& modes) {
  for (std::size_t k = 0; k < modes.size(); ++k) {
    if (modes[k] == Mode::kLimited && !n.drivers[k].limit) return true;
  }
  return false;
}

// The first combination of modes that agrees with its own solution; all by voltage comes first.
std::optional<Found> FindModes(const Network<double>& n) {
  const auto count = static_cast<int>(std::pow(kModes, n.drivers.size()));
  for (int combination = 0; combination < count; ++combination) {
    Found f;
    for (int rest = combination; f.modes.size() < n.drivers.size(); rest /= kModes)
      f.modes.push_back(static_cast<Mode>(rest % kModes));
    if (LimitsWithout(n, f.modes)) continue;
    const Equations<double> e = Assemble(n, f.modes);
    f.lu.compute(e.a);
    if (!f.lu.isInvertible()) continue;
    f.x = f.lu.solve(e.b);
    if (AllAgree(n, f)) return f;
  }
  return std::nullopt;
}

}  // namespace

template <class T>
Outcome<State<T>, Fault> Solve(const Network<T>& network) {
  if (network.nodes < 1) return Fault{Problem::kNoSuchNode};
  if (const auto wrong = WrongParts(network)) return *wrong;
  const std::vector<int> part = PartsOf(network, true);
  for (int i = 1; i < network.nodes; ++i) {
    if (part[i] != part[0]) return Fault{Problem::kNoReturn, i};
  }
  const auto found = FindModes(Plain(network));
  if (!found) return Fault{Problem::kShort};
  if constexpr (std::same_as<T, double>) {
    return StateFrom<T>(network, found->x, found->modes);
  } else {
    // One correcting step in T carries the derivatives (implicit function theorem); the values
    // stay.
    const Equations<T> e = Assemble(network, found->modes);
    const Vector<T> x = found->x.template cast<T>();
    Vector<T> error = e.b - e.a * x;
    for (T& left : error) left -= Value(left);
    const Matrix<T> inverse = found->lu.inverse().template cast<T>();
    return StateFrom<T>(network, x + inverse * error, found->modes);
  }
}

template <class T>
Outcome<T, Fault> ResistanceBetween(const Network<T>& network, int one, int other) {
  Network<T> unplugged;
  unplugged.nodes = network.nodes;
  unplugged.resistors = network.resistors;
  if (!IsNode(network, one) || !IsNode(network, other)) return Fault{Problem::kNoSuchNode};
  if (const auto wrong = WrongParts(unplugged)) return *wrong;
  if (one == other) return T(0.0);
  const std::vector<int> part = PartsOf(unplugged, false);
  if (part[one] != part[other]) return Fault{Problem::kOpen};
  // Keep only what hangs together with the pins, renumbered with `other` as ground.
  std::vector<int> number(network.nodes, -1);
  number[other] = 0;
  int next = 1;
  for (int i = 0; i < network.nodes; ++i) {
    if (i != other && part[i] == part[other]) number[i] = next++;
  }
  Network<T> meter;
  meter.nodes = next;
  for (const Resistor<T>& r : network.resistors) {
    if (number[r.from] >= 0)
      meter.resistors.push_back({number[r.from], number[r.to], r.resistance});
  }
  meter.drivers.push_back({0, number[one], T(1.0), T(0.0), std::nullopt});
  const auto state = Solve(meter);
  if (!state) return state.why();
  return T(1.0 / state->driver_current[0]);
}

#define STEERBENCH_INSTANTIATE(T)                             \
  template Outcome<State<T>, Fault> Solve(const Network<T>&); \
  template Outcome<T, Fault> ResistanceBetween(const Network<T>&, int, int)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::electrics
