// Left and right are one arithmetic: what mirrors in the car mirrors in the results.
#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <cmath>

#include "engine/evaluate/evaluate.h"
#include "fixtures/demo.h"
#include "fixtures/figures.h"
#include "reference/properties.h"

namespace steerbench {
namespace {

using fixtures::PlainDemo;
using reference::Between;
using Corner = CornerPoints<double>;

void MirrorPoints(Corner& corner) {
  Corner::Visit(
      [](const FieldInfo&, auto& field) {
        if constexpr (requires { (*field)[1]; }) {
          if (field) (*field)[1] = -(*field)[1];
        }
      },
      corner);
}

// The car as seen in a mirror that stands along it.
Fitted<double> Mirrored(Fitted<double> f) {
  auto& front = f.car.front;
  std::swap(front.left, front.right);
  MirrorPoints(front.left);
  MirrorPoints(front.right);
  auto& touch = front.tyre_touch;
  std::swap(touch.left_wheel_left, touch.right_wheel_right);
  std::swap(touch.left_wheel_right, touch.right_wheel_left);
  for (auto& o : front.obstacle) (*o.at)[1] = -(*o.at)[1];
  for (auto& j : f.car.column.joint) j.phase = -*j.phase;
  std::swap(f.rack->travel_left, f.rack->travel_right);
  f.rack->tooth_offset = -*f.rack->tooth_offset;
  std::swap(f.adjust.tie_rod_left, f.adjust.tie_rod_right);
  return f;
}

bool TurnsOver(Output id) {
  using enum Output;
  return id == kInnerWheelLeft || id == kInnerWheelRight || id == kOuterWheelLeft ||
         id == kOuterWheelRight;
}

// The slot that a number moves to in the mirror.
std::size_t MirrorSlot(std::size_t slot) {
  if (slot < fixtures::kFirstCheck) {
    const OutputInfo& info = Outputs()[slot];
    const bool sided =
        info.pair == Pair::kWheels || info.pair == Pair::kTurns || info.pair == Pair::kRack;
    return !sided ? slot : info.left ? slot + 1 : slot - 1;
  }
  if (slot < fixtures::kFirstEnd) {
    switch (static_cast<Check>(slot - fixtures::kFirstCheck)) {
      case Check::kOuterThreadLeft:
      case Check::kRodShortestLeft:
      case Check::kRodLongestLeft:
        return slot + 1;
      case Check::kOuterThreadRight:
      case Check::kRodShortestRight:
      case Check::kRodLongestRight:
        return slot - 1;
      default:
        return slot;
    }
  }
  const std::size_t i = slot - fixtures::kFirstEnd;
  return fixtures::kFirstEnd + (i + 2 * kRackEnds) % (4 * kRackEnds);
}

// The results as they are in the mirror.
std::vector<std::optional<double>> MirroredRow(const Evaluation<double>& e) {
  const auto row = fixtures::Row(e);
  std::vector<std::optional<double>> out(row.size());
  for (std::size_t i = 0; i < row.size(); ++i) {
    out[MirrorSlot(i)] = row[i];
    if (i < kOutputs && row[i] && TurnsOver(static_cast<Output>(i))) out[MirrorSlot(i)] = -*row[i];
  }
  return out;
}

// A car with nothing in it that differs between its sides. A column with joints differs: its forks
// stand one way.
Fitted<double> Symmetric(const char* setup) {
  Fitted<double> f = PlainDemo(setup);
  f.car.column.joint.clear();
  f.rack->tooth_offset = 0.0;
  return f;
}

void CheckSame(const std::vector<std::optional<double>>& a,
               const std::vector<std::optional<double>>& b) {
  for (std::size_t i = 0; i < a.size(); ++i) {
    if (fixtures::IsWeighed(i)) continue;
    CAPTURE(fixtures::SlotName(i));
    CHECK(a[i] == b[i]);  // to the last bit
  }
}

TEST_CASE("A symmetric car gives the same both ways to the last bit") {
  for (const char* setup : {"works", "first-try", "calm", "keen"}) {
    CAPTURE(setup);
    const Evaluation<double> e = Evaluate(Symmetric(setup));
    CHECK(e.level == Level::kPoints);
    CheckSame(fixtures::Row(e), MirroredRow(e));
    for (std::size_t i = 0; i < kRackEnds; ++i) {
      const auto& left = e.ends[0].limit[i];
      const auto& right = e.ends[1].limit[i];
      CHECK(left.end == right.end);
      CHECK(left.jounce == right.jounce);
      CHECK(left.wheel.has_value() == right.wheel.has_value());
      if (left.wheel && right.wheel) CHECK(*left.wheel != *right.wheel);
    }
  }
}

TEST_CASE("A right corner written out as the mirror image is the same as none to the last bit") {
  for (const char* setup : {"works", "first-try", "calm"}) {
    Fitted<double> f = PlainDemo(setup);
    const auto implied = fixtures::Row(Evaluate(f));
    f.car.front.right = f.car.front.left;
    MirrorPoints(f.car.front.right);
    CheckSame(implied, fixtures::Row(Evaluate(f)));
  }
}

// No two things of this car are alike on both sides.
Fitted<double> RandomAsymmetric() {
  constexpr double kMove = 0.006;  // [m]
  Fitted<double> f = PlainDemo("first-try");
  f.car.front.right = f.car.front.left;
  MirrorPoints(f.car.front.right);
  for (Corner* corner : {&f.car.front.left, &f.car.front.right}) {
    Corner::Visit(
        [](const FieldInfo&, auto& field) {
          if constexpr (requires { (*field)[1]; }) {
            if (!field) return;
            for (double& x : *field) x += Between(-kMove, kMove);
          }
        },
        *corner);
    corner->toe = Between(-0.005, 0.005);
    corner->camber = Between(-0.02, 0.02);
  }
  f.car.front.tyre_touch.left_wheel_right = Between(0.4, 0.8);
  f.rack->tooth_offset = Between(-0.005, 0.005);
  f.rack->travel_left = Between(0.06, 0.075);
  f.rack->travel_right = Between(0.06, 0.075);
  return f;
}

TEST_CASE("A car in the mirror gives results in the mirror") {
  CHECK(rc::check([] {
    const Fitted<double> car = RandomAsymmetric();
    const auto expected = MirroredRow(Evaluate(car));
    const auto actual = fixtures::Row(Evaluate(Mirrored(car)));
    for (std::size_t i = 0; i < expected.size(); ++i) {
      if (fixtures::IsWeighed(i)) continue;
      RC_LOG() << fixtures::SlotName(i) << "\n";
      RC_ASSERT(expected[i].has_value() == actual[i].has_value());
      // The column's tangents are taken at other angles, so the last bits may differ.
      if (expected[i]) RC_ASSERT(std::abs(*expected[i] - *actual[i]) <= 1e-11);
    }
  }));
}

}  // namespace
}  // namespace steerbench
