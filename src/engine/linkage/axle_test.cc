#include "engine/linkage/axle.h"

#include <doctest/doctest.h>

#include <cmath>

#include "fixtures/corners.h"
#include "fixtures/drive.h"
#include "fixtures/near.h"

namespace steerbench::linkage {
namespace {

using fixtures::kDegree;
using fixtures::kMm;
using fixtures::StateOf;

// Arms that swing in the front view only, so that the instant centre can be drawn.
Corner<double> FrontViewCorner() {
  Corner<double> c;
  c.axis = AxisKind::kBallJoints;
  c.lower_joint = {0.0, 0.690, 0.190};
  c.upper_joint = {0.0, 0.655, 0.455};
  c.links = {{{0.15, 0.330, 0.215}, c.lower_joint},
             {{-0.15, 0.330, 0.215}, c.lower_joint},
             {{0.12, 0.400, 0.440}, c.upper_joint},
             {{-0.12, 0.400, 0.440}, c.upper_joint}};
  c.tie_rod = {{-0.13, 0.340, 0.250}, {-0.13, 0.670, 0.245}};
  c.tie_rod_length = (c.tie_rod.outer - c.tie_rod.inner).norm();
  c.rack_axis = {0.0, 1.0, 0.0};
  c.wheel_centre = {0.0, 0.730, 0.300};
  c.spin_axis = {0.0, 1.0, 0.0};
  c.loaded_radius = 0.300;
  return c;
}

struct FrontPoint {
  double y, z;
};

// Where the lines of both arms meet in the front view.
FrontPoint InstantCentre(const Corner<double>& c) {
  const auto slope = [](const Link<double>& l) {
    return (l.outer.z() - l.inner.z()) / (l.outer.y() - l.inner.y());
  };
  const double lower = slope(c.links[0]), upper = slope(c.links[2]);
  const Vec3<double>&l = c.links[0].outer, &u = c.links[2].outer;
  const double y = (u.z() - l.z() - upper * u.y() + lower * l.y()) / (lower - upper);
  return {y, l.z() + lower * (y - l.y())};
}

AxleState<double> AxleAt(const Corner<double>& corner, double travel, double left_jounce,
                         double right_jounce) {
  return AxleOf<double>(StateOf(corner, travel, left_jounce),
                        StateOf(corner, -travel, right_jounce));
}

// The drawing-board construction of any text on suspensions: contact point to instant centre,
// where that line crosses the middle of the car.
TEST_CASE("the roll centre is where the drawn construction puts it") {
  const Corner<double> corner = FrontViewCorner();
  const FrontPoint centre = InstantCentre(corner);
  const double contact = corner.wheel_centre.y();
  const double expected = contact * centre.z / (contact - centre.y);
  const RollCentre<double> rc = AxleAt(corner, 0.0, 0.0, 0.0).roll_centre.value();
  CHECK(rc.height == fixtures::Near(expected, 1e-10));
  CHECK(rc.y == 0.0);
  CHECK(rc.z == fixtures::Near(rc.height, 1e-12));
}

TEST_CASE("a tie rod that points at the instant centre steers nothing as the wheel moves") {
  Corner<double> corner = FrontViewCorner();
  const double before = AxleAt(corner, 0.0, 0.0, 0.0).toe_per_jounce[0];
  const FrontPoint centre = InstantCentre(corner);
  const Vec3<double>& outer = corner.tie_rod.outer;
  const double slope = (outer.z() - centre.z) / (outer.y() - centre.y);
  corner.tie_rod.inner.z() = outer.z() + slope * (corner.tie_rod.inner.y() - outer.y());
  corner.tie_rod_length = (corner.tie_rod.outer - corner.tie_rod.inner).norm();
  const AxleState<double> axle = AxleAt(corner, 0.0, 0.0, 0.0);
  CHECK(std::abs(axle.toe_per_jounce[0]) < 1e-9);
  CHECK(std::abs(axle.steer_per_roll) < 1e-9);
  CHECK(std::abs(before) > 0.01);
}

TEST_CASE("parallel normals have no roll centre") {
  WheelState<double> s = StateOf(FrontViewCorner(), 0.0, 0.0);
  s.contact_per_jounce = {0.0, 0.0, 1.0};
  CHECK_FALSE(AxleOf<double>(s, s).roll_centre.has_value());
}

TEST_CASE("the roll centre's height counts from the line through both contacts") {
  const AxleState<double> level = AxleAt(fixtures::Wishbone(), 0.0, 20 * kMm, 20 * kMm);
  const double contact = StateOf(fixtures::Wishbone(), 0.0, 20 * kMm).contact.z();
  CHECK(level.roll_centre->height == fixtures::Near(level.roll_centre->z - contact, 1e-12));
}

// A symmetric car, turned or rolled one way and the other.
TEST_CASE("a symmetric car gives mirrored results to the bit") {
  for (const auto& corner : {fixtures::Wishbone(), fixtures::Strut(), fixtures::FiveLink()}) {
    for (const double travel : {13.7 * kMm, 52.3 * kMm}) {
      const AxleState<double> left = AxleAt(corner, travel, 21 * kMm, -17 * kMm);
      const AxleState<double> right = AxleAt(corner, -travel, -17 * kMm, 21 * kMm);
      CHECK(left.steer[0] == -right.steer[1]);
      CHECK(left.steer[1] == -right.steer[0]);
      CHECK(left.steer_per_travel[0] == right.steer_per_travel[1]);
      CHECK(left.toe_per_jounce[0] == right.toe_per_jounce[1]);
      CHECK(left.total_toe_in == right.total_toe_in);
      CHECK(left.steer_per_roll == right.steer_per_roll);
      CHECK(left.roll_centre->y == -right.roll_centre->y);
      CHECK(left.roll_centre->z == right.roll_centre->z);
      CHECK(left.roll_centre->height == right.roll_centre->height);
      CHECK(left.steer[0] != right.steer[0]);
    }
  }
}

TEST_CASE("both wheels turn left together when the rack goes left, arms ahead of the axis") {
  const Corner<double> ahead = fixtures::Strut(), behind = fixtures::Wishbone();
  for (const double travel : {-30 * kMm, 30 * kMm}) {
    const AxleState<double> a = AxleAt(ahead, travel, 0.0, 0.0);
    const AxleState<double> b = AxleAt(behind, travel, 0.0, 0.0);
    for (int i : {0, 1}) {
      CHECK(a.steer[i] * travel > 0.0);
      CHECK(b.steer[i] * travel < 0.0);
      CHECK(a.steer_per_travel[i] > 0.0);
      CHECK(b.steer_per_travel[i] < 0.0);
    }
  }
}

TEST_CASE("steer with roll is the mean steer of a body rolled on its standing wheels") {
  constexpr double kRoll = 1e-4;
  for (const auto& corner : {fixtures::Wishbone(), fixtures::Strut()}) {
    const double half_track = StateOf(corner, 0.0, 0.0).contact.y();
    const auto mean = [&](double roll) {  // left side of the body up: its wheel goes down
      const AxleState<double> a = AxleAt(corner, 0.0, -roll * half_track, roll * half_track);
      return (a.steer[0] + a.steer[1]) / 2.0;
    };
    const AxleState<double> a = AxleAt(corner, 0.0, 0.0, 0.0);
    CHECK(a.steer_per_roll == fixtures::Near((mean(kRoll) - mean(-kRoll)) / (2 * kRoll), 1e-5));
    // In a left turn the left side rises; wheels that toe out in bump then steer out of the turn.
    CHECK((a.steer_per_roll < 0.0) == (a.toe_per_jounce[0] < 0.0));
  }
}

TEST_CASE("toe as a length across the rim") {
  // Recomputed here from d sin(toe): 24 in at 0.15 deg is 0.062832 in.
  CHECK(ToeLength<double>(0.15 * kDegree, 24.0) == fixtures::Near(0.062832, 1e-5));
  // The tangent form of other texts differs by far less than a tape shows.
  const double tangent = 381 * kMm * std::tan(0.5 * kDegree);
  CHECK(std::abs(ToeLength<double>(0.5 * kDegree, 381 * kMm) - tangent) < 1e-3 * kMm);
}

}  // namespace
}  // namespace steerbench::linkage
