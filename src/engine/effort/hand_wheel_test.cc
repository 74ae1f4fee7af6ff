#include "engine/effort/hand_wheel.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <set>
#include <string_view>

#include "engine/tyre/standing.h"
#include "fixtures/derivatives.h"
#include "fixtures/near.h"
#include "fixtures/turned_wheel.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::effort {
namespace {

using reference::Between;
using reference::Load;

template <class T>
fixtures::TurnedWheel<T> Turned(double side, const T& rotation) {
  fixtures::WheelAngles<T> a;
  a.caster = T(0.1);
  a.inclination = T(0.2);
  a.scrub_radius = T(0.02);
  a.mechanical_trail = T(0.03);
  a.radius = T(0.3);
  a.side = side;
  return fixtures::TurnBy<T>(a, rotation);
}

template <class T>
WheelSide<T> Side(double side, const T& rotation, const T& rate) {
  const fixtures::TurnedWheel<T> turned = Turned(side, rotation);
  WheelSide<T> s;
  s.leverage = *LeverageOf(turned.wheel, turned.MotionAt(rate));
  s.load.vertical = T(4000.0);
  return s;
}

Mechanism<double> Example() { return {0.0075, 0.9, 1.0, 150.0, 100.0, 0.3, 0.185}; }

TEST_CASE("park-handwheel: from the wheels to the rim") {
  const reference::Row row = Load("park-handwheel");
  fixtures::WheelAngles<double> angles;
  angles.radius = 0.3;
  const fixtures::TurnedWheel<double> upright = fixtures::TurnBy(angles, 0.0);
  WheelSide<double> side;
  side.leverage = *LeverageOf(upright.wheel, upright.MotionAt(1.0 / row.Input("arm")));
  side.spin = row.Input("M_per_wheel");
  Mechanism<double> mechanism;
  mechanism.travel_per_radian = row.Input("C_factor");
  mechanism.mesh_efficiency = row.Input("efficiency");
  mechanism.column_ratio = 1.0;
  mechanism.rim_radius = row.Input("rim_radius");
  const auto h = TorqueToTurn(side, side, mechanism, 0.0, Direction::kLeft);
  REQUIRE(h);
  REFERENCE_CHECK(row, "rack_force", h->rack_force);
  REFERENCE_CHECK(row, "pinion_torque", h->pinion_torque);
  REFERENCE_CHECK(row, "hand_force", h->rim_pull);
  CHECK(h->terms[Term::kSpin] + h->terms[Term::kMesh] == fixtures::Near(h->total));
}

TEST_CASE("straight ahead on a symmetric car nothing but friction is felt") {
  const auto left = Side(1.0, 0.0, 7.0), right = Side(-1.0, 0.0, 7.0);
  const auto band = Hold(left, right, Example(), 0.0);
  REQUIRE(band);
  CHECK(std::abs(band->balance) < 1e-12);
  CHECK(band->return_torque < 0.0);
  CHECK(band->left.total == fixtures::Near(0.0075 * 250.0 / 0.9 + 0.3, 1e-12));
}

TEST_CASE("a symmetric car weighs the same both ways") {
  CHECK(rc::check([] {
    const double q = Between(0.0, 0.6), other = Between(0.0, 0.6), rate = Between(3.0, 12.0);
    auto left = Side(1.0, q, rate), right = Side(-1.0, other, rate);
    auto mirror_left = Side(1.0, -other, rate), mirror_right = Side(-1.0, -q, rate);
    for (auto* s : {&left, &right, &mirror_left, &mirror_right}) {
      s->spin = 120.0;
      s->joint_friction = 4.0;
    }
    const auto a = TorqueToTurn(left, right, Example(), 300.0, Direction::kLeft);
    const auto b = TorqueToTurn(mirror_left, mirror_right, Example(), -300.0, Direction::kRight);
    RC_ASSERT(std::abs(a->total + b->total) < 1e-9);
  }));
}

TEST_CASE("friction always opposes, the band holds the balance, assistance takes off") {
  CHECK(rc::check([] {
    auto left = Side(1.0, Between(-0.6, 0.6), 7.0), right = Side(-1.0, Between(-0.6, 0.6), 7.0);
    left.load.lateral = Between(-3000.0, 3000.0);
    right.load.aligning = Between(-80.0, 80.0);
    left.spin = right.spin = Between(0.0, 200.0);
    Mechanism<double> m = Example();
    m.rack_friction = Between(0.0, 400.0);
    const double assist = Between(-4000.0, 4000.0);
    const auto band = Hold(left, right, m, assist);
    RC_ASSERT(bool(band));
    RC_ASSERT(band->half_width > 0.0);
    m.rack_friction += 50.0;
    RC_ASSERT(Hold(left, right, m, assist)->half_width > band->half_width);
    const auto more = Hold(left, right, m, assist + 10.0);
    RC_ASSERT(more->left.total < Hold(left, right, m, assist)->left.total);
    double sum = 0.0;
    for (const double t : band->left.terms.of) sum += t;
    RC_ASSERT(std::abs(sum - band->left.total) < 1e-9);
  }));
}

TEST_CASE("work at the hand wheel is the work of the wheels plus what friction took") {
  // Energy over one small turn to the left: hand torque * angle = change of potential energy of
  // both loads + friction. Loads only vertical, so the energy is W times the height.
  const double q = 0.4, rate = 7.0, h = 1e-5;
  auto left = Side(1.0, q, rate), right = Side(-1.0, q, rate);
  Mechanism<double> m = Example();
  m.mesh_efficiency = 1.0;
  const auto height = [&](double side, double rotation) {
    return Turned(side, rotation).wheel.contact.z();
  };
  double energy = 0.0;
  for (const double side : {1.0, -1.0}) {
    energy -= 4000.0 * (height(side, q + h) - height(side, q - h));
  }
  const double travel = 2.0 * h / rate;
  const double angle = travel / m.travel_per_radian;
  const double friction = (m.rack_friction + m.seal_friction) * travel + m.column_friction * angle;
  const auto turn = TorqueToTurn(left, right, m, 0.0, Direction::kLeft);
  CHECK(turn->total * angle == fixtures::Near(energy + friction, 1e-7));
}

TEST_CASE("the wheel comes back only when the balance beats friction") {
  auto left = Side(1.0, 0.2, 7.0), right = Side(-1.0, 0.2, 7.0);
  left.load.lateral = right.load.lateral = 1500.0;  // a left bend: both are pushed straight
  const auto band = Hold(left, right, Example(), 0.0);
  CHECK(band->balance > 0.0);
  CHECK(band->return_torque > 0.0);
  CHECK(band->right.total > 0.0);  // still pulls while it is let back
  Mechanism<double> tight = Example();
  tight.column_friction = 20.0;
  CHECK(Hold(left, right, tight, 0.0)->return_torque < 0.0);
}

TEST_CASE("parking from the tyre's formulas: harder with load, lighter with pressure") {
  CHECK(rc::check([] {
    const auto torque = [](double load, double pressure) {
      tyre::Standing<double> t;
      t.load = load;
      t.pressure = pressure;
      t.friction = 0.8;
      t.tyre_width = 0.195;
      t.scrub_radius = 0.02;
      t.mechanical_trail = 0.03;
      auto left = Side(1.0, 0.3, 7.0), right = Side(-1.0, 0.3, 7.0);
      for (auto* s : {&left, &right}) {
        s->load.vertical = load;
        s->spin = tyre::SpinTorqueStanding(t)->middle;
      }
      return TorqueToTurn(left, right, Example(), 0.0, Direction::kLeft)->total;
    };
    const double load = Between(1000.0, 8000.0), pressure = Between(80e3, 400e3);
    RC_ASSERT(torque(load * 1.02, pressure) > torque(load, pressure));
    RC_ASSERT(torque(load, pressure * 1.02) < torque(load, pressure));
  }));
}

TEST_CASE("hand wheel: derivatives equal central differences") {
  for (const Direction d : {Direction::kLeft, Direction::kRight}) {
    const auto f = [d](const auto& x) {
      using T = std::decay_t<decltype(x[0])>;
      auto left = Side<T>(1.0, x[0], x[1]), right = Side<T>(-1.0, x[2], x[3]);
      left.spin = x[4];
      right.joint_friction = x[5];
      left.load.lateral = x[6];
      right.load.aligning = x[7];
      const Mechanism<T> m{x[8], x[9], x[10], x[11], x[12], x[13], x[14]};
      return T(TorqueToTurn(left, right, m, x[15], d)->rim_pull);
    };
    CHECK(ScaledDerivativesHold(f, {0.3, 7.0, 0.25, 6.5, 120.0, 4.0, 900.0, -30.0, 0.0075, 0.9,
                                    1.02, 150.0, 100.0, 0.3, 0.185, 250.0}));
  }
}

TEST_CASE("hand wheel: hostile numbers give a reason, terms have names of their own") {
  const auto left = Side(1.0, 0.2, 7.0), right = Side(-1.0, 0.2, 7.0);
  const auto why = [&](const Mechanism<double>& m) {
    return TorqueToTurn(left, right, m, 0.0, Direction::kLeft).why();
  };
  Mechanism<double> m = Example();
  m.mesh_efficiency = 1.2;
  CHECK(why(m) == Problem::kEfficiency);
  m = Example();
  m.travel_per_radian = 0.0;
  CHECK(why(m) == Problem::kTravelPerTurn);
  m = Example();
  m.rack_friction = -1.0;
  CHECK(why(m) == Problem::kFriction);
  m = Example();
  m.rim_radius = std::nan("");
  CHECK(why(m) == Problem::kRim);
  m = Example();
  m.column_ratio = -1.0;
  CHECK(why(m) == Problem::kColumn);
  CHECK(TorqueToTurn(left, right, Example(), HUGE_VAL, Direction::kLeft).why() ==
        Problem::kNotFinite);
  std::set<std::string_view> names;
  for (std::size_t i = 0; i < kTermCount; ++i) names.insert(NameOf(static_cast<Term>(i)));
  CHECK(names.size() == kTermCount);
}

}  // namespace
}  // namespace steerbench::effort
