// Sources: each check names its own. 'Reference row' values were recomputed from the formula by
// separate Python code unless said otherwise.
#include "engine/tyre/standing.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include "engine/tyre/loads.h"
#include "fixtures/derivatives.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::tyre {
namespace {

using reference::Between;
using reference::Load;

constexpr double kLoad = 4000.0, kPressure = 220e3, kFriction = 0.7;

Standing<double> Example() {
  Standing<double> w;
  w.load = kLoad;
  w.pressure = kPressure;
  w.friction = kFriction;
  w.tyre_width = 0.195;
  w.scrub_radius = 0.02;
  w.mechanical_trail = 0.015;
  w.patch = *PatchFromPressure(kLoad, kPressure, 0.15);
  return w;
}

TEST_CASE("park-gough: (mu/3) sqrt(W^3/p)") {
  const reference::Row row = Load("park-gough");
  REFERENCE_CHECK(row, "M", GoughTorque(row.Input("mu"), row.Input("W"), row.Input("p")));
}

TEST_CASE("park-disc: uniform round patch") {
  const reference::Row row = Load("park-disc");
  const double mu = row.Input("mu"), load = row.Input("W"), pressure = row.Input("p");
  const double torque = DiscTorque(mu, load, pressure);
  REFERENCE_CHECK(row, "M", torque);
  REFERENCE_CHECK(row, "coefficient", torque / (mu * load * std::sqrt(load / pressure)));
  REFERENCE_CHECK(row, "patch_radius", 1.5 * torque / (mu * load));
}

TEST_CASE("park-b8: handbook formula with offset") {
  const reference::Row row = Load("park-b8");
  REFERENCE_CHECK(row, "M",
                  HandbookTorque(row.Input("mu"), row.Input("W"), row.Input("b"), row.Input("e")));
}

TEST_CASE("park-springer: a round patch with offset") {
  // The source takes g = 9.81 m/s^2. Its totals at 28 and 45 degrees add the weight lift: see
  // effort/wheel_test.cc.
  const reference::Row row = Load("park-springer");
  const double diameter = row.Input("patch_dia_a");
  Standing<double> w;
  w.load = row.Input("wheel_mass_load") * 9.81;
  w.pressure = w.load / (diameter * diameter * std::numbers::pi / 4.0);
  w.friction = row.Input("mu_e");
  w.tyre_width = diameter;
  w.scrub_radius = row.Input("offset_d");
  w.brake = Brake::kOn;
  const auto s = SpinTorqueStanding(w);
  REQUIRE(s);
  REFERENCE_CHECK(row, "MS", s->disc);
  REFERENCE_CHECK(row, "h", s->disc / (w.friction * w.load));
}

// The patch torque by summing over small squares: slow, and independent of the closed form.
double SummedTorque(double friction, double load, const Patch<double>& p, double behind,
                    double aside) {
  constexpr int n = 800;
  double sum = 0.0;
  for (int i = 0; i < n; ++i) {
    for (int j = 0; j < n; ++j) {
      const double x = behind + p.length * ((i + 0.5) / n - 0.5);
      const double y = aside + p.width * ((j + 0.5) / n - 0.5);
      sum += std::hypot(x, y);
    }
  }
  return friction * load * sum / (n * n);
}

TEST_CASE("patch torque equals the sum over the patch, wherever the turning point lies") {
  const Patch<double> patch{0.12, 0.15};
  for (const auto& [behind, aside] : std::vector<std::array<double, 2>>{
           {0.0, 0.0}, {0.02, -0.03}, {-0.06, 0.075}, {0.2, 0.1}, {0.06, 0.0}}) {
    CHECK(PatchTorque(0.8, 4000.0, patch, behind, aside) ==
          fixtures::Near(SummedTorque(0.8, 4000.0, patch, behind, aside), 1e-5));
  }
  // Mean distance from the middle of a unit square, (sqrt(2) + asinh(1)) / 6 = 0.3826 (Weisstein,
  // MathWorld, 'Square Point Picking'; from memory).
  CHECK(PatchTorque(1.0, 1.0, Patch<double>{1.0, 1.0}, 0.0, 0.0) ==
        fixtures::Near(0.382597858, 1e-8));
}

TEST_CASE("a free wheel: no force along it, and less torque than a held one") {
  // The derivation of the method page says that a freely rolling wheel turns about a point on the
  // line through its patch along the axle, beside which the friction along the wheel sums to
  // nothing. Summed here for a trail of 15 mm.
  const Patch<double> patch{0.12, 0.15};
  constexpr int n = 400;
  double along = 0.0;
  for (int i = 0; i < n; ++i) {
    for (int j = 0; j < n; ++j) {
      const double x = -0.015 + patch.length * ((i + 0.5) / n - 0.5);
      const double y = patch.width * ((j + 0.5) / n - 0.5);
      along += -y / std::hypot(x, y);
    }
  }
  CHECK(std::abs(along) / (n * n) < 1e-12);

  Standing<double> wheel = Example();
  wheel.scrub_radius = 0.06;
  wheel.brake = Brake::kOff;
  const auto off = SpinTorqueStanding(wheel);
  wheel.brake = Brake::kOn;
  const auto on = SpinTorqueStanding(wheel);
  REQUIRE((off && on));
  CHECK(on->gough > off->gough + 10.0);
  CHECK(*on->patch > *off->patch + 10.0);
  wheel.brake = Brake::kOff;
  wheel.scrub_radius = -0.2;
  CHECK(SpinTorqueStanding(wheel)->middle == off->middle);
}

TEST_CASE("all formulas lie within the spread") {
  const auto s = SpinTorqueStanding(Example());
  REQUIRE(s);
  for (const double m : {s->gough, s->disc, s->handbook, *s->patch}) {
    CHECK(std::abs(m - s->middle) <= s->half_spread * (1.0 + 1e-12));
  }
  CHECK(s->half_spread > 10.0);
}

TEST_CASE("standing torque rises with load and friction, falls with pressure, has no side") {
  CHECK(rc::check([] {
    Standing<double> w = Example();
    w.load = Between(500.0, 12000.0);
    w.pressure = Between(50e3, 600e3);
    w.friction = Between(0.05, 1.3);
    w.tyre_width = Between(0.1, 0.4);
    w.scrub_radius = Between(-0.1, 0.1);
    w.mechanical_trail = Between(-0.05, 0.05);
    w.brake = *rc::gen::element(Brake::kOff, Brake::kOn);
    const double tread = 0.8 * w.tyre_width;
    const auto middle = [tread](Standing<double> s) {
      s.patch = *PatchFromPressure(s.load, s.pressure, tread);
      return SpinTorqueStanding(s)->middle;
    };
    const double base = middle(w);
    Standing<double> other = w;
    other.load *= 1.01;
    RC_ASSERT(middle(other) > base);
    other = w;
    other.pressure *= 1.01;
    RC_ASSERT(middle(other) < base);
    other = w;
    other.friction *= 1.01;
    RC_ASSERT(middle(other) > base);
    other = w;
    other.scrub_radius = -w.scrub_radius;
    RC_ASSERT(std::abs(middle(other) - base) <= 1e-12 * base);
  }));
}

TEST_CASE("patch: area carries the load, and is told to be long") {
  const auto patch = PatchFromPressure(4000.0, 220e3, 0.15);
  REQUIRE(patch);
  CHECK(patch->length * patch->width * 220e3 == fixtures::Near(4000.0));
  CHECK_FALSE(IsLong(*patch, 0.3));
  CHECK(IsLong(Patch<double>{0.25, 0.15}, 0.3));
}

TEST_CASE("wheel loads: scales, centre of gravity") {
  const auto loads = LoadsFromScales(715.0, 585.0);
  REQUIRE(loads);
  CHECK(loads->front == fixtures::Near(715.0 * 9.80665));
  CHECK(CgToFront(*loads, 2.6) == fixtures::Near(2.6 * 0.45));
}

TEST_CASE("loads in a bend: nothing lost, outer wheels gain, lifting is said") {
  const auto rest = *LoadsFromScales(715.0, 585.0);
  const Transfer<double> transfer{0.52, 1.5, 1.48, 0.6};
  const auto bend = LoadsInBend(rest, transfer, 4.0);
  REQUIRE(bend);
  CHECK(bend->front.left + bend->front.right == fixtures::Near(rest.front));
  CHECK(bend->rear.left + bend->rear.right == fixtures::Near(rest.rear));
  const double moment = (bend->front.right - bend->front.left) * 1.5 / 2.0 +
                        (bend->rear.right - bend->rear.left) * 1.48 / 2.0;
  CHECK(moment == fixtures::Near(1300.0 * 4.0 * 0.52));
  CHECK(bend->front.right > bend->front.left);
  CHECK(LoadsInBend(rest, transfer, 20.0).why() == Problem::kWheelLifts);
  CHECK(LoadsInBend(rest, Transfer<double>{0.5, 0.0, 1.5, 0.5}, 1.0).why() == Problem::kNoTrack);
  CHECK(LoadsInBend(rest, Transfer<double>{0.5, 1.5, 1.5, 1.5}, 1.0).why() == Problem::kShare);
}

TEST_CASE("standing: derivatives equal central differences") {
  for (const Brake brake : {Brake::kOff, Brake::kOn}) {
    CHECK(ScaledDerivativesHold(
        [brake](const auto& x) {
          using T = std::decay_t<decltype(x[0])>;
          Standing<T> w;
          w.load = x[0];
          w.pressure = x[1];
          w.friction = x[2];
          w.tyre_width = x[3];
          w.scrub_radius = x[4];
          w.mechanical_trail = x[5];
          w.patch = *PatchFromPressure<T>(x[0], x[1], x[6]);
          w.brake = brake;
          const SpinTorque<T> s = *SpinTorqueStanding(w);
          return T(s.middle + 2.0 * s.half_spread + 3.0 * *s.patch);
        },
        {kLoad, kPressure, kFriction, 0.195, 0.02, 0.015, 0.15}));
  }
}

TEST_CASE("no scrub and no trail: derivatives stay finite") {
  Standing<Jet> w;
  w.load = Jet(4000.0, 0);
  w.pressure = Jet(220e3, 1);
  w.friction = Jet(0.7, 2);
  w.tyre_width = Jet(0.195, 3);
  w.scrub_radius = Jet(0.0, 4);
  w.mechanical_trail = Jet(0.0, 5);
  w.patch = *PatchFromPressure<Jet>(w.load, w.pressure, Jet(0.15, 6));
  w.brake = Brake::kOn;
  const auto s = SpinTorqueStanding(w);
  REQUIRE(s);
  CHECK(s->middle.v.allFinite());
  CHECK(s->half_spread.v.allFinite());
  CHECK(s->patch->v.allFinite());
}

TEST_CASE("hostile numbers give a reason") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double inf = std::numeric_limits<double>::infinity();
  for (const double bad : {0.0, -1.0, nan, inf, -inf}) {
    Standing<double> w = Example();
    w.load = bad;
    CHECK(SpinTorqueStanding(w).why() == Problem::kNoLoad);
    w = Example();
    w.pressure = bad;
    CHECK(SpinTorqueStanding(w).why() == Problem::kNoPressure);
    w = Example();
    w.friction = bad;
    CHECK(SpinTorqueStanding(w).why() == Problem::kNoFriction);
    w = Example();
    w.patch->length = bad;
    CHECK(SpinTorqueStanding(w).why() == Problem::kNoLength);
    CHECK(LoadsFromScales(bad, 500.0).why() == Problem::kNoMass);
  }
  Standing<double> w = Example();
  w.scrub_radius = nan;
  CHECK(SpinTorqueStanding(w).why() == Problem::kNotFinite);
  w = Example();
  w.load = 1e300;
  CHECK(SpinTorqueStanding(w).why() == Problem::kNotFinite);
  CHECK(Describe(Problem::kNotFinite).size() > 10);
}

TEST_CASE("any numbers at all: a finite answer or a reason") {
  CHECK(rc::check([] {
    const auto any = [] {
      return *rc::gen::weightedOneOf<double>(
          {{1, rc::gen::element(0.0, -1.0, 1e-300, 1e300, std::nan(""), HUGE_VAL)},
           {4, rc::gen::map(rc::gen::inRange(-3000, 6000),
                            [](int e) { return std::pow(10.0, e / 1000.0); })}});
    };
    const Standing<double> w{
        any(), any(), any(), any(), any(), any(), Patch<double>{any(), any()}, Brake::kOn};
    const auto s = SpinTorqueStanding(w);
    if (s) RC_ASSERT(std::isfinite(s->middle) && std::isfinite(s->half_spread) && s->middle > 0.0);
    if (!s) RC_ASSERT(Describe(s.why()) != "unknown");
  }));
}

}  // namespace
}  // namespace steerbench::tyre
