// Time of the steady solve. Goals: a solve within 20 microseconds, a curve of 41 points under half
// a millisecond.
#include <benchmark/benchmark.h>

#include "engine/hydraulics/curves.h"
#include "fixtures/hydraulics.h"

namespace steerbench::hydraulics {
namespace {

// The load from lock to lock while turning slowly.
void CurveOf41(benchmark::State& state) {
  const Circuit<double> circuit = fixtures::DemoCircuit<double>();
  Condition<double> condition = fixtures::AtIdle<double>();
  condition.rack_speed = 0.02;
  for (auto _ : state) {
    for (int i = 0; i < 41; ++i) {
      condition.rack_force = -6000.0 + 300.0 * i;
      benchmark::DoNotOptimize(SolveSteady<double>(circuit, condition));
    }
  }
}
BENCHMARK(CurveOf41)->Unit(benchmark::kMicrosecond);

void SteadyWithTwoControlValves(benchmark::State& state) {
  Circuit<double> circuit = fixtures::DemoCircuit<double>();
  circuit.control.resize(2);
  for (ControlBranch<double>& branch : circuit.control) {
    branch.valves = {fixtures::CoilValve<double>(2e-6, 0.0)};
  }
  Condition<double> condition = fixtures::AtIdle<double>();
  condition.rack_force = 3000.0;
  for (auto _ : state) benchmark::DoNotOptimize(SolveSteady<double>(circuit, condition));
}
BENCHMARK(SteadyWithTwoControlValves)->Unit(benchmark::kMicrosecond);

void SteadyWithDerivatives(benchmark::State& state) {
  const Circuit<Jet> circuit = fixtures::DemoCircuit<Jet>();
  Condition<Jet> condition = fixtures::AtIdle<Jet>();
  condition.rack_force = Jet(3000.0, 0);
  for (auto _ : state) benchmark::DoNotOptimize(SolveSteady<Jet>(circuit, condition));
}
BENCHMARK(SteadyWithDerivatives)->Unit(benchmark::kMicrosecond);

void CatchUpBothWays(benchmark::State& state) {
  const Circuit<double> circuit = fixtures::DemoCircuit<double>();
  Condition<double> condition = fixtures::AtIdle<double>();
  condition.rack_force = 3000.0;
  for (auto _ : state) benchmark::DoNotOptimize(CatchUpAt<double>(circuit, condition));
}
BENCHMARK(CatchUpBothWays)->Unit(benchmark::kMicrosecond);

}  // namespace
}  // namespace steerbench::hydraulics
