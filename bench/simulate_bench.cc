// Time of ten simulated seconds. Goal: under 200 ms each.
#include <benchmark/benchmark.h>

#include "fixtures/hydraulics.h"
#include "simulate/simulate.h"

namespace steerbench::simulate {
namespace {

Plant Usual() {
  Plant p;
  p.circuit = fixtures::DemoCircuit<double>();
  p.condition = fixtures::AtIdle<double>();
  p.mesh_efficiency = 0.9;
  p.rack_friction = 280.0;
  p.rack_mass = 8.0;
  p.supply_volume = p.return_volume = 1e-4;
  p.dead_volume = 2e-5;
  p.hose_modulus = 2.5e8;
  p.load = {2200.0, 1.5e6, 0.0, 1000.0};
  return p;
}

// `amplitude` at the pinion [rad], `time` of a turn or wave [s].
void TenSeconds(benchmark::State& state, Shape shape, double amplitude, double time) {
  const Plant plant = Usual();
  Run run;
  run.manoeuvre = {shape, false, amplitude, time};
  run.duration = 10.0;
  run.samples = 1001;
  long steps = 0;
  for (auto _ : state) {
    const auto history = Simulate(plant, run);
    if (!history) return state.SkipWithError("no history");
    steps = history->steps;
  }
  state.counters["steps"] = static_cast<double>(steps);
}
BENCHMARK_CAPTURE(TenSeconds, parking, Shape::kParking, 9.0, 3.0)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(TenSeconds, sine, Shape::kSine, 0.8, 2.0)->Unit(benchmark::kMillisecond);
// The hand outruns the pump and strikes the twist stop four times a second: the worst there is.
BENCHMARK_CAPTURE(TenSeconds, wild, Shape::kSine, 1.5, 0.5)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace steerbench::simulate
