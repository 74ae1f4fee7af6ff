#include "engine/linkage/solve_for.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "fixtures/corners.h"
#include "fixtures/drive.h"
#include "fixtures/near.h"

namespace steerbench::linkage {
namespace {

using fixtures::kDegree;
using fixtures::kMm;
using fixtures::StateOf;

constexpr std::array kVariables{DesignVariable::kRackUp, DesignVariable::kRackForward,
                                DesignVariable::kOuterShim, DesignVariable::kArmLength,
                                DesignVariable::kSpacer};

SolveForTask TaskOf(const Corner<double>& corner, DesignVariable variable, Target target) {
  SolveForTask task;
  task.corner = {corner, corner};
  task.variable = variable;
  task.least = -15 * kMm;
  task.most = 15 * kMm;
  task.target = std::move(target);
  return task;
}

LeastBumpSteer Bump(LeastBumpSteer::About about) {
  LeastBumpSteer bump;
  bump.about = about;
  bump.rebound = 50 * kMm;
  bump.jounce = 60 * kMm;
  bump.points = 12;
  return bump;
}

double LeftSteer(const AxleState<double>& axle) { return axle.steer[0]; }

// RMS bump steer worked out anew, pose by pose from the design position.
double Rms(const Corner<double>& corner, const LeastBumpSteer& bump) {
  std::vector<double> steer;
  for (int i = 0; i < bump.points; ++i) {
    const double z = -bump.rebound + i * (bump.rebound + bump.jounce) / (bump.points - 1);
    steer.push_back(StateOf(corner, 0.0, z).steer);
  }
  double about = 0.0, sum = 0.0;
  for (const double s : steer) about += s / bump.points;
  if (bump.about == LeastBumpSteer::About::kStaticToe) about = StateOf(corner, 0.0, 0.0).steer;
  for (const double s : steer) sum += (s - about) * (s - about);
  return std::sqrt(sum / bump.points);
}

TEST_CASE("the rack height of least bump steer beats every height of a fine scan") {
  const Corner<double> corner = fixtures::Wishbone();
  const double toe = -StateOf(corner, 0.0, 0.0).steer;
  for (const auto about : {LeastBumpSteer::About::kStaticToe, LeastBumpSteer::About::kMeanToe}) {
    const LeastBumpSteer bump = Bump(about);
    const Solution s = SolveFor(TaskOf(corner, DesignVariable::kRackUp, bump));
    REQUIRE(s.status == SolveForStatus::kReached);
    CHECK_FALSE(s.bound_binds);
    CHECK(s.before.value() == fixtures::Near(Rms(corner, bump), 1e-9));
    CHECK(s.after < s.before.value());
    CHECK(s.residual == s.after);
    CHECK(std::get<LeastBumpSteer>(s.target).points == bump.points);
    const auto at = [&](double up) {
      Corner<double> moved = Adjusted<double>(corner, DesignVariable::kRackUp, up).value();
      moved.tie_rod_length = TieRodLengthForToe<double>(moved, toe).value();
      return Rms(moved, bump);
    };
    CHECK(s.after == fixtures::Near(at(s.value), 1e-9));
    for (double up = -15; up <= 15; up += 0.5) CHECK(s.after <= at(up * kMm));
    MESSAGE("rack up " << s.value / kMm << " mm: " << *s.before / kDegree << " to "
                       << s.after / kDegree << " deg RMS in " << s.evaluations << " evaluations");
  }
}

// docs/conventions.md, trap 9.
TEST_CASE("the best rack height depends on what bump steer is counted from") {
  const auto best = [](LeastBumpSteer::About about) {
    return SolveFor(TaskOf(fixtures::Wishbone(), DesignVariable::kRackUp, Bump(about))).value;
  };
  CHECK(std::abs(best(LeastBumpSteer::About::kStaticToe) - best(LeastBumpSteer::About::kMeanToe)) >
        0.01 * kMm);
}

TEST_CASE("a bound that stops the search is named") {
  const Target target = Bump(LeastBumpSteer::About::kStaticToe);
  SolveForTask task = TaskOf(fixtures::Wishbone(), DesignVariable::kRackUp, target);
  const double best = SolveFor(task).value;
  task.least = best + 2 * kMm;
  task.most = best + 9 * kMm;
  const Solution s = SolveFor(task);
  CHECK(s.bound_binds);
  CHECK(s.value == task.least);
}

TEST_CASE("an angle at lock that a known adjustment gives leads back to that adjustment") {
  constexpr double kTravel = -45 * kMm, kMoved = 4.3 * kMm;
  const Corner<double> corner = fixtures::Wishbone();
  for (const DesignVariable variable : kVariables) {
    for (const bool re_set : {true, false}) {
      CAPTURE(static_cast<int>(variable));
      Corner<double> moved = Adjusted<double>(corner, variable, kMoved).value();
      if (re_set) {
        const double toe = -StateOf(corner, 0.0, 0.0).steer;
        moved.tie_rod_length = TieRodLengthForToe<double>(moved, toe).value();
      }
      const double angle = StateOf(moved, kTravel, 0.0).steer;
      SolveForTask task = TaskOf(corner, variable, FigureAt{kTravel, angle, LeftSteer});
      task.re_set_toe = re_set;
      const Solution s = SolveFor(task);
      REQUIRE(s.status == SolveForStatus::kReached);
      CHECK(std::abs(s.residual) < 1e-9);
      // A variable that hardly steers may have a second root, nearer to no change.
      CHECK(std::abs(s.value) < kMoved + 1e-8);
    }
  }
}

TEST_CASE("an Ackermann share at a travel is reached by moving the rack fore and aft") {
  constexpr double kWheelbase = 2.6, kSpacing = 1.36, kAsked = 0.6;
  // By the cotangents of the angles, as docs/methods/turning.md defines it.
  const auto share = [](const AxleState<double>& a) -> std::optional<double> {
    const double inner = std::max(std::abs(a.steer[0]), std::abs(a.steer[1]));
    const double outer = std::min(std::abs(a.steer[0]), std::abs(a.steer[1]));
    return (1 / std::tan(outer) - 1 / std::tan(inner)) * kWheelbase / kSpacing;
  };
  SolveForTask task = TaskOf(fixtures::Wishbone(), DesignVariable::kRackForward,
                             FigureAt{-50 * kMm, kAsked, share});
  task.least = -80 * kMm;
  task.most = 80 * kMm;
  const Solution s = SolveFor(task);
  REQUIRE(s.status == SolveForStatus::kReached);
  CHECK(s.after == fixtures::Near(kAsked, 1e-6));
  Corner<double> moved =
      Adjusted<double>(fixtures::Wishbone(), DesignVariable::kRackForward, s.value).value();
  const double toe = -StateOf(fixtures::Wishbone(), 0.0, 0.0).steer;
  moved.tie_rod_length = TieRodLengthForToe<double>(moved, toe).value();
  const auto axle = AxleOf<double>(StateOf(moved, -50 * kMm, 0.0), StateOf(moved, 50 * kMm, 0.0));
  CHECK(share(axle).value() == fixtures::Near(kAsked, 1e-6));
}

TEST_CASE("a figure out of reach gives the nearest and says so") {
  const Solution s = SolveFor(TaskOf(fixtures::Strut(), DesignVariable::kArmLength,
                                     FigureAt{30 * kMm, 60 * kDegree, LeftSteer}));
  CHECK(s.status == SolveForStatus::kNotReached);
  CHECK(s.bound_binds);
  CHECK(s.value == -15 * kMm);  // the shortest arm turns most
  CHECK(s.residual == fixtures::Near(s.after - 60 * kDegree));
}

TEST_CASE("a jump from one sign to the other is no root") {
  const auto jump = [](const AxleState<double>& a) -> std::optional<double> {
    return a.steer[0] < 0.2 ? -1.0 : 1.0;
  };
  const Solution s = SolveFor(
      TaskOf(fixtures::Strut(), DesignVariable::kArmLength, FigureAt{25 * kMm, 0.0, jump}));
  CHECK(s.status == SolveForStatus::kNotReached);
}

TEST_CASE("tasks without sense or without a linkage say so") {
  SolveForTask task = TaskOf(fixtures::Wishbone(), DesignVariable::kRackUp,
                             Bump(LeastBumpSteer::About::kStaticToe));
  task.most = task.least;
  CHECK(SolveFor(task).status == SolveForStatus::kBadTask);
  task = TaskOf(fixtures::Wishbone(), DesignVariable::kRackUp, LeastBumpSteer{});
  CHECK(SolveFor(task).status == SolveForStatus::kBadTask);
  task = TaskOf(fixtures::Wishbone(), DesignVariable::kRackUp, FigureAt{});
  CHECK(SolveFor(task).status == SolveForStatus::kBadTask);
  task = TaskOf(fixtures::Wishbone(), DesignVariable::kRackUp, FigureAt{500 * kMm, 0.5, LeftSteer});
  CHECK(SolveFor(task).status == SolveForStatus::kNoLinkage);
  task = TaskOf(fixtures::Strut(), DesignVariable::kOuterShim,  // no stud is known
                Bump(LeastBumpSteer::About::kStaticToe));
  CHECK(SolveFor(task).status == SolveForStatus::kNoLinkage);
}

// docs/conventions.md, trap 7.
TEST_CASE("a spacer with the rod shortened by its thickness does not quite keep toe") {
  const Corner<double> corner = fixtures::Wishbone();
  const Corner<double> spaced = Adjusted<double>(corner, DesignVariable::kSpacer, 8 * kMm).value();
  CHECK((spaced.tie_rod.inner - corner.tie_rod.inner).norm() == fixtures::Near(8 * kMm));
  CHECK(spaced.tie_rod_length == fixtures::Near(corner.tie_rod_length - 8 * kMm));
  const double turned = std::abs(StateOf(spaced, 0.0, 0.0).steer - StateOf(corner, 0.0, 0.0).steer);
  CHECK(turned > 1e-4 * kDegree);
  CHECK(turned < 0.1 * kDegree);
}

TEST_CASE("a positive shim lowers the outer joint, whichever way its stud points") {
  Corner<double> corner = fixtures::Wishbone();
  for (const double sign : {1.0, -1.0}) {
    corner.stud = *fixtures::Wishbone().stud * sign;
    const auto moved = Adjusted<double>(corner, DesignVariable::kOuterShim, 5 * kMm).value();
    CHECK(moved.tie_rod.outer.z() < corner.tie_rod.outer.z() - 4.9 * kMm);
    CHECK((moved.tie_rod.outer - corner.tie_rod.outer).norm() == fixtures::Near(5 * kMm));
  }
}

TEST_CASE("a longer arm moves the outer joint square away from the steering axis") {
  for (const auto& corner : {fixtures::Wishbone(), fixtures::Strut(), fixtures::FiveLink()}) {
    const WheelState<double> s = StateOf(corner, 0.0, 0.0);
    const auto arm = [&](const Vec3<double>& p) {
      return (p - s.axis_point).cross(s.axis_direction).norm();
    };
    const auto moved = Adjusted<double>(corner, DesignVariable::kArmLength, 7 * kMm).value();
    CHECK(arm(moved.tie_rod.outer) - arm(corner.tie_rod.outer) == fixtures::Near(7 * kMm, 1e-9));
    CHECK(std::abs((moved.tie_rod.outer - corner.tie_rod.outer).dot(s.axis_direction)) < 1e-12);
  }
}

TEST_CASE("the same task gives the same solution to the bit") {
  const SolveForTask task =
      TaskOf(fixtures::FiveLink(), DesignVariable::kRackUp, Bump(LeastBumpSteer::About::kMeanToe));
  const Solution a = SolveFor(task), b = SolveFor(task);
  CHECK(a.value == b.value);
  CHECK(a.after == b.after);
  CHECK(a.evaluations == b.evaluations);
}

}  // namespace
}  // namespace steerbench::linkage
