// Each limit of the rack's travel made to bind, and found again by walking there in small steps
// with formulas of the test's own.
#include "engine/evaluate/rack_limits.h"

#include <doctest/doctest.h>

#include <cmath>
#include <functional>

#include "engine/evaluate/evaluate.h"
#include "engine/evaluate/propagate.h"
#include "engine/evaluate/sweep.h"
#include "fixtures/demo.h"
#include "fixtures/near.h"

namespace steerbench {
namespace {

using fixtures::PlainDemo;
using linkage::Pose;
using linkage::SolveStatus;
using Vec = Vec3<double>;

constexpr double kDegree = M_PI / 180.0;
constexpr double kStep = 1e-4;        // [m] of the walk
constexpr double kSameTravel = 1e-8;  // [m]: the engine's roots are closed to 48 bits

// One wheel in a pose, from the pose alone.
struct Sight {
  Side side;
  Vec outer, inner, arm_foot, axis, spin, stud, centre;
  Vec rod() const { return outer - inner; }
};

double AngleBetween(const Vec& a, const Vec& b) { return std::atan2(a.cross(b).norm(), a.dot(b)); }

Sight See(const linkage::Corner<double>& c, Side side, const Pose& pose, double travel) {
  const auto at = [&](const Vec& p) {
    return Vec(pose.centre + pose.rotation * (p - c.wheel_centre));
  };
  Sight s;
  s.side = side;
  s.outer = at(c.tie_rod.outer);
  s.inner = c.tie_rod.inner + travel * c.rack_axis;
  s.arm_foot = at(c.lower_joint);
  s.axis = (at(c.upper_joint) - s.arm_foot).normalized();
  s.spin = pose.rotation * c.spin_axis;
  s.stud = pose.rotation * c.stud.value();
  s.centre = pose.centre;
  return s;
}

// What is left before a limit, in its own unit.
using Left = std::function<double(const Sight&)>;

// A walk of one wheel outward from the rack's centre: the first travel at which nothing is left,
// or at which the linkage does not go on when there is no `left`.
std::optional<double> Walk(const Fitted<double>& f, Side side, Way way, double jounce,
                           const Left& left) {
  const auto corner = AssembleFront(f).plain[Index(side)];
  const double sign = SideSign(side) * WaySign(way);
  Pose pose = linkage::MoveTo(corner, linkage::DesignPose(corner).pose, 0.0, jounce).pose;
  // What is left at a distance, from the last pose; nothing is left where the linkage ends.
  const auto at = [&](double distance, Pose* keep) {
    const auto solve = linkage::MoveTo(corner, pose, sign * distance, jounce);
    if (solve.status != SolveStatus::kConverged) return left ? 1.0 : -1.0;
    if (keep != nullptr) *keep = solve.pose;
    return left ? left(See(corner, side, solve.pose, sign * distance)) : 1.0;
  };
  for (double distance = 0.0; distance < kFarthestTravel; distance += kStep) {
    if (at(distance + kStep, nullptr) < 0.0) {
      double in = distance, out = distance + kStep;
      for (int i = 0; i < 50; ++i)
        (at(0.5 * (in + out), nullptr) < 0.0 ? out : in) = 0.5 * (in + out);
      return 0.5 * (in + out);
    }
    (void)at(distance + kStep, &pose);
  }
  return std::nullopt;
}

struct Met {
  double travel = kFarthestTravel;
  Side wheel = Side::kLeft;
  double jounce = 0.0;
};

// The first over both wheels and all heights.
Met WalkAll(const Fitted<double>& f, Way way, const Left& left, bool any_height = true) {
  Met first;
  for (const Side side : kSides) {
    for (const double jounce : {0.0, *f.car.front.jounce, -*f.car.front.rebound}) {
      if (!any_height && jounce != 0.0) continue;
      const auto met = Walk(f, side, way, jounce, left);
      if (met && *met < first.travel) first = {*met, side, jounce};
    }
  }
  return first;
}

const RackLimit<double>& LimitOf(const Evaluation<double>& e, Way way, RackEnd end) {
  return *std::ranges::find(e.ends[Index(way)].limit, end, &RackLimit<double>::end);
}

void CheckBinds(const Evaluation<double>& e, Way way, RackEnd end) {
  const auto& ends = e.ends[Index(way)];
  REQUIRE(ends.binding.has_value());
  CHECK(ends.limit[*ends.binding].end == end);
  if (end == RackEnd::kDeadCentre) return;  // no lock then: see below
  const Output travel = way == Way::kLeft ? Output::kTravelLeft : Output::kTravelRight;
  CHECK(e[travel].value() == *ends.limit[*ends.binding].travel);
}

// Binds first both ways, and where the walk says.
void CheckAgainstWalk(const Fitted<double>& f, RackEnd end, const Left& left,
                      bool any_height = true, double tolerance = kSameTravel) {
  const Evaluation<double> e = Evaluate(f);
  for (const Way way : kWays) {
    CAPTURE(RackEnds()[static_cast<std::size_t>(end)].key);
    CAPTURE(Index(way));
    if (EndsTravel(end)) CheckBinds(e, way, end);
    const RackLimit<double>& limit = LimitOf(e, way, end);
    const Met met = WalkAll(f, way, left, any_height);
    REQUIRE(limit.travel.has_value());
    CHECK(std::abs(*limit.travel - met.travel) < tolerance);
    CHECK(limit.wheel == met.wheel);
    CHECK(limit.jounce == met.jounce);
  }
}

TEST_CASE("What joints have left within the travel is the least of a fine walk over it") {
  constexpr double kBetweenPoses = 2e-4;  // [rad] that a reserve may dip between two of them
  for (const std::string setup : {"first-try", "calm", "keen"}) {
    CAPTURE(setup);
    const Fitted<double> f = fixtures::PlainDemo(setup);
    const Evaluation<double> e = Evaluate(f);
    const auto front = AssembleFront(f);
    double inner = HUGE_VAL, outer = HUGE_VAL, rod_arm = HUGE_VAL;
    for (const double s : EvenGrid(-*e[Output::kTravelRight], *e[Output::kTravelLeft], 401)) {
      for (const Side side : kSides) {
        for (const double jounce : {0.0, *f.car.front.jounce, -*f.car.front.rebound}) {
          const auto sample = SeeWheel<double>(front, side, s, jounce)->sample;
          inner = std::min(inner, *f.rack->inner_joint_limit - *sample.inner_tilt);
          outer = std::min(outer, *f.tie_rod->outer_joint_limit - *sample.outer_tilt);
          const double angle = *sample.rod_arm_angle;
          rod_arm = std::min(rod_arm, std::min(angle, M_PI - angle));
        }
      }
    }
    const auto left = [&](Check check) {
      const auto& margin = e.check[static_cast<std::size_t>(check)];
      REQUIRE(margin.value.has_value());
      return *margin.value;
    };
    const double limit = *e.check[static_cast<std::size_t>(Check::kRodArm)].limit;
    for (const auto& [got, walked] : {std::pair{left(Check::kInnerTilt), inner},
                                      {left(Check::kOuterTilt), outer},
                                      {left(Check::kRodArm), rod_arm - limit}}) {
      CHECK(got >= walked - 1e-12);
      CHECK(got < walked + kBetweenPoses);
    }
  }
}

TEST_CASE("The housing stop binds at half the travel, or at each side's own") {
  Fitted<double> f = PlainDemo("works");
  Evaluation<double> e = Evaluate(f);
  for (const Way way : kWays) {
    CheckBinds(e, way, RackEnd::kHousingStop);
    CHECK(*LimitOf(e, way, RackEnd::kHousingStop).travel == fixtures::Near(0.069));
  }
  f.rack->travel_left = 0.067;
  f.rack->travel_right = 0.071;
  e = Evaluate(f);
  CHECK(*LimitOf(e, Way::kLeft, RackEnd::kHousingStop).travel == 0.067);
  CHECK(*LimitOf(e, Way::kRight, RackEnd::kHousingStop).travel == 0.071);
}

// A tooth lies at x along the rack (left positive) from the middle of the toothed part; with the
// rack moved by s it stands at s + offset + x, and the mesh covers half the contact each side of
// the pinion. Full mesh needs teeth over all of it.
TEST_CASE("The last full tooth binds where the mesh first lacks rack") {
  Fitted<double> f = PlainDemo("works");
  f.rack->toothed_length = 0.150;
  f.rack->tooth_offset = 0.003;
  const Evaluation<double> e = Evaluate(f);
  for (const Way way : kWays) {
    CheckBinds(e, way, RackEnd::kLastTooth);
    const auto full = [&](double s) {
      const double middle = WaySign(way) * s + 0.003;
      return middle - 0.075 <= -0.013 && middle + 0.075 >= 0.013;
    };
    const double found = *LimitOf(e, way, RackEnd::kLastTooth).travel;
    CHECK(full(found - 1e-9));
    CHECK_FALSE(full(found + 1e-9));
  }
}

TEST_CASE("An inner joint binds at its tilt against the rack, over the whole wheel travel") {
  Fitted<double> f = PlainDemo("works");
  f.rack->inner_joint_limit = 13.5 * kDegree;
  CheckAgainstWalk(f, RackEnd::kInnerJoint, [](const Sight& s) {
    return 13.5 * kDegree - AngleBetween(s.rod(), Vec::UnitY());
  });
}

TEST_CASE("An outer joint binds at its tilt from square to its stud") {
  Fitted<double> f = PlainDemo("works");
  f.tie_rod->outer_joint_limit = 9.0 * kDegree;
  CheckAgainstWalk(f, RackEnd::kOuterJoint, [](const Sight& s) {
    return 9.0 * kDegree - std::abs(M_PI / 2.0 - AngleBetween(s.rod(), s.stud));
  });
}

TEST_CASE("A tyre touches at the steer angle measured, at design height") {
  Fitted<double> f = PlainDemo("works");
  f.car.front.tyre_touch.left_wheel_left = 25.0 * kDegree;
  f.car.front.tyre_touch.right_wheel_right = 25.0 * kDegree;
  CheckAgainstWalk(
      f, RackEnd::kTyreTouch,
      [](const Sight& s) {
        // Outboard both: each of the two angles is a wheel turned to its own side.
        return 25.0 * kDegree - std::atan2(-s.spin.x(), s.spin.y());
      },
      false);
}

TEST_CASE("A tyre touches at the angle of a wheel turned to the other side, too") {
  Fitted<double> f = PlainDemo("works");
  f.car.front.tyre_touch = {};
  f.car.front.tyre_touch.left_wheel_right = 20.0 * kDegree;
  f.car.front.tyre_touch.right_wheel_left = 20.0 * kDegree;
  CheckAgainstWalk(
      f, RackEnd::kTyreTouch,
      [](const Sight& s) { return 20.0 * kDegree + std::atan2(-s.spin.x(), s.spin.y()); }, false);
}

// Distance of a point to a solid cylinder: to the nearest point of its half section, which is a
// rectangle.
double ToCylinder(const Sight& s, const Vec& p, double radius, double width) {
  const Vec from = p - s.centre;
  const double along = std::abs(from.dot(s.spin));
  const double out = from.cross(s.spin).norm();
  const double da = along - std::min(along, width / 2.0);
  const double dr = out - std::min(out, radius);
  return std::hypot(da, dr);
}

TEST_CASE("A tyre comes too near a point, over the whole wheel travel") {
  Fitted<double> f = PlainDemo("works");
  for (auto& o : f.car.front.obstacle) o.gap = 0.052;
  CheckAgainstWalk(f, RackEnd::kTyreObstacle, [](const Sight& s) {
    return ToCylinder(s, {-0.382, 0.640, 0.255}, 0.312, 0.186) - 0.052;
  });
}

TEST_CASE("Of several points near a tyre the nearest counts, and is named") {
  Fitted<double> f = PlainDemo("works");
  f.car.front.obstacle.insert(f.car.front.obstacle.begin(),
                              {"far", Point<double>{-0.6, 0.5, 0.255}, 0.01});
  for (std::size_t i : {1u, 2u}) f.car.front.obstacle[i].gap = 0.052;
  const Evaluation<double> e = Evaluate(f);
  for (const Way way : kWays) {
    const auto& limit = LimitOf(e, way, RackEnd::kTyreObstacle);
    REQUIRE(limit.obstacle.has_value());
    const auto& at = *f.car.front.obstacle[*limit.obstacle].at;
    CHECK((at[1] > 0.0) == (limit.wheel == Side::kLeft));
    CHECK(*limit.obstacle != 0);
  }
}

TEST_CASE("A column coil binds at half its turns, times the rack's travel per turn") {
  Fitted<double> f = PlainDemo("works");
  f.car.column.coil_turns = 3.0 * 2.0 * M_PI;
  const Evaluation<double> e = Evaluate(f);
  for (const Way way : kWays) {
    CheckBinds(e, way, RackEnd::kColumnCoil);
    CHECK(*LimitOf(e, way, RackEnd::kColumnCoil).travel == fixtures::Near(1.5 * 0.138 / 4.05));
  }
}

// Everything else taken out of the way.
Fitted<double> DeadCentreOnly() {
  Fitted<double> f = PlainDemo("works");
  f.rack->travel = 0.30;
  f.rack->toothed_length = 0.50;
  f.rack->inner_joint_limit = f.tie_rod->outer_joint_limit = 80.0 * kDegree;
  f.car.front.tyre_touch = {};
  f.car.front.obstacle.clear();
  return f;
}

TEST_CASE("Dead centre binds where the linkage does not go on") {
  // The end of a branch is a fold: whether the last microns can be solved hangs on the solver.
  constexpr double kFold = 2e-6;
  CheckAgainstWalk(DeadCentreOnly(), RackEnd::kDeadCentre, nullptr, true, kFold);
}

TEST_CASE("Nothing is computed at or past a dead centre, and it is said why") {
  const Evaluation<double> e = Evaluate(DeadCentreOnly());
  CHECK_FALSE(e[Output::kTravelLeft].has_value());
  CHECK_FALSE(e[Output::kInnerWheelLeft].has_value());
  for (const Trouble trouble : {Trouble::kDeadCentreLeft, Trouble::kDeadCentreRight}) {
    CHECK(std::ranges::find(e.trouble, trouble) != e.trouble.end());
  }
}

TEST_CASE("The rule for the angle between rod and arm is found, and ends nothing") {
  Fitted<double> f = PlainDemo("works");
  f.limits.rod_arm_angle = 50.0 * kDegree;
  CheckAgainstWalk(f, RackEnd::kRodArmAngle, [](const Sight& s) {
    const auto flat = [&](const Vec& v) { return Vec(v - v.dot(s.axis) * s.axis); };
    const double angle = AngleBetween(flat(s.outer - s.arm_foot), flat(s.rod()));
    return std::min(angle, M_PI - angle) - 50.0 * kDegree;
  });
  const Evaluation<double> e = Evaluate(f);
  CHECK(*LimitOf(e, Way::kLeft, RackEnd::kRodArmAngle).travel < 0.069);
  CheckBinds(e, Way::kLeft, RackEnd::kHousingStop);
}

// ---- spacers (docs/conventions.md; trap 8: a spacer lengthens travel only if the face that
// strikes moves outward with the joint)
// ------------------------------------------------------------------

double StopWith(StopFace face, std::optional<bool> strikes) {
  Fitted<double> f = PlainDemo("first-try");
  f.rack->stop_face = face;
  f.spacer->strikes_housing = strikes;
  return LimitOf(Evaluate(f), Way::kLeft, RackEnd::kHousingStop).travel.value();
}

TEST_CASE("A spacer lengthens the travel by its thickness only where the joint strikes") {
  const double bare = 0.072, thick = 0.375 * 0.0254;
  CHECK(StopWith(StopFace::kInnerJoint, false) == fixtures::Near(bare + thick));
  CHECK(StopWith(StopFace::kInnerJoint, true) == fixtures::Near(bare));
  CHECK(StopWith(StopFace::kRack, false) == fixtures::Near(bare));
  CHECK(StopWith(StopFace::kRack, {}) == fixtures::Near(bare));
}

TEST_CASE("With a spacer the face that strikes must be known, without one it need not") {
  Fitted<double> f = PlainDemo("first-try");
  f.spacer->strikes_housing.reset();
  CHECK(LimitOf(Evaluate(f), Way::kLeft, RackEnd::kHousingStop).missing ==
        Missing{"spacer.strikes_housing"});
  f.rack->stop_face.reset();
  const auto e = Evaluate(f);
  CHECK(LimitOf(e, Way::kLeft, RackEnd::kHousingStop).missing == Missing{"rack.stop_face"});
  CHECK_FALSE(e[Output::kTravelLeft].has_value());
  f.spacer.reset();
  CHECK(LimitOf(Evaluate(f), Way::kLeft, RackEnd::kHousingStop).travel == 0.072);
}

TEST_CASE(
    "A spacer shortens the rod at the same toe by nearly its thickness (trap 7), takes that "
    "much thread, and moves the curve of steer") {
  Fitted<double> f = PlainDemo("first-try");
  const Evaluation<double> with = Evaluate(f);
  const double thick = *f.spacer->thickness;
  f.spacer.reset();
  const Evaluation<double> without = Evaluate(f);
  const double shorter = *without[Output::kTieRodLeft] - *with[Output::kTieRodLeft];
  CHECK(shorter == fixtures::Near(thick, 0.01));
  CHECK(shorter != thick);
  const auto thread = [](const Evaluation<double>& e) {
    return e.check[static_cast<std::size_t>(Check::kInnerThread)].value.value();
  };
  CHECK(thread(without) - thread(with) == fixtures::Near(thick));
  CHECK(std::abs(*with[Output::kBumpSteerLeft] - *without[Output::kBumpSteerLeft]) > 1e-3);
}

TEST_CASE("Stops removed: the teeth take over, and that is an exceeded limit") {
  Document demo = fixtures::Example();
  Fitted<Quantity> fitted = fixtures::FittedSetup(demo, "first-try");
  fitted.adjust.stops = Stops::kRemoved;
  const Propagated p = Propagate(fitted);
  for (const Way way : kWays) {
    const auto& first = p.ends[Index(way)].front();
    CHECK(first.end == RackEnd::kLastTooth);
    CHECK(first.binds);
    CHECK(first.margin.status == limits::Status::kExceeded);
    const auto stop =
        std::ranges::find(p.ends[Index(way)], RackEnd::kHousingStop, &PropagatedEnd::end);
    CHECK(stop->margin.absent);
  }
}

}  // namespace
}  // namespace steerbench
