#include "engine/drive/drive.h"

#include <doctest/doctest.h>

#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::drive {
namespace {

using reference::Between;

// The row's nominal belt width is a matter of the belt, not of speeds, and is not computed here.
TEST_CASE("ribbed belt of the reference row") {
  const auto row = reference::Load("belt-pk");
  const PulleyPair<double> plain{row.Input("de_drive"), row.Input("de_driven")};
  const double speed = row.Input("n_drive");
  REFERENCE_CHECK(row, "n_driven_if_de_used", PumpSpeed(plain, speed));

  const PulleyPair<double> pitch{plain.crank, plain.pump, kPkLineDifferential};
  REFERENCE_CHECK(row, "dp_drive", pitch.crank + 2.0 * pitch.line_differential);
  REFERENCE_CHECK(row, "dp_driven", pitch.pump + 2.0 * pitch.line_differential);
  REFERENCE_CHECK(row, "ratio", SpeedRatio(pitch));
  REFERENCE_CHECK(row, "n_driven", PumpSpeed(pitch, speed));
}

TEST_CASE(
    "common practice, no source: a 5 in pulley for a 5.75 in one turns the pump 15 % faster") {
  constexpr double kInch = 0.0254;
  const PulleyPair<double> before{6.0 * kInch, 5.75 * kInch}, after{6.0 * kInch, 5.0 * kInch};
  CHECK(SpeedRatio(after) / SpeedRatio(before) == fixtures::Near(1.15, 1e-14));
}

TEST_CASE("engine speed and pump speed are inverse") {
  CHECK(rc::check("inverse", [] {
    const PulleyPair<double> pulleys{Between(0.08, 0.2), Between(0.08, 0.2), Between(0.0, 0.003)};
    const double speed = Between(0.0, 900.0);
    RC_ASSERT(std::abs(EngineSpeed(pulleys, PumpSpeed(pulleys, speed)) - speed) < 1e-12 * 900.0);
  }));
}

TEST_CASE("derivatives") {
  const auto f = []<class T>(const std::vector<T>& v) {
    const PulleyPair<T> pulleys{v[0], v[1], T(0.02)};
    return T(PumpSpeed(pulleys, v[2]) + EngineSpeed(pulleys, v[2]));
  };
  CHECK(reference::DerivativesHold(f, {1.5, 1.2, 2.0}));
}

}  // namespace
}  // namespace steerbench::drive
