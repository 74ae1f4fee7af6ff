#include "engine/electrics/wiring.h"

#include <algorithm>
#include <array>
#include <utility>

namespace steerbench::electrics {
namespace {

// A coil that gets its pull-in current to within rounding pulls in.
constexpr double kJust = 1e-9;

template <class T>
std::optional<Fault> WrongCoils(const std::vector<Coil<T>>& coils) {
  if (coils.empty()) return Fault{Problem::kNoCoil};
  for (int i = 0; i < static_cast<int>(coils.size()); ++i) {
    if (!IsPositive(coils[i].resistance, coils[i].wires)) return Fault{Problem::kResistance, i};
    if (!IsPositive(coils[i].pull_in, coils[i].hold)) return Fault{Problem::kPullIn, i};
  }
  return std::nullopt;
}

// Adds a coil behind a node; its wires, out and back, are drawn before it. Returns its out pin.
template <class T>
void AddCoil(Wired<T>& w, const Coil<T>& coil, int from, bool to_ground) {
  const int in = w.network.nodes++;
  const int out = to_ground ? 0 : w.network.nodes++;
  w.network.resistors.push_back({from, in, coil.wires});
  w.network.resistors.push_back({in, out, coil.resistance});
  w.coil_pins.push_back({in, out});
}

template <class T>
void AddSource(Wired<T>& w, const Source<T>& source) {
  const int pin = w.network.nodes++;
  w.network.drivers.push_back({0, pin, source.voltage, source.resistance, source.limit});
  w.driver_pins.push_back(pin);
}

template <class T>
void Connect(Wired<T>& w, const std::vector<Source<T>>& sources,
             const std::vector<Coil<T>>& coils) {
  const std::size_t used = w.wiring == Wiring::kOwnDrivers ? coils.size() : 1;
  for (std::size_t i = 0; i < used; ++i) AddSource(w, sources[i]);
  for (std::size_t i = 0; i < coils.size(); ++i) {
    const bool series = w.wiring == Wiring::kSeries;
    const int before = series && i > 0 ? w.coil_pins.back().out
                                       : w.driver_pins[w.wiring == Wiring::kOwnDrivers ? i : 0];
    AddCoil(w, coils[i], before, !series || i + 1 == coils.size());
  }
}

template <class T>
void Judge(Wired<T>& w, const std::vector<Coil<T>>& coils) {
  w.all_pull_in = true;
  for (std::size_t i = 0; i < coils.size(); ++i) {
    const T& current = w.state.resistor_current[2 * i + 1];
    w.current.push_back(current);
    w.pull_in_margin.push_back(current - coils[i].pull_in);
    w.hold_margin.push_back(current - coils[i].hold);
    if (Value(current) < Value(coils[i].pull_in) * (1.0 - kJust)) w.all_pull_in = false;
  }
  w.driver_current = w.state.driver_current;
  w.mode = w.state.mode;
}

// What can be changed and what with.
template <class T>
struct Bench {
  Wiring present;
  const Source<T>& source;
  const std::vector<Coil<T>>& coils;
  const std::vector<Source<T>>& spare_sources;
  const std::vector<Coil<T>>& spare_coils;
};

constexpr std::array kShared{Wiring::kSeries, Wiring::kParallel};

// Solves one change and keeps it if it can be solved.
template <class T>
void Try(std::vector<Trial<T>>& trials, Trial<T> trial, Wiring wiring,
         const std::vector<Source<T>>& sources, const std::vector<Coil<T>>& coils) {
  const auto wired = Wire(wiring, sources, coils);
  if (!wired) return;
  trial.wired = *wired;
  trial.cures = wired->all_pull_in;
  trials.push_back(std::move(trial));
}

template <class T>
void TryDrivers(std::vector<Trial<T>>& trials, const Bench<T>& b) {
  for (const Wiring w : kShared) {
    if (w != b.present) Try(trials, {Change::kRewired}, w, {b.source}, b.coils);
  }
  if (b.present != Wiring::kOwnDrivers) {
    const std::vector<Source<T>> copies(b.coils.size(), b.source);
    Try(trials, {Change::kOwnDriver}, Wiring::kOwnDrivers, copies, b.coils);
  }
  for (std::size_t i = 0; i < b.spare_sources.size(); ++i) {
    for (const Wiring w : kShared) {
      Try(trials, {Change::kSpareDriver, static_cast<int>(i)}, w, {b.spare_sources[i]}, b.coils);
    }
  }
}

// The network is linear once no limit bites, so each coil's share of the current tells the least
// limit; whether the voltage can drive it shows when it is solved again with that limit.
template <class T>
void TryStrongerDriver(std::vector<Trial<T>>& trials, const Bench<T>& b) {
  if (!b.source.limit) return;
  for (const Wiring w : kShared) {
    Source<T> stronger = b.source;
    stronger.limit.reset();
    const auto free = Wire(w, {stronger}, b.coils);
    if (!free || !IsPositive(free->driver_current[0])) continue;
    T needed{};
    for (std::size_t i = 0; i < b.coils.size(); ++i) {
      const T limit = b.coils[i].pull_in * free->driver_current[0] / free->current[i];
      if (Value(limit) > Value(needed)) needed = limit;
    }
    if (Value(needed) <= Value(*b.source.limit)) continue;
    stronger.limit = needed;
    Try(trials, {Change::kStrongerDriver, -1, -1, needed}, w, {stronger}, b.coils);
  }
}

template <class T>
void TrySpareCoils(std::vector<Trial<T>>& trials, const Bench<T>& b) {
  for (std::size_t k = 0; k < b.coils.size(); ++k) {
    for (std::size_t i = 0; i < b.spare_coils.size(); ++i) {
      std::vector<Coil<T>> coils = b.coils;
      coils[k] = b.spare_coils[i];
      for (const Wiring w : kShared) {
        Try(trials, {Change::kSpareCoil, static_cast<int>(i), static_cast<int>(k)}, w, {b.source},
            coils);
      }
    }
  }
}

// In series the current of all must reach the highest pull-in; what the others leave of U / I is
// the most that one coil may have.
template <class T>
void TrySlimmerCoil(std::vector<Trial<T>>& trials, const Bench<T>& b) {
  T current{}, total = b.source.resistance;
  for (const Coil<T>& c : b.coils) {
    if (Value(c.pull_in) > Value(current)) current = c.pull_in;
    total += c.resistance + c.wires;
  }
  for (std::size_t k = 0; k < b.coils.size(); ++k) {
    std::vector<Coil<T>> coils = b.coils;
    const T most = b.source.voltage / current - (total - coils[k].resistance);
    if (!IsPositive(most) || Value(most) >= Value(coils[k].resistance)) continue;
    coils[k].resistance = most;
    Try(trials, {Change::kSlimmerCoil, -1, static_cast<int>(k), most}, Wiring::kSeries, {b.source},
        coils);
  }
}

}  // namespace

template <class T>
Outcome<Wired<T>, Fault> Wire(Wiring wiring, const std::vector<Source<T>>& sources,
                              const std::vector<Coil<T>>& coils) {
  if (const auto wrong = WrongCoils(coils)) return *wrong;
  const std::size_t needed = wiring == Wiring::kOwnDrivers ? coils.size() : 1;
  if (sources.size() < needed) return Fault{Problem::kNoDriver, static_cast<int>(sources.size())};
  Wired<T> w;
  w.wiring = wiring;
  Connect(w, sources, coils);
  const auto state = Solve(w.network);
  if (!state) return state.why();
  w.state = *state;
  Judge(w, coils);
  return w;
}

template <class T>
Outcome<std::vector<Reading<T>>, Fault> ReadingsOf(const Wired<T>& wired) {
  std::vector<Reading<T>> readings;
  for (std::size_t i = 0; i < wired.coil_pins.size(); ++i) {
    const auto [in, out] = wired.coil_pins[i];
    const auto resistance = ResistanceBetween(wired.network, in, out);
    if (!resistance) return resistance.why();
    const T& before = wired.state.voltage[in];
    const T& after = wired.state.voltage[out];
    readings.push_back({before, after, before - after, wired.current[i], *resistance});
  }
  return readings;
}

std::string_view Describe(Change change) {
  switch (change) {
    case Change::kRewired:
      return "the same driver and coils, wired the other way";
    case Change::kOwnDriver:
      return "a driver like the present one for each coil";
    case Change::kSpareDriver:
      return "another driver instead of the present one";
    case Change::kStrongerDriver:
      return "a driver like the present one that can give more current";
    case Change::kSpareCoil:
      return "another coil instead of one of them, on the present driver";
    case Change::kSlimmerCoil:
      return "in series, a coil of lower resistance and no higher pull-in current";
  }
  return "unknown";
}

template <class T>
Outcome<std::vector<Trial<T>>, Fault> TryChanges(Wiring present, const Source<T>& source,
                                                 const std::vector<Coil<T>>& coils,
                                                 const std::vector<Source<T>>& spare_sources,
                                                 const std::vector<Coil<T>>& spare_coils) {
  const std::vector<Source<T>> copies(coils.size(), source);
  const auto now = Wire(present, copies, coils);
  if (!now) return now.why();
  const Bench<T> bench{present, source, coils, spare_sources, spare_coils};
  std::vector<Trial<T>> trials;
  TryDrivers(trials, bench);
  TryStrongerDriver(trials, bench);
  TrySpareCoils(trials, bench);
  TrySlimmerCoil(trials, bench);
  std::stable_partition(trials.begin(), trials.end(), [](const Trial<T>& t) { return t.cures; });
  return trials;
}

#define STEERBENCH_INSTANTIATE(T)                                                           \
  template Outcome<Wired<T>, Fault> Wire(Wiring, const std::vector<Source<T>>&,             \
                                         const std::vector<Coil<T>>&);                      \
  template Outcome<std::vector<Reading<T>>, Fault> ReadingsOf(const Wired<T>&);             \
  template Outcome<std::vector<Trial<T>>, Fault> TryChanges(                                \
      Wiring, const Source<T>&, const std::vector<Coil<T>>&, const std::vector<Source<T>>&, \
      const std::vector<Coil<T>>&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::electrics
