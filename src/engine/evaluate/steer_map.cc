#include "engine/evaluate/steer_map.h"

#include <utility>

namespace steerbench {
namespace {

constexpr std::size_t kOrder = 7;

// All of an axle that its pose decides, one number after another.
template <class Axle, class Visit>
void EachNumber(Axle& axle, Visit&& visit) {
  for (auto* side : {&axle.left, &axle.right}) {
    auto& l = side->leverage;
    for (auto* x : {&l.vertical, &l.lateral, &l.held, &l.rolling, &l.aligning, &l.joints})
      visit(*x);
  }
  auto& m = axle.mechanism;
  for (auto* x : {&m.travel_per_radian, &m.column_ratio, &axle.travel, &axle.steer}) visit(*x);
}

template <class Of>
auto Each(const std::vector<LoadedAxle<double>>& axle, const Of& of) {
  std::vector<decltype(of(axle.front()))> each;
  for (const LoadedAxle<double>& a : axle) each.push_back(of(a));
  return each;
}

}  // namespace

SteerMap::SteerMap(const std::vector<LoadedAxle<double>>& axle)
    : from_(axle.front().steer),
      to_(axle.back().steer),
      like_(axle.front()),
      numbers_(Each(axle, [](const LoadedAxle<double>& a) { return a.steer; }),
               Each(axle, &SteerMap::NumbersOf), kOrder) {}

SteerMap::Numbers SteerMap::NumbersOf(const LoadedAxle<double>& axle) {
  Numbers numbers;
  std::size_t next = 0;
  EachNumber(axle, [&](const double& x) { numbers[next++] = x; });
  return numbers;
}

std::optional<LoadedAxle<double>> SteerMap::At(double steer) const {
  if (!(steer >= from_ && steer <= to_)) return std::nullopt;
  const Numbers numbers = numbers_(steer);
  LoadedAxle<double> axle = like_;
  std::size_t next = 0;
  EachNumber(axle, [&](double& x) { x = numbers[next++]; });
  return axle;
}

}  // namespace steerbench
