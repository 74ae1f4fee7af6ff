// Turn-plate readings beside a linkage that is known: agreement is agreement, whatever is fitted,
// and a reading that is off is named.
#include "engine/evaluate/plate_check.h"

#include <doctest/doctest.h>

#include <cmath>

#include "engine/evaluate/propagate.h"
#include "fixtures/demo.h"
#include "fixtures/near.h"

namespace steerbench {
namespace {

using enum Output;

constexpr double kDegree = M_PI / 180.0;

Quantity Of(double value, double tolerance, Kind kind) {
  Quantity q;
  q.value = value;
  q.tolerance = tolerance;
  q.kind = kind;
  return q;
}

// A setup of the demo with readings of the linkage as it stood when its points were measured: no
// parts fitted. `off` is added to the left wheel's angle of the third.
Fitted<Quantity> WithReadings(const std::string& setup, double off) {
  Fitted<Quantity> f = fixtures::FittedSetup(fixtures::Example(), setup);
  Fitted<double> bare;
  bare.car = fixtures::PlainOf(f).car;
  const Front<double> front = AssembleFront(bare);
  for (const double travel : {-0.06, -0.03, 0.03, 0.06}) {
    auto& row = f.car.front.turn_plate.emplace_back();
    const auto angle = [&](Side side) {
      return SeeWheel<double>(front, side, travel, 0.0)->sample.steer;
    };
    row.travel = Of(travel, 0.0, Kind::kLength);
    row.left = Of(angle(Side::kLeft), 0.3 * kDegree, Kind::kAngle);
    row.right = Of(angle(Side::kRight), 0.3 * kDegree, Kind::kAngle);
  }
  f.car.front.turn_plate[2].left->value += off;
  return f;
}

double SteerAt(const Fitted<Quantity>& f, Side side, double travel) {
  const Front<double> front = AssembleFront(fixtures::PlainOf(f));
  return SeeWheel<double>(front, side, travel, 0.0)->sample.steer;
}

TEST_CASE("readings of the car as it was measured agree with its points, whatever is fitted") {
  for (const char* setup : {"works", "calm", "keen"}) {
    CAPTURE(setup);
    const Fitted<Quantity> f = WithReadings(setup, 0.0);
    const Propagated r = Propagate(f);
    for (const Output id : {kPlateLeft, kPlateRight}) {
      REQUIRE(r[id].figure.has_value());
      CHECK(std::abs(r[id].figure->value) < 1e-9);
      CHECK(r[id].figure->tolerance > 0.3 * kDegree);  // the reading's own and that of the points
    }
  }
  // The short arms do turn the wheels to other angles than were read.
  const Fitted<Quantity> keen = WithReadings("keen", 0.0);
  CHECK(std::abs(SteerAt(keen, Side::kLeft, 0.06) - keen.car.front.turn_plate[3].left->value) >
        2.0 * kDegree);
}

TEST_CASE("a reading that is off is told with its place and by how much") {
  const Fitted<Quantity> f = WithReadings("calm", -4.0 * kDegree);
  const Propagated r = Propagate(f);
  CHECK(r[kPlateLeft].figure->value == fixtures::Near(-4.0 * kDegree));
  CHECK(r[kPlateLeft].figure->tolerance < 4.0 * kDegree);
  CHECK(r.plate_row[0] == 2);
  CHECK(std::abs(r[kPlateRight].figure->value) < 1e-9);
  double by_reading = 0.0;
  for (const Contribution& c : r[kPlateLeft].figure->from) {
    if (r.inputs[c.input].path == "car.front.turn_plate[2].left") by_reading = c.sensitivity;
  }
  CHECK(by_reading == fixtures::Near(1.0));
}

TEST_CASE("nothing is compared without readings, or where they are all that is known") {
  Fitted<double> f = fixtures::PlainOf(WithReadings("calm", 0.0));
  CHECK(Evaluate(f)[kPlateLeft].has_value());
  Fitted<double> plates = f;
  plates.car.front.left = {};
  plates.rack.reset();
  plates.adjust = {};
  CHECK(Evaluate(plates).level == Level::kTurnPlate);
  CHECK_FALSE(Evaluate(plates)[kPlateLeft].has_value());
  f.car.front.turn_plate.clear();
  const Evaluation<double> none = Evaluate(f);
  CHECK_FALSE(none[kPlateLeft].has_value());
  CHECK(none.result[static_cast<std::size_t>(kPlateLeft)].missing.empty());
}

}  // namespace
}  // namespace steerbench
