// Any points as a corner, driven anywhere: never a crash, and a pose is called converged only when
// it is finite and closes the linkage.
#include <array>
#include <cmath>
#include <cstdint>

#include "engine/linkage/corner.h"
#include "fixtures/corners.h"
#include "fuzz/bytes.h"

using namespace steerbench;
using namespace steerbench::linkage;
using fuzz::Require;

namespace {

// Moves a point of an invented corner by up to this much either way [m]: from slightly odd corners
// to ones turned inside out.
constexpr double kSpread = 0.4;

// Every second point or so stays, so that sound corners with one odd point are drawn as well.
void Disturb(fuzz::Bytes& bytes, Vec3<double>& point) {
  if (bytes.Next<std::uint8_t>() % 2 == 0) return;
  for (double& x : point) x += bytes.Between(-kSpread, kSpread);
}

Corner<double> Draw(fuzz::Bytes& bytes) {
  static const std::array<Corner<double>, 3> kinds{fixtures::Wishbone(), fixtures::Strut(),
                                                   fixtures::FiveLink()};
  Corner<double> c = kinds[bytes.Next<std::uint8_t>() % kinds.size()];
  for (Link<double>& link : c.links) {
    Disturb(bytes, link.inner);
    Disturb(bytes, link.outer);
  }
  for (Vec3<double>* point : {&c.lower_joint, &c.upper_joint, &c.strut_top, &c.strut_lower,
                              &c.tie_rod.inner, &c.tie_rod.outer, &c.wheel_centre}) {
    Disturb(bytes, *point);
  }
  c.tie_rod_length =
      (c.tie_rod.outer - c.tie_rod.inner).norm() * (1.0 + bytes.Between(-0.05, 0.05));
  return c;
}

// Puts any bit pattern, not-a-number among them, into one of the coordinates.
void Spoil(fuzz::Bytes& bytes, Corner<double>& c) {
  double* const figures[] = {&c.links[0].inner.x(), &c.links[0].outer.z(), &c.lower_joint.y(),
                             &c.upper_joint.z(),    &c.strut_top.x(),      &c.tie_rod.inner.y(),
                             &c.tie_rod.outer.x(),  &c.tie_rod_length,     &c.wheel_centre.z(),
                             &c.spin_axis.y(),      &c.loaded_radius};
  constexpr std::size_t kFigures = sizeof figures / sizeof figures[0];
  const auto which = bytes.Next<std::uint8_t>();
  const auto number = bytes.Next<double>();
  if (which < kFigures) *figures[which] = number;
}

void CheckSolve(const Solve& solve) {
  Require(solve.status != SolveStatus::kNotRun);
  Require(solve.reached >= 0.0 && solve.reached <= 1.0);
  if (solve.status != SolveStatus::kConverged) return;
  Require(solve.residual < kClosureTolerance);
  Require(solve.pose.rotation.coeffs().allFinite() && solve.pose.centre.allFinite());
  Require(solve.pose.tie_rod_inner.allFinite() && std::isfinite(solve.pose.orientation));
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  constexpr double kTravel = 0.3, kJounce = 0.3;  // well past any rack and any spring [m]
  constexpr int kDrives = 3;
  fuzz::Bytes bytes(data, size);
  Corner<double> corner = Draw(bytes);
  Spoil(bytes, corner);
  const Solve design = DesignPose(corner);
  CheckSolve(design);
  if (design.status != SolveStatus::kConverged) return 0;
  (void)TieRodLengthForToe(corner, bytes.Between(-0.1, 0.1));
  Pose pose = design.pose;
  for (int i = 0; i < kDrives; ++i) {
    const double travel = bytes.Between(-kTravel, kTravel);
    const double jounce = bytes.Between(-kJounce, kJounce);
    const Solve moved = MoveTo(corner, pose, travel, jounce);
    CheckSolve(moved);
    if (moved.status != SolveStatus::kConverged) continue;
    pose = moved.pose;
    (void)StateAt<double>(corner, pose, travel, jounce);
    (void)SmallestSingularValue(corner, pose);
  }
  return 0;
}
