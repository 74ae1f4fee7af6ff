#include "quantity/quantity.h"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <locale>
#include <numbers>
#include <string>
#include <thread>
#include <vector>

#include "fixtures/near.h"
#include "quantity/kinds.h"
#include "quantity/unit_table.h"

using namespace steerbench;

namespace {

constexpr double kTurn = 2 * std::numbers::pi;
constexpr double kRounding = 1e-14;  // a few roundings of a double, relative

Quantity Read(std::string_view text, Kind kind) {
  const ParsedQuantity parsed = ParseQuantity(text, kind);
  CAPTURE(std::string(text));
  CAPTURE(parsed.error.message);
  REQUIRE(parsed.quantity.has_value());
  return *parsed.quantity;
}

double ValueOf(std::string_view text, Kind kind) { return Read(text, kind).value; }

std::string ErrorOf(std::string_view text, Kind kind) {
  const ParsedQuantity parsed = ParseQuantity(text, kind);
  CAPTURE(std::string(text));
  REQUIRE_FALSE(parsed.quantity.has_value());
  return parsed.error.message;
}

bool Near(double a, double b, double relative) {
  return std::fabs(a - b) <= relative * std::max(std::fabs(a), std::fabs(b));
}

struct Reading {
  std::string_view text;
  Kind kind;
  double si;
};

void CheckAll(const std::vector<Reading>& readings, double relative) {
  for (const Reading& reading : readings) {
    CAPTURE(std::string(reading.text));
    const double value = ValueOf(reading.text, reading.kind);
    CAPTURE(value);
    CHECK(Near(value, reading.si, relative));
  }
}

std::vector<Kind> AllKinds() {
  std::vector<Kind> kinds;
  for (int i = 0; i < kKindCount; ++i) kinds.push_back(static_cast<Kind>(i));
  return kinds;
}

std::vector<std::string_view> SplitAt(std::string_view text, std::string_view separator) {
  std::vector<std::string_view> parts;
  for (;;) {
    const std::size_t at = text.find(separator);
    parts.push_back(text.substr(0, at));
    if (at == std::string_view::npos) return parts;
    text.remove_prefix(at + separator.size());
  }
}

}  // namespace

// NIST Special Publication 811 (2008), Appendix B.8 "Factors for units listed alphabetically".
// Recomputed here from the exact factors of the same table, those in bold, and rounded to its seven
// digits, so half a unit of the last one is allowed. "hp" is the 550 ft·lbf/s one, "PS" metric.
TEST_CASE("units have the rounded factors of NIST SP 811, B.8") {
  constexpr double kSevenDigits = 5e-7;
  CheckAll(
      {{"1 lb", Kind::kMass, 4.535924e-1},          {"1 oz", Kind::kMass, 2.834952e-2},
       {"1 lbf", Kind::kForce, 4.448222},           {"1 ozf", Kind::kForce, 2.780139e-1},
       {"1 lbf·ft", Kind::kTorque, 1.355818},       {"1 lbf·in", Kind::kTorque, 1.129848e-1},
       {"1 psi", Kind::kPressureGauge, 6.894757e3}, {"1 gal", Kind::kVolume, 3.785412e-3},
       {"1 qt", Kind::kVolume, 9.463529e-4},        {"1 US pt", Kind::kVolume, 4.731765e-4},
       {"1 fl oz", Kind::kVolume, 2.957353e-5},     {"1 imp fl oz", Kind::kVolume, 2.841306e-5},
       {"1 gal/min", Kind::kFlow, 6.309020e-5},     {"1 deg", Kind::kAngle, 1.745329e-2},
       {"1'", Kind::kAngle, 2.908882e-4},           {"1\"", Kind::kAngle, 4.848137e-6},
       {"1 rev", Kind::kAngle, 6.283185},           {"1 rpm", Kind::kAngularSpeed, 1.047198e-1},
       {"1 hp", Kind::kPower, 7.456999e2},          {"1 PS", Kind::kPower, 7.354988e2}},
      kSevenDigits);
}

// The factors that the same table gives in bold: exact.
TEST_CASE("units have the exact factors of NIST SP 811, B.8") {
  CheckAll({{"1 in", Kind::kLength, 0.0254},
            {"1 ft", Kind::kLength, 0.3048},
            {"1 yd", Kind::kLength, 0.9144},
            {"1 mile", Kind::kLength, 1609.344},
            {"1 mil", Kind::kLength, 2.54e-5},
            {"1 imp gal", Kind::kVolume, 4.54609e-3},
            {"1 L", Kind::kVolume, 1e-3},
            {"1 kgf", Kind::kForce, 9.80665},
            {"1 kgf/cm2", Kind::kPressureGauge, 9.80665e4},
            {"1 atm abs", Kind::kPressureAbsolute, 101325},
            {"1 bar", Kind::kPressureDifference, 1e5},
            {"1 g", Kind::kAcceleration, 9.80665},
            {"1 ft/s2", Kind::kAcceleration, 0.3048},
            {"1 cSt", Kind::kKinematicViscosity, 1e-6},
            {"1 min", Kind::kTime, 60},
            {"1 h", Kind::kTime, 3600},
            {"1 t", Kind::kMass, 1000},
            // T = t + 273.15 and T = (t + 459.67) / 1.8
            {"0 °C", Kind::kTemperature, 273.15},
            {"212 °F", Kind::kTemperature, 373.15},
            {"9 °F", Kind::kTemperatureDifference, 5}},
           kRounding);
}

