#include "engine/linkage/plan_view.h"

#include <doctest/doctest.h>

#include <cmath>

#include "engine/linkage/corner.h"
#include "fixtures/drive.h"
#include "fixtures/near.h"

namespace steerbench::linkage {
namespace {

using fixtures::Drive;
using fixtures::InSpace;
using fixtures::kDegree;
using fixtures::kMm;
using fixtures::Plan;

constexpr double kSameAngle = 1e-9;  // [rad] promised agreement of levels 2 and 3

TEST_CASE("the plan view equals the plane case in space over the travel, both ways") {
  for (const bool ahead : {true, false}) {
    for (const double toe : {0.0, 0.4 * kDegree}) {
      const PlanCorner<double> plan = Plan(ahead, toe);
      const Corner<double> corner = InSpace(plan);
      const DeadCentres<double> ends = DeadCentreTravel<double>(plan).value();
      for (double share = -0.98; share <= 0.98; share += 0.07) {
        const double travel = share * (share < 0.0 ? -ends.inboard : ends.outboard);
        CAPTURE(travel);
        const Solve solve = Drive(corner, travel, 0.0);
        REQUIRE(solve.status == SolveStatus::kConverged);
        const WheelState<double> space = StateAt<double>(corner, solve.pose, travel, 0.0);
        const PlanState<double> flat = StateAt<double>(plan, travel).value();
        CHECK(std::abs(flat.steer - space.steer) < kSameAngle);
        CHECK(std::abs(flat.rod_arm_angle - space.rod_arm_angle) < kSameAngle);
        CHECK(std::abs(flat.inner_tilt - space.inner_tilt) < kSameAngle);
        CHECK(flat.steer_per_travel == fixtures::Near(space.steer_per_travel, 1e-8));
      }
    }
  }
}

TEST_CASE("toe-in set by the tie rod is the steer at the centre") {
  for (const bool ahead : {true, false}) {
    const PlanState<double> s = StateAt<double>(Plan(ahead, 0.01), 0.0).value();
    CHECK(s.steer == fixtures::Near(-0.01, 1e-12));
  }
}

// Whether the wheel follows the rack is a matter of the arm alone (docs/conventions.md, trap 1).
TEST_CASE("the wheel steers the way the rack goes only with the outer joint ahead of the axis") {
  for (const bool ahead : {true, false}) {
    for (const double rack_offset : {-0.15, -0.05, 0.05, 0.15}) {
      PlanCorner<double> plan = Plan(ahead);
      plan.rack_offset = rack_offset;
      plan.tie_rod_length = TieRodLengthForToe<double>(plan, 0.0);
      const PlanState<double> s = StateAt<double>(plan, 0.0).value();
      CHECK((s.steer_per_travel > 0.0) == ahead);
      const double steer = fixtures::StateOf(InSpace(plan), 10 * kMm, 0.0).steer;
      CHECK((steer > 0.0) == ahead);
    }
  }
}

TEST_CASE("both branches close the linkage and are mirror images in the line to the inner joint") {
  const PlanCorner<double> plan = Plan(false);
  const double travel = 20 * kMm;
  const double driven = StateAt<double>(plan, travel).value().steer;
  const double other = StateAt<double>(plan, travel, PlanBranch::kOther).value().steer;
  const double to_inner =
      std::atan2(plan.inner_joint - plan.half_spacing + travel, plan.rack_offset);
  const double arm = std::atan2(-std::sin(plan.arm_angle), -std::cos(plan.arm_angle));
  const double mirrored = 2.0 * (to_inner - arm) - driven;
  CHECK(std::cos(mirrored) == fixtures::Near(std::cos(other), 1e-12));
  CHECK(std::sin(mirrored) == fixtures::Near(std::sin(other), 1e-12));
  CHECK(std::abs(driven - other) > 1.0);
}

TEST_CASE(
    "dead centre lies where arm and tie rod are in one line, and nothing is computed past it") {
  for (const bool ahead : {true, false}) {
    const PlanCorner<double> plan = Plan(ahead);
    const DeadCentres<double> ends = DeadCentreTravel<double>(plan).value();
    const double hair = 1e-9;
    const PlanState<double> drawn = StateAt<double>(plan, ends.inboard + hair).value();
    const PlanState<double> folded = StateAt<double>(plan, ends.outboard - hair).value();
    CHECK(drawn.rod_arm_angle < 1e-3);
    CHECK(folded.rod_arm_angle > M_PI - 1e-3);
    CHECK_FALSE(StateAt<double>(plan, ends.inboard - hair).has_value());
    CHECK_FALSE(StateAt<double>(plan, ends.outboard + hair).has_value());
  }
}

TEST_CASE("a linkage that cannot close says so") {
  PlanCorner<double> plan = Plan(true);
  plan.tie_rod_length = 0.1;
  CHECK_FALSE(StateAt<double>(plan, 0.0).has_value());
  CHECK_FALSE(DeadCentreTravel<double>(plan).has_value());
}

// Every input in turn carries the derivative; differences are central.
TEST_CASE("exact derivatives of the plan view agree with central differences") {
  constexpr int kInputs = 7;
  constexpr double kStep = 1e-5, kRelative = 1e-6;
  const auto input = [](auto& plan, auto& travel, int i) -> auto& {
    switch (i) {
      case 0:
        return plan.half_spacing;
      case 1:
        return plan.arm_length;
      case 2:
        return plan.arm_angle;
      case 3:
        return plan.rack_offset;
      case 4:
        return plan.inner_joint;
      case 5:
        return plan.tie_rod_length;
      default:
        return travel;
    }
  };
  const PlanCorner<double> p = Plan(false);
  PlanCorner<Jet> lifted{Jet(p.half_spacing), Jet(p.arm_length),  Jet(p.arm_angle),     p.arm_ahead,
                         Jet(p.rack_offset),  Jet(p.inner_joint), Jet(p.tie_rod_length)};
  Jet travel(0.03);
  for (int i = 0; i < kInputs; ++i) input(lifted, travel, i).v[i] = 1.0;
  const PlanState<Jet> exact = StateAt<Jet>(lifted, travel).value();
  for (int i = 0; i < kInputs; ++i) {
    CAPTURE(i);
    const auto at = [&](double step) {
      PlanCorner<double> moved = p;
      double moved_travel = 0.03;
      input(moved, moved_travel, i) += step;
      return StateAt<double>(moved, moved_travel).value();
    };
    const PlanState<double> up = at(kStep), down = at(-kStep);
    const auto agrees = [&](const Jet& jet, double a, double b) {
      CHECK(std::abs(jet.v[i] - (a - b) / (2 * kStep)) <
            kRelative * std::max(1.0, std::abs(jet.v[i])));
    };
    agrees(exact.steer, up.steer, down.steer);
    agrees(exact.steer_per_travel, up.steer_per_travel, down.steer_per_travel);
    agrees(exact.rod_arm_angle, up.rod_arm_angle, down.rod_arm_angle);
    agrees(exact.inner_tilt, up.inner_tilt, down.inner_tilt);
  }
}

}  // namespace
}  // namespace steerbench::linkage
