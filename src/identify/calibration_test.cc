// Whether what is called 80 % sure is right in 80 of 100 cars, and what the choice of the next look
// is worth. The figures in docs/methods/identify.md come from bench/identify_calibration.cc, which
// runs the same with more cars.
#include <doctest/doctest.h>

#include <cmath>

#include "fixtures/calibration.h"

namespace steerbench::riddles {
namespace {

TEST_CASE("stated probabilities come true as often as they say") {
  const Reliability cars = MeasureReliability(11, 2000, 1.0);
  for (const Reliability::Bin& bin : cars.bins) {
    if (bin.count == 0) continue;
    CAPTURE(bin.Stated());
    CHECK(std::abs(bin.Right() - bin.Stated()) <= 4.0 * bin.Scatter());
  }
}

TEST_CASE("the same test sees that looks are wrong more often than stated") {
  const Reliability cars = MeasureReliability(11, 2000, 4.0);
  const Reliability::Bin& sure = cars.bins.back();
  CHECK(sure.Right() < sure.Stated() - 4.0 * sure.Scatter());
}

TEST_CASE("bits per minute finds the variant in less time than looking in any order") {
  const Race race = MeasureRace(3, 300, 0.95);
  CHECK(race.chosen.settled >= race.random.settled);
  CHECK(race.chosen.minutes < 0.8 * race.random.minutes);
}

}  // namespace
}  // namespace steerbench::riddles
