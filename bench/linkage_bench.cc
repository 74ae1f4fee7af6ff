// Time of one wheel's pose and state. Goal: a pose with continuation under 2 microseconds.
#include <benchmark/benchmark.h>

#include <array>
#include <cmath>

#include "engine/linkage/corner.h"
#include "engine/linkage/solve_for.h"
#include "fixtures/corners.h"

namespace steerbench::linkage {
namespace {

Corner<double> Fixture(benchmark::State& state) {
  static const std::array<Corner<double>, 3> all{fixtures::Wishbone(), fixtures::Strut(),
                                                 fixtures::FiveLink()};
  static constexpr std::array kNames{"double wishbone", "strut", "five-link"};
  const auto i = static_cast<std::size_t>(state.range(0));
  state.SetLabel(kNames[i]);
  return all[i];
}

// The rack to and fro by 60 mm in steps of 1 mm, each pose from the one before.
void PoseWithContinuation(benchmark::State& state) {
  constexpr double kEnd = 0.060, kStep = 0.001;
  const Corner<double> corner = Fixture(state);
  Pose pose = DesignPose(corner).pose;
  double travel = 0.0, step = kStep;
  for (auto _ : state) {
    travel += step;
    if (std::abs(travel) >= kEnd) step = -step;
    pose = MoveTo(corner, pose, travel, 0.0).pose;
    benchmark::DoNotOptimize(pose);
  }
}
BENCHMARK(PoseWithContinuation)->DenseRange(0, 2);

template <class T>
Corner<T> Cast(const Corner<double>& c) {
  Corner<T> d;
  d.axis = c.axis;
  for (const auto& l : c.links) {
    d.links.push_back({l.inner.template cast<T>(), l.outer.template cast<T>()});
  }
  d.strut_top = c.strut_top.template cast<T>();
  d.strut_lower = c.strut_lower.template cast<T>();
  d.lower_joint = c.lower_joint.template cast<T>();
  d.upper_joint = c.upper_joint.template cast<T>();
  d.tie_rod = {c.tie_rod.inner.template cast<T>(), c.tie_rod.outer.template cast<T>()};
  d.tie_rod_length = T(c.tie_rod_length);
  d.rack_axis = c.rack_axis.template cast<T>();
  d.wheel_centre = c.wheel_centre.template cast<T>();
  d.spin_axis = c.spin_axis.template cast<T>();
  d.loaded_radius = T(c.loaded_radius);
  return d;
}

template <class T>
void State(benchmark::State& state) {
  constexpr double kTravel = 0.030, kJounce = -0.020;
  const Corner<double> corner = Fixture(state);
  const Pose pose = MoveTo(corner, DesignPose(corner).pose, kTravel, kJounce).pose;
  const Corner<T> lifted = Cast<T>(corner);
  for (auto _ : state) {
    const WheelState<T> s = StateAt<T>(lifted, pose, T(kTravel), T(kJounce));
    benchmark::DoNotOptimize(s);
  }
}
BENCHMARK(State<double>)->DenseRange(0, 2);
BENCHMARK(State<Jet>)->DenseRange(0, 2);

void LeastBumpSteerByRackHeight(benchmark::State& state) {
  SolveForTask task;
  const Corner<double> corner = Fixture(state);
  task.corner = {corner, corner};
  task.least = -0.015;
  task.most = 0.015;
  task.target = LeastBumpSteer{LeastBumpSteer::About::kStaticToe, 0.06, 0.06, 13};
  for (auto _ : state) benchmark::DoNotOptimize(SolveFor(task));
}
BENCHMARK(LeastBumpSteerByRackHeight)->DenseRange(0, 2)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace steerbench::linkage
