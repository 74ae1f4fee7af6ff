// Points, plan view, turn plates: which one is taken, and that they agree where they describe the
// same car.
#include <doctest/doctest.h>

#include <cmath>

#include "engine/evaluate/evaluate.h"
#include "fixtures/demo.h"
#include "fixtures/near.h"

namespace steerbench {
namespace {

constexpr double kSameAngle = 1e-9;  // [rad]

// A car whose linkage lies in one level plane and whose steering axes stand upright, so that all
// three levels describe it exactly. Arms behind the axes.
constexpr double kAxis = 0.66, kArm = 0.130, kArmAngle = 0.20, kRackOffset = -0.150;
constexpr double kSpan = 0.640, kHeight = 0.30, kToe = 0.004, kTravel = 0.060;

Fitted<double> Bare() {
  Fitted<double> f;
  f.setup_name = "flat";
  f.car.wheelbase = 2.5;
  f.car.front.tyre_width = 0.18;
  f.rack.emplace();
  f.rack->name = "r";
  f.rack->turns = 3.2 * 2.0 * M_PI;
  f.rack->travel = 2.0 * kTravel;
  f.adjust.toe = kToe;
  return f;
}

Fitted<double> ByPlan() {
  Fitted<double> f = Bare();
  f.car.front.axis_spacing = 2.0 * kAxis;
  f.car.front.plan = {2.0 * kAxis, kArm, kArmAngle, kRackOffset, kSpan, ArmDirection::kBehind};
  return f;
}

Fitted<double> ByPoints() {
  Fitted<double> f = Bare();
  f.car.front.suspension = Suspension::kDoubleWishbone;
  CornerPoints<double>& p = f.car.front.left;
  p.lower_ball_joint = {0.0, kAxis, 0.20};
  p.upper_ball_joint = {0.0, kAxis, 0.45};
  p.lower_pivot_front = {0.12, 0.33, 0.20};
  p.lower_pivot_rear = {-0.15, 0.33, 0.20};
  p.upper_pivot_front = {0.10, 0.40, 0.45};
  p.upper_pivot_rear = {-0.10, 0.40, 0.45};
  p.tie_rod_inner = {kRackOffset, kSpan / 2.0, kHeight};
  p.tie_rod_outer = {-kArm * std::cos(kArmAngle), kAxis - kArm * std::sin(kArmAngle), kHeight};
  p.wheel_centre = {0.0, 0.72, kHeight};
  p.toe = p.camber = 0.0;
  return f;
}

Fitted<double> ByPlates() {
  Fitted<double> f = Bare();
  f.adjust.toe.reset();
  f.car.front.axis_spacing = 2.0 * kAxis;
  const Front<double> front = AssembleFront(ByPoints());
  constexpr int kRows = 6;  // each way, the last at lock
  for (int i = -kRows; i <= kRows; ++i) {
    const double s = kTravel * i / kRows;
    f.car.front.turn_plate.push_back({s, SeeWheel<double>(front, Side::kLeft, s, 0.0)->sample.steer,
                                      SeeWheel<double>(front, Side::kRight, s, 0.0)->sample.steer});
  }
  return f;
}

TEST_CASE("The best level that the document describes is taken, and said") {
  CHECK(Evaluate(ByPoints()).level == Level::kPoints);
  CHECK(Evaluate(ByPlan()).level == Level::kPlanView);
  CHECK(Evaluate(ByPlates()).level == Level::kTurnPlate);
  CHECK(Evaluate(Bare()).level == Level::kUnknown);
  Fitted<double> all = ByPlates();
  all.adjust.toe = kToe;
  all.car.front.plan = ByPlan().car.front.plan;
  CHECK(Evaluate(all).level == Level::kPlanView);
  all.car.front.suspension = Suspension::kDoubleWishbone;
  all.car.front.left = ByPoints().car.front.left;
  CHECK(Evaluate(all).level == Level::kPoints);
  all.car.front.left.wheel_centre.reset();
  const Evaluation<double> e = Evaluate(all);
  CHECK(e.level == Level::kPlanView);
  // What only points can give says which point lacks.
  const Missing& missing = e.result[static_cast<std::size_t>(Output::kCamberLeft)].missing;
  REQUIRE_FALSE(missing.empty());
  for (const std::string_view field : missing) CHECK(field == "car.front.left.wheel_centre");
}

TEST_CASE("Turn plates are not read for a linkage that was changed since") {
  Fitted<double> f = ByPlates();
  f.adjust.rack_forward = 0.01;
  CHECK(Evaluate(f).level == Level::kUnknown);
  f.adjust.rack_forward.reset();
  f.spacer.emplace().thickness = 0.006;
  CHECK(Evaluate(f).level == Level::kUnknown);
}

TEST_CASE("A flat car turns its wheels the same by points, plan view and turn plates") {
  const Evaluation<double> points = Evaluate(ByPoints());
  const Evaluation<double> plan = Evaluate(ByPlan());
  const Evaluation<double> plates = Evaluate(ByPlates());
  using enum Output;
  for (const Output id : {kInnerWheelLeft, kInnerWheelRight, kOuterWheelLeft, kOuterWheelRight}) {
    CAPTURE(InfoOf(id).key);
    CHECK(std::abs(*points[id] - *plan[id]) < kSameAngle);
    CHECK(std::abs(*points[id] - *plates[id]) < kSameAngle);
  }
  for (const Output id : {kRatioCentre, kRatioLockLeft, kTieRodLeft, kTieRodRight, kTurns,
                          kAckermannInnerLeft, kAckermannCotRight, kSteeringErrorLeft}) {
    CAPTURE(InfoOf(id).key);
    CHECK(*points[id] == fixtures::Near(*plan[id], 1e-8));
  }
  CHECK(points[kInnerWheelLeft].value() > 0.3);  // not trivially the same
}

TEST_CASE("A flat car's dead centre and rod-arm angle agree by points and plan view") {
  Fitted<double> points = ByPoints(), plan = ByPlan();
  points.rack->travel = plan.rack->travel = 0.4;
  const Evaluation<double> a = Evaluate(points), b = Evaluate(plan);
  for (const Way way : kWays) {
    for (const RackEnd end : {RackEnd::kDeadCentre, RackEnd::kRodArmAngle}) {
      const auto of = [&](const Evaluation<double>& e) {
        const auto& limits = e.ends[Index(way)].limit;
        return std::ranges::find(limits, end, &RackLimit<double>::end)->travel.value();
      };
      // Points find the end of the branch by halving steps, to a micron or so.
      CHECK(std::abs(of(a) - of(b)) < 2e-6);
    }
  }
}

}  // namespace
}  // namespace steerbench
