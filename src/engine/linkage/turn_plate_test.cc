#include "engine/linkage/turn_plate.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "fixtures/corners.h"
#include "fixtures/drive.h"
#include "fixtures/near.h"

namespace steerbench::linkage {
namespace {

using fixtures::kDegree;
using fixtures::kMm;
using fixtures::StateOf;

constexpr double kRowStep = 10 * kMm;

struct Rows {
  std::vector<double> travel, steer;
};

Rows Sampled(const Corner<double>& corner, int rows_each_way) {
  Rows rows;
  for (int i = -rows_each_way; i <= rows_each_way; ++i) {
    rows.travel.push_back(i * kRowStep);
    rows.steer.push_back(StateOf(corner, i * kRowStep, 0.0).steer);
  }
  return rows;
}

TEST_CASE("a table sampled from points in space gives its rows back and is close between them") {
  // Rows 10 mm apart, up to where the sharpest of these linkages is close to dead centre: a tenth
  // of a turn plate's one-degree marks.
  constexpr double kBetweenRows = 0.1 * kDegree;
  double worst = 0.0;
  for (const auto& corner : {fixtures::Wishbone(), fixtures::Strut(), fixtures::FiveLink()}) {
    const Rows rows = Sampled(corner, 6);
    const TurnPlate<double> plate = FitTurnPlate<double>(rows.travel, rows.steer).value();
    for (std::size_t i = 0; i < rows.travel.size(); ++i) {
      const auto s = StateAt<double>(plate, rows.travel[i]);
      REQUIRE(s.has_value());
      CHECK(s->steer == fixtures::Near(rows.steer[i], 1e-14));
    }
    for (double travel = -59 * kMm; travel < 60 * kMm; travel += 1 * kMm) {
      const WheelState<double> exact = StateOf(corner, travel, 0.0);
      const PlateState<double> s = StateAt<double>(plate, travel).value();
      worst = std::max(worst, std::abs(s.steer - exact.steer));
      CHECK(std::abs(s.steer - exact.steer) < kBetweenRows);
      CHECK(s.steer_per_travel == fixtures::Near(exact.steer_per_travel, 0.05));
    }
  }
  MESSAGE("largest error between rows " << worst / kDegree << " deg");
}

TEST_CASE("nothing is said outside the readings or from a table that is none") {
  const Rows rows = Sampled(fixtures::Strut(), 2);
  const TurnPlate<double> plate = FitTurnPlate<double>(rows.travel, rows.steer).value();
  CHECK_FALSE(StateAt<double>(plate, 20.01 * kMm).has_value());
  CHECK_FALSE(StateAt<double>(plate, -20.01 * kMm).has_value());
  CHECK_FALSE(StateAt<double>(plate, std::numeric_limits<double>::quiet_NaN()).has_value());
  CHECK_FALSE(FitTurnPlate<double>({}, {}).has_value());
  CHECK_FALSE(FitTurnPlate<double>({0.0}, {0.0}).has_value());
  CHECK_FALSE(FitTurnPlate<double>({0.0, 0.0}, {0.0, 0.1}).has_value());
  CHECK_FALSE(FitTurnPlate<double>({0.0, 1.0}, {0.0}).has_value());
}

TEST_CASE("derivatives flow from the readings to the angle") {
  const TurnPlate<Jet> plate =
      FitTurnPlate<Jet>({Jet(0.0), Jet(0.02)}, {Jet(0.0, 0), Jet(0.2, 1)}).value();
  const PlateState<Jet> s = StateAt<Jet>(plate, Jet(0.005, 2)).value();
  CHECK(s.steer.a == fixtures::Near(0.05));
  CHECK(s.steer.v[0] == fixtures::Near(0.75));
  CHECK(s.steer.v[1] == fixtures::Near(0.25));
  CHECK(s.steer.v[2] == fixtures::Near(10.0));
}

// Common practice, no source: a 6 mm spacer at an arm that turns about 4 degrees for it means an
// effective arm near 86 mm.
TEST_CASE("one bench test gives the effective arm") {
  CHECK(EffectiveArm<double>(6 * kMm, 4 * kDegree) == fixtures::Near(86 * kMm, 1e-3));
}

}  // namespace
}  // namespace steerbench::linkage
