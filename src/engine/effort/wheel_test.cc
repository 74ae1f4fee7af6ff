#include "engine/effort/wheel.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <string>

#include "fixtures/derivatives.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::effort {
namespace {

using reference::Between;
using reference::Load;

constexpr double kDegree = std::numbers::pi / 180.0;
constexpr double kGravityOfSource = 9.81;  // that Barton & Fieldhouse take [m/s^2]

// The wheel of the rows of topic 2: caster 6, inclination 12, scrub 19.6 mm, trail 30.0 mm.
WheelAngles<double> ReferenceWheel() {
  const reference::Row row = Load("axis-from-points");
  WheelAngles<double> a;
  a.caster = row.Expected("caster");
  a.inclination = row.Expected("inclination");
  a.scrub_radius = row.Expected("scrub_radius");
  a.mechanical_trail = row.Expected("mechanical_trail");
  a.radius = Load("jacking").Input("wheel_radius");
  return a;
}

WheelAngles<double> AnyWheel() {
  WheelAngles<double> a;
  a.caster = Between(-0.1, 0.3);
  a.inclination = Between(0.0, 0.35);
  a.camber = Between(-0.08, 0.08);
  a.scrub_radius = Between(-0.05, 0.1);
  a.mechanical_trail = Between(-0.05, 0.08);
  a.radius = Between(0.2, 0.4);
  a.side = *rc::gen::element(-1.0, 1.0);
  return a;
}

TEST_CASE("vertical-load-moment: by statics and by virtual work") {
  const reference::Row row = Load("vertical-load-moment");
  const double q = row.Input("rotation_about_axis"), load = row.Input("Fz");
  const auto t = TurnBy(ReferenceWheel(), q);
  REQUIRE(t);
  GroundLoad<double> ground;
  ground.vertical = load;
  const double moment = MomentsAboutAxis(t->wheel, ground).vertical;
  REFERENCE_CHECK(row, "moment_about_axis", moment);
  CHECK(load * t->lift_per_rotation == fixtures::Near(moment, 1e-12));
  constexpr double h = 1e-5;
  const double up = TurnBy(ReferenceWheel(), q + h)->wheel.contact.z();
  const double down = TurnBy(ReferenceWheel(), q - h)->wheel.contact.z();
  CHECK(load * (up - down) / (2.0 * h) == fixtures::Near(moment, 1e-7));
}

TEST_CASE("jacking: rise of the lowest point and of the wheel centre") {
  const reference::Row row = Load("jacking");
  const WheelAngles<double> a = ReferenceWheel();
  for (const int degrees : {-30, 30}) {
    const auto t = TurnBy(a, degrees * kDegree);
    const std::string sign = degrees > 0 ? "+30" : "-30";
    REFERENCE_CHECK(row, ("lowest_point_dz_rot" + sign).c_str(), t->wheel.contact.z());
    REFERENCE_CHECK(row, ("wheel_centre_dz_rot" + sign).c_str(), t->wheel.centre.z() - a.radius);
  }
}

TEST_CASE("camber-vs-steer: rotation about the axis at a steer angle") {
  const reference::Row row = Load("camber-vs-steer");
  for (const int degrees : {-30, -20, 20, 30}) {
    const auto q = RotationForSteer(ReferenceWheel(), degrees * kDegree);
    REQUIRE(q);
    const std::string name =
        "rotation_about_axis_" + std::string(degrees > 0 ? "+" : "") + std::to_string(degrees);
    REFERENCE_CHECK(row, name.c_str(), *q);
  }
}

TEST_CASE("jacking-moment-28 and the totals of park-springer") {
  const reference::Row row = Load("jacking-moment-28"), total = Load("park-springer");
  const double load = row.Input("wheel_mass_load") * kGravityOfSource;
  const double d = row.Input("offset_d"), k = row.Input("inclination_k");
  REFERENCE_CHECK(row, "MJ", TextbookLift(load, d, k, row.Input("steer_a")));
  const double spin = total.Expected("MS");
  REFERENCE_CHECK(total, "total_at_28", spin + TextbookLift(load, d, k, 28.0 * kDegree));
  REFERENCE_CHECK(total, "total_at_45", spin + TextbookLift(load, d, k, 45.0 * kDegree));
}

TEST_CASE("the textbook's lift is that of a point fixed to the upright") {
  // A point at offset d on level ground, axis inclined by k: turned by a its height is
  // d cos(k) sin(k) (cos(a) - 1), whose derivative is the textbook's formula.
  WheelAngles<double> a;
  a.inclination = 12.0 * kDegree;
  a.scrub_radius = 0.025;
  a.radius = 1e-9;  // so small a wheel has no other lowest point
  const double q = 28.0 * kDegree;
  CHECK(std::abs(TurnBy(a, q)->lift_per_rotation) ==
        fixtures::Near(TextbookLift(1.0, 0.025, a.inclination, q), 1e-6));
}

TEST_CASE("lift is the change of height; rotation and steer are inverse") {
  CHECK(rc::check([] {
    const WheelAngles<double> a = AnyWheel();
    const double steer = Between(-1.0, 1.0);
    const auto q = RotationForSteer(a, steer);
    RC_ASSERT(bool(q));
    const auto t = TurnBy(a, *q);
    RC_ASSERT(bool(t));
    RC_ASSERT(std::abs(t->steer - steer) < 1e-12);
    constexpr double h = 1e-5;
    const auto up = TurnBy(a, *q + h), down = TurnBy(a, *q - h);
    const double lift = (up->wheel.contact.z() - down->wheel.contact.z()) / (2.0 * h);
    RC_ASSERT(std::abs(lift - t->lift_per_rotation) < 1e-8);
    const double rate = (up->steer - down->steer) / (2.0 * h);
    RC_ASSERT(std::abs(rate - t->steer_per_rotation) < 1e-8);
  }));
}

TEST_CASE("force on the rack is the moment times the rate, for every part") {
  CHECK(rc::check([] {
    const auto t = TurnBy(AnyWheel(), Between(-0.7, 0.7));
    RC_ASSERT(bool(t));
    const GroundLoad<double> load{Between(0.0, 8000.0), Between(-5000.0, 5000.0),
                                  Between(-3000.0, 3000.0), Between(-3000.0, 3000.0),
                                  Between(-100.0, 100.0)};
    const double rate = Between(-10.0, 10.0);
    const Parts<double> m = MomentsAboutAxis(t->wheel, load);
    const Parts<double> f = ForceOnRack(t->wheel, MotionAbout(t->wheel, rate), load);
    const double size = 1e-9 * (1.0 + std::abs(rate) * 1e4);
    RC_ASSERT(std::abs(f.vertical - rate * m.vertical) < size);
    RC_ASSERT(std::abs(f.lateral - rate * m.lateral) < size);
    RC_ASSERT(std::abs(f.longitudinal - rate * m.longitudinal) < size);
    RC_ASSERT(std::abs(f.aligning - rate * m.aligning) < size);
  }));
}

TEST_CASE("left and right wheels mirror") {
  CHECK(rc::check([] {
    WheelAngles<double> a = AnyWheel();
    const double q = Between(-0.7, 0.7);
    const GroundLoad<double> load{4000.0, 1500.0, -800.0, 300.0, -40.0};
    const GroundLoad<double> mirrored{4000.0, -1500.0, -800.0, 300.0, 40.0};
    a.side = 1.0;
    const Parts<double> left = MomentsAboutAxis(TurnBy(a, q)->wheel, load);
    a.side = -1.0;
    const Parts<double> right = MomentsAboutAxis(TurnBy(a, -q)->wheel, mirrored);
    RC_ASSERT(std::abs(left.vertical + right.vertical) < 1e-9);
    RC_ASSERT(std::abs(left.lateral + right.lateral) < 1e-9);
    RC_ASSERT(std::abs(left.longitudinal + right.longitudinal) < 1e-9);
    RC_ASSERT(std::abs(left.aligning + right.aligning) < 1e-9);
  }));
}

TEST_CASE("signs: what straightens and what pulls") {
  // Left wheel, positive trail and scrub, straight ahead.
  WheelAngles<double> a;
  a.scrub_radius = 0.02;
  a.mechanical_trail = 0.03;
  a.radius = 0.3;
  const Wheel<double> wheel = TurnBy(a, 0.0)->wheel;
  GroundLoad<double> load;
  load.lateral = 1000.0;  // ground pushes the wheel to the left, as in a left bend
  CHECK(MomentsAboutAxis(wheel, load).lateral == fixtures::Near(-30.0));
  load = {};
  load.held = -1000.0;  // braking outboard of the axis turns the left wheel out, to the left
  CHECK(MomentsAboutAxis(wheel, load).longitudinal == fixtures::Near(20.0));
  load = {};
  load.rolling = -1000.0;  // an upright axis: the same at the wheel centre's height
  CHECK(MomentsAboutAxis(wheel, load).longitudinal == fixtures::Near(20.0));
}

TEST_CASE("a rolling wheel feels its drag at the wheel centre") {
  // Moment by the offset of the wheel centre instead of the contact: force at the contact less the
  // torque about the axle, which the bearing does not carry.
  const auto t = TurnBy(ReferenceWheel(), 0.4);
  const Wheel<double>& w = t->wheel;
  GroundLoad<double> load;
  load.rolling = 500.0;
  GroundLoad<double> held;
  held.held = 500.0;
  const Vec3<double> couple = (w.contact - w.centre).cross(w.heading) * 500.0;
  CHECK(MomentsAboutAxis(w, load).longitudinal ==
        fixtures::Near(MomentsAboutAxis(w, held).longitudinal - couple.dot(w.axis_direction)));
}

TEST_CASE("wheel: derivatives equal central differences") {
  const auto f = [](const auto& x) {
    using T = std::decay_t<decltype(x[0])>;
    const WheelAngles<T> a{x[0], x[1], x[2], x[3], x[4], x[5], -1.0};
    const T q = *RotationForSteer<T>(a, x[6]);
    const TurnedWheel<T> t = *TurnBy<T>(a, q);
    const GroundLoad<T> load{x[7], x[8], x[9], x[10], x[11]};
    return T(ForceOnRack(t.wheel, MotionAbout(t.wheel, x[12]), load).Sum() * t.steer_per_rotation +
             t.lift_per_rotation);
  };
  CHECK(ScaledDerivativesHold(
      f, {0.1, 0.2, -0.02, 0.02, 0.03, 0.3, 0.4, 4000.0, 1500.0, -500.0, 200.0, 30.0, 7.0}));
}

TEST_CASE("wheel: hostile numbers give a reason") {
  WheelAngles<double> a = ReferenceWheel();
  a.caster = 2.0;
  CHECK(TurnBy(a, 0.1).why() == Problem::kAxis);
  a = ReferenceWheel();
  a.radius = 0.0;
  CHECK(TurnBy(a, 0.1).why() == Problem::kRadius);
  a = ReferenceWheel();
  a.scrub_radius = std::nan("");
  CHECK(TurnBy(a, 0.1).why() == Problem::kNotFinite);
  CHECK(TurnBy(ReferenceWheel(), HUGE_VAL).why() == Problem::kNotFinite);
  CHECK(RotationForSteer(ReferenceWheel(), 2.0).why() == Problem::kSteerUnreachable);
  a = ReferenceWheel();
  a.inclination = 80.0 * kDegree;  // an axis that lies nearly along the axle
  CHECK(RotationForSteer(a, 60.0 * kDegree).why() == Problem::kSteerUnreachable);
}

}  // namespace
}  // namespace steerbench::effort
