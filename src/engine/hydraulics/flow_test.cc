// Orifices and lines.
#include <doctest/doctest.h>

#include <cmath>

#include "engine/hydraulics/line.h"
#include "fixtures/hydraulics.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::hydraulics {
namespace {

using reference::Between;

// An oil of given density and kinematic viscosity.
FluidState<double> OilOf(double density, double kinematic) {
  return {density, kinematic, density * kinematic, {}};
}

constexpr double kNoViscosity = 1e-16;  // [m^2/s] so thin that the square-root law alone is left

}  // namespace

TEST_CASE("orifice: the square-root law where flow is turbulent (Merritt 1967)") {
  const reference::Row row = reference::Load("orifice");
  const double area = row.Input("A"), rho = row.Input("rho"), drop = row.Input("dp");
  const auto law = MakeRoundOrifice<double>(area, row.Input("Cd"), OilOf(rho, kNoViscosity));
  REFERENCE_CHECK(row, "Q", FlowThrough<double>(law, drop).flow);
  // With a warm oil's viscosity the laminar share takes off less than a thousandth.
  const auto real = MakeRoundOrifice<double>(area, row.Input("Cd"), OilOf(rho, 10e-6));
  const double flow = FlowThrough<double>(real, drop).flow;
  CHECK(flow < row.Expected("Q"));
  CHECK(flow > 0.999 * row.Expected("Q"));
}

TEST_CASE("orifice: Merritt's laminar law near zero, Cd = delta sqrt(Re)") {
  const FluidState<double> oil = OilOf(850.0, 30e-6);
  const double area = 1e-6, diameter = std::sqrt(4.0 * area / M_PI);
  const auto law = MakeRoundOrifice<double>(area, kSharpEdge, oil);
  const double drop = 0.01;  // [Pa] the kinetic loss is 1.4e-4 of the viscous one
  const double flow = FlowThrough<double>(law, drop).flow;
  const double reynolds = flow * diameter / (area * oil.kinematic);
  const double coefficient = flow / (area * std::sqrt(2.0 * drop / oil.density));
  CHECK(coefficient == fixtures::Near(0.2 * std::sqrt(reynolds), 1e-4));
}

TEST_CASE("orifice: closed passes nothing, both ways invert, odd, slope finite and right") {
  const FluidState<double> oil = OilOf(850.0, 20e-6);
  CHECK(FlowThrough<double>(MakeRoundOrifice<double>(0.0, 0.61, oil), 1e7).flow == 0.0);
  const auto law = MakeRoundOrifice<double>(1e-6, 0.61, oil);
  CHECK(FlowThrough<double>(law, 0.0).flow == 0.0);
  CHECK(std::isfinite(FlowThrough<double>(law, 0.0).slope));
  rc::check([&] {
    const double drop = std::pow(10.0, Between(-3.0, 8.0));
    const FlowPoint<double> at = FlowThrough<double>(law, drop);
    RC_ASSERT(std::abs(DropAt<double>(law, at.flow) / drop - 1.0) < 1e-12);
    RC_ASSERT(FlowThrough<double>(law, -drop).flow == -at.flow);
    const double h = 1e-6 * drop;
    const double slope =
        (FlowThrough<double>(law, drop + h).flow - FlowThrough<double>(law, drop - h).flow) /
        (2 * h);
    RC_ASSERT(std::abs(at.slope / slope - 1.0) < 1e-6);
  });
}

TEST_CASE("line: Hagen-Poiseuille while laminar") {
  const reference::Row row = reference::Load("line-laminar");
  const Line<double> pipe = {row.Input("L"), row.Input("d"), 0.0, 0.0};
  const auto law = MakeLine<double>(pipe, OilOf(row.Input("rho"), row.Input("nu")));
  const double flow = row.Input("Q");
  REFERENCE_CHECK(row, "velocity", flow / RingArea<double>(pipe.bore, 0.0));
  REFERENCE_CHECK(row, "Re", flow * law.reynolds);
  REFERENCE_CHECK(row, "dp", DropAt<double>(law, flow).drop);
}

