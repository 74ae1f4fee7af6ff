#include "simulate/summary.h"

#include <doctest/doctest.h>

#include <fmt/format.h>

#include <algorithm>

#include "fixtures/demo.h"
#include "fixtures/near.h"
#include "simulate/order.h"
#include "simulate/remarks.h"

namespace steerbench::simulate {
namespace {

Summary Of(std::initializer_list<Glance> glances) {
  Summary s;
  for (const Glance* g = glances.begin(); g + 1 != glances.end(); ++g) Add(s, g[0], g[1]);
  return s;
}

TEST_CASE("A summary keeps peaks with their time, a torque to either side") {
  const Summary s = Of({{0.0, 1.0, 5e5}, {1.0, -4.0, 9e5}, {2.0, 3.0, 2e5}});
  CHECK(s.hand_torque.value == 4.0);
  CHECK(s.hand_torque.time == 1.0);
  CHECK(s.outlet.value == 9e5);
  CHECK(s.outlet.time == 1.0);
}

TEST_CASE("The relief valve counts while it stays open, the longest time, catch-up in all") {
  const Summary s = Of({{0.0, 0, 0, true, false},
                        {1.0, 0, 0, true, true},
                        {1.5, 0, 0, false, true},
                        {2.0, 0, 0, true, false},
                        {2.4, 0, 0, true, true},
                        {2.6, 0, 0, true, true},
                        {3.5, 0, 0, true, false}});
  CHECK(s.relief == fixtures::Near(1.5));
  CHECK(s.outrun == fixtures::Near(0.7));
  CHECK(s.outrun_from == 1.0);
  CHECK(Of({{0.0}, {1.0}}).relief == 0.0);
}

struct Ran {
  Prepared ready;
  History history;
};
Ran Run(const std::string& setup, const Order& order, int samples = 61) {
  const auto fitted = fixtures::PlainDemo(setup);
  Ran ran{Prepare(order, fitted, Evaluate(fitted), samples), {}};
  REQUIRE(!ran.ready.wrong);
  const auto history = Simulate(ran.ready.plant.plant, ran.ready.run);
  REQUIRE(history);
  ran.history = *history;
  return ran;
}

TEST_CASE("A summary does not miss what lies between two samples") {
  Order order;
  order.run = "lock-impact";
  const History few = Run("calm", order, 4).history, many = Run("calm", order, 3001).history;
  CHECK(few.summary.outlet.value == fixtures::Near(many.summary.outlet.value, 0.01));
  CHECK(few.summary.relief == fixtures::Near(many.summary.relief, 0.05));
  double seen = 0.0;
  for (const Sample& s : few.samples) seen = std::max(seen, s.outlet);
  CHECK(few.summary.outlet.value >= seen);
}

TEST_CASE("Held at lock the relief valve is open until the end, a calm turn leaves it shut") {
  Order order;
  order.run = "lock-impact";
  const Ran lock = Run("calm", order);
  CHECK(lock.history.summary.relief > 0.5);
  order.run = "step";
  CHECK(Run("calm", order).history.summary.relief == 0.0);
}

TEST_CASE("A hand faster than the evaluated catch-up speed outruns the pump, a slow one does not") {
  const auto fitted = fixtures::PlainDemo("calm");
  const double catch_up = *Evaluate(fitted)[Output::kCatchUpLeft];  // [rad/s]
  const auto turned = [&](double times) {
    Order order;
    order.run = "ramp";
    const double angle = 3.0;  // [rad], far from lock
    order.amplitude = fmt::format("{} rad", angle);
    order.time = fmt::format("{} s", angle / (times * catch_up));
    return Run("calm", order).history.summary.outrun;
  };
  CHECK(turned(0.5) == 0.0);
  CHECK(turned(2.0) > 0.0);
}

TEST_CASE("Remarks say the pull by the rim's radius, and what is not known") {
  Order order;
  order.run = "step";
  Ran ran = Run("calm", order);
  const auto value = [&](std::string_view key) {
    for (const Remark& r : RemarksOn(ran.history, ran.ready.plant)) {
      if (r.key == key) return r.value;
    }
    FAIL("no such remark");
    return std::optional<double>();
  };
  REQUIRE(ran.ready.plant.rim_radius);
  CHECK(*value("peak_pull") * *ran.ready.plant.rim_radius == fixtures::Near(*value("peak_torque")));
  CHECK(value("relief") == 0.0);
  ran.ready.plant.rim_radius.reset();
  ran.ready.plant.plant.circuit.pump.relief.reset();
  CHECK(!value("peak_pull"));
  CHECK(!value("relief"));
}

}  // namespace
}  // namespace steerbench::simulate