// What a general unit parser refuses or, worse, reads as something else (an acceleration, an
// illuminance, a fluid ounce, a charge). That these are the spellings is common practice, no
// source.
TEST_CASE("the trade's spellings are read") {
  constexpr double kDegree = kTurn / 360;
  constexpr double kLbf = 0.45359237 * 9.80665;
  constexpr double kPsi = kLbf / (0.0254 * 0.0254);
  constexpr double kGallon = 231 * 0.0254 * 0.0254 * 0.0254;
  CheckAll({{"33 deg", Kind::kAngle, 33 * kDegree},
            {"3 turns", Kind::kAngle, 3 * kTurn},
            {"2 rev", Kind::kAngle, 2 * kTurn},
            {"850 RPM", Kind::kAngularSpeed, 850 * kTurn / 60},
            {"4.5 Nm", Kind::kTorque, 4.5},
            {"4.5 N·m", Kind::kTorque, 4.5},
            {"4.5 N m", Kind::kTorque, 4.5},
            {"4.5 N.m", Kind::kTorque, 4.5},
            {"4.5 N×m", Kind::kTorque, 4.5},
            {"10 lb-ft", Kind::kTorque, 10 * kLbf * 0.3048},
            {"10 ft-lb", Kind::kTorque, 10 * kLbf * 0.3048},
            {"10 ft-lbs", Kind::kTorque, 10 * kLbf * 0.3048},
            {"10 lbf·ft", Kind::kTorque, 10 * kLbf * 0.3048},
            {"10 in-lb", Kind::kTorque, 10 * kLbf * 0.0254},
            {"2 gpm", Kind::kFlow, 2 * kGallon / 60},
            {"2 gal/min", Kind::kFlow, 2 * kGallon / 60},
            {"2 imp gal/min", Kind::kFlow, 2 * 4.54609e-3 / 60},
            {"6 lpm", Kind::kFlow, 1e-4},
            {"6 l/min", Kind::kFlow, 1e-4},
            {"6 L/min", Kind::kFlow, 1e-4},
            {"6 litres per minute", Kind::kFlow, 1e-4},
            {"25 PSI", Kind::kPressureGauge, 25 * kPsi},
            {"25 psig", Kind::kPressureGauge, 25 * kPsi},
            {"25 lb/in2", Kind::kPressureGauge, 25 * kPsi},
            {"82 barg", Kind::kPressureGauge, 82e5},
            {"82 bar (g)", Kind::kPressureGauge, 82e5},
            {"14.7 psia", Kind::kPressureAbsolute, 14.7 * kPsi},
            {"1 bar abs", Kind::kPressureAbsolute, 1e5},
            {"101 kPa absolute", Kind::kPressureAbsolute, 101e3},
            {"7 lbs", Kind::kMass, 7 * 0.45359237},
            {"7 lbm", Kind::kMass, 7 * 0.45359237},
            {"8 oz", Kind::kMass, 0.45359237 / 2},
            {"54 lb/ft3", Kind::kDensity, 54 * 0.45359237 / (0.3048 * 0.3048 * 0.3048)},
            {"7 lb", Kind::kForce, 7 * kLbf},
            {"10 thou", Kind::kLength, 2.54e-4},
            {"10 mils", Kind::kLength, 2.54e-4},
            {"5\"", Kind::kLength, 0.127},
            {"5''", Kind::kLength, 0.127},
            {"1 1/2 in", Kind::kLength, 0.0381},
            {"36 mph", Kind::kSpeed, 36 * 0.44704},
            {"36 kph", Kind::kSpeed, 10},
            {"36 km/h", Kind::kSpeed, 10},
            {"60 C", Kind::kTemperature, 333.15},
            {"60 °C", Kind::kTemperature, 333.15},
            {"60 degC", Kind::kTemperature, 333.15},
            {"9.6 cc/rev", Kind::kDisplacement, 9.6e-6 / kTurn},
            {"9.6 cm3/rev", Kind::kDisplacement, 9.6e-6 / kTurn},
            {"950 cc", Kind::kVolume, 950e-6},
            {"34 cSt", Kind::kKinematicViscosity, 34e-6},
            {"34 mm2/s", Kind::kKinematicViscosity, 34e-6},
            {"5 kp", Kind::kForce, 5 * 9.80665},
            {"5 daN", Kind::kForce, 50},
            {"44.5 mm/turn", Kind::kTravelPerTurn, 0.0445 / kTurn},
            {"44.5 mm/rev", Kind::kTravelPerTurn, 0.0445 / kTurn},
            {"1.75 in/turn", Kind::kTravelPerTurn, 1.75 * 0.0254 / kTurn},
            {"1.8 N·m/deg", Kind::kTorsionalStiffness, 1.8 / kDegree},
            {"1.8 N·m/°", Kind::kTorsionalStiffness, 1.8 / kDegree},
            {"3.1 turns", Kind::kTurns, 3.1 * kTurn},
            {"0.1 deg/25 mm", Kind::kAnglePerLength, 0.1 * kDegree / 0.025},
            {"0.1° / 25mm", Kind::kAnglePerLength, 0.1 * kDegree / 0.025},
            {"60 %", Kind::kShare, 0.6},
            {"804 mm²", Kind::kArea, 804e-6},
            {"804 mm2", Kind::kArea, 804e-6},
            {"804 mm^2", Kind::kArea, 804e-6},
            {"7.4 Ω", Kind::kResistance, 7.4},
            {"7.4 \u2126", Kind::kResistance, 7.4},
            {"7.4 ohm", Kind::kResistance, 7.4},
            {"15 mΩ", Kind::kResistance, 0.015},
            {"12 mH", Kind::kInductance, 0.012},
            {"0.75 kW", Kind::kPower, 750},
            {"2 hp", Kind::kPower, 2 * 550 * kLbf * 0.3048},
            {"35 %", Kind::kRatio, 0.35},
            {"16.4:1", Kind::kRatio, 16.4},
            {"16.4", Kind::kRatio, 16.4},
            {"16 teeth", Kind::kCount, 16},
            {"120.50", Kind::kMoney, 120.5}},
           kRounding);
}

