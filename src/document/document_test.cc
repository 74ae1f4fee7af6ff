#define DOCTEST_CONFIG_IMPLEMENT_WITH_MAIN
#include "document/document.h"

#include <doctest/doctest.h>

#include <string>

namespace steerbench {
namespace {

// An invented car that uses every way of writing a value.
constexpr std::string_view kSample = R"(# Tern, invented
format = 1
title = "Tern for the hills"

[car]
name = "Tern"
wheelbase = "2650 ± 2 mm"   # tape along the sill

[car.front]
suspension = "double wishbone"
track = { value = "57 1/2 in", tolerance = "1/16 in", from = "measured", note = "tape" }
rebound = "70 mm"

[car.front.left]
lower_ball_joint = "(12, 690, 195) mm ± 1 mm"
tie_rod_outer = { value = "(-120, 655.5, 210) mm ± 2 mm", from = "measured" }
wheel_centre = ["0 mm", "730 mm ± 1 mm", "11.5 in"]
toe = "0° 6'"

[[car.front.turn_plate]]
travel = "30 mm"
left = "12.1°"
right = "13°"

[[car.front.turn_plate]]
travel = "60 mm"
left = "25°"

[car.column]
joint = [{ angle = "20 deg", phase = "0 deg" }, { angle = "22 deg ± 1 deg" }]

[rack.slow]
title = "works rack"
owned = true
turns = "3.9 turns"
travel = "146 mm ± 1 mm"
travel_left = "73 mm"
travel_right = "73 mm"
pinion_teeth = 7

[rack."quick 2.6"]
price = 120
turns = "2.6 turns"

[spacer.ten]
thickness = "10 mm"

[setup.first]
rack = "slow"
toe = "5'"

[setup.second]
rack = "quick 2.6"
spacer = "ten"
stops = "kept"

[limits]
rod_arm_angle = "15°"
)";

TEST_CASE("the sample reads, in its own order, and its parts fit") {
  const ReadResult read = ReadToml(kSample);
  REQUIRE(read.problems.empty());
  REQUIRE(read.document.rack.size() == 2);
  CHECK(read.document.rack[0].first == "slow");
  const Fitted<Quantity> fitted = Fit(read.document, read.document.setup[1].second);
  REQUIRE(fitted.rack);
  CHECK(fitted.rack->price->value == 120.0);
  CHECK(fitted.spacer->thickness->value == doctest::Approx(0.010));
  CHECK_FALSE(fitted.pump);
  CHECK(fitted.adjust.stops == Stops::kKept);
  CHECK(fitted.car.wheelbase->value == doctest::Approx(2.650));
}

}  // namespace
}  // namespace steerbench
