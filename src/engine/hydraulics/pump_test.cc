#include "engine/hydraulics/pump.h"

#include <doctest/doctest.h>

#include <cmath>

#include "fixtures/hydraulics.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::hydraulics {
namespace {

using fixtures::kBar;
using fixtures::kLitrePerMinute;
using fixtures::kRpm;
using reference::Between;

FluidState<double> WarmOil() { return StateAt<double>(fixtures::Oil<double>(), 343.15); }

double DeliveredAt(const Pump<double>& pump, double speed, double pressure) {
  return Delivered<double>(MakePump<double>(pump, speed, WarmOil(), kAtmosphere), pressure).flow;
}

}  // namespace

TEST_CASE("pump: flow from displacement, speed and volumetric efficiency, power and torque") {
  const reference::Row row = reference::Load("pump-flow");
  const FluidState<double> oil = WarmOil();
  Pump<double> pump;
  pump.displacement = row.Input("V");
  pump.efficiency = row.Input("eta_hm");
  const double speed = row.Input("n"), pressure = row.Input("p");
  // The row gives the leak as a volumetric efficiency: one bench reading.
  const double measured = pump.displacement * speed * row.Input("eta_v");
  pump.leak = LeakFrom<double>(pump.displacement, {{speed, pressure, oil.dynamic, measured}});
  const auto law = MakePump<double>(pump, speed, oil, kAtmosphere);
  const double flow = Delivered<double>(law, pressure).flow;
  REFERENCE_CHECK(row, "Q", flow);
  REFERENCE_CHECK(row, "P_hyd", flow * pressure);
  const auto state = PumpStateAt<double>(pump, law, speed, oil, kAtmosphere, pressure, flow);
  REFERENCE_CHECK(row, "T", state.shaft_torque);
}

TEST_CASE("pump: displacement and leak come back from two readings") {
  rc::check([] {
    const double displacement = Between(1e-6, 3e-6), leak = Between(1e-15, 1e-13);
    const auto reading = [&](double speed, double pressure, double viscosity) {
      return PumpReading<double>{speed, pressure, viscosity,
                                 displacement * speed - leak * pressure / viscosity};
    };
    const auto both = PumpFrom<double>({reading(Between(50.0, 100.0), Between(1e5, 2e6), 0.02),
                                        reading(Between(60.0, 120.0), Between(5e6, 9e6), 0.015)});
    RC_ASSERT(both.has_value());
    RC_ASSERT(std::abs(both->displacement / displacement - 1.0) < 1e-9);
    RC_ASSERT(std::abs(both->leak / leak - 1.0) < 1e-6);
  });
  // More readings than needed: each off by as much as another is off the other way.
  const PumpReading<double> slow{60.0, 2e6, 0.02, 1e-4}, fast{90.0, 8e6, 0.02, 1.4e-4};
  PumpReading<double> above = fast, below = fast;
  above.flow += 1e-6;
  below.flow -= 1e-6;
  const auto two = PumpFrom<double>({slow, fast}), three = PumpFrom<double>({slow, above, below});
  CHECK(three->displacement == fixtures::Near(two->displacement));
  CHECK(three->leak == fixtures::Near(two->leak));
  CHECK(LeakFrom<double>(1.8e-6, {above, below}) ==
        fixtures::Near(LeakFrom<double>(1.8e-6, {fast})));
  const PumpReading<double> once = {80.0, 5e6, 0.02, 1e-4};
  CHECK_FALSE(PumpFrom<double>({once, once}).has_value());
}

TEST_CASE("flow control: rises with speed, then holds, then droops as stated") {
  Pump<double> pump = fixtures::VanePump<double>();
  pump.inlet.reset();
  pump.leak = 0.0;
  // Textbook characteristic (e.g. Merritt 1967 chapter 7 on flow regulation): V n up to the set
  // flow, constant above. 9.6 cm^3/rev reaches 8 L/min at 833 rpm.
  CHECK(DeliveredAt(pump, 500.0 * kRpm, 0.0) == fixtures::Near(4.8 * kLitrePerMinute));
  CHECK(DeliveredAt(pump, 1200.0 * kRpm, 0.0) == fixtures::Near(8.0 * kLitrePerMinute));
  CHECK(DeliveredAt(pump, 6000.0 * kRpm, 0.0) == fixtures::Near(8.0 * kLitrePerMinute));
  // The corner is rounded by less than a percent.
  CHECK(DeliveredAt(pump, 833.3 * kRpm, 0.0) > 0.99 * 8.0 * kLitrePerMinute);
  pump.flow_control->droop = 2.0 * kLitrePerMinute / (5000.0 * kRpm);
  CHECK(DeliveredAt(pump, 5900.0 * kRpm, 0.0) == fixtures::Near(6.0 * kLitrePerMinute));
  // From the spring and the metering orifice: Cd A sqrt(2 dp/rho), the reference row's own figures.
  const reference::Row row = reference::Load("orifice");
  REFERENCE_CHECK(
      row, "Q",
      RegulatedFlow<double>(row.Input("A"), row.Input("Cd"), row.Input("dp"), row.Input("rho")));
}

