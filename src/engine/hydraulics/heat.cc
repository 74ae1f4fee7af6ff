#include "engine/hydraulics/heat.h"

#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>

namespace steerbench::hydraulics {
namespace {

constexpr std::uintmax_t kMostTrials = 100;
constexpr double kTemperatureTolerance = 1e-9;  // [K]
constexpr double kSlopeStep = 0.01;             // [K] for the slope of the balance

template <class T>
struct Made {
  T heat{};
  Marks marks;
};

// Heat made on average at a temperature.
template <class T>
Outcome<Made<T>, Problem> HeatMade(const Circuit<T>& circuit, const Duty<T>& duty,
                                   const T& temperature) {
  Condition<T> condition = duty.working;
  condition.temperature = temperature;
  const auto working = SolveSteady<T>(circuit, condition);
  if (!working) return working.why();
  Made<T> made{duty.working_share * working->heat, working->marks};
  if (Value(duty.working_share) < 1.0) {
    condition.rack_force = T(0.0);
    condition.rack_speed = T(0.0);
    const auto straight = SolveSteady<T>(circuit, condition);
    if (!straight) return straight.why();
    made.heat += (1.0 - duty.working_share) * straight->heat;
  }
  return made;
}

// Heat made less heat shed.
template <class T>
Outcome<T, Problem> Surplus(const Circuit<T>& circuit, const Duty<T>& duty, const T& temperature) {
  const auto made = HeatMade<T>(circuit, duty, temperature);
  if (!made) return made.why();
  return T(made->heat - duty.cooling * (temperature - duty.surroundings));
}

Duty<double> Plain(const Duty<Jet>& d) {
  return {Plain(d.working), d.working_share.a, d.cooling.a, d.surroundings.a};
}

// Root of the surplus between the surroundings and the hottest temperature.
Outcome<double, Problem> Balance(const Circuit<double>& circuit, const Duty<double>& duty) {
  std::optional<Problem> problem;
  const auto surplus = [&](double temperature) {
    const auto made = Surplus<double>(circuit, duty, temperature);
    if (!made) problem = made.why();
    return made ? *made : 0.0;
  };
  const double cold = surplus(duty.surroundings), hot = surplus(kHottest);
  if (problem) return *problem;
  if (cold <= 0.0) return duty.surroundings;  // a pump at rest makes no heat
  if (hot > 0.0) return Problem::kTooHot;
  std::uintmax_t trials = kMostTrials;
  const auto near = [](double a, double b) { return std::abs(b - a) < kTemperatureTolerance; };
  const auto [low, high] = boost::math::tools::toms748_solve(surplus, duty.surroundings, kHottest,
                                                             cold, hot, near, trials);
  if (problem) return *problem;
  return near(low, high) ? Outcome<double, Problem>(0.5 * (low + high)) : Problem::kNotConverged;
}

double Lifted(const Circuit<double>&, const Duty<double>&, double t) { return t; }

// One Newton step in Jet at the solution; the slope need be only near enough, for the residual's
// value there is nothing.
Jet Lifted(const Circuit<Jet>& circuit, const Duty<Jet>& duty, double t) {
  const Circuit<double> plain = Plain(circuit);
  const Duty<double> plain_duty = Plain(duty);
  const auto above = Surplus<double>(plain, plain_duty, t + kSlopeStep);
  const auto below = Surplus<double>(plain, plain_duty, t - kSlopeStep);
  const auto here = Surplus<Jet>(circuit, duty, Jet(t));
  if (!above || !below || !here) return Jet(t);
  return t - *here * (2.0 * kSlopeStep / (*above - *below));
}

const Circuit<double>& Bare(const Circuit<double>& circuit) { return circuit; }
Circuit<double> Bare(const Circuit<Jet>& circuit) { return Plain(circuit); }
const Duty<double>& Bare(const Duty<double>& duty) { return duty; }
Duty<double> Bare(const Duty<Jet>& duty) { return Plain(duty); }

}  // namespace

template <class T>
Outcome<OilBalance<T>, Problem> SettleTemperature(const Circuit<T>& circuit, const Duty<T>& duty) {
  if (!IsPositive(duty.cooling, duty.surroundings) || !IsNotNegative(duty.working_share) ||
      Value(duty.working_share) > 1.0) {
    return Problem::kNoCooling;
  }
  if (Value(duty.surroundings) >= kHottest) return Problem::kTooHot;
  const auto balance = Balance(Bare(circuit), Bare(duty));
  if (!balance) return balance.why();
  OilBalance<T> result;
  result.temperature = Lifted(circuit, duty, *balance);
  const auto made = HeatMade<T>(circuit, duty, result.temperature);
  if (!made) return made.why();
  result.heat = made->heat;
  result.marks = made->marks;
  return result;
}

template Outcome<OilBalance<double>, Problem> SettleTemperature(const Circuit<double>&,
                                                                const Duty<double>&);
template Outcome<OilBalance<Jet>, Problem> SettleTemperature(const Circuit<Jet>&, const Duty<Jet>&);

}  // namespace steerbench::hydraulics
