#include "engine/gear/column.h"

#include <doctest/doctest.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::gear {
namespace {

using reference::Between;
using reference::Load;
using reference::Whole;
using std::numbers::pi;
using Joints = std::vector<CardanJoint<double>>;

CardanJoint<double> AnyJoint() { return {Between(0.0, 0.9), Between(-pi, pi)}; }

Joints AnyColumn() {
  Joints joints(static_cast<std::size_t>(Whole(0, 3)));
  for (auto& joint : joints) joint = AnyJoint();
  return joints;
}

TEST_CASE("single joint of the reference rows") {
  const auto speeds = Load("cardan-20");
  const double speed = speeds.Input("input_speed");
  const auto even20 = FindUnevenness(Joints{{speeds.Input("joint_angle"), 0.4}});
  REFERENCE_CHECK(speeds, "min_speed", speed * even20.least);
  REFERENCE_CHECK(speeds, "max_speed", speed * even20.greatest);

  const auto row = Load("cardan-30");
  const double bend = row.Input("joint_angle"), in = row.Input("phi1");
  REFERENCE_CHECK(row, "phi2", JointOutput(bend, in));
  REFERENCE_CHECK(row, "ratio_at_35", JointSpeedRatio(bend, in));
  const auto even = FindUnevenness(Joints{{bend, 0.0}});
  REFERENCE_CHECK(row, "ratio_max", even.greatest);
  REFERENCE_CHECK(row, "ratio_min", even.least);
  REFERENCE_CHECK(row, "max_angle_lead", even.lead);
  REFERENCE_CHECK(row, "fluctuation_peak_to_peak", 2.0 * even.half_range);
  REQUIRE(even.hand_at_greatest);
  CHECK(*even.hand_at_greatest == 0.0);
}

TEST_CASE("two joints of the reference rows, in phase and a quarter turn out") {
  const auto row = Load("cardan-double");
  const CardanJoint<double> first{row.Input("b1"), 0.0};
  const double second = row.Input("b2");
  const auto in_phase = FindUnevenness(Joints{first, {second, PhaseOfNextJoint(first, 0.0, 0.0)}});
  REFERENCE_CHECK(row, "ratio_max", in_phase.greatest);
  REFERENCE_CHECK(row, "ratio_min", in_phase.least);
  REFERENCE_CHECK(row, "equivalent_single_angle", std::acos(in_phase.least));

  const auto wrong = Load("cardan-double-wrong");
  const CardanJoint<double> again{wrong.Input("b1"), 0.0};
  const auto out_of_phase =
      FindUnevenness(Joints{again, {wrong.Input("b2"), PhaseOfNextJoint(again, pi / 2.0, 0.0)}});
  REFERENCE_CHECK(wrong, "ratio_max", out_of_phase.greatest);
  REFERENCE_CHECK(wrong, "ratio_min", out_of_phase.least);
}

// The joints as they are in space: shafts as directions, the pin of each output fork square to its
// own shaft and to the pin of the input fork. Independent of the tangent law.
struct SpaceColumn {
  std::vector<Eigen::Vector3d> shafts;  // downward, one more than the joints
  std::vector<double> fork_twist;       // of the shaft below each joint but the last
};

Eigen::Vector3d Turned(const Eigen::Vector3d& v, double angle, const Eigen::Vector3d& axis) {
  return Eigen::AngleAxisd(angle, axis) * v;
}

double AngleAbout(const Eigen::Vector3d& axis, const Eigen::Vector3d& from,
                  const Eigen::Vector3d& to) {
  return std::atan2(axis.dot(from.cross(to)), from.dot(to));
}

// Angle of the last shaft, straight ahead zero, followed in small steps so that it is unwrapped.
double FollowInSpace(const SpaceColumn& column, const Eigen::Vector3d& first_pin, double hand) {
  constexpr int kSteps = 2000;
  std::vector<Eigen::Vector3d> last(column.shafts.size(), Eigen::Vector3d::Zero());
  double angle = 0.0;
  for (int step = 0; step <= kSteps; ++step) {
    Eigen::Vector3d pin = Turned(first_pin, hand * step / kSteps, column.shafts[0]);
    for (std::size_t k = 1; k < column.shafts.size(); ++k) {
      Eigen::Vector3d out = column.shafts[k].cross(pin).normalized();
      if (step > 0 && out.dot(last[k]) < 0.0) out = -out;
      if (step > 0 && k + 1 == column.shafts.size()) {
        angle += AngleAbout(column.shafts[k], last[k], out);
      }
      last[k] = out;
      if (k < column.fork_twist.size() + 1) {
        pin = Turned(out, column.fork_twist[k - 1], column.shafts[k]);
      }
    }
  }
  return angle;
}

TEST_CASE("angles and phases agree with forks and shafts in space") {
  CHECK(rc::check("space", [] {
    const double b1 = Between(0.1, 0.8), b2 = Between(0.1, 0.8);
    const double phase = Between(-pi, pi), fork = Between(-pi, pi), plane = Between(-pi, pi);
    const Eigen::Vector3d down = Eigen::Vector3d::UnitZ();
    const Eigen::Vector3d normal1 = Eigen::Vector3d::UnitY();
    const Eigen::Vector3d middle = Turned(down, b1, normal1);
    const Eigen::Vector3d normal2 = Turned(normal1, plane, middle);
    const SpaceColumn column{{down, middle, Turned(middle, b2, normal2)}, {fork}};
    // The direction in the first bend's plane square to the hand wheel's shaft is x.
    const Eigen::Vector3d first_pin = Turned(Eigen::Vector3d::UnitX(), phase, down);

    const CardanJoint<double> first{b1, phase};
    const Joints joints{first, {b2, PhaseOfNextJoint(first, fork, plane)}};
    const double hand = Between(-4.0 * pi, 4.0 * pi);
    RC_ASSERT(std::abs(TurnColumn(joints, hand).angle - FollowInSpace(column, first_pin, hand)) <
              1e-9);
  }));
}

TEST_CASE("a column follows whole turns, starts at zero, never jumps and can be undone") {
  CHECK(rc::check("turns", [] {
    const Joints joints = AnyColumn();
    const double hand = Between(-10.0, 10.0);
    const int turns = Whole(-3, 3);
    RC_ASSERT(std::abs(TurnColumn(joints, 0.0).angle) < 1e-14);
    const double there = TurnColumn(joints, hand).angle;
    const double later = TurnColumn(joints, hand + 2.0 * pi * turns).angle;
    RC_ASSERT(std::abs(later - there - 2.0 * pi * turns) < 1e-11);
    RC_ASSERT(std::abs(HandWheelAt(joints, there).angle - hand) < 1e-12);
    const double ratio = TurnColumn(joints, hand).ratio;
    RC_ASSERT(std::abs(HandWheelAt(joints, there).ratio - ratio) < 1e-11 * ratio);
    // The ratio is at most 4.2 for three joints bent by 0.9 rad, each of 1 / cos 0.9 = 1.61.
    const double step = 1e-3;
    const double moved = TurnColumn(joints, hand + step).angle - there;
    RC_ASSERT(moved > 0.0);
    RC_ASSERT(moved < 4.2 * step);
  }));
}

TEST_CASE("the ratio is the angle's slope and integrates to whole turns") {
  CHECK(rc::check("ratio", [] {
    const Joints joints = AnyColumn();
    constexpr int kSteps = 720;
    double sum = 0.0;
    for (int i = 0; i < kSteps; ++i) sum += TurnColumn(joints, 2.0 * pi * i / kSteps).ratio;
    RC_ASSERT(std::abs(sum / kSteps - 1.0) < 1e-11);
    const double hand = Between(-7.0, 7.0), step = 1e-5;
    const double slope =
        (TurnColumn(joints, hand + step).angle - TurnColumn(joints, hand - step).angle) /
        (2.0 * step);
    RC_ASSERT(std::abs(TurnColumn(joints, hand).ratio - slope) < 1e-7);
  }));
}

TEST_CASE("the extremes are those found by trying every angle") {
  CHECK(rc::check("extremes", [] {
    const Joints joints = AnyColumn();
    const auto found = FindUnevenness(joints);
    double greatest = 0.0, least = 1e9, most_lead = -1e9, least_lead = 1e9;
    for (int i = 0; i < 7200; ++i) {
      const double hand = pi * i / 7200.0;
      const auto state = TurnColumn(joints, hand);
      greatest = std::max(greatest, state.ratio);
      least = std::min(least, state.ratio);
      most_lead = std::max(most_lead, state.angle - hand);
      least_lead = std::min(least_lead, state.angle - hand);
    }
    RC_ASSERT(std::abs(found.greatest - greatest) < 1e-5);
    RC_ASSERT(std::abs(found.least - least) < 1e-5);
    RC_ASSERT(std::abs(found.lead - (most_lead - least_lead) / 2.0) < 1e-5);
    if (found.hand_at_greatest) {
      RC_ASSERT(std::abs(TurnColumn(joints, *found.hand_at_greatest).ratio - found.greatest) <
                1e-11);
    }
  }));
}

TEST_CASE("an even column is said to be even") {
  CHECK(FindUnevenness(Joints{}).greatest == 1.0);
  CHECK_FALSE(FindUnevenness(Joints{{0.0, 1.0}}).hand_at_greatest);
  CHECK_FALSE(CancelWithNextJoint(Joints{}, 0.5));
}

TEST_CASE("the cancelling phase cancels equal bends, and no phase does better for unequal ones") {
  CHECK(rc::check("equal", [] {
    Joints joints{AnyJoint()};
    joints[0].bend = Between(0.05, 0.9);
    const auto cancel = CancelWithNextJoint(joints, joints[0].bend);
    RC_ASSERT(cancel);
    joints.push_back({joints[0].bend, cancel->phase});
    for (int i = 0; i < 36; ++i) {
      RC_ASSERT(std::abs(TurnColumn(joints, 0.1 * i).ratio - 1.0) < 1e-12);
    }
    RC_ASSERT(cancel->residual.half_range < 1e-12);
  }));
  CHECK(rc::check("best", [] {
    Joints joints(static_cast<std::size_t>(Whole(1, 2)));
    for (auto& joint : joints) joint = AnyJoint();
    const double bend = Between(0.05, 0.9);
    const auto cancel = CancelWithNextJoint(joints, bend);
    RC_PRE(cancel.has_value());
    joints.push_back({bend, Between(-pi, pi)});
    RC_ASSERT(FindUnevenness(joints).greatest >= cancel->residual.greatest - 1e-12);
    RC_ASSERT(std::abs(cancel->phase) <= pi / 2.0 + 1e-12);
  }));
}

TEST_CASE("planar joints with the forks between them in line cancel") {
  const CardanJoint<double> first{0.5, 0.3};
  const auto cancel = CancelWithNextJoint(Joints{first}, 0.5);
  REQUIRE(cancel);
  CHECK(std::abs(std::sin(cancel->phase - PhaseOfNextJoint(first, 0.0, 0.0))) < 1e-12);
  // Bend planes a third of a right angle apart: the forks have to follow.
  CHECK(std::abs(std::sin(cancel->phase - PhaseOfNextJoint(first, pi / 6.0, pi / 6.0))) < 1e-12);
}

TEST_CASE("derivatives to bends, phases and the hand wheel") {
  const auto joints = []<class T>(const std::vector<T>& v) {
    return std::vector<CardanJoint<T>>{{v[0], v[1]}, {v[2], v[3]}, {v[4], v[5]}};
  };
  const auto angle = [&]<class T>(const std::vector<T>& v) {
    const auto state = TurnColumn(joints(v), v[6]);
    const auto up = HandWheelAt(joints(v), v[6]);
    return T(state.angle + state.ratio + up.angle + up.ratio);
  };
  const auto even = [&]<class T>(const std::vector<T>& v) {
    const auto found = FindUnevenness(joints(v));
    return T(found.greatest + found.half_range + found.lead + *found.hand_at_greatest);
  };
  const auto cancel = [&]<class T>(const std::vector<T>& v) {
    const auto found = CancelWithNextJoint(joints(v), v[6]);
    return T(found->phase + found->residual.greatest);
  };
  const std::vector<double> at{0.5, 0.2, 0.3, -0.7, 0.6, 1.1, 0.8};
  CHECK(reference::DerivativesHold(angle, at));
  CHECK(reference::DerivativesHold(even, at));
  CHECK(reference::DerivativesHold(cancel, at));
}

}  // namespace
}  // namespace steerbench::gear
