#include "engine/hydraulics/fluid.h"

#include <doctest/doctest.h>

#include <cmath>

#include "fixtures/hydraulics.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::hydraulics {
namespace {

using reference::Between;

// The viscosity line of a row; its temperatures are 40 and 100 deg C plus an offset.
WaltherLine<double> LineOf(const reference::Row& row, double offset) {
  return FitWalther<double>({40.0 + offset, row.Input("v40")}, {100.0 + offset, row.Input("v100")});
}

}  // namespace

TEST_CASE("viscosity against temperature: ASTM D341") {
  const reference::Row sheet = reference::Load("walther-32-5.4");
  const WaltherLine<double> line = LineOf(sheet, sheet.Input("T_offset"));
  REFERENCE_CHECK(sheet, "A", line.a);
  REFERENCE_CHECK(sheet, "B", line.b);
  REFERENCE_CHECK(sheet, "v80", ViscosityAt<double>(line, 80.0 + sheet.Input("T_offset")));

  const reference::Row same = reference::Load("walther-32-5.4-273.15");
  const WaltherLine<double> kelvin = LineOf(same, kZeroCelsius);
  REFERENCE_CHECK(same, "A", kelvin.a);
  REFERENCE_CHECK(same, "B", kelvin.b);
  REFERENCE_CHECK(same, "v80", ViscosityAt<double>(kelvin, 80.0 + kZeroCelsius));

  const reference::Row atf = reference::Load("walther-atf");
  const WaltherLine<double> oil = LineOf(atf, kZeroCelsius);
  for (const int celsius : {-20, 0, 20, 60, 80, 120}) {
    const std::string name = "v" + std::to_string(celsius);
    REFERENCE_CHECK(atf, name.c_str(), ViscosityAt<double>(oil, celsius + kZeroCelsius));
  }
}

TEST_CASE("density against temperature: API MPMS 11.1, and linear") {
  const reference::Row row = reference::Load("density-temp");
  Fluid<double> oil = fixtures::Oil<double>();
  oil.density = row.Input("rho15");
  const double hot = 80.0 + kZeroCelsius;  // the row's T
  REFERENCE_CHECK(row, "rho80", DensityAt<double>(oil, hot));
  oil.expansion = 0.00065;
  REFERENCE_CHECK(row, "rho80_linear_0p00065", DensityAt<double>(oil, hot));
  CHECK(DensityAt<double>(oil, kDensityTemperature) == fixtures::Near(oil.density));
}

TEST_CASE("air makes the oil soft, the more so at low pressure") {
  Fluid<double> oil = fixtures::Oil<double>();
  CHECK(BulkModulusAt<double>(oil, 50e5) == fixtures::Near(1.4e9));
  oil.air = 0.01;
  // By hand from Merritt's sum of compliances: 0.99/1.4e9 + 0.01 x 101325/(50e5)^2.
  CHECK(BulkModulusAt<double>(oil, 50e5) == fixtures::Near(1.0 / (7.0714286e-10 + 4.053e-11)));
  CHECK(BulkModulusAt<double>(oil, 5e5) < BulkModulusAt<double>(oil, 50e5));
}

TEST_CASE("outside its range the oil is marked, and bad figures are refused") {
  const Fluid<double> oil = fixtures::Oil<double>();
  CHECK_FALSE(StateAt<double>(oil, 313.15).marks.Has(Mark::kFarTemperature));
  CHECK(StateAt<double>(oil, 240.0).marks.Has(Mark::kFarTemperature));
  CHECK(StateAt<double>(oil, 520.0).marks.Has(Mark::kThinFluid));
  CHECK(CastsDoubt(Mark::kThinFluid));
  CHECK_FALSE(CastsDoubt(Mark::kReliefOpen));
  CHECK(std::isfinite(StateAt<double>(oil, 1.0).dynamic));
  Fluid<double> bad = oil;
  std::swap(bad.cold.viscosity, bad.hot.viscosity);
  CHECK_FALSE(IsSound(bad));
  bad = oil;
  bad.density = std::nan("");
  CHECK_FALSE(IsSound(bad));
}

TEST_CASE("colder oil is thicker and heavier") {
  rc::check([] {
    Fluid<double> oil = fixtures::Oil<double>();
    oil.hot.viscosity = Between(2e-6, 12e-6);
    oil.cold.viscosity = oil.hot.viscosity * Between(1.2, 8.0);
    const double t = Between(240.0, 420.0);
    const FluidState<double> cold = StateAt<double>(oil, t - Between(0.1, 20.0));
    const FluidState<double> warm = StateAt<double>(oil, t);
    RC_ASSERT(cold.kinematic > warm.kinematic);
    RC_ASSERT(cold.density > warm.density);
  });
}

TEST_CASE("the oil's derivatives are those of its values") {
  rc::check([] {
    const auto viscosity = []<class T>(const std::vector<T>& x) {
      const WaltherLine<T> line =
          FitWalther<T>({T(313.15), T(34e-6 * x[0])}, {T(373.15), T(7e-6 * x[1])});
      return T(1e5 * ViscosityAt<T>(line, T(340.0 * x[2])));
    };
    RC_ASSERT(reference::DerivativesHold(
        viscosity, {Between(0.8, 1.2), Between(0.8, 1.2), Between(0.9, 1.1)}, 1e-5));
  });
}

}  // namespace steerbench::hydraulics
