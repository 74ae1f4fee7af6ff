// Where the front wheels stand over their mean steer angle, for curves.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "engine/evaluate/loaded_axle.h"

namespace steerbench {

// An axle's wheels over their mean steer angle [rad], to be looked up where a curve asks for many:
// a rational function through poses that were solved. Source: Floater & Hormann, Numer. Math. 107
// (2007) 315-331 (from memory), as in Boost.Math.
class SteerMap {
 public:
  static constexpr int kPoses = 8;

  // Through at least kPoses of one axle, their steer angles rising, alike in all but the pose.
  explicit SteerMap(const std::vector<LoadedAxle<double>>& axle);

  // Wheels, rack travel and column ratio there; the rack's ratio is that of the first pose and the
  // caller's to set, for it may have corners, and where it has, the column's too. Unset outside the
  // angles of the poses.
  [[nodiscard]] std::optional<LoadedAxle<double>> At(double steer) const;

  // Greatest difference between what At finds and a pose that was solved, each as a share of its
  // size or of a hundredth of a unit, if that is more.
  [[nodiscard]] std::optional<double> Misses(const LoadedAxle<double>& solved) const;

 private:
  struct Interpolator;

  double from_, to_;
  LoadedAxle<double> like_;
  std::shared_ptr<const Interpolator> interpolator_;  // never changed; shared by copies
};

}  // namespace steerbench
