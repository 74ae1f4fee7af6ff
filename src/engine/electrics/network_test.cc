#include "engine/electrics/network.h"

#include <doctest/doctest.h>

#include <cmath>

#include "fixtures/derivatives.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::electrics {
namespace {

using reference::Between;
using reference::Load;

Driver<double> Volts(double voltage, int to = 1) { return {0, to, voltage, 0.0, std::nullopt}; }

TEST_CASE("two-loads: parallel and series, on a voltage and on a current") {
  const reference::Row row = Load("two-loads");
  const double r1 = row.Input("R1"), r2 = row.Input("R2"), u = row.Input("U");
  const std::vector<Resistor<double>> parallel{{1, 0, r1}, {1, 0, r2}};
  const auto p = Solve(Network<double>{2, parallel, {Volts(u)}});
  REQUIRE(p);
  REFERENCE_CHECK(row, "I_par_total", p->driver_current[0]);
  REFERENCE_CHECK(row, "P1_par", p->resistor_current[0] * p->resistor_current[0] * r1);
  REFERENCE_CHECK(row, "R_par", *ResistanceBetween(Network<double>{2, parallel, {}}, 1, 0));

  const auto s = Solve(Network<double>{3, {{1, 2, r1}, {2, 0, r2}}, {Volts(u)}});
  REFERENCE_CHECK(row, "I_series", s->driver_current[0]);
  REFERENCE_CHECK(row, "U1_series", s->voltage[1] - s->voltage[2]);

  const auto i = Solve(Network<double>{2, parallel, {{0, 1, 100.0, 0.0, row.Input("I_source")}}});
  CHECK(i->mode[0] == Mode::kLimited);
  REFERENCE_CHECK(row, "I1_current_source_par", i->resistor_current[0]);
  REFERENCE_CHECK(row, "I2_current_source_par", i->resistor_current[1]);
}

TEST_CASE("an unbalanced bridge, by hand") {
  // Wheatstone bridge of 1, 2, 3, 4 ohm with 5 ohm across on 10 V: its two node equations, solved
  // by hand with Cramer's rule.
  const auto s = Solve(Network<double>{
      4, {{1, 2, 1.0}, {2, 0, 2.0}, {1, 3, 3.0}, {3, 0, 4.0}, {2, 3, 5.0}}, {Volts(10.0)}});
  REQUIRE(s);
  // Node 2: 1.7 v2 - 0.2 v3 = 10; node 3: -0.2 v2 + (47/60) v3 = 10/3.
  const double det = 1.7 * 47.0 / 60.0 - 0.04;
  CHECK(s->voltage[2] == fixtures::Near((10.0 * 47.0 / 60.0 + 0.2 * 10.0 / 3.0) / det));
  CHECK(s->voltage[3] == fixtures::Near((1.7 * 10.0 / 3.0 + 0.2 * 10.0) / det));
}

Network<double> AnyNetwork() {
  Network<double> n;
  n.nodes = reference::Whole(2, 7);
  for (int i = 1; i < n.nodes; ++i)  // a tree, so that all hangs together
    n.resistors.push_back({i, reference::Whole(0, i - 1), Between(0.1, 50.0)});
  for (int i = reference::Whole(0, 6); i > 0; --i) {
    n.resistors.push_back(
        {reference::Whole(0, n.nodes - 1), reference::Whole(0, n.nodes - 1), Between(0.1, 50.0)});
  }
  for (int i = reference::Whole(1, 3); i > 0; --i) {
    Driver<double> d{0, reference::Whole(1, n.nodes - 1), Between(0.0, 24.0), Between(0.01, 5.0),
                     std::nullopt};
    if (reference::Whole(0, 1) == 1) d.limit = Between(0.05, 3.0);
    n.drivers.push_back(d);
  }
  return n;
}

TEST_CASE("any network: Kirchhoff at every node, power in is power out, drivers within bounds") {
  CHECK(rc::check([] {
    const Network<double> n = AnyNetwork();
    const auto s = Solve(n);
    RC_ASSERT(bool(s));
    std::vector<double> sum(n.nodes, 0.0);
    double in = 0.0, out = 0.0;
    for (std::size_t i = 0; i < n.resistors.size(); ++i) {
      const auto& r = n.resistors[i];
      sum[r.from] -= s->resistor_current[i];
      sum[r.to] += s->resistor_current[i];
      out += s->resistor_current[i] * s->resistor_current[i] * r.resistance;
    }
    for (std::size_t i = 0; i < n.drivers.size(); ++i) {
      const auto& d = n.drivers[i];
      const double current = s->driver_current[i], across = s->voltage[d.to] - s->voltage[d.from];
      sum[d.from] -= current;
      sum[d.to] += current;
      in += current * across;
      RC_ASSERT(current >= -1e-9);
      RC_ASSERT(!d.limit || current <= *d.limit * (1.0 + 1e-8));
      if (current > 1e-6) RC_ASSERT(across <= d.voltage - d.resistance * current + 1e-6);
    }
    for (const double x : sum) RC_ASSERT(std::abs(x) < 1e-9);
    RC_ASSERT(std::abs(in - out) < 1e-8 * (1.0 + out));
  }));
}

TEST_CASE("resistance between two pins: the same both ways, and less with one more path") {
  CHECK(rc::check([] {
    Network<double> n = AnyNetwork();
    const int a = reference::Whole(0, n.nodes - 1), b = reference::Whole(0, n.nodes - 1);
    const auto one = ResistanceBetween(n, a, b), other = ResistanceBetween(n, b, a);
    RC_ASSERT(one && other);
    RC_ASSERT(std::abs(*one - *other) < 1e-9);
    if (a == b) return;
    n.resistors.push_back({a, b, 10.0});
    RC_ASSERT(std::abs(1.0 / *ResistanceBetween(n, a, b) - 1.0 / *one - 0.1) < 1e-9);
  }));
}

TEST_CASE("what a driver does beside a stronger one") {
  // 12 V and 5 V on one pin: the lower one is blocked, not charged.
  const auto s = Solve(Network<double>{
      2, {{1, 0, 10.0}}, {{0, 1, 12.0, 0.1, std::nullopt}, {0, 1, 5.0, 0.1, std::nullopt}}});
  REQUIRE(s);
  CHECK(s->mode[1] == Mode::kBlocked);
  CHECK(s->driver_current[1] == 0.0);
  // A limited one beside a free one: the limit is filled up by the other.
  const auto t = Solve(Network<double>{
      2, {{1, 0, 10.0}}, {{0, 1, 12.0, 0.0, 0.5}, {0, 1, 10.0, 0.1, std::nullopt}}});
  CHECK(t->mode[0] == Mode::kLimited);
  CHECK(t->driver_current[0] == fixtures::Near(0.5));
  CHECK(t->mode[1] == Mode::kVoltage);
}

TEST_CASE("equal stiff drivers on one pin: one carries all") {
  const auto s = Solve(Network<double>{2, {{1, 0, 5.0}}, {Volts(12.0), Volts(12.0)}});
  REQUIRE(s);
  CHECK(s->voltage[1] == fixtures::Near(12.0));
  CHECK(s->driver_current[0] + s->driver_current[1] == fixtures::Near(2.4));
}

TEST_CASE("nothing plugged in: the pin stands at the driver's voltage, no current") {
  const auto s = Solve(Network<double>{2, {}, {{0, 1, 12.0, 0.1, 0.9}}});
  REQUIRE(s);
  CHECK(s->voltage[1] == fixtures::Near(12.0));
  CHECK(s->driver_current[0] == 0.0);
}

TEST_CASE("faults of a network in words") {
  const auto cut = Solve(Network<double>{4, {{1, 0, 5.0}, {2, 3, 5.0}}, {Volts(12.0)}});
  REQUIRE_FALSE(cut);
  CHECK(cut.why().problem == Problem::kNoReturn);
  CHECK(cut.why().at == 2);
  CHECK(Describe(cut.why().problem) == "no path back to ground");
  // A driver across itself, and two in a ring.
  CHECK(Solve(Network<double>{2, {{1, 0, 5.0}}, {{1, 1, 12.0, 0.0, {}}}}).why().problem ==
        Problem::kShort);
  CHECK(Solve(Network<double>{2, {{1, 0, 5.0}}, {{0, 1, 12.0, 0.0, {}}, {1, 0, 12.0, 0.0, {}}}})
            .why()
            .problem == Problem::kShort);
  CHECK(Solve(Network<double>{2, {{1, 4, 5.0}}, {}}).why().problem == Problem::kNoSuchNode);
  CHECK(Solve(Network<double>{0, {}, {}}).why().problem == Problem::kNoSuchNode);
  for (const double bad : {0.0, -1.0, std::nan(""), HUGE_VAL}) {
    CHECK(Solve(Network<double>{2, {{1, 0, bad}}, {}}).why().problem == Problem::kResistance);
    CHECK(Solve(Network<double>{2, {{1, 0, 5.0}}, {{0, 1, 12.0, 0.0, bad}}}).why().problem ==
          Problem::kLimit);
  }
  CHECK(Solve(Network<double>{2, {{1, 0, 5.0}}, {Volts(std::nan(""))}}).why().problem ==
        Problem::kVoltage);
  CHECK(Solve(Network<double>{2, {{1, 0, 5.0}}, std::vector(7, Volts(1.0))}).why().problem ==
        Problem::kTooManyDrivers);
  const Network<double> open{4, {{1, 0, 5.0}, {2, 3, 5.0}}, {}};
  CHECK(ResistanceBetween(open, 1, 2).why().problem == Problem::kOpen);
  CHECK(*ResistanceBetween(open, 2, 3) == fixtures::Near(5.0));
  CHECK(ResistanceBetween(open, 1, 9).why().problem == Problem::kNoSuchNode);
}

TEST_CASE("network: derivatives equal central differences in every mode") {
  const auto f = [](const auto& x) {
    using T = std::decay_t<decltype(x[0])>;
    Network<T> n;
    n.nodes = 4;
    n.resistors = {{1, 2, x[0]}, {2, 0, x[1]}, {1, 3, x[2]}, {3, 0, x[3]}, {2, 3, x[4]}};
    n.drivers = {{0, 1, x[5], x[6], x[7]}, {0, 2, x[8], x[9], std::nullopt}};
    const State<T> s = *Solve(n);
    return T(s.voltage[3] + 3.0 * s.resistor_current[4] + s.driver_current[0] +
             0.3 * *ResistanceBetween(n, 2, 3));
  };
  CHECK(ScaledDerivativesHold(f, {1.0, 2.0, 3.0, 4.0, 5.0, 12.0, 0.1, 1.2, 6.0, 0.2}));
  CHECK(ScaledDerivativesHold(f, {1.0, 2.0, 3.0, 4.0, 5.0, 12.0, 0.1, 90.0, 1.0, 0.2}));
}

}  // namespace
}  // namespace steerbench::electrics
