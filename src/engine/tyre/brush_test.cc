#include "engine/tyre/brush.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "fixtures/derivatives.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::tyre {
namespace {

using reference::Between;
using reference::Load;

constexpr double kDegree = std::numbers::pi / 180.0;

// Cornering stiffness [N/rad] from bristle stiffness per length [N/m^2] and half length [m].
double StiffnessOf(double bristle, double half_length) {
  return 2.0 * bristle * half_length * half_length;
}

// The tyre of the reference rows: a = 60 mm, cp = 11 MN/m^2, 4000 N, friction 1.
Brush<double> Example() { return {StiffnessOf(11e6, 0.06), 0.06, 4000.0, 1.0}; }

Brush<double> FromRow(const reference::Row& row) {
  const double a = row.Input("half_length_a");
  return {StiffnessOf(row.Input("bristle_stiffness_cp"), a), a, row.Input("Fz"), row.Input("mu")};
}

// Side force and moment by summing bristles from the leading edge: each one leans with the
// distance since it touched, and slides once that asks more than the local friction.
struct Sum {
  double side = 0.0, aligning = 0.0;
};
Sum SumBristles(const Brush<double>& t, double slip) {
  constexpr int n = 200'000;
  const double a = t.half_length;
  const double bristle = t.cornering_stiffness / (2.0 * a * a);
  Sum sum;
  for (int i = 0; i < n; ++i) {
    const double x = a * (1.0 - 2.0 * (i + 0.5) / n);  // ahead of the middle
    const double lean = -std::tan(slip) * (a - x);
    const double pressure = 0.75 * t.load / a * (1.0 - x * x / (a * a));
    const double most = t.friction * pressure;
    const double stress = std::clamp(bristle * lean, -most, most);
    sum.side += stress * 2.0 * a / n;
    sum.aligning += x * stress * 2.0 * a / n;
  }
  return sum;
}

TEST_CASE("brush-1, brush-3: force, moment and trail at 1 and 3 degrees") {
  for (const char* id : {"brush-1", "brush-3"}) {
    const reference::Row row = Load(id);
    const Brush<double> t = FromRow(row);
    REFERENCE_CHECK(row, "Cf_alpha", t.cornering_stiffness);
    const auto f = ForceAtSlip(t, row.Input("slip_angle"));
    REQUIRE(f);
    REFERENCE_CHECK(row, "theta", f->slip_used / std::tan(row.Input("slip_angle")));
    REFERENCE_CHECK(row, "Fy", -f->side);
    REFERENCE_CHECK(row, "Mz_abs", f->aligning);
    REFERENCE_CHECK(row, "trail", f->trail);
  }
}

TEST_CASE("brush-limits: trail at no slip, sliding, largest moment") {
  const reference::Row row = Load("brush-limits");
  const Brush<double> t = FromRow(row);
  REFERENCE_CHECK(row, "trail_zero_slip", ForceAtSlip(t, 0.0)->trail);
  // The share of the slip that is used goes as its tangent; all slides from 1, the moment is
  // largest at 1/4.
  constexpr double kAny = 0.01;  // [rad]
  const double sliding = std::tan(kAny) / ForceAtSlip(t, kAny)->slip_used;
  REFERENCE_CHECK(row, "slide_angle", std::atan(sliding));
  const double at_peak = std::atan(sliding / 4.0);
  REFERENCE_CHECK(row, "alpha_at_peak", at_peak);
  const double peak = ForceAtSlip(t, at_peak)->aligning;
  REFERENCE_CHECK(row, "Mz_peak", peak);
  CHECK(ForceAtSlip(t, at_peak * 0.99)->aligning < peak);
  CHECK(ForceAtSlip(t, at_peak * 1.01)->aligning < peak);
}

TEST_CASE("brush equals the sum of its bristles, up to full sliding") {
  for (const double degrees : {-20.0, -5.0, -0.3, 0.5, 1.0, 3.0, 6.0, 8.6, 9.0, 30.0}) {
    CAPTURE(degrees);
    const auto f = ForceAtSlip(Example(), degrees * kDegree);
    const Sum sum = SumBristles(Example(), degrees * kDegree);
    CHECK(f->side == fixtures::Near(sum.side, 1e-6));
    CHECK(std::abs(f->aligning - sum.aligning) < 1e-5);
    const double trail = -sum.aligning / sum.side;
    CHECK(std::abs(f->trail - trail) < 1e-6 * trail + 1e-14);  // [m] none where all slides
  }
}

TEST_CASE("brush: within the grip, odd in slip, never gives energy") {
  CHECK(rc::check([] {
    const Brush<double> t{Between(1e3, 3e5), Between(0.02, 0.15), Between(300.0, 12000.0),
                          Between(0.05, 1.5)};
    const double slip = Between(0.0, 1.5);
    const auto f = ForceAtSlip(t, slip), g = ForceAtSlip(t, -slip);
    RC_ASSERT(f && g);
    RC_ASSERT(std::abs(f->side) <= t.friction * t.load * (1.0 + 1e-12));
    RC_ASSERT(f->side * slip <= 0.0);
    RC_ASSERT(f->side == -g->side && f->aligning == -g->aligning && f->trail == g->trail);
    RC_ASSERT(f->trail <= t.half_length / 3.0 * (1.0 + 1e-12) && f->trail >= 0.0);
  }));
}

TEST_CASE("brush: derivatives equal central differences") {
  for (const double slip : {-0.02, 0.05, 0.3}) {
    CHECK(ScaledDerivativesHold(
        [](const auto& x) {
          using T = std::decay_t<decltype(x[0])>;
          const auto f = ForceAtSlip(Brush<T>{x[0], x[1], x[2], x[3]}, x[4]);
          return T(f->side + 100.0 * f->aligning + 1e4 * f->trail);
        },
        {79200.0, 0.06, 4000.0, 1.0, slip}));
  }
}

TEST_CASE("brush: hostile numbers give a reason") {
  for (const double bad : {0.0, -1.0, std::nan(""), HUGE_VAL}) {
    CHECK(ForceAtSlip(Brush<double>{bad, 0.06, 4000.0, 1.0}, 0.1).why() == Problem::kNoStiffness);
    CHECK(ForceAtSlip(Brush<double>{8e4, bad, 4000.0, 1.0}, 0.1).why() == Problem::kNoLength);
    CHECK(ForceAtSlip(Brush<double>{8e4, 0.06, bad, 1.0}, 0.1).why() == Problem::kNoLoad);
    CHECK(ForceAtSlip(Brush<double>{8e4, 0.06, 4000.0, bad}, 0.1).why() == Problem::kNoFriction);
  }
  CHECK(ForceAtSlip(Example(), 2.0).why() == Problem::kNotFinite);
  CHECK(ForceAtSlip(Example(), std::nan("")).why() == Problem::kNotFinite);
}

}  // namespace
}  // namespace steerbench::tyre
