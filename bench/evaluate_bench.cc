// Time of one evaluation of the demo, of its plus-minus, and of all that 'check' does.
#include <benchmark/benchmark.h>

#include "engine/evaluate/propagate.h"
#include "engine/evaluate/weight_curves.h"
#include "fixtures/demo.h"
#include "report/report.h"

namespace steerbench {
namespace {

// Goal: under 0.4 ms, so that a search over thousands of combinations takes seconds.
void EvaluateDemo(benchmark::State& state) {
  const Fitted<double> fitted = fixtures::PlainDemo("first-try");
  for (auto _ : state) benchmark::DoNotOptimize(Evaluate(fitted));
}
BENCHMARK(EvaluateDemo)->Unit(benchmark::kMicrosecond);

// Curves at their usual number of points, one way of drawing each.
void CurveOfDemo(benchmark::State& state, WeightCurve (*curve)(const Fitted<double>&)) {
  const Fitted<double> fitted = fixtures::PlainDemo("first-try");
  for (auto _ : state) benchmark::DoNotOptimize(curve(fitted));
}
BENCHMARK_CAPTURE(CurveOfDemo, kerb, [](const Fitted<double>& fitted) {
  return KerbCurve(fitted, UsualTravel(Evaluate(fitted), kCurvePoints));
})->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(CurveOfDemo, road, [](const Fitted<double>& fitted) {
  return RoadCurve(fitted, UsualAccelerations());
})->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(CurveOfDemo, boost, [](const Fitted<double>& fitted) {
  return BoostCurve(fitted);
})->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(CurveOfDemo, pump, [](const Fitted<double>& fitted) {
  return PumpCurve(fitted);
})->Unit(benchmark::kMicrosecond);

// Goal: under 1 ms, linkage, limits and every curve at its usual points.
void EvaluateDemoWithCurves(benchmark::State& state, const std::string& setup) {
  const Fitted<double> fitted = fixtures::PlainDemo(setup);
  for (auto _ : state) {
    const Evaluation<double> found = Evaluate(fitted);
    benchmark::DoNotOptimize(AllCurves(fitted, found));
  }
}
// With a control valve each speed has an oil characteristic of its own; without, one is for all.
BENCHMARK_CAPTURE(EvaluateDemoWithCurves, plain, "first-try")->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(EvaluateDemoWithCurves, controlled, "calm")->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(EvaluateDemoWithCurves, two_valves, "keen")->Unit(benchmark::kMicrosecond);

void PropagateDemo(benchmark::State& state) {
  const Fitted<Quantity> fitted = fixtures::FittedSetup(fixtures::Example(), "first-try");
  for (auto _ : state) benchmark::DoNotOptimize(Propagate(fitted));
  state.counters["inputs"] = static_cast<double>(Inputs(fitted).size());
  state.counters["width"] = kJetWidth;
}
BENCHMARK(PropagateDemo)->Unit(benchmark::kMillisecond);

void ReadDemo(benchmark::State& state) {
  const std::string text = fixtures::ExampleText("tern.toml");
  for (auto _ : state) benchmark::DoNotOptimize(ReadToml(text));
}
BENCHMARK(ReadDemo)->Unit(benchmark::kMillisecond);

// Goal: under 20 ms for the whole process.
void CheckDemo(benchmark::State& state) {
  const std::string text = fixtures::ExampleText("tern.toml");
  for (auto _ : state) {
    const Document document = ReadToml(text).document;
    std::vector<SetupReport> reports;
    for (const auto& [name, setup] : document.setup) {
      const Fitted<Quantity> fitted = Fit(document, setup);
      reports.push_back({name, setup.note, fitted, Propagate(fitted)});
    }
    benchmark::DoNotOptimize(CheckText(document.title, reports, {UnitsAsWritten(document), false}));
  }
}
BENCHMARK(CheckDemo)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace steerbench