TEST_CASE("line: Darcy-Weisbach with Blasius' friction while turbulent") {
  const reference::Row row = reference::Load("line-turbulent");
  const Line<double> pipe = {row.Input("L"), row.Input("d"), 0.0, 0.0};
  const auto law = MakeLine<double>(pipe, OilOf(row.Input("rho"), row.Input("nu")));
  const double flow = row.Input("Q");
  REFERENCE_CHECK(row, "Re", flow * law.reynolds);
  REFERENCE_CHECK(row, "f", FrictionFactor<double>(flow * law.reynolds));
  REFERENCE_CHECK(row, "dp", DropAt<double>(law, flow).drop);
}

TEST_CASE("line: bends and a strainer add their own losses") {
  const FluidState<double> oil = OilOf(850.0, 30e-6);
  const Line<double> pipe = {0.0, 0.010, 2.0, 1e10};
  const double flow = 1e-4, speed = flow / RingArea<double>(pipe.bore, 0.0);
  // K rho v^2/2 (any text), and resistance x viscosity x flow by definition.
  const double expected = 2.0 * 850.0 * speed * speed / 2.0 + 1e10 * oil.dynamic * flow;
  CHECK(DropAt<double>(MakeLine<double>(pipe, oil), flow).drop == fixtures::Near(expected));
}

TEST_CASE("line: no jump in loss or slope at either end of the transition, rising throughout") {
  const auto law = MakeLine<double>({2.0, 0.008, 0.0, 0.0}, OilOf(850.0, 5e-6));
  for (const double reynolds : {kLaminarEnd, kTurbulentStart}) {
    const double flow = reynolds / law.reynolds;
    const DropPoint<double> below = DropAt<double>(law, flow * (1.0 - 1e-9));
    const DropPoint<double> above = DropAt<double>(law, flow * (1.0 + 1e-9));
    CHECK(above.drop == fixtures::Near(below.drop, 1e-7));
    CHECK(above.slope == fixtures::Near(below.slope, 1e-5));
  }
  double before = 0.0;
  for (int i = 1; i <= 1000; ++i) {
    const double drop = DropAt<double>(law, 10.0 * i / law.reynolds).drop;
    CHECK(drop > before);
    before = drop;
  }
}

TEST_CASE("line: flow from loss inverts loss from flow, in every regime and with derivatives") {
  rc::check([] {
    const Line<double> pipe = {Between(0.1, 3.0), Between(0.004, 0.012), Between(0.0, 10.0),
                               Between(0.0, 1e10)};
    const auto law = MakeLine<double>(pipe, OilOf(850.0, std::pow(10.0, Between(-6.0, -3.5))));
    const double reynolds = std::pow(10.0, Between(-2.0, 5.0));
    const double flow = reynolds / law.reynolds;
    const FlowPoint<double> back = FlowThrough<double>(law, DropAt<double>(law, flow).drop);
    RC_ASSERT(std::abs(back.flow / flow - 1.0) < 1e-12);
    RC_ASSERT(FlowThrough<double>(law, -DropAt<double>(law, flow).drop).flow == -back.flow);
  });
  rc::check([] {
    const auto flow = []<class T>(const std::vector<T>& x) {
      FluidState<T> oil{T(850.0 * x[0]), T(1e-5 * x[1]), T(850.0 * 1e-5 * x[0] * x[1]), {}};
      const Line<T> pipe = {T(1.5 * x[2]), T(0.007 * x[3]), T(3.0), T(1e9)};
      return T(1e4 * FlowThrough<T>(MakeLine<T>(pipe, oil), T(3e5 * x[4])).flow);
    };
    RC_ASSERT(reference::DerivativesHold(flow,
                                         {Between(0.9, 1.1), Between(0.2, 3.0), Between(0.5, 2.0),
                                          Between(0.6, 1.5), Between(-2.0, -0.01)},
                                         1e-4));
  });
}

}  // namespace steerbench::hydraulics
