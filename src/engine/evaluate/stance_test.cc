#include "engine/evaluate/stance.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <string>

#include "engine/evaluate/evaluate.h"
#include "engine/evaluate/sweep.h"
#include "fixtures/demo.h"

namespace steerbench {
namespace {

constexpr double kTight = 1e-9;  // [m] the linkage's promise for a pose

std::map<std::string_view, Vec3<double>> Points(const WheelStance& w) {
  std::map<std::string_view, Vec3<double>> points;
  for (const StancePoint& p : w.points) points.emplace(p.name, p.at);
  return points;
}

double Distance(const WheelStance& w, std::string_view a, std::string_view b) {
  const auto points = Points(w);
  return (points.at(a) - points.at(b)).norm();
}

Fitted<double> StrutCar() {
  // The demo's own corner with the upper arm replaced by a strut; invented.
  Fitted<double> f = fixtures::PlainDemo("calm");
  f.car.front.suspension = Suspension::kStrut;
  auto& p = f.car.front.left;
  p.strut_top = Point<double>{-0.03, 0.58, 0.80};
  p.strut_lower = Point<double>{-0.01, 0.66, 0.35};
  f.car.front.right = {};
  return f;
}

void CheckLinksKept(const Fitted<double>& f) {
  const Front<double> front = AssembleFront(f);
  REQUIRE(front.level == Level::kPoints);
  const Stance rest = StanceAt(f, front, {});
  for (const double travel : {-0.05, -0.02, 0.03, 0.06}) {
    const Stance turned = StanceAt(f, front, {travel, {0.03, -0.04}});
    REQUIRE(turned.clipped.empty());
    for (const Side side : kSides) {
      const WheelStance& a = *rest.wheel[Index(side)];
      const WheelStance& b = *turned.wheel[Index(side)];
      for (const StanceLink& link : b.links) {
        // A strut slides and a steering axis that runs to its top lengthens with it.
        if (link.kind == "strut" || link.kind == "axis" || link.kind == "steering_arm" ||
            link.kind == "spindle") {
          continue;
        }
        INFO(std::string(link.from), " ", travel);
        CHECK(std::abs(Distance(a, link.from, link.to) - Distance(b, link.from, link.to)) < kTight);
      }
      // Points of the upright keep their distances from each other.
      for (const auto& [one, other] : {std::pair{"wheel_centre", "lower_ball_joint"},
                                       {"wheel_centre", "tie_rod_outer"},
                                       {"lower_ball_joint", "tie_rod_outer"}}) {
        CHECK(std::abs(Distance(a, one, other) - Distance(b, one, other)) < kTight);
      }
    }
  }
}

TEST_CASE("links keep their lengths wherever the axle stands") {
  CheckLinksKept(fixtures::PlainDemo("calm"));
  CheckLinksKept(fixtures::PlainDemo("first-try"));
  CheckLinksKept(StrutCar());
}

TEST_CASE("the top of a strut lies on its line") {
  const Fitted<double> f = StrutCar();
  const Stance s = StanceAt(f, AssembleFront(f), {0.04, {0.05, 0.05}});
  const WheelStance& w = *s.wheel[0];
  const auto points = Points(w);
  const auto& state = *w.state;
  // The axis runs from the lower joint through the top mount.
  const Vec3<double> along = (points.at("strut_top") - points.at("lower_ball_joint")).normalized();
  CHECK((along - state.axis_direction).norm() < 1e-9);
}

TEST_CASE("a symmetric car stands in mirror images, to the last bit") {
  const Fitted<double> f = fixtures::PlainDemo("calm");
  REQUIRE_FALSE(f.car.front.right.wheel_centre);  // the right corner is the left's mirror image
  const Front<double> front = AssembleFront(f);
  const Stance a = StanceAt(f, front, {0.045, {0.02, -0.03}});
  const Stance b = StanceAt(f, front, {-0.045, {-0.03, 0.02}});
  for (const Side side : kSides) {
    const WheelStance& one = *a.wheel[Index(side)];
    const WheelStance& other = *b.wheel[1 - Index(side)];
    CHECK(one.sample.steer == -other.sample.steer);
    REQUIRE(one.points.size() == other.points.size());
    for (std::size_t i = 0; i < one.points.size(); ++i) {
      CHECK(one.points[i].name == other.points[i].name);
      CHECK(one.points[i].at.x() == other.points[i].at.x());
      CHECK(one.points[i].at.y() == -other.points[i].at.y());
      CHECK(one.points[i].at.z() == other.points[i].at.z());
    }
  }
  CHECK(a.circle->centre.y == -b.circle->centre.y);
  CHECK(a.circle->kerb == b.circle->kerb);
  CHECK(a.circle->wall == b.circle->wall);
  CHECK(a.circle->paths.front_left == b.circle->paths.front_right);
}

TEST_CASE("a stance says the same as the sweep") {
  const Fitted<double> f = fixtures::PlainDemo("keen");
  const Front<double> front = AssembleFront(f);
  SweepGrid grid;
  grid.travel = {-0.06, -0.01, 0.0, 0.025, 0.055};
  grid.jounce_left = {-0.03, 0.04};
  grid.jounce_right = {0.02};
  grid.wheels_together = false;
  const Sweep sweep = RunSweep(f, grid);
  const auto column = [&](const std::vector<double>& row, std::string_view key) {
    const auto found = std::ranges::find(sweep.column, key, &SweepColumn::key);
    REQUIRE(found != sweep.column.end());
    return row[static_cast<std::size_t>(found - sweep.column.begin())];
  };
  for (const auto& row : sweep.row) {
    const Stance s = StanceAt(f, front, {row[0], {row[1], row[2]}});
    REQUIRE(s.clipped.empty());
    const auto near = [](double a, double b) { return std::abs(a - b) < 1e-9; };
    for (const Side side : kSides) {
      const std::string of = side == Side::kLeft ? "_left" : "_right";
      const WheelStance& w = *s.wheel[Index(side)];
      CHECK(near(w.sample.steer, column(row, "steer" + of)));
      CHECK(near(w.state->camber, column(row, "camber" + of)));
      CHECK(near(w.state->scrub_radius, column(row, "scrub" + of)));
      CHECK(near(w.state->mechanical_trail, column(row, "trail" + of)));
      CHECK(near(w.contact->y(), column(row, "contact_y" + of)));
      CHECK(near(*w.sample.rod_arm_angle, column(row, "rod_arm_angle" + of)));
      CHECK(w.jounce == column(row, "jounce" + of));
    }
    const double share = column(row, "ackermann_inner");
    CHECK(s.ackermann.has_value() == std::isfinite(share));
    if (s.ackermann) CHECK(near(*s.ackermann, share));
  }
}

TEST_CASE("at lock a stance gives the circles of the evaluation") {
  for (const char* setup : {"works", "first-try", "calm", "keen"}) {
    const Fitted<double> f = fixtures::PlainDemo(setup);
    const Evaluation<double> e = Evaluate(f);
    const Front<double> front = AssembleFront(f);
    for (const Way way : kWays) {
      const auto travel = e[way == Way::kLeft ? Output::kTravelLeft : Output::kTravelRight];
      if (!travel) continue;
      const Stance s = StanceAt(f, front, {*travel * WaySign(way), {}});
      REQUIRE(s.circle);
      const bool left = s.wheel[0]->sample.steer > 0.0;
      const auto near = [](double a, double b) { return std::abs(a - b) < 1e-6; };
      CHECK(near(*s.circle->kerb, *e[left ? Output::kKerbCircleLeft : Output::kKerbCircleRight]));
      CHECK(near(*s.circle->wall, *e[left ? Output::kWallCircleLeft : Output::kWallCircleRight]));
    }
  }
}

TEST_CASE("beyond its reach the axle stands at the last pose, and says why") {
  const Fitted<double> f = fixtures::PlainDemo("calm");
  const Front<double> front = AssembleFront(f);
  for (const double travel : {0.3, -0.3, 0.5}) {
    const Stance s = StanceAt(f, front, {travel, {}});
    CHECK(s.clipped.find("rack") != std::string_view::npos);
    CHECK(std::abs(s.travel) < std::abs(travel));
    CHECK(s.travel * travel > 0.0);
    REQUIRE(s.wheel[0]);
    CHECK(std::isfinite(s.wheel[0]->sample.steer));
    // Both wheels stand at the same travel of the one rack.
    const auto left = Points(*s.wheel[0]), right = Points(*s.wheel[1]);
    const auto rest = StanceAt(f, front, {});
    const auto left0 = Points(*rest.wheel[0]), right0 = Points(*rest.wheel[1]);
    const double moved = left.at("tie_rod_inner").y() - left0.at("tie_rod_inner").y();
    CHECK(std::abs(moved - s.travel) < kTight);
    CHECK(std::abs(right.at("tie_rod_inner").y() - right0.at("tie_rod_inner").y() - moved) <
          kTight);
  }
  const Stance lifted = StanceAt(f, front, {0.01, {0.5, 0.0}});
  CHECK(lifted.clipped.find("wheel travel") != std::string_view::npos);
  CHECK(lifted.wheel[0]->jounce < 0.5);
  CHECK(lifted.wheel[1]->jounce == 0.0);
}

TEST_CASE("known from above: two views that close, without heights") {
  Fitted<double> f = fixtures::PlainDemo("works");
  f.car.front.left = f.car.front.right = {};
  f.car.front.axis_spacing = 1.36;
  f.car.front.track = 1.42;
  auto& plan = f.car.front.plan;
  plan = {};
  plan.arm_length = 0.13;
  plan.arm_angle = 0.2;
  plan.rack_offset = -0.1;
  plan.joint_span = 0.67;
  plan.arm = ArmDirection::kBehind;
  f.adjust = {};
  f.adjust.toe = 0.0;
  f.arms.reset();
  f.rack.reset();
  const Front<double> front = AssembleFront(f);
  REQUIRE(front.level == Level::kPlanView);
  for (const double travel : {-0.04, 0.0, 0.05}) {
    const Stance s = StanceAt(f, front, {travel, {}});
    for (const Side side : kSides) {
      const WheelStance& w = *s.wheel[Index(side)];
      const auto points = Points(w);
      const auto flat = [&](std::string_view a, std::string_view b) {
        return (points.at(a) - points.at(b)).head<2>().norm();
      };
      CHECK(std::abs(flat("tie_rod_inner", "tie_rod_outer") -
                     front.plan[Index(side)].tie_rod_length) < kTight);
      CHECK(std::abs(flat("axis_at_arm", "tie_rod_outer") - 0.13) < kTight);
      CHECK(std::isnan(points.at("tie_rod_outer").z()));
      CHECK(w.contact);
    }
  }
  const Stance far = StanceAt(f, front, {0.4, {}});
  CHECK_FALSE(far.clipped.empty());
  CHECK(far.travel > 0.0);
  CHECK(far.travel < 0.4);
}

TEST_CASE("known from turn plates: the angles, and no farther than the readings") {
  const Document van = fixtures::Example("light-van.toml");
  const Fitted<double> f = fixtures::PlainOf(fixtures::FittedSetup(van, "now"));
  const Front<double> front = AssembleFront(f);
  REQUIRE(front.level == Level::kTurnPlate);
  const Stance s = StanceAt(f, front, {0.03, {}});
  CHECK(s.clipped.empty());
  CHECK(s.wheel[0]->sample.steer == SeeWheel<double>(front, Side::kLeft, 0.03, 0.0)->sample.steer);
  CHECK(s.wheel[0]->points.empty());
  const Stance far = StanceAt(f, front, {0.2, {}});
  CHECK(far.clipped.find("readings") != std::string_view::npos);
  CHECK(far.travel == front.plate[0].curve.x.back());
}

TEST_CASE("a car of which nothing is known stands nowhere") {
  const Stance s = StanceAt({}, AssembleFront(Fitted<double>{}), {});
  CHECK(s.level == Level::kUnknown);
  CHECK_FALSE(s.wheel[0]);
  CHECK_FALSE(s.missing.empty());
}

}  // namespace
}  // namespace steerbench
