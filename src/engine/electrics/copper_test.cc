#include "engine/electrics/copper.h"

#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "fixtures/derivatives.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::electrics {
namespace {

using reference::Load;

// Temperatures of the rows are in degC, which have an offset.
double Kelvin(const reference::Row& row, const char* name) {
  return row.Json().at("inputs").at(name).at("value").get<double>() + 273.15;
}

TEST_CASE("copper-0.1: a warm wire") {
  const reference::Row row = Load("copper-0.1");
  REFERENCE_CHECK(row, "R", *CopperAt(row.Input("R20"), Kelvin(row, "T")));
}

TEST_CASE("copper-coil: hot coil by both forms, and its temperature read back") {
  const reference::Row row = Load("copper-coil");
  const double cold = row.Input("R20"), voltage = row.Input("U");
  const double hot = *CopperAt(cold, Kelvin(row, "T"));
  REFERENCE_CHECK(row, "R", hot);
  REFERENCE_CHECK(row, "R_2345_form", *CopperAtByZero(cold, Kelvin(row, "T")));
  REFERENCE_CHECK(row, "I_20", voltage / *CopperAt(cold, kTwentyCelsius));
  REFERENCE_CHECK(row, "I_120", voltage / hot);
  const auto& expected = row.Json().at("expected").at("T_from_R_9");
  CHECK(std::abs(*CopperTemperature(cold, 9.0) - 273.15 - expected.at("value").get<double>()) <=
        expected.at("tol").get<double>());
}

TEST_CASE("American wire gauge by its definition") {
  // ASTM B258: 36 is 0.005 in and 4/0 is 0.46 in by definition; 18 is 0.0403 in and 20 is 0.0320 in
  // in its table (the last two from memory).
  constexpr double kInch = 0.0254;
  CHECK(AwgDiameter(36.0) == fixtures::Near(0.005 * kInch, 1e-12));
  CHECK(AwgDiameter(-3.0) == fixtures::Near(0.46 * kInch, 1e-12));
  CHECK(std::abs(AwgDiameter(18.0) - 0.0403 * kInch) < 0.00005 * kInch);
  CHECK(std::abs(AwgDiameter(20.0) - 0.0320 * kInch) < 0.00005 * kInch);
  CHECK(std::abs(AwgArea(18.0) - 0.823e-6) < 0.001e-6);
}

TEST_CASE("resistance of a wire") {
  // IEC 60228 allows 19.5 ohm/km for 1 mm^2 plain stranded (class 5) at 20 degC (from memory); the
  // ideal wire of that cross-section has a little less.
  const double per_km = *WireResistance(1000.0, 1e-6, kTwentyCelsius);
  CHECK(per_km == fixtures::Near(17.241, 1e-4));
  CHECK(per_km < 19.5);
}

TEST_CASE("copper: derivatives equal central differences, hostile numbers give a reason") {
  CHECK(ScaledDerivativesHold(
      [](const auto& x) {
        using T = std::decay_t<decltype(x[0])>;
        return T(*CopperAt(x[0], x[1]) * *CopperAtByZero(x[0], x[1]) +
                 *CopperTemperature(x[0], x[2]) * *WireResistance(x[3], x[4], x[1]));
      },
      {7.0, 350.0, 9.0, 3.0, 0.75e-6}));
  for (const double bad : {0.0, -1.0, std::nan(""), HUGE_VAL}) {
    CHECK(CopperAt(bad, 300.0).why().problem == Problem::kResistance);
    CHECK(CopperTemperature(7.0, bad).why().problem == Problem::kResistance);
    CHECK(WireResistance(bad, 1e-6, 300.0).why().problem == Problem::kWire);
  }
  CHECK(CopperAt(7.0, 10.0).why().problem == Problem::kTemperature);
  CHECK(CopperAt(7.0, std::nan("")).why().problem == Problem::kTemperature);
  for (int i = 0; i <= static_cast<int>(Problem::kUnreachable); ++i) {
    CHECK(Describe(static_cast<Problem>(i)) != "unknown");
  }
}

}  // namespace
}  // namespace steerbench::electrics
