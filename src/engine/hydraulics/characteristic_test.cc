#include "engine/hydraulics/characteristic.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "engine/hydraulics/steady.h"
#include "fixtures/hydraulics.h"
#include "fixtures/hydraulics_random.h"
#include "fixtures/near.h"
#include "fixtures/slower.h"

namespace steerbench::hydraulics {
namespace {

// How far a circuit is missed by what was traced of it, as shares of its highest pressure.
struct Missed {
  double assist = 0.0, outlet = 0.0;
  int compared = 0, doubted = 0, silent = 0;

  void Add(const Circuit<double>& circuit, const SteadyState<double>& solved,
           const Characteristic::Point& found) {
    constexpr double kLeast = 1e5;  // [Pa] below which a pressure is none
    const double highest = std::max(solved.outlet, kLeast);
    const double area = std::max(circuit.cylinder.area_a, circuit.cylinder.area_b);
    assist = std::max(assist, std::abs(found.assist - solved.assist) / (area * highest));
    outlet = std::max(outlet, std::abs(found.outlet - solved.outlet) / highest);
    ++compared;
    // What casts doubt on a solve does on what is looked up; a line's flow may change its kind
    // between the two solves that are looked at.
    constexpr auto kLines = static_cast<std::uint32_t>(Mark::kTransition) |
                            static_cast<std::uint32_t>(Mark::kBeyondBlasius);
    const std::uint32_t doubts = DoubtsOf(solved.marks).bits;
    doubted += doubts != 0 ? 1 : 0;
    silent += (doubts & kLines & ~found.doubts.bits) != 0 ? 1 : 0;
    const double corner =
        std::abs(std::abs(solved.twist) - circuit.valve.openings.log_area.x.back());
    if (corner < 1e-3 * circuit.valve.stop) return;  // on either side of its last point
    CHECK((doubts & ~kLines) == (found.doubts.bits & ~kLines));
  }
};

// At forces and at torques, either way.
void Compare(const Circuit<double>& circuit, Condition<double> condition,
             const Characteristic& traced, Missed& missed) {
  constexpr int kSteps = 10;
  const double most_force = condition.rack_force;
  const double most_torque = 1.5 * circuit.valve.stiffness * circuit.valve.stop;
  for (int k = -kSteps; k <= kSteps; ++k) {
    condition.rack_force = most_force * k / kSteps;
    const auto pushed = SolveSteady<double>(circuit, condition);
    if (pushed && !pushed->marks.Has(Mark::kUnsteadyBalance)) {
      missed.Add(circuit, *pushed,
                 traced.UnderForce(condition.rack_force, circuit.cylinder.travel_per_radian));
    }
    const double torque = most_torque * k / kSteps;
    const auto turned = SolveAtTorque<double>(circuit, condition, torque);
    if (turned && !turned->marks.Has(Mark::kUnsteadyBalance)) {
      missed.Add(circuit, *turned, traced.AtTorque(torque));
    }
  }
}

TEST_CASE("What is looked up is what would be solved") {
  constexpr int kCircuits = 2000 / fixtures::kSlower;
  for (const double spread : {1.0, 30.0}) {
    CAPTURE(spread);
    std::mt19937_64 engine(20261130);
    const auto draw = [&engine](double low, double high) {
      return std::uniform_real_distribution<double>(low, high)(engine);
    };
    fixtures::Drawer drawer(draw, spread);
    int traced = 0;
    Missed missed;
    for (int i = 0; i < kCircuits; ++i) {
      fixtures::RandomSetup setup = drawer.Setup();
      setup.condition.rack_speed = 0.0;
      const auto c = Characteristic::Trace(setup.circuit, setup.condition);
      if (!c) continue;
      ++traced;
      Compare(setup.circuit, setup.condition, *c, missed);
    }
    MESSAGE("spread ", spread, ": traced ", traced, " of ", kCircuits, ", compared ",
            missed.compared, ", assistance missed by ", missed.assist, ", pressure by ",
            missed.outlet);
    constexpr double kMost = 5.0 * kTraced;  // a sharp corner inside a piece, a few in 100,000
    CHECK(missed.assist < kMost);
    CHECK(missed.doubted > missed.compared / 100);
    CHECK(missed.silent <= missed.doubted / 1000);
    CHECK(missed.outlet < kMost);
    CHECK(traced > kCircuits / 2);
    CHECK(missed.compared > 30 * traced);
    if (spread == 1.0) CHECK(traced > 0.99 * kCircuits);
  }
}

TEST_CASE("Traced past its stop, the oil rests and the hand carries the rest") {
  const Circuit<double> circuit = fixtures::DemoCircuit<double>();
  const Condition<double> condition = fixtures::AtIdle<double>();
  const auto c = Characteristic::Trace(circuit, condition);
  REQUIRE(c);
  const double stop = circuit.valve.stiffness * circuit.valve.stop;
  const auto at = c->AtTorque(20.0 * stop), further = c->AtTorque(30.0 * stop);
  CHECK(further.assist == at.assist);
  CHECK(further.outlet == at.outlet);
  CHECK(further.twist > at.twist);
  // What the rack is pushed with is oil and hand together, wherever one looks.
  const double turn = circuit.cylinder.travel_per_radian;
  for (const double force : {-9000.0, -800.0, 0.0, 1500.0, 20000.0}) {
    const auto point = c->UnderForce(force, turn);
    const double hand = TwistTorque<double>(circuit.valve, point.twist).torque / turn;
    CHECK(point.assist + hand == fixtures::Near(force, 1e-6));
  }
}

TEST_CASE("Nothing is traced of what cannot be worked with") {
  Circuit<double> circuit = fixtures::DemoCircuit<double>();
  Condition<double> condition = fixtures::AtIdle<double>();
  circuit.valve.stiffness = 0.0;
  CHECK_FALSE(Characteristic::Trace(circuit, condition));
  circuit = fixtures::DemoCircuit<double>();
  condition.temperature = std::nan("");
  CHECK_FALSE(Characteristic::Trace(circuit, condition));
}

}  // namespace
}  // namespace steerbench::hydraulics
