// Time of a search over the demo's bin, enlarged, by number of combinations and of threads.
#include <benchmark/benchmark.h>

#include "fixtures/bin.h"
#include "search/search.h"

namespace steerbench {
namespace {

void Run(benchmark::State& state, const fixtures::BinSize& size, int threads) {
  const Document document = fixtures::Bin(size, 7);
  const search::Space space = search::MakeSpace(document);
  const search::Wishes wishes = search::WishesOf(document.search).of;
  for (auto _ : state) {
    search::Searcher searcher(document, space, wishes, threads);
    while (searcher.Step()) {
    }
    state.counters["combinations"] = searcher.At().looked_at;
    state.counters["unbeaten"] = static_cast<double>(searcher.At().entries.size());
    for (const auto& [reason, count] : searcher.LeftOutSoFar()) {
      state.counters[reason] = static_cast<double>(count);
    }
  }
}

void Thousands(benchmark::State& state) {
  Run(state, {.racks = 3, .pumps = 4, .pulleys = 4}, static_cast<int>(state.range(0)));
}
BENCHMARK(Thousands)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond)->UseRealTime();

// Goal: under 10 s on two cores.
void AMillion(benchmark::State& state) {
  Run(state,
      {.racks = 6,
       .spacers = 4,
       .tie_rods = 2,
       .arms = 3,
       .pumps = 6,
       .pulleys = 8,
       .belts = 2,
       .fluids = 2,
       .valves = 4,
       .shims = 4},
      static_cast<int>(state.range(0)));
}
BENCHMARK(AMillion)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond)->UseRealTime()->Iterations(1);

}  // namespace
}  // namespace steerbench
