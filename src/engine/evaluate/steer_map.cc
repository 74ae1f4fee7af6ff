#include "engine/evaluate/steer_map.h"

#include <algorithm>
#include <array>
#include <boost/math/interpolators/vector_barycentric_rational.hpp>
#include <cmath>
#include <cstddef>

namespace steerbench {
namespace {

using effort::Leverage;

constexpr std::size_t kOrder = 7;
constexpr std::array kOfSide{&Leverage<double>::vertical, &Leverage<double>::lateral,
                             &Leverage<double>::held,     &Leverage<double>::rolling,
                             &Leverage<double>::aligning, &Leverage<double>::joints};
// Those of both sides, then the rack's travel and the column's ratio.
constexpr std::size_t kTravel = 2 * kOfSide.size(), kColumn = kTravel + 1;
using Numbers = std::array<double, kColumn + 1>;

Numbers NumbersOf(const LoadedAxle<double>& axle) {
  Numbers numbers;
  for (std::size_t i = 0; i < kOfSide.size(); ++i) {
    numbers[i] = axle.left.leverage.*kOfSide[i];
    numbers[kOfSide.size() + i] = axle.right.leverage.*kOfSide[i];
  }
  numbers[kTravel] = axle.travel;
  numbers[kColumn] = axle.mechanism.column_ratio;
  return numbers;
}

template <class Of>
auto Each(const std::vector<LoadedAxle<double>>& axle, const Of& of) {
  std::vector<decltype(of(axle.front()))> each;
  for (const LoadedAxle<double>& a : axle) each.push_back(of(a));
  return each;
}

}  // namespace

struct SteerMap::Interpolator {
  boost::math::vector_barycentric_rational<std::vector<double>, std::vector<Numbers>> numbers;
};

SteerMap::SteerMap(const std::vector<LoadedAxle<double>>& axle)
    : from_(axle.front().steer),
      to_(axle.back().steer),
      like_(axle.front()),
      interpolator_(std::make_shared<const Interpolator>(
          Interpolator{{Each(axle, [](const LoadedAxle<double>& a) { return a.steer; }),
                        Each(axle, NumbersOf), kOrder}})) {}

std::optional<LoadedAxle<double>> SteerMap::At(double steer) const {
  if (!(steer >= from_ && steer <= to_)) return std::nullopt;
  const Numbers numbers = interpolator_->numbers(steer);
  LoadedAxle<double> axle = like_;
  for (std::size_t i = 0; i < kOfSide.size(); ++i) {
    axle.left.leverage.*kOfSide[i] = numbers[i];
    axle.right.leverage.*kOfSide[i] = numbers[kOfSide.size() + i];
  }
  axle.travel = numbers[kTravel];
  axle.mechanism.column_ratio = numbers[kColumn];
  axle.steer = steer;
  return axle;
}

std::optional<double> SteerMap::Misses(const LoadedAxle<double>& solved) const {
  const auto found = At(solved.steer);
  if (!found) return std::nullopt;
  constexpr double kLeastSize = 0.01;
  const Numbers a = NumbersOf(*found), b = NumbersOf(solved);
  double most = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    most = std::max(most, std::abs(a[i] - b[i]) / std::max(kLeastSize, std::abs(b[i])));
  }
  return most;
}

}  // namespace steerbench
