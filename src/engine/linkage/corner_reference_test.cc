// Corners against values from outside: rows axis-from-points, camber-vs-steer, jacking and
// vertical-load-moment of tests/reference/checks.json.
#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <string>

#include "engine/linkage/corner.h"
#include "fixtures/drive.h"
#include "reference/reference.h"

namespace steerbench::linkage {
namespace {

using fixtures::kDegree;

// A double wishbone around the steering axis of row axis-from-points, contact at the origin.
Corner<double> ReferenceCorner() {
  const reference::Row row = reference::Load("axis-from-points");
  Corner<double> c;
  c.axis = AxisKind::kBallJoints;
  c.lower_joint = {row.Input("lower_x"), row.Input("lower_y"), row.Input("lower_z")};
  c.upper_joint = {row.Input("upper_x"), row.Input("upper_y"), row.Input("upper_z")};
  c.links = {{{0.16, -0.42, 0.20}, c.lower_joint},
             {{-0.14, -0.42, 0.20}, c.lower_joint},
             {{0.10, -0.38, 0.43}, c.upper_joint},
             {{-0.14, -0.38, 0.43}, c.upper_joint}};
  c.tie_rod = {{-0.13, -0.43, 0.25}, {-0.12, -0.08, 0.25}};
  c.tie_rod_length = (c.tie_rod.outer - c.tie_rod.inner).norm();
  c.rack_axis = {0.0, 1.0, 0.0};
  c.wheel_centre = {0.0, 0.0, 0.310};
  c.spin_axis = {0.0, 1.0, 0.0};
  c.loaded_radius = 0.310;
  return c;
}

// Turned about its steering axis, which stays where it was: the wheel centre is moved up or down
// until the lower joint has its design place.
struct Turned {
  Pose pose;
  WheelState<double> state;
  double travel, jounce;
};

// Newton's method on rack and wheel travel, from the pose before; `angle` has a rate near that of
// steer.
Turned TurnTo(const Corner<double>& corner, double target,
              const std::function<double(const Turned&)>& angle) {
  constexpr int kMostSteps = 40;
  constexpr double kShortStep = 0.02;
  Turned t{DesignPose(corner).pose, {}, 0.0, 0.0};
  for (int i = 0; i < kMostSteps; ++i) {
    const Solve solve = MoveTo(corner, t.pose, t.travel, t.jounce);
    REQUIRE(solve.status == SolveStatus::kConverged);
    t.pose = solve.pose;
    t.state = StateAt<double>(corner, t.pose, t.travel, t.jounce);
    const WheelState<double>& s = t.state;
    const Vec3<double> lower = s.axis_point - s.centre;
    const auto rise = [&](const Rate<double>& r) {
      return (r.centre + r.angular.cross(lower)).z();
    };
    Eigen::Matrix2d rates;
    rates << s.steer_per_travel, s.steer_per_jounce, rise(s.per_travel), rise(s.per_jounce);
    const Eigen::Vector2d error(target - angle(t), corner.lower_joint.z() - s.axis_point.z());
    if (error.norm() < 1e-13) break;
    const Eigen::Vector2d step = rates.inverse() * error;
    t.travel += std::clamp(step[0], -kShortStep, kShortStep);
    t.jounce += std::clamp(step[1], -kShortStep, kShortStep);
  }
  CHECK((t.state.axis_point - corner.lower_joint).norm() < 1e-10);
  return t;
}

double Steer(const Turned& t) { return t.state.steer; }

// Right-hand turn about the upward axis.
double TurnAboutAxis(const Turned& t) {
  return 2.0 * std::atan2(t.pose.rotation.vec().dot(t.state.axis_direction), t.pose.rotation.w());
}

// Closed form of the row camber-vs-steer, derived there: the spin axis keeps its angle to the
// steering axis. Caster t, inclination s, steer d, camber g: sin g + cos g (tan s cos d - tan t
// sin d) = tan s cos g0 + sin g0.
double CamberAt(double caster, double inclination, double static_camber, double steer) {
  const double a = std::tan(caster) * std::sin(steer) - std::tan(inclination) * std::cos(steer);
  const double c = -(std::tan(inclination) * std::cos(static_camber) + std::sin(static_camber));
  return std::acos(c / std::hypot(a, 1.0)) - std::atan2(1.0, a);
}

// Name of a reference value at an angle: "camber_at_steer_+20".
std::string At(std::string name, int degrees) {
  if (degrees > 0) name += '+';
  name += std::to_string(degrees);
  return name;
}

TEST_CASE("steering axis from points") {
  const reference::Row row = reference::Load("axis-from-points");
  const WheelState<double> s = fixtures::StateOf(ReferenceCorner(), 0.0, 0.0);
  CHECK(s.contact.norm() < 1e-12);
  REFERENCE_CHECK(row, "caster", s.caster);
  REFERENCE_CHECK(row, "inclination", s.inclination);
  REFERENCE_CHECK(row, "total_tilt", std::acos(s.axis_direction.z()));
  REFERENCE_CHECK(row, "scrub_radius", s.scrub_radius);
  REFERENCE_CHECK(row, "mechanical_trail", s.mechanical_trail);
  const auto off_axis = [&](const Vec3<double>& p) {
    return (p - s.axis_point).cross(s.axis_direction).norm();
  };
  REFERENCE_CHECK(row, "perp_contact_to_axis", off_axis(s.contact));
  REFERENCE_CHECK(row, "perp_wheel_centre_to_axis", off_axis(s.centre));
}

TEST_CASE("camber against steer about a fixed axis") {
  const reference::Row row = reference::Load("camber-vs-steer");
  const Corner<double> corner = ReferenceCorner();
  for (const int degrees : {-30, -20, 20, 30}) {
    const Turned t = TurnTo(corner, degrees * kDegree, Steer);
    REFERENCE_CHECK(row, At("camber_at_steer_", degrees).c_str(), t.state.camber);
    REFERENCE_CHECK(row, At("rotation_about_axis_", degrees).c_str(), TurnAboutAxis(t));
    const double closed = CamberAt(row.Input("caster"), row.Input("inclination"),
                                   row.Input("static_camber"), degrees * kDegree);
    CHECK(std::abs(t.state.camber - closed) < 1e-8);  // the points are given to 1e-8 mm
  }
}

TEST_CASE("a cambered wheel keeps to the closed form too") {
  constexpr double kStatic = -1.5 * kDegree;
  Corner<double> corner = ReferenceCorner();
  corner.spin_axis = SpinAxis(0.0, kStatic);
  const WheelState<double> rest = fixtures::StateOf(corner, 0.0, 0.0);
  for (const double steer : {-25 * kDegree, 35 * kDegree}) {
    const Turned t = TurnTo(corner, steer, Steer);
    CHECK(std::abs(t.state.camber - CamberAt(rest.caster, rest.inclination, kStatic, steer)) <
          1e-10);
  }
}

TEST_CASE("a wheel turned about its axis rises and falls") {
  const reference::Row row = reference::Load("jacking");
  for (const int degrees : {-30, 30}) {
    const Turned t = TurnTo(ReferenceCorner(), degrees * kDegree, TurnAboutAxis);
    REFERENCE_CHECK(row, At("wheel_centre_dz_rot", degrees).c_str(), t.jounce);
    REFERENCE_CHECK(row, At("lowest_point_dz_rot", degrees).c_str(), t.state.contact.z());
  }
}

TEST_CASE("moment of a vertical load about the steering axis") {
  const reference::Row row = reference::Load("vertical-load-moment");
  const Turned t = TurnTo(ReferenceCorner(), row.Input("rotation_about_axis"), TurnAboutAxis);
  const WheelState<double>& s = t.state;
  const Vec3<double> force(0.0, 0.0, row.Input("Fz"));
  REFERENCE_CHECK(row, "moment_about_axis",
                  (s.contact - s.axis_point).cross(force).dot(s.axis_direction));
}

}  // namespace
}  // namespace steerbench::linkage
