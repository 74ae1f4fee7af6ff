#include "quantity/kinds.h"

#include <array>

namespace steerbench {
namespace {

// From this length on a builder thinks in metres and feet: turning circles, not parts.
constexpr double kLongLength = 2.0;
// From one litre on a volume is a filling, below it a pump's or a cylinder's.
constexpr double kLargeVolume = 1e-3;
// From half an hour on a time is work in a garage, below it a movement of the steering.
constexpr double kLongTime = 1800.0;
constexpr double kLargePower = 1e3;
// From half a metre a second on a speed is the car's, below it a rack's.
constexpr double kRoadSpeed = 0.5;

constexpr std::array<KindInfo, kKindCount> kKinds = {{
    {Kind::kLength,
     "a length",
     "117.5 mm",
     "m",
     "mm, cm, m, thou, in, ft",
     {.metre = 1},
     {"mm", "m", kLongLength},
     {"in", "ft", kLongLength}},
    {Kind::kArea, "an area", "804 mm2", "m²", "mm2, cm2, in2", {.metre = 2}, {"mm²"}, {"in²"}},
    {Kind::kVolume,
     "a volume",
     "1.2 L",
     "m³",
     "cm3, cc, mL, L, in3, fl oz, gal, imp gal",
     {.metre = 3},
     {"cm³", "L", kLargeVolume},
     {"in³", "gal", kLargeVolume}},
    {Kind::kAngle,
     "an angle",
     "33.5 deg",
     "rad",
     "deg, turn, rev, rad, 33° 30'",
     {.radian = 1},
     {"deg"},
     {"deg"}},
    {Kind::kTurns,
     "an angle",
     "3.1 turns",
     "rad",
     "turns, rev, deg, rad",
     {.radian = 1},
     {"turns"},
     {"turns"}},
    {Kind::kAnglePerLength,
     "an angle per length",
     "0.1 deg/25 mm",
     "rad/m",
     "deg/25 mm, deg/mm, deg/in, rad/m",
     {.metre = -1, .radian = 1},
     {"deg/25 mm"},
     {"deg/in"}},
    {Kind::kAngularSpeed,
     "an angular speed",
     "850 rpm",
     "rad/s",
     "rpm, rev/s, deg/s, rad/s",
     {.second = -1, .radian = 1},
     {"rpm"},
     {"rpm"}},
    {Kind::kSpeed,
     "a speed",
     "60 km/h",
     "m/s",
     "km/h, mph, m/s, ft/s, mm/s",
     {.metre = 1, .second = -1},
     {"mm/s", "km/h", kRoadSpeed},
     {"in/s", "mph", kRoadSpeed}},
    {Kind::kAcceleration,
     "an acceleration",
     "4.5 m/s2",
     "m/s²",
     "m/s2, g, ft/s2",
     {.metre = 1, .second = -2},
     {"m/s²"},
     {"ft/s²"}},
    {Kind::kMass, "a mass", "640 kg", "kg", "kg, g, t, lb, oz", {.kilogram = 1}, {"kg"}, {"lb"}},
    {Kind::kForce,
     "a force",
     "250 N",
     "N",
     "N, kN, daN, kgf, lbf",
     {.metre = 1, .kilogram = 1, .second = -2},
     {"N"},
     {"lbf"}},
    {Kind::kForcePerAngle,
     "a force per angle",
     "900 N/deg",
     "N/rad",
     "N/deg, kN/rad, lbf/deg",
     {.metre = 1, .kilogram = 1, .second = -2, .radian = -1},
     {"N/deg"},
     {"lbf/deg"}},
    {Kind::kTorque,
     "a torque",
     "4.5 N·m",
     "N·m",
     "N·m, lbf·ft, lb-ft, in-lb, kgf·m",
     {.metre = 2, .kilogram = 1, .second = -2},
     {"N·m"},
     {"lbf·ft"}},
    {Kind::kTorsionalStiffness,
     "a torsional stiffness",
     "1.8 N·m/deg",
     "N·m/rad",
     "N·m/deg, N·m/rad, lbf·ft/deg, in-lb/deg",
     {.metre = 2, .kilogram = 1, .second = -2, .radian = -1},
     {"N·m/deg"},
     {"lbf·ft/deg"}},
    {Kind::kPressureGauge,
     "a pressure above atmosphere (gauge)",
     "82 bar",
     "Pa",
     "bar, kPa, MPa, psi, barg, psig, kgf/cm2",
     {.metre = -1, .kilogram = 1, .second = -2},
     {"bar"},
     {"psi"}},
    {Kind::kPressureAbsolute,
     "an absolute pressure (from vacuum)",
     "1.013 bar abs",
     "Pa abs",
     "bar abs, kPa abs, bara, psia",
     {.metre = -1, .kilogram = 1, .second = -2},
     {"bar abs"},
     {"psia"}},
    {Kind::kPressureDifference,
     "a pressure difference",
     "7 bar",
     "Pa",
     "bar, kPa, MPa, psi",
     {.metre = -1, .kilogram = 1, .second = -2},
     {"bar"},
     {"psi"}},
    {Kind::kFlow,
     "a flow",
     "6.5 L/min",
     "m³/s",
     "L/min, cm3/s, gal/min, gpm, imp gal/min",
     {.metre = 3, .second = -1},
     {"L/min"},
     {"gal/min"}},
    {Kind::kDisplacement,
     "a pump displacement per turn",
     "9.6 cm3/rev",
     "m³/rad",
     "cm3/rev, cc/rev, in3/rev",
     {.metre = 3, .radian = -1},
     {"cm³/rev"},
     {"in³/rev"}},
    {Kind::kTravelPerTurn,
     "a travel per turn",
     "44.5 mm/turn",
     "m/rad",
     "mm/turn, mm/rev, in/turn",
     {.metre = 1, .radian = -1},
     {"mm/turn"},
     {"in/turn"}},
    {Kind::kKinematicViscosity,
     "a kinematic viscosity",
     "34 cSt",
     "m²/s",
     "cSt, mm2/s",
     {.metre = 2, .second = -1},
     {"mm²/s"},
     {"mm²/s"}},
    {Kind::kDensity,
     "a density",
     "870 kg/m3",
     "kg/m³",
     "kg/m3, g/cm3, kg/L, lb/ft3",
     {.metre = -3, .kilogram = 1},
     {"kg/m³"},
     {"lb/ft³"}},
    {Kind::kTemperature, "a temperature", "60 °C", "K", "°C, °F, K", {.kelvin = 1}, {"°C"}, {"°F"}},
    {Kind::kTemperatureDifference,
     "a temperature difference",
     "5 K",
     "K",
     "K, °C, °F",
     {.kelvin = 1},
     {"K"},
     {"°F"}},
    {Kind::kCurrent, "a current", "0.85 A", "A", "A, mA", {.ampere = 1}, {"A"}, {"A"}},
    {Kind::kVoltage,
     "a voltage",
     "13.8 V",
     "V",
     "V, mV",
     {.metre = 2, .kilogram = 1, .second = -3, .ampere = -1},
     {"V"},
     {"V"}},
    {Kind::kResistance,
     "a resistance",
     "7.4 ohm",
     "Ω",
     "ohm, Ω, mΩ, kΩ",
     {.metre = 2, .kilogram = 1, .second = -3, .ampere = -2},
     {"Ω"},
     {"Ω"}},
    {Kind::kInductance,
     "an inductance",
     "12 mH",
     "H",
     "mH, uH, H",
     {.metre = 2, .kilogram = 1, .second = -2, .ampere = -2},
     {"mH"},
     {"mH"}},
    {Kind::kPower,
     "a power",
     "0.75 kW",
     "W",
     "W, kW, hp (550 ft·lbf/s), PS (75 kgf·m/s)",
     {.metre = 2, .kilogram = 1, .second = -3},
     {"W", "kW", kLargePower},
     {"hp"}},
    {Kind::kCooling,
     "a cooling rate",
     "12 W/K",
     "W/K",
     "W/K",
     {.metre = 2, .kilogram = 1, .second = -3, .kelvin = -1},
     {"W/K"},
     {"W/K"}},
    {Kind::kTime,
     "a time",
     "1.5 h",
     "s",
     "s, ms, min, h",
     {.second = 1},
     {"s", "h", kLongTime},
     {"s", "h", kLongTime}},
    {Kind::kRatio, "a ratio", "0.85", "1", "a bare number, 16.4:1 or %", {}, {""}, {""}},
    {Kind::kShare, "a share", "60 %", "1", "% or a bare number", {}, {"%"}, {"%"}},
    {Kind::kCount, "a whole number", "8", "1", "", {}, {""}, {""}},
    {Kind::kMoney,
     "an amount of money",
     "120",
     "1",
     "a bare number, in the document's own currency",
     {},
     {""},
     {""}},
}};

constexpr bool InOrder() {
  for (int i = 0; i < kKindCount; ++i) {
    if (static_cast<int>(kKinds[static_cast<std::size_t>(i)].kind) != i) return false;
  }
  return true;
}
static_assert(InOrder(), "kKinds is indexed by Kind");

constexpr std::array<std::string_view, 7> kOrigins = {"unstated", "measured", "drawing", "manual",
                                                      "seller",   "guess",    "typical"};

}  // namespace

const KindInfo& InfoOf(Kind kind) { return kKinds[static_cast<std::size_t>(kind)]; }

bool IsBare(Kind kind) {
  return kind == Kind::kRatio || kind == Kind::kShare || kind == Kind::kCount ||
         kind == Kind::kMoney;
}

bool IsPressure(Kind kind) {
  return kind == Kind::kPressureGauge || kind == Kind::kPressureAbsolute ||
         kind == Kind::kPressureDifference;
}

std::string_view KindName(Kind kind) { return InfoOf(kind).name; }
std::string_view KindExample(Kind kind) { return InfoOf(kind).example; }
std::string_view KindUnits(Kind kind) { return InfoOf(kind).accepted; }
std::string_view SiSymbol(Kind kind) { return InfoOf(kind).si_symbol; }

std::string_view OriginName(Origin origin) { return kOrigins[static_cast<std::size_t>(origin)]; }

std::optional<Origin> ParseOrigin(std::string_view word) {
  for (std::size_t i = 0; i < kOrigins.size(); ++i) {
    if (kOrigins[i] == word) return static_cast<Origin>(i);
  }
  return std::nullopt;
}

}  // namespace steerbench