TEST_CASE("numbers are read as people write them") {
  constexpr double kDegree = kTurn / 360;
  CheckAll({{"  117.5 mm \t", Kind::kLength, 0.1175},
            {"117.5\u00A0mm", Kind::kLength, 0.1175},
            {"117.5\u2009mm\u202F", Kind::kLength, 0.1175},
            {"117.5mm", Kind::kLength, 0.1175},
            {"\u2212655.5 mm", Kind::kLength, -0.6555},
            {"+2 mm", Kind::kLength, 0.002},
            {".5 in", Kind::kLength, 0.0127},
            {"8.5e-3 m", Kind::kLength, 0.0085},
            {"8.5 × 10⁻³ m", Kind::kLength, 0.0085},
            {"5/8 in", Kind::kLength, 0.625 * 0.0254},
            {"4 5/8 in", Kind::kLength, 4.625 * 0.0254},
            {"4-5/8 in", Kind::kLength, 4.625 * 0.0254},
            {"4 5⁄8 in", Kind::kLength, 4.625 * 0.0254},
            {"-4 5/8 in", Kind::kLength, -4.625 * 0.0254},
            {"½ in", Kind::kLength, 0.5 * 0.0254},
            {"4¼″", Kind::kLength, 4.25 * 0.0254},
            {"4 ¾ in", Kind::kLength, 4.75 * 0.0254},
            {"⅛ in", Kind::kLength, 0.125 * 0.0254},
            {"⅜ in", Kind::kLength, 0.375 * 0.0254},
            {"⅝ in", Kind::kLength, 0.625 * 0.0254},
            {"⅞ in", Kind::kLength, 0.875 * 0.0254},
            {"5' 8 1/2\"", Kind::kLength, 68.5 * 0.0254},
            {"5′8½″", Kind::kLength, 68.5 * 0.0254},
            {"5'-8\"", Kind::kLength, 68 * 0.0254},
            {"5 ft 8 in", Kind::kLength, 68 * 0.0254},
            {"33 deg 30'", Kind::kAngle, 33.5 * kDegree},
            {"33° 30' 15\"", Kind::kAngle, (33.5 + 15.0 / 3600) * kDegree},
            {"33°30′", Kind::kAngle, 33.5 * kDegree},
            {"-33 deg 30 min", Kind::kAngle, -33.5 * kDegree},
            {"3 turns 40 deg", Kind::kAngle, 1120 * kDegree},
            {"0.5 turn", Kind::kAngle, kTurn / 2},
            {"1 min 30 s", Kind::kTime, 90}},
           kRounding);
}

TEST_CASE("decimal units are converted to the last bit") {
  CHECK(ValueOf("117.5 mm", Kind::kLength) == 0.1175);
  CHECK(ValueOf("655.5 mm", Kind::kLength) == 0.6555);
  CHECK(ValueOf("12 mH", Kind::kInductance) == 0.012);
  CHECK(ToUnit(0.1175, Kind::kLength, "mm") == 117.5);
}

TEST_CASE("a plus-minus takes the value's unit, its own, or a percentage of the value") {
  const auto tolerance = [](std::string_view text, Kind kind) {
    const Quantity quantity = Read(text, kind);
    REQUIRE(quantity.tolerance.has_value());
    return *quantity.tolerance;
  };
  for (const std::string_view text :
       {"117.5 ± 0.2 mm", "117.5 mm ± 0.2", "117.5 mm ± 0.2 mm", "117.5 mm +/- 0.2 mm",
        "117.5 mm +- 0.2", "117.5mm±0.2mm", "117.5 mm ± 200 um"}) {
    CAPTURE(std::string(text));
    CHECK(Near(ValueOf(text, Kind::kLength), 0.1175, kRounding));
    CHECK(Near(tolerance(text, Kind::kLength), 2e-4, kRounding));
  }
  CHECK(Near(tolerance("4 5/8 in ± 1/16", Kind::kLength), 0.0254 / 16, kRounding));
  CHECK(Near(tolerance("-82 bar ± 3 %", Kind::kPressureGauge), 2.46e5, kRounding));
  CHECK(Near(tolerance("82 barg ± 2 bar", Kind::kPressureGauge), 2e5, kRounding));
  CHECK(Near(tolerance("1 bar abs ± 0.1 bar", Kind::kPressureAbsolute), 1e4, kRounding));
  CHECK(Near(tolerance("3.1 turns ± 10 deg", Kind::kAngle), kTurn / 36, kRounding));
  CHECK(Near(tolerance("33° 30' ± 5'", Kind::kAngle), kTurn / 360 / 12, kRounding));
  CHECK(tolerance("20 °C ± 2 K", Kind::kTemperature) == 2);
  CHECK(tolerance("20 ± 2 °C", Kind::kTemperature) == 2);
  CHECK(Near(tolerance("68 °F ± 9", Kind::kTemperature), 5, kRounding));
  CHECK(Near(tolerance("0.8 ± 5 %", Kind::kRatio), 0.04, kRounding));
  CHECK(Near(tolerance("35 % ± 3 %", Kind::kRatio), 0.03, kRounding));
  CHECK_FALSE(Read("117.5 mm", Kind::kLength).tolerance.has_value());
}

