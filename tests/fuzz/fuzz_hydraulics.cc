// Any numbers as a circuit: a result within the promised residuals or a reason, never a crash.
#include <cmath>
#include <cstdint>

#include "engine/hydraulics/characteristic.h"
#include "engine/hydraulics/curves.h"
#include "fixtures/hydraulics_random.h"
#include "fuzz/bytes.h"

using namespace steerbench;
using namespace steerbench::hydraulics;
using fuzz::Require;

namespace {

// Puts any bit pattern, not-a-number among them, into one of the figures.
void Spoil(fixtures::RandomSetup& s, std::uint8_t which, double number) {
  Circuit<double>& c = s.circuit;
  double* const figures[] = {&c.fluid.hot.viscosity,   &c.fluid.density,
                             &c.pump.displacement,     &c.pump.leak,
                             &c.valve.stiffness,       &c.valve.stop,
                             &c.cylinder.area_a,       &c.valve.openings.centre,
                             &c.pressure_line.bore,    &c.pressure_line.length,
                             &c.return_line.bends,     &s.condition.rack_force,
                             &s.condition.rack_speed,  &s.condition.pump_speed,
                             &s.condition.temperature, &s.condition.currents[0]};
  constexpr std::size_t kFigures = sizeof figures / sizeof figures[0];
  if (which < kFigures) *figures[which] = number;
}

void CheckSolve(const fixtures::RandomSetup& s) {
  const auto solved = SolveSteady<double>(s.circuit, s.condition);
  if (!solved) {
    Require(Describe(solved.why()) != "unknown");
    return;
  }
  const double force = s.condition.rack_force;
  Require(solved->flow_residual < kFlowTolerance);
  Require(std::abs(solved->rack_force - force) <= kForceTolerance * (1.0 + std::abs(force)) + 1e-6);
  Require(std::isfinite(solved->torque) && std::isfinite(solved->heat));
}

// Whatever is asked of a traced circuit, as any travel per turn above zero.
void CheckTraced(const fixtures::RandomSetup& s, double number) {
  const auto traced = Characteristic::Trace(s.circuit, s.condition);
  if (!traced || !std::isfinite(number)) return;
  for (const double asked : {0.0, s.condition.rack_force, number}) {
    const auto pushed = traced->UnderForce(asked, s.circuit.cylinder.travel_per_radian);
    const auto turned = traced->AtTorque(asked);
    Require(std::isfinite(pushed.assist) && std::isfinite(pushed.outlet));
    Require(std::isfinite(turned.assist) && std::isfinite(turned.outlet));
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  fuzz::Bytes bytes(data, size);
  const double spread = bytes.Next<std::uint8_t>() % 2 ? 30.0 : 1.0;
  const auto which = bytes.Next<std::uint8_t>();
  const auto number = bytes.Next<double>();
  fixtures::Drawer drawer([&](double low, double high) { return bytes.Between(low, high); },
                          spread);
  fixtures::RandomSetup setup = drawer.Setup();
  Spoil(setup, which, number);
  CheckSolve(setup);
  (void)CatchUpAt<double>(setup.circuit, setup.condition);
  CheckTraced(setup, number);
  return 0;
}
