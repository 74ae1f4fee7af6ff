#include "engine/belt/tension.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <numbers>

#include "fixtures/derivatives.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::belt {
namespace {

using reference::Between;
using reference::Load;

TEST_CASE("belt-tension: Eytelwein with centrifugal tension") {
  const reference::Row row = Load("belt-tension");
  const double wrap = std::numbers::pi +
                      2.0 * std::asin((row.Input("D") + row.Input("d")) / (2.0 * row.Input("C")));
  REFERENCE_CHECK(row, "theta", wrap);  // a crossed flat belt, no run of ours
  const auto t =
      LeastTensions(row.Input("P"), row.Input("v"), row.Input("m"), row.Input("mu"), wrap);
  REQUIRE(t);
  REFERENCE_CHECK(row, "T1", t->tight);
  REFERENCE_CHECK(row, "T2", t->slack);
}

TEST_CASE("belt-vrib: wedge action") {
  const reference::Row row = Load("belt-vrib");
  const double friction = WedgedFriction(row.Input("mu"), row.Input("groove_angle"));
  REFERENCE_CHECK(row, "mu_eff", friction);
  const auto t = LeastTensions(row.Input("P"), row.Input("v"), 0.0, friction, row.Input("wrap"));
  REQUIRE(t);
  REFERENCE_CHECK(row, "ratio", t->ratio);
  REFERENCE_CHECK(row, "Te", t->effective);
  REFERENCE_CHECK(row, "T1_min", t->tight);
  REFERENCE_CHECK(row, "T2_min", t->slack);
}

TEST_CASE("belt-pk: width of six ribs") {
  const reference::Row row = Load("belt-pk");
  REFERENCE_CHECK(row, "belt_width_nominal", row.Input("ribs") * kPkRibPitch);
}

std::vector<Pulley<double>> FourPulleys() {
  return {{{0.0, 0.0}, 0.077},
          {{0.22, 0.23}, 0.064},
          {{0.04, 0.19}, 0.03, Face::kBack},
          {{-0.17, 0.25}, 0.032}};
}

Drive<double> ExampleDrive() {
  Drive<double> d;
  d.power = {0.0, 1200.0, 0.0, 800.0};
  d.speed = 12.0;
  d.tension = 300.0;
  return d;
}

Belt<double> ExampleBelt() { return {0.1, 0.8, 0.3, 6.0}; }

TEST_CASE("equilibrium: every pulley takes its power, a bolted belt keeps its mean tension") {
  CHECK(rc::check([] {
    const auto pulleys = FourPulleys();
    const auto path = PathOver(pulleys);
    Drive<double> d = ExampleDrive();
    d.in_list_order = *rc::gen::arbitrary<bool>();
    d.power[1] = Between(0.0, 2000.0);
    d.power[3] = Between(0.0, 1500.0);
    const auto l = LoadOn(pulleys, *path, ExampleBelt(), d);
    if (!l) {
      RC_ASSERT(l.why().problem == Problem::kSlack);
      return;
    }
    const double s = d.in_list_order ? 1.0 : -1.0;
    double lengths = 0.0, weighted = 0.0;
    for (std::size_t i = 0; i < 4; ++i) {
      const double taken = s * (l->tension[i] - l->tension[(i + 3) % 4]) * d.speed;
      const double expected = i == 0 ? -(d.power[1] + d.power[3]) : d.power[i];
      RC_ASSERT(std::abs(taken - expected) < 1e-6);
      lengths += path->span[i];
      weighted += path->span[i] * l->tension[i];
    }
    RC_ASSERT(std::abs(weighted / lengths - 300.0) < 1e-9);
  }));
}

TEST_CASE("a sprung tensioner holds the tension beside it") {
  Drive<double> d = ExampleDrive();
  d.tensioning = Tensioning::kSprung;
  d.tensioner = 2;
  const auto path = PathOver(FourPulleys());
  const auto l = LoadOn(FourPulleys(), *path, ExampleBelt(), d);
  REQUIRE(l);
  CHECK(l->tension[1] == fixtures::Near(300.0));
  CHECK(l->tension[2] == fixtures::Near(300.0));
  CHECK(l->tension[0] == fixtures::Near(200.0));
  CHECK(l->tension[3] == fixtures::Near(300.0 + 800.0 / 12.0));
  CHECK(l->per_rib == fixtures::Near(l->tension[3] / 6.0));
  CHECK(l->grip_used[2] == 0.0);
}

TEST_CASE("at the least tensions of one pulley its grip is just used up") {
  const std::vector<Pulley<double>> two{{{0.0, 0.0}, 0.05}, {{0.4, 0.0}, 0.08}};
  const auto path = PathOver(two);
  const Belt<double> belt{0.1, 0.8, 0.3, 6.0};
  const double power = 1500.0, speed = 15.0;
  const auto least = LeastTensions(power, speed, 0.1, 0.8, path->wrap[0]);
  Drive<double> d;
  d.power = {0.0, power};
  d.speed = speed;
  d.tension = (least->tight + least->slack) / 2.0;
  const auto l = LoadOn(two, *path, belt, d);
  REQUIRE(l);
  CHECK(l->weakest == 0);
  CHECK(l->grip_used[0] == fixtures::Near(1.0));
  CHECK(std::abs(l->slip_margin) < 1e-9);
  d.tension *= 0.95;
  CHECK(LoadOn(two, *path, belt, d)->slip_margin < 0.0);
}

TEST_CASE("more speed at equal power loosens the grip, no power uses none") {
  const auto path = PathOver(FourPulleys());
  Drive<double> d = ExampleDrive();
  d.power = {0.0, 0.0, 0.0, 0.0};
  const auto idle = LoadOn(FourPulleys(), *path, ExampleBelt(), d);
  CHECK(std::isinf(idle->slip_margin));
  d.speed = 60.0;  // mass v^2 = 360 N is more than the tension
  CHECK(LoadOn(FourPulleys(), *path, ExampleBelt(), d).why().problem == Problem::kSlack);
}

TEST_CASE("ribs, pluck, alignment") {
  CHECK(*RibsNeeded(2100.0, 500.0) == 5);
  CHECK(*RibsNeeded(2000.0, 500.0) == 4);
  CHECK(RibsNeeded(2000.0, 0.0).why().problem == Problem::kCapacity);
  CHECK(RibsNeeded(1e300, 1e-9).why().problem == Problem::kCapacity);
  CHECK(RibsNeeded(-1.0, 1.0).why().problem == Problem::kPower);
  // A string of length L rings at sqrt(T/m) / 2L (Mersenne).
  const double frequency = std::sqrt(300.0 / 0.1) / (2.0 * 0.35);
  CHECK(TensionFromPluck(0.1, 0.35, frequency) == fixtures::Near(300.0));
  CHECK(Misalignment(0.002, 0.2) == fixtures::Near(0.01, 1e-4));
}

TEST_CASE("tension: derivatives equal central differences") {
  const auto path = PathOver(FourPulleys());
  for (const Tensioning how : {Tensioning::kFixed, Tensioning::kSprung}) {
    const auto f = [&](const auto& x) {
      using T = std::decay_t<decltype(x[0])>;
      std::vector<Pulley<T>> pulleys;
      for (const auto& p : FourPulleys())
        pulleys.push_back({p.centre.template cast<T>(), T(p.radius), p.face});
      pulleys[1].radius = x[6];
      Drive<T> d;
      d.power = {T(0.0), x[0], T(0.0), x[1]};
      d.speed = x[2];
      d.tension = x[3];
      d.tensioning = how;
      d.tensioner = 2;
      const auto l = LoadOn(pulleys, *PathOver(pulleys), Belt<T>{x[4], x[5], T(0.3), T(6.0)}, d);
      return T(l->slip_margin + l->per_rib);
    };
    CHECK(ScaledDerivativesHold(f, {1200.0, 800.0, 12.0, 300.0, 0.1, 0.8, 0.064}));
  }
}

TEST_CASE("tension: hostile numbers give a reason") {
  const auto path = *PathOver(FourPulleys());
  const auto why = [&](const Belt<double>& b, const Drive<double>& d) {
    return LoadOn(FourPulleys(), path, b, d).why().problem;
  };
  for (const double bad : {0.0, -1.0, std::nan(""), HUGE_VAL}) {
    Drive<double> d = ExampleDrive();
    d.speed = bad;
    CHECK(why(ExampleBelt(), d) == Problem::kSpeed);
    d = ExampleDrive();
    d.tension = bad;
    CHECK(why(ExampleBelt(), d) == Problem::kTension);
    Belt<double> b = ExampleBelt();
    b.inside_friction = bad;
    CHECK(why(b, ExampleDrive()) == Problem::kFriction);
    CHECK(LeastTensions(100.0, bad, 0.1, 0.5, 3.0).why().problem == Problem::kSpeed);
    CHECK(LeastTensions(100.0, 10.0, 0.1, 0.5, bad).why().problem == Problem::kWrap);
  }
  Drive<double> d = ExampleDrive();
  d.power[1] = -5.0;
  CHECK(why(ExampleBelt(), d) == Problem::kPower);
  d = ExampleDrive();
  d.power.pop_back();
  CHECK(why(ExampleBelt(), d) == Problem::kTooFew);
  d = ExampleDrive();
  d.driver = 4;
  CHECK(why(ExampleBelt(), d) == Problem::kNoSuchPulley);
  d = ExampleDrive();
  d.tensioning = Tensioning::kSprung;
  d.tensioner = 1;  // takes power, so the tension beside it is not one
  CHECK(why(ExampleBelt(), d) == Problem::kPower);
  CHECK(LeastTensions(100.0, 10.0, 0.1, 1e3, 3.0).why().problem == Problem::kNotFinite);
}

}  // namespace
}  // namespace steerbench::belt