TEST_CASE("a vector has one unit and one plus-minus") {
  for (const std::string_view text :
       {"(12, -655.5, 195) mm ± 1 mm", "(12, -655.5, 195) ± 1 mm", "12, -655.5, 195 mm ± 1",
        "( 12 ,\u2212655.5,195 )mm±1", "(1.2, -65.55, 19.5) cm ± 1 mm"}) {
    CAPTURE(std::string(text));
    const ParsedVector parsed = ParseVector(text, Kind::kLength);
    CAPTURE(parsed.error.message);
    REQUIRE(parsed.components.size() == 3);
    const double expected[] = {0.012, -0.6555, 0.195};
    for (std::size_t i = 0; i < 3; ++i) {
      CHECK(Near(parsed.components[i].value, expected[i], kRounding));
      CHECK(Near(parsed.components[i].tolerance.value_or(0), 1e-3, kRounding));
      CHECK(parsed.components[i].written == text);
    }
  }
  for (const std::string_view text :
       {"", "(1, 2) mm", "1, 2, 3, 4 mm", "(1, 2, 3", "(1, 2, 3)", "(1 mm, 2, 3)", "(1, 2, 3) psi",
        "(1, , 3) mm", "(1, 2, 3) mm mm", "1,5 in", "(1 ± 1, 2, 3) mm", "(1, 2, 3) mm ± -1"}) {
    CAPTURE(std::string(text));
    const ParsedVector parsed = ParseVector(text, Kind::kLength);
    CHECK(parsed.components.empty());
    CHECK(parsed.error.message.find("a point such as \"(12, -655.5, 195) mm ± 1 mm\"") !=
          std::string::npos);
  }
}

TEST_CASE("what is written stays as written") {
  const Quantity quantity = Read(" 4 ⅝ in ± 1⁄16 \u00A0", Kind::kLength);
  CHECK(quantity.written == "4 ⅝ in ± 1⁄16");
  CHECK(quantity.unit == "in");
  CHECK(Read("33°", Kind::kAngle).written == "33°");
  CHECK(Read("33° 30'", Kind::kAngle).unit == "°");
  CHECK(Read("1.8 ± 0.1 N·m/deg", Kind::kTorsionalStiffness).unit == "N·m/deg");
  CHECK(Read("1 bar abs", Kind::kPressureAbsolute).unit == "bar abs");
  CHECK(Read("12", Kind::kCount).unit.empty());
}

TEST_CASE("an error says what was read, what is wrong and what is accepted") {
  const std::string length = "Expected a length such as \"117.5 mm\" (mm, cm, m, thou, in, ft).";
  const std::string gauge =
      "Expected a pressure above atmosphere (gauge) such as \"82 bar\" (bar, kPa, MPa, psi, barg, "
      "psig, kgf/cm2).";
  const std::string absolute =
      "Expected an absolute pressure (from vacuum) such as \"1.013 bar abs\" (bar abs, kPa abs, "
      "bara, psia).";
  CHECK(ErrorOf("", Kind::kLength) == "nothing is written. " + length);
  CHECK(ErrorOf("117.5", Kind::kLength) == "\"117.5\": the unit is missing. " + length);
  CHECK(ErrorOf("117.5 mms", Kind::kLength) ==
        "\"117.5 mms\": \"mms\": unknown unit, did you mean \"mm\"? " + length);
  CHECK(ErrorOf("1,5 in", Kind::kLength) ==
        "\"1,5 in\": a comma in a number could be a decimal sign or a thousands sign; write 1.5 "
        "for one and a half and 1250 for twelve hundred and fifty. " +
            length);
  CHECK(ErrorOf("117.5 psi", Kind::kLength) ==
        "\"117.5 psi\": \"psi\": it is a unit of pressure. " + length);
  CHECK(ErrorOf("4-6 mm", Kind::kLength) ==
        "\"4-6 mm\": a range is not read; write the middle ± half the width. " + length);
  CHECK(ErrorOf("5 mm +0.2 -0.1", Kind::kLength) ==
        "\"5 mm +0.2 -0.1\": \"mm +0.2 -0.1\": unequal limits are not read; write the middle and "
        "half the width, as ±. " +
            length);
  CHECK(ErrorOf("5 mm ± -0.2", Kind::kLength) ==
        "\"5 mm ± -0.2\": \"-0.2\": a plus-minus is not negative. " + length);
  CHECK(ErrorOf("1/0 in", Kind::kLength) ==
        "\"1/0 in\": the fraction has a zero denominator. " + length);
  CHECK(ErrorOf("1e999 mm", Kind::kLength) ==
        "\"1e999 mm\": the number is too large or too small. " + length);
  CHECK(ErrorOf("25 psia", Kind::kPressureGauge) ==
        "\"25 psia\": \"psia\": it is counted from vacuum; take 1.013 bar (14.7 psi) off for what "
        "a gauge shows. " +
            gauge);
  CHECK(ErrorOf("1 bar", Kind::kPressureAbsolute) ==
        "\"1 bar\": \"bar\": it is not said to be absolute; write \"abs\" after the unit if it is, "
        "or add 1.013 bar (14.7 psi) to a gauge's reading. " +
            absolute);
  CHECK(ErrorOf("14 Hz", Kind::kAngularSpeed) ==
        "\"14 Hz\": \"Hz\": Hz counts events of any sort, not turns; write rev/s or rpm. Expected "
        "an angular speed such as \"850 rpm\" (rpm, rev/s, deg/s, rad/s).");
  CHECK(ErrorOf("34 cP", Kind::kKinematicViscosity) ==
        "\"34 cP\": \"cP\": cP is a dynamic viscosity; divide it by the density in g/cm3 and write "
        "cSt. Expected a kinematic viscosity such as \"34 cSt\" (cSt, mm2/s).");
  CHECK(ErrorOf("16.5", Kind::kCount) ==
        "\"16.5\": a count is a whole number. Expected a whole number such as \"8\".");
}

