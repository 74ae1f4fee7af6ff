#include "engine/hydraulics/heat.h"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <concepts>
#include <cstdint>

namespace steerbench::hydraulics {
namespace {

constexpr std::uintmax_t kMostTemperatures = 100;
constexpr double kTemperatureTolerance = 1e-9;  // [K]
constexpr double kFirstGuess = 30.0;            // [K] over the surroundings
constexpr int kMostSecants = 10;
constexpr double kLastStep = 1e-5;   // [K]; what is left then is this times the step before it,
                                     // times how much the curve bends, about 0.01 per kelvin
constexpr double kSlopeStep = 0.01;  // [K] for the slope of the balance

template <class T>
struct Made {
  T heat{}, in_circuit{};
  Marks marks;
};

// What lines and valves turn to heat, the hose to the pump with them.
template <class T>
T InCircuit(const SteadyState<T>& s) {
  return (s.outlet + s.pump.inlet_loss) * s.delivered - s.useful;
}

// Heat made at a temperature.
template <class T>
Outcome<Made<T>, Problem> HeatMade(const Circuit<T>& circuit, const Duty<T>& duty,
                                   const T& temperature) {
  Condition<T> condition = duty.working;
  condition.temperature = temperature;
  const auto working = SolveSteady<T>(circuit, condition);
  if (!working) return working.why();
  return Made<T>{working->heat, InCircuit(*working), working->marks};
}

Duty<double> Plain(const Duty<Jet>& d) { return {Plain(d.working), d.cooling.a, d.surroundings.a}; }

// Heat made less heat shed, in plain numbers; keeps why it could not be had.
class HeatSurplus {
 public:
  HeatSurplus(const Circuit<double>& circuit, const Duty<double>& duty)
      : circuit_(circuit), duty_(duty) {}
  double operator()(double temperature) {
    const auto made = HeatMade<double>(circuit_, duty_, temperature);
    if (!made) problem_ = made.why();
    return made ? made->heat - duty_.cooling * (temperature - duty_.surroundings) : 0.0;
  }
  [[nodiscard]] const std::optional<Problem>& problem() const { return problem_; }

 private:
  const Circuit<double>& circuit_;
  const Duty<double>& duty_;
  std::optional<Problem> problem_;
};

// The heat depends little on the temperature, so that a few steps of the secant do; unset when
// they leave the range or do not close in.
std::optional<double> BySecant(HeatSurplus surplus, const Duty<double>& duty) {
  double before = std::min(duty.surroundings + kFirstGuess, kHottest);
  double off_before = surplus(before);
  double at = before + off_before / duty.cooling;
  for (int step = 0; step < kMostSecants; ++step) {
    if (surplus.problem() || !(at > duty.surroundings && at < kHottest)) return std::nullopt;
    const double off = surplus(at);
    const double next = at - off * (at - before) / (off - off_before);
    if (std::abs(next - at) < kLastStep) return next;
    before = at;
    off_before = off;
    at = next;
  }
  return std::nullopt;
}

// Root of the surplus between the surroundings and the hottest temperature.
Outcome<double, Problem> Balance(Circuit<double> circuit, const Duty<double>& duty) {
  KnownRoots steps(KnownRoots::Start::kNear);  // each is near the one before
  circuit.known = &steps;
  if (const auto found = BySecant(HeatSurplus(circuit, duty), duty)) return *found;
  HeatSurplus surplus(circuit, duty);
  const double cold = surplus(duty.surroundings), hot = surplus(kHottest);
  if (surplus.problem()) return *surplus.problem();
  if (cold <= 0.0) return duty.surroundings;  // a pump at rest makes no heat
  if (hot > 0.0) return Problem::kTooHot;
  std::uintmax_t trials = kMostTemperatures;
  const auto near = [](double a, double b) { return std::abs(b - a) < kTemperatureTolerance; };
  const auto [low, high] =
      boost::math::tools::toms748_solve([&surplus](double t) { return surplus(t); },
                                        duty.surroundings, kHottest, cold, hot, near, trials);
  if (surplus.problem()) return *surplus.problem();
  return near(low, high) ? Outcome<double, Problem>(0.5 * (low + high)) : Problem::kNotConverged;
}

const Duty<double>& Plain(const Duty<double>& duty) { return duty; }
}  // namespace

template <class T>
Outcome<OilBalance<T>, Problem> SettleTemperature(const Circuit<T>& circuit, const Duty<T>& duty) {
  if (!IsPositive(duty.cooling, duty.surroundings)) return Problem::kNoCooling;
  if (Value(duty.surroundings) >= kHottest) return Problem::kTooHot;
  const auto balance = Balance(Plain(circuit), Plain(duty));
  if (!balance) return balance.why();
  return BalanceAt<T>(circuit, duty, *balance);
}

template <class T>
Outcome<OilBalance<T>, Problem> BalanceAt(const Circuit<T>& circuit, const Duty<T>& duty,
                                          double settled) {
  const auto made = HeatMade<T>(circuit, duty, T(settled));
  if (!made) return made.why();
  OilBalance<T> result{T(settled), made->heat, made->in_circuit, made->marks};
  if constexpr (!std::same_as<T, double>) {
    // One Newton step in Jet; the slope need be only near enough, for the surplus has no value.
    const Circuit<double> plain = Plain(circuit);
    const Duty<double> plain_duty = Plain(duty);
    const auto above = HeatMade<double>(plain, plain_duty, settled + kSlopeStep);
    const auto below = HeatMade<double>(plain, plain_duty, settled - kSlopeStep);
    if (!above) return above.why();
    if (!below) return below.why();
    const double slope = (above->heat - below->heat) / (2.0 * kSlopeStep);
    const T surplus = made->heat - duty.cooling * (settled - duty.surroundings);
    result.temperature = settled - (surplus - Value(surplus)) / (slope - Value(duty.cooling));
    result.heat += slope * (result.temperature - settled);
    result.in_circuit += (above->in_circuit - below->in_circuit) / (2.0 * kSlopeStep) *
                         (result.temperature - settled);
  }
  return result;
}

template Outcome<OilBalance<double>, Problem> SettleTemperature(const Circuit<double>&,
                                                                const Duty<double>&);
template Outcome<OilBalance<Jet>, Problem> SettleTemperature(const Circuit<Jet>&, const Duty<Jet>&);
template Outcome<OilBalance<double>, Problem> BalanceAt(const Circuit<double>&, const Duty<double>&,
                                                        double);
template Outcome<OilBalance<Jet>, Problem> BalanceAt(const Circuit<Jet>&, const Duty<Jet>&, double);

}  // namespace steerbench::hydraulics
