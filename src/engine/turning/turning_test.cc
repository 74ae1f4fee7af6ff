#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "engine/turning/ackermann.h"
#include "engine/turning/turn_circle.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::turning {
namespace {

using reference::Between;
using reference::Load;
using std::numbers::pi;

constexpr double kDegree = pi / 180.0;

Layout<double> AnyLayout() { return {Between(2.0, 3.5), Between(1.2, 1.7)}; }

// A left turn with both wheels turned, the inner one at least half as far and at most twice as far
// as the ideal asks.
WheelAngles<double> AnyLeftTurn(const Layout<double>& layout) {
  const double inner = Between(3.0 * kDegree, 50.0 * kDegree);
  return {inner, IdealOuter(layout, inner) * Between(0.7, 1.3)};
}

WheelAngles<double> Mirrored(const WheelAngles<double>& angles) {
  return {-angles.right, -angles.left};
}

SteeredAxle<double> Mirrored(const SteeredAxle<double>& axle) {
  const auto flip = [](const SteeredWheel<double>& w) {
    return SteeredWheel<double>{{w.contact.x, -w.contact.y}, -w.steer};
  };
  return {flip(axle.right), flip(axle.left)};
}

TEST_CASE("ideal outer angle of the reference rows") {
  for (const char* id : {"ack-outer-10", "ack-outer-20", "ack-outer-30"}) {
    const auto row = Load(id);
    const Layout<double> layout{row.Input("wheelbase_L"), row.Input("kingpin_track_w")};
    REFERENCE_CHECK(row, "outer_angle", IdealOuter(layout, row.Input("inner_angle")));
  }
}

TEST_CASE("radii from the mean cotangent, reference row") {
  const auto row = Load("ack-jazar-inch");
  const Layout<double> layout{row.Input("wheelbase_l"), row.Input("track_w")};
  const double inner = row.Input("inner_angle");
  const double outer = IdealOuter(layout, inner);
  REFERENCE_CHECK(row, "outer_angle", outer);
  const auto turn = FindTurn(
      layout.wheelbase, SwingAboutAxes(layout.spacing, 0.0, WheelAngles<double>{inner, outer}));
  REQUIRE(turn);
  REFERENCE_CHECK(row, "R1_rear_axle_centre", turn->centre);
  REFERENCE_CHECK(row, "mean_cot_angle", std::atan2(layout.wheelbase, turn->centre));
  const GroundPoint<double> cg{row.Input("cg_to_rear_axle_a2") - layout.wheelbase, 0.0};
  REFERENCE_CHECK(row, "R_cg", PathRadius(*turn, cg));
}

TEST_CASE("Ackermann percentages of the reference row, left and right") {
  const auto row = Load("ack-percent");
  const Layout<double> layout{row.Input("L"), row.Input("w")};
  const WheelAngles<double> left{row.Input("inner"), row.Input("outer_actual")};
  for (const auto& angles : {left, Mirrored(left)}) {
    const auto share = [&](AckermannBasis basis) { return *AckermannShare(basis, layout, angles); };
    REFERENCE_CHECK(row, "pct_A_same_inner", share(AckermannBasis::kSameInner));
    REFERENCE_CHECK(row, "pct_B_same_outer", share(AckermannBasis::kSameOuter));
    REFERENCE_CHECK(row, "pct_C_cot_ratio", share(AckermannBasis::kCotangents));
    REFERENCE_CHECK(row, "pct_D_same_mean_radius", share(AckermannBasis::kSameMeanRadius));
    REFERENCE_CHECK(row, "outer_error_deg", *SteeringError(layout, angles));
    REFERENCE_CHECK(row, "normals_cross_behind_front_axle", *NormalsCrossing(layout, angles));
  }
}

TEST_CASE("track circle of the reference row with its empirical term for the steering error") {
  const auto row = Load("turn-circle-est");
  const double scrub = row.Input("scrub_radius");
  const double spacing = row.Input("track") - 2.0 * scrub;
  const Layout<double> layout{row.Input("wheelbase"), spacing};
  const double ideal = IdealOuter(layout, row.Input("inner"));
  const WheelAngles<double> actual{row.Input("inner"), row.Input("outer_actual")};
  const double error = *SteeringError(layout, actual);
  REFERENCE_CHECK(row, "outer_ideal", ideal);
  REFERENCE_CHECK(row, "steering_deviation", error);

  const auto axle = SwingAboutAxes(spacing, scrub, WheelAngles<double>{row.Input("inner"), ideal});
  const double radius = TrackRadius(*FindTurn(layout.wheelbase, axle), axle);
  constexpr double kEmpirical = 0.050 / kDegree;  // 50 mm per degree, the row's own, not ours
  REFERENCE_CHECK(row, "rs", radius - kEmpirical * error);
}

TEST_CASE("kerb and wall circles of the reference row, left and right") {
  const auto row = Load("turn-kerb-wall");
  const Layout<double> layout{row.Input("L"), row.Input("kingpin_distance")};
  const double outer = row.Input("outer_angle");
  const WheelAngles<double> left{IdealInner(layout, outer), outer};
  for (const auto& angles : {left, Mirrored(left)}) {
    const auto axle = SwingAboutAxes(layout.spacing, row.Input("scrub"), angles);
    const auto turn = FindTurn(layout.wheelbase, axle);
    REQUIRE(turn);
    REFERENCE_CHECK(row, "track_circle_dia", 2.0 * TrackRadius(*turn, axle));
    REFERENCE_CHECK(row, "kerb_to_kerb_dia",
                    2.0 * KerbRadius(*turn, axle, row.Input("tyre_width")));
    REFERENCE_CHECK(row, "wall_to_wall_dia",
                    2.0 * WallRadius(*turn, row.Input("body_width"), row.Input("front_overhang")));
    REFERENCE_CHECK(row, "rear_axle_centre_radius", std::abs(turn->centre));
  }
}

TEST_CASE("the ideal angles are each other's inverse and odd") {
  CHECK(rc::check("inverse", [] {
    const auto layout = AnyLayout();
    const double angle = Between(-1.2, 1.2);
    RC_ASSERT(std::abs(IdealInner(layout, IdealOuter(layout, angle)) - angle) < 1e-14);
    RC_ASSERT(IdealOuter(layout, -angle) == -IdealOuter(layout, angle));
    RC_ASSERT(std::abs(IdealOuter(layout, angle)) <= std::abs(angle));
  }));
  CHECK(IdealOuter(Layout<double>{2.6, 1.5}, 0.0) == 0.0);
}

TEST_CASE("every definition gives 100 percent at the ideal and none at parallel") {
  CHECK(rc::check("ends", [] {
    const auto layout = AnyLayout();
    const double inner = Between(12.0 * kDegree, 50.0 * kDegree);
    for (const auto basis : kAckermannBases) {
      const WheelAngles<double> ideal{inner, IdealOuter(layout, inner)};
      RC_ASSERT(std::abs(*AckermannShare(basis, layout, ideal) - 1.0) < 1e-12);
      RC_ASSERT(*AckermannShare(basis, layout, WheelAngles<double>{inner, inner}) == 0.0);
      const WheelAngles<double> anti{inner, inner * 1.1};
      RC_ASSERT(*AckermannShare(basis, layout, anti) < 0.0);
    }
  }));
}

TEST_CASE("no percentage under ten degrees of mean steer, nor with the wheels opposed") {
  const Layout<double> layout{2.6, 1.5};
  for (const auto basis : kAckermannBases) {
    CHECK_FALSE(AckermannShare(basis, layout, WheelAngles<double>{0.18, 0.165}));
    CHECK(AckermannShare(basis, layout, WheelAngles<double>{0.19, 0.165}));
    CHECK(AckermannShare(basis, layout, WheelAngles<double>{-0.165, -0.19}));
    CHECK_FALSE(AckermannShare(basis, layout, WheelAngles<double>{0.5, -0.01}));
    CHECK_FALSE(NameOf(basis).empty());
  }
  CHECK_FALSE(SteeringError(layout, WheelAngles<double>{0.0, 0.0}));
  CHECK_FALSE(NormalsCrossing(layout, WheelAngles<double>{0.4, 0.4}));
}

TEST_CASE("straight ahead and toe alone have no turning radius") {
  for (const auto& [left, right] : {std::pair{0.0, 0.0}, {0.01, -0.01}, {0.0, 0.01}}) {
    CHECK_FALSE(FindTurn(2.6, SwingAboutAxes(1.5, 0.01, WheelAngles<double>{left, right})));
  }
}

TEST_CASE("at the ideal both wheels ask for the same centre and no slip is forced") {
  CHECK(rc::check("ideal", [] {
    const auto layout = AnyLayout();
    const double inner = Between(2.0 * kDegree, 55.0 * kDegree);
    const auto axle = SwingAboutAxes(layout.spacing, Between(-0.03, 0.05),
                                     WheelAngles<double>{inner, IdealOuter(layout, inner)});
    const auto turn = FindTurn(layout.wheelbase, axle);
    RC_ASSERT(std::abs(turn->centre_left - turn->centre_right) < 1e-10);
    const auto slip = ForcedSlip(*turn, axle);
    RC_ASSERT(std::abs(slip.left) < 1e-12);
    RC_ASSERT(std::abs(slip.right) < 1e-12);
  }));
}

TEST_CASE("parallel wheels in a left turn: the left points too little, the right too far left") {
  const auto axle = SwingAboutAxes(1.5, 0.0, WheelAngles<double>{0.5, 0.5});
  const auto turn = FindTurn(2.6, axle);
  REQUIRE(turn);
  const auto slip = ForcedSlip(*turn, axle);
  CHECK(slip.left < 0.0);
  CHECK(slip.right > 0.0);
  // Each centre lies on that wheel's own normal: by hand, y + L cot(0.5).
  CHECK(turn->centre_left == fixtures::Near(0.75 + 2.6 / std::tan(0.5), 1e-14));
  CHECK(turn->centre_right == fixtures::Near(-0.75 + 2.6 / std::tan(0.5), 1e-14));
  // The direction of travel by moving the car a little about its centre.
  const double turned = 1e-6;
  const double x = axle.left.contact.x + 2.6, y = axle.left.contact.y - turn->centre;
  const double dx = x * std::cos(turned) - y * std::sin(turned) - x;
  const double dy = x * std::sin(turned) + y * std::cos(turned) - y;
  CHECK(slip.left == fixtures::Near(0.5 - std::atan2(dy, dx), 1e-4));
}

TEST_CASE("a mirrored turn gives the mirrored result") {
  CHECK(rc::check("mirror", [] {
    const auto layout = AnyLayout();
    const auto axle = SwingAboutAxes(layout.spacing, Between(-0.03, 0.05), AnyLeftTurn(layout));
    const auto mirrored = Mirrored(axle);
    const auto left = FindTurn(layout.wheelbase, axle);
    const auto right = FindTurn(layout.wheelbase, mirrored);
    RC_ASSERT(left && right);
    RC_ASSERT(left->centre == -right->centre);
    RC_ASSERT(left->centre_left == -right->centre_right);
    RC_ASSERT(TrackRadius(*left, axle) == TrackRadius(*right, mirrored));
    RC_ASSERT(KerbRadius(*left, axle, 0.2) == KerbRadius(*right, mirrored, 0.2));
    RC_ASSERT(WallRadius(*left, 1.7, 0.8) == WallRadius(*right, 1.7, 0.8));
    RC_ASSERT(OffTracking(*left) == OffTracking(*right));
    const auto slip = ForcedSlip(*left, axle), other = ForcedSlip(*right, mirrored);
    RC_ASSERT(slip.left == -other.right);
    RC_ASSERT(slip.right == -other.left);
    const auto wheels = WheelPaths(*left, axle, 1.5), others = WheelPaths(*right, mirrored, 1.5);
    RC_ASSERT(wheels.front_left == others.front_right);
    RC_ASSERT(wheels.rear_left == others.rear_right);
    const auto corners = CornerPaths(*left, 1.7, 0.8, 0.9);
    RC_ASSERT(corners.front_right == CornerPaths(*right, 1.7, 0.8, 0.9).front_left);
    RC_ASSERT(corners.front_right == WallRadius(*left, 1.7, 0.8));
  }));
}

TEST_CASE("paths: the outer front wheel runs widest, the inner rear one tightest") {
  const Layout<double> layout{2.6, 1.5};
  const double inner = 35.0 * kDegree;
  const auto axle =
      SwingAboutAxes(layout.spacing, 0.0, WheelAngles<double>{inner, IdealOuter(layout, inner)});
  const auto turn = FindTurn(layout.wheelbase, axle);
  REQUIRE(turn);
  const auto paths = WheelPaths(*turn, axle, 1.5);
  CHECK(paths.front_right > paths.front_left);
  CHECK(paths.front_right > paths.rear_right);
  CHECK(paths.rear_left == fixtures::Near(turn->centre - 0.75, 1e-14));
  const auto corners = CornerPaths(*turn, 1.7, 0.8, 0.9);
  CHECK(corners.rear_left == fixtures::Near(std::hypot(0.9, turn->centre - 0.85)));
  CHECK(corners.rear_right == fixtures::Near(std::hypot(0.9, turn->centre + 0.85)));
  // 3-4-5 triangle: the front axle's middle at 5 runs 1 outside the rear's at 4.
  CHECK(OffTracking(Turn<double>{3.0, -4.0, -4.0, -4.0, false}) == fixtures::Near(1.0));
}

TEST_CASE("derivatives") {
  const auto shares = []<class T>(const std::vector<T>& v) {
    const Layout<T> layout{v[0], v[1]};
    const WheelAngles<T> angles{v[2], v[3]};
    T sum = *SteeringError(layout, angles) + *NormalsCrossing(layout, angles);
    for (const auto basis : kAckermannBases) sum += *AckermannShare(basis, layout, angles);
    return sum;
  };
  CHECK(reference::DerivativesHold(shares, {2.6, 1.5, 0.6, 0.45}));
  CHECK(reference::DerivativesHold(shares, {2.6, 1.5, -0.45, -0.6}));

  const auto circle = []<class T>(const std::vector<T>& v) {
    const auto axle = SwingAboutAxes(v[1], v[2], WheelAngles<T>{v[3], v[4]});
    const auto turn = FindTurn(v[0], axle);
    const auto slip = ForcedSlip(*turn, axle);
    return T(turn->centre + KerbRadius(*turn, axle, v[5]) + WallRadius(*turn, v[6], v[7]) +
             OffTracking(*turn) + slip.left + 2.0 * slip.right);
  };
  CHECK(reference::DerivativesHold(circle, {2.6, 1.5, 0.02, 0.6, 0.5, 0.2, 1.7, 0.8}));
  CHECK(reference::DerivativesHold(circle, {2.6, 1.5, 0.02, -0.5, -0.6, 0.2, 1.7, 0.8}));
}

}  // namespace
}  // namespace steerbench::turning