TEST_CASE("the column of an error is a byte of the source") {
  CHECK(ParseQuantity("117.5 mms", Kind::kLength).error.column == 6);
  CHECK(ParseQuantity("4 ⅝ inn", Kind::kLength).error.column == std::string_view("4 ⅝ ").size());
  CHECK(ParseQuantity("1 N·m/dge", Kind::kTorsionalStiffness).error.column ==
        std::string_view("1 N·m/").size());
}

TEST_CASE("the nearest spelling is offered") {
  const auto offers = [](std::string_view text, Kind kind, std::string_view offer) {
    const std::string error = ErrorOf(text, kind);
    CAPTURE(error);
    return error.find("did you mean \"" + std::string(offer) + "\"?") != std::string::npos;
  };
  CHECK(offers("5 nm", Kind::kLength, "mm"));
  CHECK(offers("5 nm", Kind::kTorque, "Nm"));
  CHECK(offers("5 inchs", Kind::kLength, "inch"));
  CHECK(offers("5 mPa", Kind::kPressureGauge, "MPa"));
  CHECK(offers("5 gall/min", Kind::kFlow, "gal"));
  CHECK(offers("5 truns", Kind::kAngle, "turns"));
  CHECK(ErrorOf("5 wibble", Kind::kLength).find("did you mean") == std::string::npos);
}

TEST_CASE("units of another meaning are refused") {
  struct Slip {
    std::string_view text;
    Kind kind;
  };
  for (const Slip& slip : std::vector<Slip>{{"5 1/mm", Kind::kLength},
                                            {"5 s", Kind::kAngularSpeed},
                                            {"14 1/s", Kind::kAngularSpeed},
                                            {"850 rpm", Kind::kSpeed},
                                            {"5 m^-1", Kind::kLength},
                                            {"5 deg/N/m", Kind::kTorsionalStiffness},
                                            {"1.8 N·m", Kind::kTorsionalStiffness},
                                            {"1.8 N·m/deg", Kind::kTorque},
                                            {"44 mm", Kind::kTravelPerTurn},
                                            {"9.6 cc", Kind::kDisplacement},
                                            {"5 mm/min", Kind::kTravelPerTurn},
                                            {"5 oz", Kind::kVolume},
                                            {"5 kg", Kind::kForce},
                                            {"5 N", Kind::kMass},
                                            {"1 barg", Kind::kPressureAbsolute},
                                            {"1 bar abs", Kind::kPressureGauge},
                                            {"1 barg", Kind::kPressureDifference},
                                            {"1 psia", Kind::kPressureDifference},
                                            {"1 psia abs", Kind::kPressureAbsolute},
                                            {"1 bar ± 1 bar abs", Kind::kPressureGauge},
                                            {"-300 °C", Kind::kTemperature},
                                            {"-1 bar abs", Kind::kPressureAbsolute},
                                            {"20 °C ± 3 %", Kind::kTemperature},
                                            {"85 ± 3 %", Kind::kRatio},
                                            {"85 ± 3 %", Kind::kShare},
                                            {"0.1 deg/0 mm", Kind::kAnglePerLength},
                                            {"0.1 deg/2.5 mm", Kind::kAnglePerLength},
                                            {"0.1 deg/25", Kind::kAnglePerLength},
                                            {"5 25 mm", Kind::kLength},
                                            {"35 %", Kind::kCount},
                                            {"3 teeth", Kind::kRatio},
                                            {"5 mm", Kind::kRatio},
                                            {"5 mm", Kind::kMoney},
                                            {"5 %", Kind::kLength},
                                            {"5 ± 3 %", Kind::kLength},
                                            {"5 N/mm m", Kind::kPressureGauge},
                                            {"5 deg 30 in", Kind::kAngle},
                                            {"5 ft 13 in", Kind::kLength},
                                            {"5.5 ft 3 in", Kind::kLength},
                                            {"5 ft -3 in", Kind::kLength},
                                            {"5' 3\" ± 1", Kind::kLength},
                                            {"4 9/8 in", Kind::kLength},
                                            {"4 5 in", Kind::kLength},
                                            {"1,250 mm", Kind::kLength},
                                            {"5 mm ± 1 psi", Kind::kLength},
                                            {"5 mm ± 1 ± 1", Kind::kLength},
                                            {"5 mm ± 3 % 5", Kind::kLength},
                                            {"± 5 mm", Kind::kLength},
                                            {"5 mm ±", Kind::kLength}}) {
    CAPTURE(std::string(slip.text));
    CHECK_FALSE(ErrorOf(slip.text, slip.kind).empty());
  }
}

