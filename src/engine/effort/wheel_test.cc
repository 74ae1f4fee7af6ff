#include "engine/effort/wheel.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "fixtures/derivatives.h"
#include "fixtures/near.h"
#include "fixtures/turned_wheel.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::effort {
namespace {

using fixtures::TurnBy;
using fixtures::TurnedWheel;
using fixtures::WheelAngles;
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

// About a fixed axis the force on the rack is this, the moment about the axis, at a rate of one.
Parts<double> OnRack(const TurnedWheel<double>& turned, const GroundLoad<double>& load) {
  return ForceOnRack(*LeverageOf(turned.wheel, turned.MotionAt(1.0)), load);
}

// The same by statics: (r x F) . u and M . u.
Parts<double> MomentsAboutAxis(const TurnedWheel<double>& turned, const GroundLoad<double>& load) {
  const Wheel<double>& w = turned.wheel;
  const Vec3<double> up = Vec3<double>::UnitZ();
  const auto about = [&](const Vec3<double>& at, const Vec3<double>& direction) {
    return (at - turned.axis_point).cross(direction).dot(w.axis_direction);
  };
  return {load.vertical * about(w.contact, up),
          load.lateral * about(w.contact, up.cross(w.heading)),
          load.held * about(w.contact, w.heading) + load.rolling * about(w.centre, w.heading),
          load.aligning * w.axis_direction.z()};
}

TEST_CASE("vertical-load-moment: by virtual work and by the change of height") {
  const reference::Row row = Load("vertical-load-moment");
  const double q = row.Input("rotation_about_axis");
  GroundLoad<double> load;
  load.vertical = row.Input("Fz");
  const double moment = OnRack(TurnBy(ReferenceWheel(), q), load).vertical;
  REFERENCE_CHECK(row, "moment_about_axis", moment);
  constexpr double h = 1e-5;
  const double up = TurnBy(ReferenceWheel(), q + h).wheel.contact.z();
  const double down = TurnBy(ReferenceWheel(), q - h).wheel.contact.z();
  CHECK(load.vertical * (up - down) / (2.0 * h) == fixtures::Near(moment, 1e-7));
}

TEST_CASE("jacking-moment-28 and the totals of park-springer") {
  // The source's W d sin(k) cos(k) sin(a) takes the contact for a point of the upright and leaves
  // out caster: a wheel so small that it has no other lowest point.
  const reference::Row row = Load("jacking-moment-28"), total = Load("park-springer");
  WheelAngles<double> a;
  a.inclination = row.Input("inclination_k");
  a.scrub_radius = row.Input("offset_d");
  a.radius = 1e-9;
  GroundLoad<double> load;
  load.vertical = row.Input("wheel_mass_load") * kGravityOfSource;
  const auto lift = [&](double steer) { return std::abs(OnRack(TurnBy(a, steer), load).vertical); };
  REFERENCE_CHECK(row, "MJ", lift(row.Input("steer_a")));
  const double spin = total.Expected("MS");
  REFERENCE_CHECK(total, "total_at_28", spin + lift(28.0 * kDegree));
  REFERENCE_CHECK(total, "total_at_45", spin + lift(45.0 * kDegree));
}

TEST_CASE("force on the rack is the moment times the rate, for every part") {
  CHECK(rc::check([] {
    const TurnedWheel<double> t = TurnBy(AnyWheel(), Between(-0.7, 0.7));
    const GroundLoad<double> load{Between(0.0, 8000.0), Between(-5000.0, 5000.0),
                                  Between(-3000.0, 3000.0), Between(-3000.0, 3000.0),
                                  Between(-100.0, 100.0)};
    const double rate = Between(-10.0, 10.0);
    const Parts<double> m = MomentsAboutAxis(t, load);
    const Parts<double> f = ForceOnRack(*LeverageOf(t.wheel, t.MotionAt(rate)), load);
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
    const Parts<double> left = OnRack(TurnBy(a, q), load);
    a.side = -1.0;
    const Parts<double> right = OnRack(TurnBy(a, -q), mirrored);
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
  const TurnedWheel<double> ahead = TurnBy(a, 0.0);
  GroundLoad<double> load;
  load.lateral = 1000.0;  // ground pushes the wheel to the left, as in a left bend
  CHECK(OnRack(ahead, load).lateral == fixtures::Near(-30.0));
  load = {};
  load.held = -1000.0;  // braking outboard of the axis turns the left wheel out, to the left
  CHECK(OnRack(ahead, load).longitudinal == fixtures::Near(20.0));
  load = {};
  load.rolling = -1000.0;  // an upright axis: the same at the wheel centre's height
  CHECK(OnRack(ahead, load).longitudinal == fixtures::Near(20.0));
}

TEST_CASE("a rolling wheel feels its drag at the wheel centre") {
  // Moment by the offset of the wheel centre instead of the contact: force at the contact less the
  // torque about the axle, which the bearing does not carry.
  const TurnedWheel<double> t = TurnBy(ReferenceWheel(), 0.4);
  const Wheel<double>& w = t.wheel;
  GroundLoad<double> load;
  load.rolling = 500.0;
  GroundLoad<double> held;
  held.held = 500.0;
  const Vec3<double> couple = (w.contact - w.centre).cross(w.heading) * 500.0;
  CHECK(OnRack(t, load).longitudinal ==
        fixtures::Near(OnRack(t, held).longitudinal - couple.dot(w.axis_direction)));
}

TEST_CASE("a wheel whose axis hangs down, or whose heading is no direction, has no leverage") {
  const TurnedWheel<double> t = TurnBy(ReferenceWheel(), 0.1);
  Wheel<double> bad = t.wheel;
  bad.axis_direction = -bad.axis_direction;
  CHECK(LeverageOf(bad, t.MotionAt(1.0)).why() == Problem::kAxis);
  bad = t.wheel;
  bad.heading *= 2.0;
  CHECK(LeverageOf(bad, t.MotionAt(1.0)).why() == Problem::kHeading);
  CHECK(LeverageOf(t.wheel, t.MotionAt(std::nan(""))).why() == Problem::kNotFinite);
}

TEST_CASE("wheel: derivatives equal central differences") {
  const auto f = [](const auto& x) {
    using T = std::decay_t<decltype(x[0])>;
    const WheelAngles<T> a{x[0], x[1], x[2], x[3], x[4], x[5], -1.0};
    const TurnedWheel<T> t = TurnBy<T>(a, x[6]);
    const GroundLoad<T> load{x[7], x[8], x[9], x[10], x[11]};
    const Parts<T> p = ForceOnRack(*LeverageOf(t.wheel, t.MotionAt(x[12])), load);
    return T(p.vertical + p.lateral + p.longitudinal + p.aligning);
  };
  CHECK(ScaledDerivativesHold(
      f, {0.1, 0.2, -0.02, 0.02, 0.03, 0.3, 0.4, 4000.0, 1500.0, -500.0, 200.0, 30.0, 7.0}));
}

}  // namespace
}  // namespace steerbench::effort
