#include "engine/hydraulics/rotary_valve.h"

#include <doctest/doctest.h>

#include <cmath>

#include "fixtures/hydraulics.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::hydraulics {
namespace {

using fixtures::kBar;
using fixtures::kDegree;
using fixtures::kLitrePerMinute;
using reference::Between;

}  // namespace

TEST_CASE("fitted valve gives back the measured pressures") {
  const Fluid<double> oil = fixtures::Oil<double>();
  const RotaryValve<double> valve = fixtures::FittedValve<double>(oil);
  const FluidState<double> state = StateAt<double>(oil, 323.15);
  const double half = 4.0 * kLitrePerMinute;
  const double torque[] = {0.0, 1.0, 3.0, 6.0}, bar[] = {3.0, 4.5, 20.0, 100.0};
  for (int i = 0; i < 4; ++i) {
    const double twist = torque[i] / valve.stiffness;
    double drop = 0.0;
    for (const double way : {1.0, -1.0}) {
      const Opening<double> o = OpeningAt<double>(valve, way * twist);
      const auto law = MakeRoundOrifice<double>(o.area, valve.coefficient, state);
      drop += DropAt<double>(law, half);
    }
    CHECK(drop == fixtures::Near(bar[i] * kBar, 1e-9));
  }
}

TEST_CASE("fitted valve: bad points are refused with the reason") {
  const FluidState<double> state = StateAt<double>(fixtures::Oil<double>(), 323.15);
  const auto why = [&](const std::vector<BoostPoint<double>>& points) {
    const auto fitted = FitOpening<double>(points, 1e-4, kSharpEdge, state);
    return !fitted && fitted.why() == Problem::kValvePoints;
  };
  CHECK(why({}));
  CHECK(why({{0.0, 3e5}}));
  CHECK(why({{0.01, 3e5}, {0.02, 6e5}}));
  CHECK(why({{0.0, 3e5}, {0.02, 2e5}}));
  CHECK(why({{0.0, 3e5}, {0.02, 6e5}, {0.02, 7e5}}));
  CHECK(why({{0.0, 3e5}, {0.02, std::nan("")}}));
  CHECK_FALSE(why({{0.0, 3e5}, {0.02, 6e5}}));
}

TEST_CASE("openings never fall with twist, stay above zero, and their slopes are right") {
  const RotaryValve<double> valve = fixtures::FittedValve<double>(fixtures::Oil<double>());
  rc::check([&] {
    const double twist = Between(-0.12, 0.12), h = 1e-7;
    const Opening<double> at = OpeningAt<double>(valve, twist);
    const Opening<double> up = OpeningAt<double>(valve, twist + h);
    const Opening<double> down = OpeningAt<double>(valve, twist - h);
    RC_ASSERT(at.area > 0.0);
    RC_ASSERT(up.area >= down.area);
    RC_ASSERT(std::abs((up.area - down.area) / (2.0 * h) - at.area_slope) < 1e-8);
  });
}

TEST_CASE("torque: the bar to the stop, hard beyond, odd") {
  const RotaryValve<double> valve = fixtures::FittedValve<double>(fixtures::Oil<double>());
  CHECK(TwistTorque<double>(valve, 2.0 * kDegree).torque == fixtures::Near(2.4));
  CHECK(TwistTorque<double>(valve, -2.0 * kDegree).torque == fixtures::Near(-2.4));
  CHECK(TwistTorque<double>(valve, 6.1 * kDegree).torque > 100.0);
}

TEST_CASE("opening's derivatives are those of its values") {
  const auto area = []<class T>(const std::vector<T>& x) {
    const Fluid<T> oil = fixtures::Oil<T>();
    RotaryValve<T> valve = fixtures::FittedValve<T>(oil);
    std::vector<BoostPoint<T>> points = {
        {T(0.0), T(3e5 * x[0])}, {T(0.03 * x[1]), T(1e6 * x[2])}, {T(0.06 * x[1]), T(5e6 * x[3])}};
    valve.openings = *FitOpening<T>(points, T(1.3e-4), kSharpEdge, StateAt<T>(oil, T(323.15)));
    return T(1e5 * OpeningAt<T>(valve, T(-0.04 * x[4])).area);
  };
  rc::check([&] {
    std::vector<double> at;
    for (int i = 0; i < 5; ++i) at.push_back(Between(0.9, 1.1));
    RC_ASSERT(reference::DerivativesHold(area, at, 1e-5));
  });
}

}  // namespace steerbench::hydraulics
