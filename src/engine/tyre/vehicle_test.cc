#include "engine/tyre/vehicle.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "fixtures/derivatives.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::tyre {
namespace {

using reference::Between;
using reference::Load;

TEST_CASE("bicycle-us: understeer gradient, the gains it makes, characteristic speed") {
  const reference::Row row = Load("bicycle-us");
  const TwoWheel<double> car{row.Input("m"), row.Input("L"), row.Input("lf"), row.Input("Cf_axle"),
                             row.Input("Cr_axle")};
  const auto h = HandlingOf(car);
  REQUIRE(h);
  const auto yaw_gain = [&](double v) { return v / (car.wheelbase + h->understeer * v * v); };
  const double speed = row.Input("V");
  REFERENCE_CHECK(row, "K", h->understeer);
  REFERENCE_CHECK(row, "K_deg_per_g", h->understeer);
  REFERENCE_CHECK(row, "yaw_gain", yaw_gain(speed));
  REFERENCE_CHECK(row, "ay_gain", speed * yaw_gain(speed));
  REFERENCE_CHECK(row, "Vch", *h->characteristic_speed);
  CHECK_FALSE(h->critical_speed);
  REFERENCE_CHECK(row, "yaw_gain_at_Vch", yaw_gain(*h->characteristic_speed));
}

TEST_CASE("bicycle-wong-like: an exercise in pounds and feet") {
  const reference::Row row = Load("bicycle-wong-like");
  const double g = row.Input("g");
  TwoWheel<double> car;
  car.mass = row.Input("weight") / g;
  car.wheelbase = row.Input("wheelbase");
  car.cg_to_front = row.Input("cg_to_front_over_L") * car.wheelbase;
  car.front_stiffness = 2.0 * row.Input("Cf_tyre");
  car.rear_stiffness = 2.0 * row.Input("Cr_tyre");
  const auto h = HandlingOf(car);
  REQUIRE(h);
  REFERENCE_CHECK(row, "Kus", h->understeer * g);
  REFERENCE_CHECK(row, "Kus_deg", h->understeer * g);
  REFERENCE_CHECK(row, "Vchar", *h->characteristic_speed);
}

TEST_CASE("an oversteering car: at its critical speed it needs no steer") {
  const TwoWheel<double> car{1300.0, 2.6, 1.45, 90000.0, 80000.0};
  const auto h = HandlingOf(car);
  REQUIRE(h);
  REQUIRE(h->critical_speed);
  CHECK_FALSE(h->characteristic_speed);
  CHECK(-h->understeer * *h->critical_speed * *h->critical_speed == fixtures::Near(2.6));
}

RoadCar<double> Example() {
  RoadCar<double> car;
  car.loads = *LoadsFromScales(715.0, 585.0);
  car.wheelbase = 2.6;
  car.front = {45000.0, 0.06, 0.9, 3500.0, 0.8};
  car.rear = {48000.0, 0.055, 0.9, 2900.0, 0.8};
  return car;
}

TEST_CASE("gentle bend: the brush car is the linear two-wheel car") {
  const RoadCar<double> car = Example();
  const double speed = 25.0, ay = 0.01;
  const auto bend = SteadyBend(car, ay);
  REQUIRE(bend);
  const double front = 2.0 * AtLoad(car.front, car.loads.front / 2.0).cornering_stiffness;
  const double rear = 2.0 * AtLoad(car.rear, car.loads.rear / 2.0).cornering_stiffness;
  const TwoWheel<double> linear{1300.0, 2.6, CgToFront(car.loads, 2.6), front, rear};
  const double understeer = HandlingOf(linear)->understeer;
  const double steer = *SteerInBend(*bend, 2.6, speed, ay);
  CHECK(steer == fixtures::Near((2.6 / (speed * speed) + understeer) * ay, 1e-3));
}

TEST_CASE("a hard bend closes: forces, moments of yaw, slip by the closed form") {
  RoadCar<double> car = Example();
  const double ay = 6.0;
  const auto bend = SteadyBend(car, ay);
  REQUIRE(bend);
  const double front = bend->front_left.force.side + bend->front_right.force.side;
  const double rear = bend->rear_left.force.side + bend->rear_right.force.side;
  CHECK(front + rear == fixtures::Near(1300.0 * ay, 1e-12));
  const double to_front = CgToFront(car.loads, 2.6);
  CHECK(front * to_front == fixtures::Near(rear * (2.6 - to_front), 1e-12));
  // |tan slip| = (3 mu Fz / C)(1 - cbrt(1 - F / (mu Fz))): inverse of the brush, derived.
  const Brush<double> tyre = AtLoad(car.front, car.loads.front / 2.0);
  const double used = front / (car.loads.front * 0.9);
  CHECK(bend->front_used == fixtures::Near(used));
  CHECK(
      std::tan(-bend->front_slip) ==
      fixtures::Near(
          3.0 * 0.9 * tyre.load / tyre.cornering_stiffness * (1.0 - std::cbrt(1.0 - used)), 1e-12));
}

TEST_CASE("load transfer costs grip: more slip for the same bend when stiffness is degressive") {
  RoadCar<double> car = Example();
  const auto even = SteadyBend(car, 6.0);
  car.transfer = Transfer<double>{0.52, 1.5, 1.5, 0.6};
  const auto uneven = SteadyBend(car, 6.0);
  REQUIRE((even && uneven));
  CHECK(-uneven->front_slip > -even->front_slip);
  CHECK(uneven->front_right.load > uneven->front_left.load);
  const double front = uneven->front_left.force.side + uneven->front_right.force.side;
  CHECK(front == fixtures::Near(car.loads.front * 6.0 / kGravity, 1e-10));
}

TEST_CASE("bends to left and right mirror, beyond the grip it is said which end slides") {
  CHECK(rc::check([] {
    RoadCar<double> car = Example();
    car.front.cornering_stiffness = Between(1e4, 1e5);
    car.rear.cornering_stiffness = Between(1e4, 1e5);
    car.front.stiffness_exponent = Between(0.0, 1.0);
    car.front.friction = Between(0.1, 1.2);
    car.transfer = Transfer<double>{Between(0.2, 0.9), 1.5, 1.5, Between(0.0, 1.0)};
    const double ay = Between(0.0, 12.0), speed = Between(1.0, 60.0);
    const auto left = SteadyBend(car, ay), right = SteadyBend(car, -ay);
    RC_ASSERT(bool(left) == bool(right));
    if (!left) {
      RC_ASSERT(left.why() == right.why());
      RC_ASSERT(left.why() == Problem::kWheelLifts || left.why() == Problem::kFrontSlides ||
                left.why() == Problem::kRearSlides);
      return;
    }
    RC_ASSERT(*SteerInBend(*left, 2.6, speed, ay) == -*SteerInBend(*right, 2.6, speed, -ay));
    RC_ASSERT(left->front_left.force.aligning == -right->front_right.force.aligning);
    RC_ASSERT(left->front_left.force.side == -right->front_right.force.side);
  }));
  RoadCar<double> car = Example();
  car.front.friction = 0.5;
  CHECK(SteadyBend(car, 5.5).why() == Problem::kFrontSlides);
  car.front.friction = 0.9;
  car.rear.friction = 0.5;
  CHECK(SteadyBend(car, 5.5).why() == Problem::kRearSlides);
}

TEST_CASE("vehicle: derivatives equal central differences") {
  const auto steer = [](const auto& x) {
    using T = std::decay_t<decltype(x[0])>;
    RoadCar<T> car;
    car.loads = *LoadsFromScales<T>(x[0], x[1]);
    car.wheelbase = x[2];
    car.front = {x[3], x[4], x[5], T(3500.0), x[6]};
    car.rear = {x[7], T(0.055), T(0.9), T(2900.0), T(0.8)};
    car.transfer = Transfer<T>{x[8], x[9], T(1.5), x[10]};
    const Bend<T> bend = *SteadyBend<T>(car, x[12]);
    const T angle = *SteerInBend<T>(bend, x[2], x[11], x[12]);
    return T(angle + 1e-3 * bend.front_left.force.aligning + bend.front_right.force.trail);
  };
  CHECK(ScaledDerivativesHold(
      steer, {715.0, 585.0, 2.6, 45000.0, 0.06, 0.9, 0.8, 48000.0, 0.52, 1.5, 0.6, 25.0, 5.0}));
  CHECK(ScaledDerivativesHold(
      [](const auto& x) {
        using T = std::decay_t<decltype(x[0])>;
        const Handling<T> h = *HandlingOf(TwoWheel<T>{x[0], x[1], x[2], x[3], x[4]});
        return T(*h.characteristic_speed + 1e3 * h.understeer);
      },
      {1300.0, 2.6, 1.15, 8e4, 9e4}));
}

TEST_CASE("vehicle: hostile numbers give a reason") {
  for (const double bad : {0.0, -1.0, std::nan(""), HUGE_VAL}) {
    CHECK(HandlingOf(TwoWheel<double>{bad, 2.6, 1.2, 8e4, 8e4}).why() == Problem::kNoMass);
    CHECK(HandlingOf(TwoWheel<double>{1e3, bad, 1.2, 8e4, 8e4}).why() == Problem::kNoWheelbase);
    CHECK(HandlingOf(TwoWheel<double>{1e3, 2.6, 1.2, bad, 8e4}).why() == Problem::kNoStiffness);
    const Bend<double> bend = *SteadyBend(Example(), 3.0);
    CHECK(SteerInBend(bend, 2.6, bad, 3.0).why() == Problem::kNoSpeed);
    CHECK(SteerInBend(bend, bad, 20.0, 3.0).why() == Problem::kNoWheelbase);
    RoadCar<double> car = Example();
    car.front.cornering_stiffness = bad;
    CHECK(SteadyBend(car, 3.0).why() == Problem::kNoStiffness);
  }
  CHECK(HandlingOf(TwoWheel<double>{1e3, 2.6, 2.7, 8e4, 8e4}).why() == Problem::kCgOutside);
  RoadCar<double> car = Example();
  car.front.stiffness_exponent = 1e300;
  CHECK_FALSE(SteadyBend(car, 3.0));
  CHECK(SteadyBend(Example(), std::nan("")).why() == Problem::kNotFinite);
}

}  // namespace
}  // namespace steerbench::tyre
