#include "engine/gear/rack_ratio.h"

#include <doctest/doctest.h>

#include <numbers>
#include <stdexcept>

#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::gear {
namespace {

using reference::Between;
using reference::Load;
using reference::Whole;
using std::numbers::pi;
using Rows = std::vector<RatioAt<double>>;

constexpr double kPerTurn = 1.0 / (2.0 * pi);  // [1/rad] of a length per turn

RackRatio<double> AnyTable() {
  Rows rows;
  double distance = Between(0.0, 0.010);
  const int count = Whole(1, 5);
  for (int i = 0; i < count; ++i) {
    rows.push_back({distance, Between(0.040, 0.060) * kPerTurn});
    distance += Between(0.005, 0.030);
  }
  return TableRatio(rows);
}

TEST_CASE("C-factor and turns of the reference rows") {
  const auto row = Load("rack-c-factor");
  const double c =
      PinionTravelPerAngle(row.Input("normal_module"), row.Input("teeth"), row.Input("helix"));
  REFERENCE_CHECK(row, "C_factor", c);
  const double half = row.Input("rack_stroke_total") / 2.0;
  const double turns = 2.0 * PinionAngle(ConstantRatio(c), half) / (2.0 * pi);
  REFERENCE_CHECK(row, "turns_lock_to_lock", turns);
  // A pitch circle that rolls on the rack goes its own radius per radian.
  REFERENCE_CHECK(row, "pitch_radius_effective", c);

  const auto centre = Load("steer-ratio-centre");
  REFERENCE_CHECK(centre, "overall_ratio",
                  OverallRatio(centre.Input("C_factor"), 1.0 / centre.Input("effective_arm"), 1.0));

  const auto force = Load("rack-force");
  REFERENCE_CHECK(
      force, "rack_force",
      RackForce(force.Input("pinion_torque"), force.Input("C_factor"), force.Input("efficiency")));
}

TEST_CASE("common practice, no source: the same travel in more turns is a slower rack") {
  constexpr double kTravel = 0.150;
  const auto c = [=](double turns) { return MeasuredTravelPerAngle(kTravel, turns * 2.0 * pi); };
  CHECK(c(2.75) / c(3.25) == fixtures::Near(3.25 / 2.75, 1e-15));
  CHECK(c(3.25) / c(3.5) == fixtures::Near(3.5 / 3.25, 1e-15));
  CHECK(c(3.0) == fixtures::Near(0.050 * kPerTurn, 1e-15));
}

TEST_CASE("a table of equal rows is a constant ratio") {
  const double c = 0.045 * kPerTurn;
  const auto table = TableRatio(Rows{{0.0, c}, {0.030, c}, {0.075, c}});
  CHECK(PinionAngle(table, -0.06) == fixtures::Near(-0.06 / c, 1e-14));
  CHECK(TravelPerAngle(table, 0.05) == fixtures::Near(c, 1e-14));
}

TEST_CASE("outside the table, and between centre and its first row, the ratio stays") {
  const double near = 0.042 * kPerTurn, far = 0.056 * kPerTurn;
  const auto table = TableRatio(Rows{{0.010, near}, {0.060, far}});
  CHECK(TravelPerAngle(table, 0.004) == fixtures::Near(near, 1e-14));
  CHECK(TravelPerAngle(table, -0.070) == fixtures::Near(far, 1e-14));
  CHECK(PinionAngle(table, 0.070) - PinionAngle(table, 0.060) ==
        fixtures::Near(0.010 / far, 1e-12));
  CHECK(PinionAngle(table, 0.010) == fixtures::Near(0.010 / near, 1e-14));
}

TEST_CASE("faulty tables are named by row") {
  CHECK(FindRowFault(Rows{})->row == 0);
  CHECK(FindRowFault(Rows{{-0.001, 0.008}})->row == 0);
  CHECK(FindRowFault(Rows{{0.0, 0.008}, {0.02, 0.0}})->row == 1);
  CHECK(FindRowFault(Rows{{0.0, 0.008}, {0.02, 0.009}, {0.02, 0.009}})->row == 2);
  CHECK_FALSE(FindRowFault(Rows{{0.0, 0.008}, {0.02, 0.009}}));
  CHECK_THROWS_WITH_AS((void)TableRatio(Rows{{0.0, 0.008}, {0.02, -1.0}}),
                       "row 2: the travel per angle is not above zero", std::invalid_argument);
}

TEST_CASE("pinion angle and rack travel are inverse, odd, and rise at 1 / travel per angle") {
  CHECK(rc::check("inverse", [] {
    const auto ratio = AnyTable();
    const double travel = Between(-0.15, 0.15);
    const double angle = PinionAngle(ratio, travel);
    RC_ASSERT(std::abs(RackTravel(ratio, angle) - travel) < 1e-15 + 1e-13 * std::abs(travel));
    RC_ASSERT(PinionAngle(ratio, -travel) == -angle);
    const double step = 1e-6;
    const double rise = PinionAngle(ratio, travel + step) - PinionAngle(ratio, travel - step);
    RC_ASSERT(std::abs(rise / (2.0 * step) * TravelPerAngle(ratio, travel) - 1.0) < 1e-4);
  }));
  CHECK(rc::check("between the rows", [] {
    const double travel = Between(-0.15, 0.15);
    const double c = TravelPerAngle(AnyTable(), travel) / kPerTurn;
    RC_ASSERT(c >= 0.040 - 1e-12);
    RC_ASSERT(c <= 0.060 + 1e-12);
  }));
}

TEST_CASE("derivatives to the table and the travel") {
  // Lengths in decimetres, so that the differences are well scaled.
  const auto table = []<class T>(const std::vector<T>& v) {
    return TableRatio(std::vector<RatioAt<T>>{{T(0.0), v[0]}, {v[1], v[2]}, {v[3], v[4]}});
  };
  const auto angle = [&]<class T>(const std::vector<T>& v) {
    return T(PinionAngle(table(v), v[5]) + TravelPerAngle(table(v), v[5]));
  };
  const auto travel = [&]<class T>(const std::vector<T>& v) { return RackTravel(table(v), v[5]); };
  CHECK(reference::DerivativesHold(angle, {0.7, 0.3, 0.8, 0.7, 0.95, 0.5}));
  CHECK(reference::DerivativesHold(angle, {0.7, 0.3, 0.8, 0.7, 0.95, -0.2}));
  CHECK(reference::DerivativesHold(angle, {0.7, 0.3, 0.8, 0.7, 0.95, 0.9}));
  CHECK(reference::DerivativesHold(travel, {0.7, 0.3, 0.8, 0.7, 0.95, 0.6}));
  CHECK(reference::DerivativesHold(travel, {0.7, 0.3, 0.8, 0.7, 0.95, -0.25}));
  CHECK(reference::DerivativesHold(travel, {0.7, 0.3, 0.8, 0.7, 0.95, 1.5}));
  const auto pinion = []<class T>(const std::vector<T>& v) {
    return PinionTravelPerAngle(v[0], v[1], v[2]);
  };
  CHECK(reference::DerivativesHold(pinion, {0.2, 7.0, 0.35}));
}

}  // namespace
}  // namespace steerbench::gear