TEST_CASE("hostile text is an error and no more") {
  const std::string nul("5\0mm", 4);
  const std::string nested(150, '(');
  for (const std::string& text : {nul,
                                  nested,
                                  std::string(1 << 20, '9') + " mm",
                                  std::string(1 << 20, ' '),
                                  std::string(199, '9') + "e999999999",
                                  std::string("\xFF\xFE 5 mm"),
                                  std::string("5 \xC3"),
                                  std::string("5 mm \xED\xA0\x80"),
                                  std::string("\xC0\xB5 mm"),
                                  std::string("nan mm"),
                                  std::string("inf mm"),
                                  std::string("-inf"),
                                  std::string("0x1p3 mm"),
                                  std::string("1e999 mm"),
                                  std::string("1e-999 mm"),
                                  std::string("1e308 km"),
                                  std::string("1 mm ± 1e308 km"),
                                  std::string("1e300 mm ± 1e300 %  "),
                                  std::string("0/0 in"),
                                  std::string("1/0 in"),
                                  std::string("5 mm\x01 1"),
                                  std::string("5 mm^99"),
                                  std::string("5 mm^0"),
                                  std::string("5 mm^-"),
                                  std::string("5 /mm"),
                                  std::string("5 mm//s"),
                                  std::string("--5 mm"),
                                  std::string("."),
                                  std::string("-"),
                                  std::string("5e mm"),
                                  std::string("1..2 mm"),
                                  std::string("5 × 10^999999 mm"),
                                  std::string("5 \u202Emm"),
                                  std::string("5 \u009Bmm")}) {
    for (const Kind kind : AllKinds()) {
      const ParsedQuantity parsed = ParseQuantity(text, kind);
      const bool finite =
          !parsed.quantity || (std::isfinite(parsed.quantity->value) &&
                               std::isfinite(parsed.quantity->tolerance.value_or(0)));
      CHECK(finite);
      CHECK(ParseVector(text, kind).components.empty());
    }
    CAPTURE(text.substr(0, 40));
    CHECK_FALSE(ErrorOf(text, Kind::kLength).empty());
  }
}

TEST_CASE("any text gives a value or a short error, never both") {
  CHECK(rc::check([](const std::string& text) {
    const ParsedQuantity parsed = ParseQuantity(text, Kind::kLength);
    RC_ASSERT(parsed.quantity.has_value() == parsed.error.message.empty());
    RC_ASSERT(parsed.error.message.find('\0') == std::string::npos);
    RC_ASSERT(parsed.error.message.size() < 600);
    RC_ASSERT(parsed.error.column <= text.size());
  }));
}

TEST_CASE("every spelling of the table is read as what the table says") {
  for (const UnitDefinition& definition : UnitDefinitions()) {
    for (const std::string_view spelling : SplitAt(definition.spellings, "|")) {
      int kinds = 0;
      for (const Kind kind : AllKinds()) {
        const auto parsed = ParseQuantity("7 " + std::string(spelling), kind);
        const UnitDefinition* const found = FindUnit(spelling, kind);
        if (!parsed.quantity) continue;
        REQUIRE(found != nullptr);
        const double zero = kind == Kind::kTemperature ? found->zero : 0.0;
        CAPTURE(std::string(spelling));
        CHECK(Near(parsed.quantity->value, zero + 7 * found->factor, kRounding));
        ++kinds;
      }
      // Known only to be refused with a reason: frequency and dynamic viscosity are of no kind.
      const bool refused = spelling == "Hz" || spelling == "kHz" || spelling == "cP";
      CAPTURE(std::string(spelling));
      CHECK((kinds > 0) == !refused);
    }
  }
}

TEST_CASE("every unit that a message offers is accepted, and so is every example") {
  for (const Kind kind : AllKinds()) {
    const KindInfo& info = InfoOf(kind);
    CHECK(ParseQuantity(info.example, kind).quantity.has_value());
    if (IsBare(kind)) continue;
    for (std::string_view unit : SplitAt(info.accepted, ", ")) {
      unit = unit.substr(0, unit.find(" ("));
      const bool whole = unit.front() >= '0' && unit.front() <= '9';
      CAPTURE(std::string(unit));
      CHECK(ParseQuantity((whole ? "" : "1 ") + std::string(unit), kind).quantity.has_value());
    }
    for (const UsualUnit& usual : {info.metric, info.imperial}) {
      CAPTURE(std::string(usual.small));
      CHECK(ToUnit(1.0, kind, usual.small).has_value());
      CHECK((usual.large.empty() || ToUnit(1.0, kind, usual.large).has_value()));
    }
    // An absolute pressure needs its mark, which the symbol of the pascal has not.
    if (kind != Kind::kPressureAbsolute) CHECK(ToUnit(1.0, kind, SiSymbol(kind)) == 1.0);
  }
}