TEST_CASE("relief valve: shut to cracking, all the stated flow at full pressure, falling between") {
  Pump<double> pump = fixtures::VanePump<double>();
  pump.inlet.reset();
  pump.leak = 0.0;
  const auto law = MakePump<double>(pump, 1500.0 * kRpm, WarmOil(), kAtmosphere);
  CHECK(ReliefFlow<double>(law, 85.0 * kBar) == 0.0);
  CHECK(ReliefFlow<double>(law, 84.9 * kBar) == 0.0);
  CHECK(ReliefFlow<double>(law, 95.0 * kBar) == fixtures::Near(8.0 * kLitrePerMinute));
  CHECK(std::abs(Delivered<double>(law, 95.0 * kBar).flow) < 1e-12);
  double before = Delivered<double>(law, 0.0).flow;
  for (double bar = 1.0; bar < 110.0; bar += 0.5) {
    const FlowPoint<double> at = Delivered<double>(law, bar * kBar);
    CHECK(at.flow <= before);
    CHECK(at.slope <= 0.0);
    before = at.flow;
  }
}

TEST_CASE("inlet: cold oil through a clogged strainer starves the pump and makes it growl") {
  Pump<double> pump = fixtures::VanePump<double>();
  pump.inlet->hose.resistance = 1e10;
  const double speed = 1500.0 * kRpm;
  const auto state_at = [&](double temperature) {
    const FluidState<double> oil = StateAt<double>(fixtures::Oil<double>(), temperature);
    const auto law = MakePump<double>(pump, speed, oil, kAtmosphere);
    const double flow = Delivered<double>(law, 10.0 * kBar).flow;
    return PumpStateAt<double>(pump, law, speed, oil, kAtmosphere, 10.0 * kBar, flow);
  };
  const PumpState<double> warm = state_at(353.15);
  CHECK_FALSE(warm.marks.Has(Mark::kInletNoise));
  CHECK_FALSE(warm.marks.Has(Mark::kInletStarved));
  const PumpState<double> cold = state_at(258.15);
  CHECK(cold.marks.Has(Mark::kInletNoise));
  CHECK(cold.marks.Has(Mark::kInletStarved));
  CHECK(cold.inlet_pressure >= 0.999 * pump.inlet->filling_limit);
}

TEST_CASE("pump: overspeed and standstill are said") {
  const Pump<double> pump = fixtures::VanePump<double>();
  const FluidState<double> oil = WarmOil();
  const auto marks_at = [&](double speed) {
    const auto law = MakePump<double>(pump, speed, oil, kAtmosphere);
    return PumpStateAt<double>(pump, law, speed, oil, kAtmosphere, 0.0, 0.0).marks;
  };
  CHECK(marks_at(7100.0 * kRpm).Has(Mark::kOverspeed));
  CHECK_FALSE(marks_at(6900.0 * kRpm).Has(Mark::kOverspeed));
  CHECK(marks_at(0.0).Has(Mark::kNoAssist));
}

TEST_CASE("delivery: its slope and its derivatives are those of its values") {
  rc::check([] {
    const auto delivered = []<class T>(const std::vector<T>& x) {
      Pump<T> pump = fixtures::VanePump<T>();
      pump.displacement *= x[0];
      pump.leak *= x[1];
      pump.flow_control->flow *= x[2];
      pump.relief->cracking *= x[3];
      const FluidState<T> oil = StateAt<T>(fixtures::Oil<T>(), T(343.0 * x[4]));
      const auto law = MakePump<T>(pump, T(95.0 * x[5]), oil, T(kAtmosphere));
      return T(1e4 * Delivered<T>(law, T(8.5e6 * x[6])).flow);
    };
    std::vector<double> at;
    for (int i = 0; i < 7; ++i) at.push_back(Between(0.85, 1.15));
    RC_ASSERT(reference::DerivativesHold(delivered, at, 1e-3));
  });
}

}  // namespace steerbench::hydraulics
