#include "engine/electrics/wiring.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "fixtures/derivatives.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::electrics {
namespace {

using reference::Between;
using reference::Load;

// Two control valves on one regulated driver: invented numbers.
std::vector<Coil<double>> TwoCoils() { return {{7.0, 0.2, 0.75, 0.3}, {12.0, 0.2, 0.75, 0.3}}; }
Source<double> Regulated() { return {13.5, 0.3, 1.0}; }

const Trial<double>* Find(const std::vector<Trial<double>>& trials, Change change, Wiring wiring) {
  const auto it = std::ranges::find_if(trials, [&](const Trial<double>& t) {
    return t.change == change && t.wired.wiring == wiring;
  });
  return it == trials.end() ? nullptr : &*it;
}

TEST_CASE("two-loads: one driver split over two coils") {
  const reference::Row row = Load("two-loads");
  constexpr double kThin = 1e-9;  // wires as good as none
  const std::vector<Coil<double>> coils{{row.Input("R1"), kThin, 0.5, 0.2},
                                        {row.Input("R2"), kThin, 0.5, 0.2}};
  const Source<double> volts{row.Input("U"), 0.0, std::nullopt};
  const auto series = Wire(Wiring::kSeries, {volts}, coils);
  REQUIRE(series);
  REFERENCE_CHECK(row, "I_series", series->current[0]);
  REFERENCE_CHECK(row, "I_series", series->current[1]);
  const auto parallel = Wire(Wiring::kParallel, {volts}, coils);
  REFERENCE_CHECK(row, "I_par_total", parallel->driver_current[0]);
  Source<double> amps{100.0, 0.0, row.Input("I_source")};
  const auto shared = Wire(Wiring::kParallel, {amps}, coils);
  REFERENCE_CHECK(row, "I1_current_source_par", shared->current[0]);
  REFERENCE_CHECK(row, "I2_current_source_par", shared->current[1]);
}

TEST_CASE("parallel on a regulated ampere: neither coil pulls in, and the margins say so") {
  const auto wired = Wire(Wiring::kParallel, {Regulated()}, TwoCoils());
  REQUIRE(wired);
  CHECK_FALSE(wired->all_pull_in);
  CHECK(wired->mode[0] == Mode::kLimited);
  CHECK(wired->pull_in_margin[0] < 0.0);
  CHECK(wired->pull_in_margin[1] < 0.0);
  CHECK(wired->hold_margin[0] > 0.0);
  CHECK(wired->current[0] + wired->current[1] == fixtures::Near(1.0));
}

TEST_CASE("changes are tried, cures come first and hold when wired") {
  const std::vector<Source<double>> spare_sources{{13.5, 0.3, 3.0}};
  const std::vector<Coil<double>> spare_coils{{4.0, 0.2, 0.75, 0.3}};
  const auto trials =
      TryChanges(Wiring::kParallel, Regulated(), TwoCoils(), spare_sources, spare_coils);
  REQUIRE(trials);
  bool cured = true;
  for (const auto& t : *trials) {
    CHECK((cured || !t.cures));  // once one does not cure, none does
    cured = t.cures;
    CHECK(t.cures == t.wired.all_pull_in);
    CHECK(Describe(t.change) != "unknown");
  }
  // Series: 13.5 V over 19.7 ohm is 0.685 A, not enough.
  const auto* series = Find(*trials, Change::kRewired, Wiring::kSeries);
  REQUIRE(series);
  CHECK_FALSE(series->cures);
  CHECK(series->wired.current[0] == fixtures::Near(13.5 / 19.7));
  CHECK(Find(*trials, Change::kOwnDriver, Wiring::kOwnDrivers)->cures);
  CHECK(Find(*trials, Change::kSpareDriver, Wiring::kParallel)->cures);
  // 12.2 ohm gets 7.2 / 19.4 of the current, so 0.75 A asks for 2.0208 A in all.
  const auto* stronger = Find(*trials, Change::kStrongerDriver, Wiring::kParallel);
  REQUIRE(stronger);
  CHECK(*stronger->needed == fixtures::Near(0.75 * 19.4 / 7.2));
  CHECK(stronger->cures);
  CHECK(std::abs(stronger->wired.pull_in_margin[1]) < 1e-9);  // [A]
  // In series a coil of 13.5 / 0.75 - 7.7 = 10.3 ohm instead of 12 would do.
  const auto slimmer = std::ranges::find_if(
      *trials, [](const auto& t) { return t.change == Change::kSlimmerCoil && t.coil == 1; });
  REQUIRE(slimmer != trials->end());
  CHECK(*slimmer->needed == fixtures::Near(10.3));
  CHECK(slimmer->cures);
  // The spare coil of 4 ohm in series: 13.5 V over 11.7 ohm, limited to 1 A, does it too.
  const auto spare = std::ranges::find_if(*trials, [](const auto& t) {
    return t.change == Change::kSpareCoil && t.coil == 1 && t.wired.wiring == Wiring::kSeries;
  });
  REQUIRE(spare != trials->end());
  CHECK(spare->cures);
  CHECK(spare->wired.current[0] == fixtures::Near(1.0));
}

TEST_CASE("what a stronger driver cannot cure: too little voltage") {
  std::vector<Coil<double>> coils = TwoCoils();
  coils[1].pull_in = 1.5;  // 13.5 V over 12.5 ohm never gives that
  const auto trials = TryChanges(Wiring::kParallel, Regulated(), coils, {}, {});
  REQUIRE(trials);
  for (const auto& t : *trials) CHECK_FALSE((t.change == Change::kStrongerDriver && t.cures));
}

TEST_CASE("needed values are the edge: a little less does not do") {
  CHECK(rc::check([] {
    const std::vector<Coil<double>> coils{
        {Between(3.0, 15.0), Between(0.05, 0.5), Between(0.2, 1.0), 0.1},
        {Between(3.0, 15.0), Between(0.05, 0.5), Between(0.2, 1.0), 0.1}};
    const Source<double> source{Between(8.0, 15.0), Between(0.0, 1.0), Between(0.2, 1.5)};
    const auto trials = TryChanges(Wiring::kParallel, source, coils, {}, {});
    RC_ASSERT(bool(trials));
    for (const auto& t : *trials) {
      if (!t.cures || !t.needed) continue;
      Source<double> less = source;
      std::vector<Coil<double>> more = coils;
      if (t.change == Change::kStrongerDriver) less.limit = *t.needed * 0.999;
      if (t.change == Change::kSlimmerCoil) more[t.coil].resistance = *t.needed * 1.001;
      RC_ASSERT(!Wire(t.wired.wiring, {less}, more)->all_pull_in);
    }
  }));
}

TEST_CASE("meter readings agree with each other and with the coil") {
  for (const Wiring w : {Wiring::kSeries, Wiring::kParallel, Wiring::kOwnDrivers}) {
    const auto wired = Wire(w, std::vector(2, Regulated()), TwoCoils());
    const auto readings = ReadingsOf(*wired);
    REQUIRE(readings);
    for (std::size_t i = 0; i < 2; ++i) {
      const Reading<double>& r = (*readings)[i];
      CHECK(r.voltage_across == fixtures::Near(r.current * TwoCoils()[i].resistance));
      CHECK(r.voltage_in - r.voltage_out == fixtures::Near(r.voltage_across));
    }
    // An ohmmeter sees the other coil as well when they stand in parallel.
    const double first = (*readings)[0].resistance;
    const double both = 1.0 / (1.0 / 7.0 + 1.0 / (12.0 + 0.4));
    CHECK(first == fixtures::Near(w == Wiring::kParallel ? both : 7.0));
  }
}

TEST_CASE("wiring: derivatives equal central differences") {
  for (const Wiring w : {Wiring::kSeries, Wiring::kParallel}) {
    CHECK(ScaledDerivativesHold(
        [w](const auto& x) {
          using T = std::decay_t<decltype(x[0])>;
          const std::vector<Coil<T>> coils{{x[0], x[1], x[2], x[3]}, {x[4], x[1], x[2], x[3]}};
          const auto wired = Wire(w, std::vector<Source<T>>{{x[5], x[6], x[7]}}, coils);
          const auto readings = ReadingsOf(*wired);
          return T(wired->pull_in_margin[0] + 2.0 * wired->hold_margin[1] +
                   (*readings)[1].resistance);
        },
        {7.0, 0.2, 0.75, 0.3, 12.0, 13.5, 0.3, 1.0}));
  }
}

TEST_CASE("wiring: hostile input gives a reason") {
  CHECK(Wire<double>(Wiring::kSeries, {Regulated()}, {}).why().problem == Problem::kNoCoil);
  CHECK(Wire(Wiring::kSeries, {}, TwoCoils()).why().problem == Problem::kNoDriver);
  const auto lonely = Wire(Wiring::kOwnDrivers, {Regulated()}, TwoCoils());
  CHECK(lonely.why().problem == Problem::kNoDriver);
  CHECK(lonely.why().at == 1);
  for (const double bad : {0.0, -1.0, std::nan(""), HUGE_VAL}) {
    auto coils = TwoCoils();
    coils[1].resistance = bad;
    CHECK(Wire(Wiring::kSeries, {Regulated()}, coils).why().problem == Problem::kResistance);
    coils = TwoCoils();
    coils[0].pull_in = bad;
    CHECK(Wire(Wiring::kSeries, {Regulated()}, coils).why().problem == Problem::kPullIn);
    Source<double> source = Regulated();
    source.limit = bad;
    CHECK(TryChanges(Wiring::kSeries, source, TwoCoils(), {}, {}).why().problem == Problem::kLimit);
  }
}

}  // namespace
}  // namespace steerbench::electrics