TEST_CASE("values are shown in the usual unit with the digits of their plus-minus") {
  const auto metric = [](double value, std::optional<double> tolerance, Kind kind) {
    return Show(value, tolerance, kind, UnitStyle::kMetric).text;
  };
  const auto imperial = [](double value, std::optional<double> tolerance, Kind kind) {
    return Show(value, tolerance, kind, UnitStyle::kImperial).text;
  };
  constexpr double kDegree = kTurn / 360;
  CHECK(metric(0.1175, 2e-4, Kind::kLength) == "117.50 ± 0.20 mm");
  CHECK(imperial(0.1175, 2e-4, Kind::kLength) == "4.6260 ± 0.0079 in");
  CHECK(metric(0.1175, std::nullopt, Kind::kLength) == "117.5 mm");
  CHECK(metric(11.24, std::nullopt, Kind::kLength) == "11.24 m");
  CHECK(imperial(11.24, 0.2, Kind::kLength) == "36.88 ± 0.66 ft");
  CHECK(metric(33.5 * kDegree, std::nullopt, Kind::kAngle) == "33.5°");
  CHECK(metric(33.5 * kDegree, 0.1 * kDegree, Kind::kAngle) == "33.50° ± 0.10°");
  CHECK(imperial(1180 * 6894.757293168, std::nullopt, Kind::kPressureGauge) == "1180 psi");
  CHECK(metric(8.2e6, 2.46e5, Kind::kPressureGauge) == "82.0 ± 2.5 bar");
  CHECK(metric(1e5, 1e4, Kind::kPressureAbsolute) == "1.00 ± 0.10 bar abs");
  CHECK(metric(1e-4, std::nullopt, Kind::kFlow) == "6 L/min");
  CHECK(metric(9.6e-6 / kTurn, std::nullopt, Kind::kDisplacement) == "9.6 cm³/rev");
  CHECK(metric(0.0445 / kTurn, std::nullopt, Kind::kTravelPerTurn) == "44.5 mm/turn");
  CHECK(imperial(0.0445 / kTurn, std::nullopt, Kind::kTravelPerTurn) == "1.75197 in/turn");
  CHECK(metric(850 * kTurn / 60, std::nullopt, Kind::kAngularSpeed) == "850 rpm");
  CHECK(metric(333.15, 2.0, Kind::kTemperature) == "60.0 ± 2.0 °C");
  CHECK(imperial(333.15, 2.0, Kind::kTemperature) == "140.0 ± 3.6 °F");
  CHECK(metric(1.8 / kDegree, std::nullopt, Kind::kTorsionalStiffness) == "1.8 N·m/deg");
  CHECK(imperial(10.0, std::nullopt, Kind::kSpeed) == "22.3694 mph");
  CHECK(metric(16, std::nullopt, Kind::kCount) == "16");
  CHECK(metric(120.5, std::nullopt, Kind::kMoney) == "120.50");
  CHECK(metric(3e266, std::nullopt, Kind::kMoney) == "3e+266");
  CHECK(metric(804e-6, 12e-6, Kind::kArea) == "804 ± 12 mm²");
  CHECK(metric(1234e3, 124e3, Kind::kForce) == "1230000 ± 120000 N");
  // The second digit of 0.0996 is that of 0.10.
  CHECK(metric(1.23456, 0.0996, Kind::kRatio) == "1.23 ± 0.10");
  CHECK(metric(-1e-9, 1e-3, Kind::kLength) == "0.0 ± 1.0 mm");
  CHECK(metric(-0.0, std::nullopt, Kind::kLength) == "0 mm");
  CHECK(metric(3.1 * kTurn, 0.1 * kTurn, Kind::kTurns) == "3.10 ± 0.10 turns");
  CHECK(metric(0.6, 0.03, Kind::kShare) == "60.0 % ± 3.0 %");
  CHECK(metric(0.1 * kDegree / 0.025, std::nullopt, Kind::kAnglePerLength) == "0.1 deg/25 mm");
  CHECK(metric(0.1, 0.0, Kind::kLength) == "100 ± 0 mm");
  CHECK(metric(std::nan(""), 1.0, Kind::kLength) == "not known");
  CHECK(metric(0.1, std::numeric_limits<double>::infinity(), Kind::kLength) == "100 mm");
}

TEST_CASE("values are shown in any unit of their kind") {
  CHECK(ShowIn(0.117475, 0.0254 / 16, Kind::kLength, "in").text == "4.625 ± 0.062 in");
  CHECK(ShowIn(0.127, std::nullopt, Kind::kLength, "″").text == "5″");
  CHECK(ShowIn(0.35, 0.03, Kind::kRatio, "%").text == "35.0 % ± 3.0 %");
  CHECK(ShowIn(16.4, std::nullopt, Kind::kRatio, ":1").text == "16.4:1");
  CHECK(ShowIn(0.127, std::nullopt, Kind::kLength, "psi").text == "127 mm");
  CHECK(ShowIn(0.127, std::nullopt, Kind::kLength, "").text == "127 mm");
  CHECK(ToUnit(333.15, Kind::kTemperature, "°C") == fixtures::Near(60));
  CHECK(ToUnit(5, Kind::kTemperatureDifference, "°F") == fixtures::Near(9));
  CHECK_FALSE(ToUnit(1, Kind::kLength, "psi").has_value());
  CHECK_FALSE(ToUnit(1, Kind::kLength, "\xFF").has_value());
}

