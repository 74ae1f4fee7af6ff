// Wheel angles of the linkage solver against those of Simbody's assembler (Sherman, Seth & Delp,
// Procedia IUTAM 2 (2011) 241-261), over a grid of rack and wheel travel.
#include "crosscheck/simbody_corner.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "engine/linkage/corner.h"
#include "fixtures/corners.h"
#include "fixtures/drive.h"

namespace steerbench {
namespace {

using fixtures::kDegree;
using fixtures::kMm;

crosscheck::Point Plain(const Vec3<double>& v) { return {v.x(), v.y(), v.z()}; }
crosscheck::Rod Plain(const linkage::Link<double>& l) { return {Plain(l.inner), Plain(l.outer)}; }

crosscheck::Mechanism MechanismOf(const linkage::Corner<double>& c) {
  crosscheck::Mechanism m;
  for (const auto& link : c.links) m.links.push_back(Plain(link));
  m.has_strut = c.axis == linkage::AxisKind::kStrut;
  m.strut_top = Plain(c.strut_top);
  m.strut_lower = Plain(c.strut_lower);
  m.tie_rod = Plain(c.tie_rod);
  m.tie_rod_length = c.tie_rod_length;
  m.rack_axis = Plain(c.rack_axis);
  m.wheel_centre = Plain(c.wheel_centre);
  m.spin_axis = Plain(c.spin_axis);
  return m;
}

void CheckGrid(linkage::Corner<double> corner) {
  constexpr double kAgree = 1e-6 * kDegree;
  constexpr int kSteps = 12;  // on the way, so that the assembler stays on the branch
  corner.tie_rod_length = linkage::TieRodLengthForToe<double>(corner, 0.003).value();
  const crosscheck::Mechanism mechanism = MechanismOf(corner);
  double worst = 0.0;
  for (double travel = -60; travel <= 60; travel += 20) {
    for (double jounce = -60; jounce <= 60; jounce += 30) {
      CAPTURE(travel);
      CAPTURE(jounce);
      const linkage::Solve solve = fixtures::Drive(corner, travel * kMm, jounce * kMm);
      REQUIRE(solve.status == linkage::SolveStatus::kConverged);
      const auto ours = linkage::StateAt<double>(corner, solve.pose, travel * kMm, jounce * kMm);
      const auto theirs = crosscheck::Assemble(mechanism, travel * kMm, jounce * kMm, kSteps);
      REQUIRE(theirs.error < 1e-11);
      worst = std::max(
          {worst, std::abs(ours.steer - theirs.steer), std::abs(ours.camber - theirs.camber)});
      CHECK(std::abs(ours.steer - theirs.steer) < kAgree);
      CHECK(std::abs(ours.camber - theirs.camber) < kAgree);
    }
  }
  MESSAGE("largest difference " << worst / kDegree << " deg");
}

TEST_CASE("double wishbone against Simbody") { CheckGrid(fixtures::Wishbone()); }
TEST_CASE("strut against Simbody") { CheckGrid(fixtures::Strut()); }
TEST_CASE("five-link against Simbody") { CheckGrid(fixtures::FiveLink()); }

}  // namespace
}  // namespace steerbench
