// An adjustment of a setup does what the same change of the car or a part does, to the bit.
#include <doctest/doctest.h>

#include <cmath>

#include "engine/evaluate/evaluate.h"
#include "fixtures/demo.h"
#include "fixtures/near.h"

namespace steerbench {
namespace {

void CheckSame(const Fitted<double>& one, const Fitted<double>& other) {
  const auto a = Evaluate(one), b = Evaluate(other);
  for (std::size_t i = 0; i < kOutputs; ++i) CHECK(a.result[i].value == b.result[i].value);
  for (std::size_t i = 0; i < kChecks; ++i) CHECK(a.check[i].value == b.check[i].value);
}

TEST_CASE("A cooler is the car's cooling changed") {
  Fitted<double> by_setup = fixtures::PlainDemo("calm"), by_car = by_setup;
  by_setup.adjust.cooling = by_car.car.oil.cooling = 35.0;
  CheckSame(by_setup, by_car);
  // More heat shed, cooler oil.
  CHECK(*Evaluate(by_setup)[Output::kParkingOil] <
        *Evaluate(fixtures::PlainDemo("calm"))[Output::kParkingOil]);
  // It takes the place of a cooling that is not known.
  by_setup.car.oil.cooling.reset();
  CheckSame(by_setup, by_car);
}

TEST_CASE("Larger holes are the control valve's diameters changed") {
  Fitted<double> by_setup = fixtures::PlainDemo("keen"), by_part = by_setup;
  REQUIRE(by_part.control_valve);
  constexpr double kLarger = 1.25;  // exact in binary, so that nothing is rounded
  by_setup.adjust.control_opening = kLarger;
  for (auto& row : by_part.control_valve->opening) *row.diameter *= kLarger;
  const auto a = Evaluate(by_setup), b = Evaluate(by_part);
  for (std::size_t i = 0; i < kOutputs; ++i) {
    REQUIRE(a.result[i].value.has_value() == b.result[i].value.has_value());
    if (a.result[i].value) CHECK(*a.result[i].value == fixtures::Near(*b.result[i].value));
  }
  // A bypass that lets more past leaves less assistance on the road.
  CHECK(*a[Output::kRoadTorque] > *Evaluate(fixtures::PlainDemo("keen"))[Output::kRoadTorque]);
}

TEST_CASE("Arms of another length: the outer joint moves along the arm, square to the axis") {
  const Fitted<double> f = fixtures::PlainDemo("calm");
  const Front<double> before = AssembleFront(f);
  const auto own = ArmLengthOf(before);
  REQUIRE(own);
  // By hand: distance of the outer joint from the line through both ball joints.
  const auto& p = f.car.front.left;
  const auto vec = [](const Point<double>& q) { return Vec3<double>{q[0], q[1], q[2]}; };
  const Vec3<double> low = vec(*p.lower_ball_joint), axis = vec(*p.upper_ball_joint) - low;
  CHECK(*own == fixtures::Near((vec(*p.tie_rod_outer) - low).cross(axis).norm() / axis.norm()));
  Fitted<double> same = f, shorter = f;
  same.adjust.arm_length = *own;
  shorter.adjust.arm_length = 0.9 * *own;
  CHECK(*Evaluate(same)[Output::kInnerWheelLeft] ==
        fixtures::Near(*Evaluate(f)[Output::kInnerWheelLeft]));
  const Front<double> after = AssembleFront(shorter);
  CHECK(*ArmLengthOf(after) == fixtures::Near(0.9 * *own));
  const Vec3<double> moved = after.corner[0].tie_rod.outer - before.corner[0].tie_rod.outer;
  CHECK(moved.norm() == fixtures::Near(0.1 * *own));
  CHECK(std::abs(moved.dot(axis)) < 1e-12);  // [m]
  // A shorter arm turns the wheel further for the same travel of the rack.
  CHECK(std::abs(*Evaluate(shorter)[Output::kInnerWheelLeft]) >
        std::abs(*Evaluate(f)[Output::kInnerWheelLeft]));
}

TEST_CASE("Turn plates do not hold for arms of another length") {
  Fitted<double> f;
  f.car.front.turn_plate = {{-0.05, -0.4, -0.4}, {0.0, 0.0, 0.0}, {0.05, 0.4, 0.4}};
  CHECK(AssembleFront(f).level == Level::kTurnPlate);
  f.adjust.arm_length = 0.13;
  CHECK(AssembleFront(f).level != Level::kTurnPlate);
}

}  // namespace
}  // namespace steerbench
