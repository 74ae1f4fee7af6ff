// The front axle over its mean steer angle, for curves.
#pragma once

#include <array>
#include <boost/math/interpolators/vector_barycentric_rational.hpp>
#include <cstddef>
#include <optional>
#include <vector>

#include "engine/evaluate/loaded_axle.h"

namespace steerbench {

// An axle's wheels and mechanism over their mean steer angle [rad], to be looked up where a curve
// asks for many: a rational function through poses that were solved. Source: Floater & Hormann,
// Numer. Math. 107 (2007) 315-331 (from memory), as in Boost.Math.
class SteerMap {
 public:
  static constexpr int kPoses = 8;

  // Through at least kPoses of one axle, their steer angles rising, alike in all but the pose.
  explicit SteerMap(const std::vector<LoadedAxle<double>>& axle);

  // Unset outside the angles of its poses.
  [[nodiscard]] std::optional<LoadedAxle<double>> At(double steer) const;

 private:
  static constexpr std::size_t kNumbers = 16;
  using Numbers = std::array<double, kNumbers>;
  static Numbers NumbersOf(const LoadedAxle<double>& axle);

  double from_, to_;
  LoadedAxle<double> like_;
  boost::math::vector_barycentric_rational<std::vector<double>, std::vector<Numbers>> numbers_;
};

}  // namespace steerbench
