#include "engine/linkage/corner.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/linkage/plan_view.h"
#include "fixtures/corners.h"
#include "fixtures/drive.h"
#include "fixtures/near.h"

namespace steerbench::linkage {
namespace {

using fixtures::Drive;
using fixtures::kDegree;
using fixtures::kMm;
using fixtures::StateOf;

std::array<Corner<double>, 3> Fixtures() {
  return {fixtures::Wishbone(), fixtures::Strut(), fixtures::FiveLink()};
}

// Arms of 65 mm, so that a usual rack turns the wheel by 60 degrees.
Corner<double> ShortArms() {
  Corner<double> c = fixtures::Wishbone();
  c.tie_rod = {{-0.070, 0.320, 0.240}, {-0.065, 0.690, 0.245}};
  c.tie_rod_length = (c.tie_rod.outer - c.tie_rod.inner).norm();
  return c;
}

// Largest closure error of a pose [m], from the points alone: link lengths and, for a strut, the
// distance of the top mount from the sliding line.
double ClosureError(const Corner<double>& c, const Pose& pose) {
  const auto moved = [&](const Vec3<double>& p) -> Vec3<double> {
    return pose.centre + pose.rotation * (p - c.wheel_centre);
  };
  double worst = std::abs((moved(c.tie_rod.outer) - pose.tie_rod_inner).norm() - c.tie_rod_length);
  for (const Link<double>& l : c.links) {
    const double error = (moved(l.outer) - l.inner).norm() - (l.outer - l.inner).norm();
    worst = std::max(worst, std::abs(error));
  }
  if (c.axis == AxisKind::kStrut) {
    const Vec3<double> from = moved(c.strut_lower);
    const Vec3<double> line = moved(c.strut_top) - from;
    worst = std::max(worst, (c.strut_top - from).cross(line.normalized()).norm());
  }
  return worst;
}

TEST_CASE("the linkage closes to 1e-9 m over 80 mm of rack and of wheel travel each way") {
  constexpr double kPromised = 1e-9;
  constexpr double kNearlySingular = 1e-3;  // against 0.3 to 0.6 at design position
  for (const Corner<double>& corner : Fixtures()) {
    int reached = 0, poses = 0;
    for (double travel = -80; travel <= 80; travel += 10) {
      for (double jounce = -80; jounce <= 80; jounce += 10) {
        const Solve solve = Drive(corner, travel * kMm, jounce * kMm);
        CAPTURE(travel);
        CAPTURE(jounce);
        ++poses;
        CHECK(ClosureError(corner, solve.pose) < kPromised);
        if (solve.status == SolveStatus::kConverged) {
          ++reached;
        } else {
          CHECK(SmallestSingularValue(corner, solve.pose) < kNearlySingular);
        }
      }
    }
    MESSAGE("poses reached: " << reached << " of " << poses);
    CHECK(reached > poses * 9 / 10);
  }
}

TEST_CASE("neighbouring poses differ by the tangent to second order: no jump of branch") {
  constexpr double kStep = 0.5e-3;
  constexpr double kCurvature = 400.0;  // [rad/m2] above any of these linkages off dead centre
  for (const Corner<double>& corner : Fixtures()) {
    const auto sweep = [&](double travel_step, double jounce_step) {
      double travel = -60 * travel_step / kStep * kMm, jounce = -60 * jounce_step / kStep * kMm;
      Solve solve = Drive(corner, travel, jounce);
      REQUIRE(solve.status == SolveStatus::kConverged);
      WheelState<double> last = StateAt<double>(corner, solve.pose, travel, jounce);
      for (int i = 0; i < 240; ++i) {
        travel += travel_step;
        jounce += jounce_step;
        solve = MoveTo(corner, solve.pose, travel, jounce);
        REQUIRE(solve.status == SolveStatus::kConverged);
        const WheelState<double> now = StateAt<double>(corner, solve.pose, travel, jounce);
        const double tangent =
            last.steer_per_travel * travel_step + last.steer_per_jounce * jounce_step;
        CHECK(std::abs(now.steer - last.steer - tangent) < kCurvature * kStep * kStep);
        last = now;
      }
    };
    sweep(kStep, 0.0);
    sweep(0.0, kStep);
    sweep(kStep, kStep);
  }
}

TEST_CASE("going to a pose by different ways gives the same pose") {
  constexpr double kSame = 1e-11;
  for (const Corner<double>& corner : Fixtures()) {
    for (const double travel : {-55 * kMm, 60 * kMm}) {
      for (const double jounce : {-60 * kMm, 50 * kMm}) {
        const Pose straight = Drive(corner, travel, jounce).pose;
        Pose rack_first = MoveTo(corner, DesignPose(corner).pose, travel, 0.0).pose;
        rack_first = MoveTo(corner, rack_first, travel, jounce).pose;
        Pose wheel_first = MoveTo(corner, DesignPose(corner).pose, 0.0, jounce).pose;
        wheel_first = MoveTo(corner, wheel_first, -travel, jounce).pose;
        wheel_first = MoveTo(corner, wheel_first, travel, jounce).pose;
        for (const Pose& other : {rack_first, wheel_first}) {
          CHECK(straight.rotation.angularDistance(other.rotation) < 1e-7);  // acos near one
          CHECK(std::abs(SteerOf(corner, straight) - SteerOf(corner, other)) < kSame);
          CHECK((straight.centre - other.centre).norm() < kSame);
        }
      }
    }
  }
}

TEST_CASE("a guess, good or wild, leaves the pose what it is") {
  constexpr double kSame = 1e-11;
  for (const Corner<double>& corner : Fixtures()) {
    const Pose from = Drive(corner, 10 * kMm, 0.0).pose;
    const Solve plain = MoveTo(corner, from, 20 * kMm, 5 * kMm);
    REQUIRE(plain.status == SolveStatus::kConverged);
    Pose wild = plain.pose;
    wild.rotation = Eigen::AngleAxisd(2.5, Vec3<double>::UnitY()) * wild.rotation;
    wild.centre.x() += 0.4;
    const Pose across = Drive(corner, -60 * kMm, 0.0).pose;
    for (const Pose& guess : {plain.pose, across, wild}) {
      const Solve guessed = MoveTo(corner, from, 20 * kMm, 5 * kMm, kFinestStep, &guess);
      REQUIRE(guessed.status == SolveStatus::kConverged);
      CHECK((guessed.pose.centre - plain.pose.centre).norm() < kSame);
      CHECK(std::abs(SteerOf(corner, guessed.pose) - SteerOf(corner, plain.pose)) < kSame);
      CHECK(guessed.pose.orientation == plain.pose.orientation);
    }
    CHECK(MoveTo(corner, from, 20 * kMm, 5 * kMm, kFinestStep, &plain.pose).iterations == 0);
  }
}

TEST_CASE("short arms turn the wheel past sixty degrees") {
  const Corner<double> corner = ShortArms();
  double most = 0.0;
  for (double travel = 0.0; travel >= -70 * kMm; travel -= 1 * kMm) {
    const Solve solve = Drive(corner, travel, 0.0);
    if (solve.status != SolveStatus::kConverged) break;
    CHECK(ClosureError(corner, solve.pose) < 1e-9);
    most = std::max(most, StateAt<double>(corner, solve.pose, travel, 0.0).steer);
  }
  MESSAGE("largest steer angle " << most / kDegree << " deg");
  CHECK(most > 60.0 * kDegree);
}

// docs/conventions.md, trap 2. The identity is that of a unit vector's projections.
TEST_CASE("true camber and its front view part company at large steer angles") {
  Corner<double> corner = fixtures::InSpace(fixtures::Plan(true));
  corner.spin_axis = SpinAxis(0.0, 7.0 * kDegree);
  double travel = 0.0;
  for (int i = 0; i < 20; ++i) {
    constexpr double kShortStep = 10 * kMm;  // Newton's full steps would pass dead centre
    const WheelState<double> s = StateOf(corner, travel, 0.0);
    const double step = (-60.0 * kDegree - s.steer) / s.steer_per_travel;
    travel += std::clamp(step, -kShortStep, kShortStep);
  }
  const WheelState<double> s = StateOf(corner, travel, 0.0);
  REQUIRE(s.steer == fixtures::Near(-60.0 * kDegree, 1e-9));
  CHECK(s.camber / kDegree == fixtures::Near(7.0, 1e-9));
  CHECK(s.camber_front_view / kDegree == fixtures::Near(13.80, 1e-3));
}

TEST_CASE("past dead centre the end of the branch is reported, at its place") {
  constexpr double kShare = 1e-5;
  for (const bool ahead : {true, false}) {
    const PlanCorner<double> plan = fixtures::Plan(ahead);
    const Corner<double> corner = fixtures::InSpace(plan);
    const DeadCentres<double> ends = DeadCentreTravel<double>(plan).value();
    const double open = SmallestSingularValue(corner, DesignPose(corner).pose);
    for (const double end : {ends.inboard, ends.outboard}) {
      const double target = end * 1.3;
      const Solve solve = Drive(corner, target, 0.0);
      CHECK(solve.status == SolveStatus::kDeadCentre);
      CHECK(std::abs(solve.reached - end / target) < kShare);
      CHECK(ClosureError(corner, solve.pose) < 1e-9);
      const double last = SmallestSingularValue(corner, solve.pose);
      MESSAGE("smallest singular value " << open << " open, " << last << " at dead centre");
      CHECK(last < 0.01 * open);
    }
  }
}

// docs/conventions.md, trap 6: held at one height, a wheel that steers about a leaning axis moves
// its arms a little, so that the reach does not end where arm and tie rod are straight.
TEST_CASE("in space the reach ends near straight arm and tie rod, not at it") {
  // The last step of the continuation leaves 0.03 deg or so of its own.
  constexpr double kClearlyOff = 0.2 * kDegree, kNear = 10 * kDegree;
  const Corner<double> corner = ShortArms();
  double furthest = 0.0;
  for (const double target : {-150 * kMm, 150 * kMm}) {
    const Solve solve = Drive(corner, target, 0.0);
    REQUIRE(solve.status == SolveStatus::kDeadCentre);
    CHECK(SmallestSingularValue(corner, solve.pose) < 1e-3);
    const double angle =
        StateAt<double>(corner, solve.pose, solve.reached * target, 0.0).rod_arm_angle;
    const double from_straight = std::min(angle, M_PI - angle);
    MESSAGE("arm and tie rod " << from_straight / kDegree << " deg from straight");
    CHECK(from_straight < kNear);
    furthest = std::max(furthest, from_straight);
  }
  CHECK(furthest > kClearlyOff);
}

TEST_CASE("a design position that cannot be solved from says so") {
  const auto status = [](const Corner<double>& c) { return DesignPose(c).status; };
  Corner<double> no_length = fixtures::Wishbone();
  no_length.links[1].inner = no_length.links[1].outer;
  CHECK(status(no_length) == SolveStatus::kBadGeometry);
  Corner<double> missing = fixtures::Wishbone();
  missing.links.pop_back();
  CHECK(status(missing) == SolveStatus::kBadGeometry);
  PlanCorner<double> plan = fixtures::Plan(true);
  plan.arm_length = 0.0;
  const Corner<double> no_arm = fixtures::InSpace(plan);
  CHECK(status(no_arm) == SolveStatus::kBadGeometry);
  Corner<double> level_strut = fixtures::Strut();
  level_strut.strut_lower = level_strut.strut_top + Vec3<double>(0.1, 0.0, 0.0);
  CHECK(status(level_strut) == SolveStatus::kBadGeometry);
  CHECK(status(fixtures::Wishbone()) == SolveStatus::kConverged);
}

TEST_CASE("the tie-rod length for a toe gives that toe") {
  for (Corner<double> corner : Fixtures()) {
    for (const double toe : {-0.02, 0.0, 0.015}) {
      corner.tie_rod_length = TieRodLengthForToe<double>(corner, toe).value();
      CHECK(std::abs(StateOf(corner, 0.0, 0.0).steer + toe) < 1e-12);
    }
  }
}

}  // namespace
}  // namespace steerbench::linkage