namespace {

// A value of the kind in SI whose size spans what a car holds and more.
double AnyValue(Kind kind) {
  const double mantissa = *rc::gen::inRange(100000, 999999) / 1e5;
  const double size = mantissa * std::pow(10.0, *rc::gen::inRange(-3, 5));
  if (kind == Kind::kCount) return std::round(size);
  const bool positive = kind == Kind::kTemperature || kind == Kind::kPressureAbsolute;
  return positive || *rc::gen::arbitrary<bool>() ? size : -size;
}

Kind AnyKind() { return static_cast<Kind>(*rc::gen::inRange(0, kKindCount)); }

UnitStyle AnyStyle() { return *rc::gen::element(UnitStyle::kMetric, UnitStyle::kImperial); }

}  // namespace

TEST_CASE("what is shown without a plus-minus is read back to six digits") {
  CHECK(rc::check([] {
    constexpr double kSixDigits = 5.0001e-6;
    constexpr double kCent = 0.005;
    const Kind kind = AnyKind();
    const double value = AnyValue(kind);
    const Shown shown = Show(value, std::nullopt, kind, AnyStyle());
    const ParsedQuantity parsed = ParseQuantity(shown.text, kind);
    RC_ASSERT(parsed.quantity.has_value());
    const double back = *ToUnit(parsed.quantity->value, kind, shown.unit);
    const double allowed = kSixDigits * std::fabs(shown.value) + 1e-9;
    RC_ASSERT(std::fabs(back - shown.value) <= (kind == Kind::kMoney ? 1.01 * kCent : allowed));
  }));
}

TEST_CASE("what is shown with a plus-minus is read back to a twentieth of it") {
  CHECK(rc::check([] {
    // Two significant digits: half a unit of the second is at most a twentieth of the whole.
    constexpr double kHalfDigit = 0.0501;
    const Kind kind = AnyKind();
    RC_PRE(kind != Kind::kCount);
    const double value = AnyValue(kind);
    const double tolerance = std::fabs(value) * *rc::gen::inRange(1, 100000) / 1e5;
    const Shown shown = Show(value, tolerance, kind, AnyStyle());
    RC_PRE(*shown.tolerance > 1e-4);
    const ParsedQuantity parsed = ParseQuantity(shown.text, kind);
    RC_ASSERT(parsed.quantity.has_value());
    RC_ASSERT(parsed.quantity->tolerance.has_value());
    const double allowed = kHalfDigit * tolerance;
    RC_ASSERT(std::fabs(parsed.quantity->value - value) <= allowed);
    RC_ASSERT(std::fabs(*parsed.quantity->tolerance - tolerance) <= allowed);
  }));
}

TEST_CASE("a value read in a unit converts back to the number written") {
  CHECK(rc::check([] {
    const UnitDefinition definition = *rc::gen::elementOf(
        std::vector<UnitDefinition>(UnitDefinitions().begin(), UnitDefinitions().end()));
    const auto spelling = std::string(*rc::gen::elementOf(SplitAt(definition.spellings, "|")));
    const int number = *rc::gen::inRange(1, 100000);
    for (const Kind kind : AllKinds()) {
      const auto parsed = ParseQuantity(std::to_string(number) + " " + spelling, kind);
      if (!parsed.quantity) continue;
      const auto back = ToUnit(parsed.quantity->value, kind, spelling);
      RC_ASSERT(back.has_value());
      // A temperature loses the digits of its zero point.
      RC_ASSERT(std::fabs(*back - number) <= kRounding * (number + 1000));
    }
  }));
}

TEST_CASE("a decimal comma of the locale changes nothing") {
  struct CommaPoint : std::numpunct<char> {
    char do_decimal_point() const override { return ','; }
    char do_thousands_sep() const override { return '.'; }
    std::string do_grouping() const override { return "\3"; }
  };
  const std::locale before =
      std::locale::global(std::locale(std::locale::classic(), new CommaPoint));
  CHECK(ValueOf("117.5 mm", Kind::kLength) == 0.1175);
  CHECK(Show(1234.5, std::nullopt, Kind::kForce, UnitStyle::kMetric).text == "1234.5 N");
  std::locale::global(before);
}

TEST_CASE("threads may read and show at the same time") {
  constexpr int kThreads = 4, kRounds = 300;
  std::vector<int> right(kThreads, 0);
  std::vector<std::thread> threads;
  for (int& count : right) {
    threads.emplace_back([&count] {
      for (int i = 0; i < kRounds; ++i) {
        const auto parsed = ParseQuantity("1.8 N·m/deg ± 3 %", Kind::kTorsionalStiffness);
        const bool read = parsed.quantity.has_value();
        const double value = read ? parsed.quantity->value : 0.0;
        const Shown shown =
            Show(value, std::nullopt, Kind::kTorsionalStiffness, UnitStyle::kMetric);
        if (read && shown.text == "1.8 N·m/deg") ++count;
      }
    });
  }
  for (std::thread& thread : threads) thread.join();
  CHECK(std::ranges::all_of(right, [](int count) { return count == kRounds; }));
}

TEST_CASE("origins are read and named") {
  for (int i = 0; i <= static_cast<int>(Origin::kTypical); ++i) {
    const auto origin = static_cast<Origin>(i);
    CHECK(ParseOrigin(OriginName(origin)) == origin);
  }
  CHECK_FALSE(ParseOrigin("rumour").has_value());
}
