#include "quantity/unit_table.h"

#include <algorithm>
#include <array>
#include <numbers>
#include <string>
#include <unordered_map>
#include <vector>

namespace steerbench {
namespace {

// Exact by definition unless said otherwise: NIST SP 811 (2008), Appendix B, where exact factors
// stand in bold.
constexpr double kInch = 0.0254;
constexpr double kFoot = 0.3048;
constexpr double kMile = 1609.344;
constexpr double kPound = 0.45359237;
constexpr double kOunce = kPound / 16;
constexpr double kGravity = 9.80665;
constexpr double kPoundForce = kPound * kGravity;
constexpr double kKilogramForce = kGravity;
constexpr double kSquareInch = kInch * kInch;
constexpr double kCubicInch = kInch * kInch * kInch;
constexpr double kUsGallon = 231 * kCubicInch;
constexpr double kImperialGallon = 4.54609e-3;
constexpr double kLitre = 1e-3;
constexpr double kCubicCentimetre = 1e-6;
constexpr double kTurn = 2 * std::numbers::pi;
constexpr double kDegree = kTurn / 360;
constexpr double kMinute = 60;
constexpr double kHour = 3600;
constexpr double kAtmosphere = 101325;
constexpr double kPsi = kPoundForce / kSquareInch;
constexpr double kPoundFoot = kPoundForce * kFoot;
constexpr double kPoundInch = kPoundForce * kInch;
constexpr double kHorsepower = 550 * kPoundFoot;
constexpr double kIcePoint = 273.15;
constexpr double kRankine = 5.0 / 9.0;
constexpr double kZeroFahrenheit = 459.67 * kRankine;

constexpr Dimension kNumber = {};
constexpr Dimension kLength = {.metre = 1};
constexpr Dimension kVolume = {.metre = 3};
constexpr Dimension kAngle = {.radian = 1};
constexpr Dimension kAngularSpeed = {.second = -1, .radian = 1};
constexpr Dimension kFrequency = {.second = -1};
constexpr Dimension kSpeed = {.metre = 1, .second = -1};
constexpr Dimension kAcceleration = {.metre = 1, .second = -2};
constexpr Dimension kMass = {.kilogram = 1};
constexpr Dimension kForce = {.metre = 1, .kilogram = 1, .second = -2};
constexpr Dimension kTorque = {.metre = 2, .kilogram = 1, .second = -2};
constexpr Dimension kPressure = {.metre = -1, .kilogram = 1, .second = -2};
constexpr Dimension kFlow = {.metre = 3, .second = -1};
constexpr Dimension kDynamicViscosity = {.metre = -1, .kilogram = 1, .second = -1};
constexpr Dimension kKinematicViscosity = {.metre = 2, .second = -1};
constexpr Dimension kTemperature = {.kelvin = 1};
constexpr Dimension kCurrent = {.ampere = 1};
constexpr Dimension kVoltage = {.metre = 2, .kilogram = 1, .second = -3, .ampere = -1};
constexpr Dimension kResistance = {.metre = 2, .kilogram = 1, .second = -3, .ampere = -2};
constexpr Dimension kInductance = {.metre = 2, .kilogram = 1, .second = -2, .ampere = -2};
constexpr Dimension kPower = {.metre = 2, .kilogram = 1, .second = -3};
constexpr Dimension kTime = {.second = 1};

// "mPa" and "nm" are missing on purpose: they are far more often slips for MPa and N·m than
// millipascals and nanometres.
constexpr UnitDefinition kDefinitions[] = {
    {"m|metre|metres|meter|meters", 1, kLength},
    {"mm|MM|millimetre|millimetres|millimeter|millimeters", 1e-3, kLength},
    {"cm|centimetre|centimetres|centimeter|centimeters", 1e-2, kLength},
    {"um|micron|microns", 1e-6, kLength},
    {"km", 1e3, kLength},
    {"in|inch|inches|IN|\"", kInch, kLength},
    {"ft|foot|feet|FT|'", kFoot, kLength},
    {"yd|yard|yards", 3 * kFoot, kLength},
    {"mi|mile|miles", kMile, kLength},
    {"thou|mil|mils", kInch / 1000, kLength},
    {"sq mm", 1e-6, {.metre = 2}},
    {"sq cm", 1e-4, {.metre = 2}},
    {"sq in", kSquareInch, {.metre = 2}},
    {"L|l|litre|litres|liter|liters|ltr", kLitre, kVolume},
    {"mL|ml", kCubicCentimetre, kVolume},
    {"cc|CC|ccm|cu cm", kCubicCentimetre, kVolume},
    {"cu in", kCubicInch, kVolume},
    {"gal|gallon|gallons|US gal|US gallon|US gallons", kUsGallon, kVolume},
    {"qt|quart|quarts|US qt", kUsGallon / 4, kVolume},
    {"US pt|US pint|US pints", kUsGallon / 8, kVolume},
    {"fl oz|US fl oz", kUsGallon / 128, kVolume},
    {"imp gal|imp gallon|imp gallons|imperial gallon|imperial gallons|UK gal", kImperialGallon,
     kVolume},
    {"imp qt|UK qt", kImperialGallon / 4, kVolume},
    {"imp pt|imp pint|imp pints|UK pt", kImperialGallon / 8, kVolume},
    {"imp fl oz|UK fl oz", kImperialGallon / 160, kVolume},
    {"rad|radian|radians", 1, kAngle},
    {"mrad", 1e-3, kAngle},
    {"deg|degs|degree|degrees", kDegree, kAngle},
    {"arcmin|arc min|arc minute|arc minutes", kDegree / 60, kAngle},
    {"arcsec|arc sec|arc second|arc seconds", kDegree / 3600, kAngle},
    {"turn|turns|rev|revs|revolution|revolutions", kTurn, kAngle},
    {"rpm|RPM|Rpm", kTurn / kMinute, kAngularSpeed},
    {"rps", kTurn, kAngularSpeed},
    {"Hz", 1, kFrequency},
    {"kHz", 1e3, kFrequency},
    {"mph|MPH", kMile / kHour, kSpeed},
    {"kph|KPH|kmh|kmph", 1e3 / kHour, kSpeed},
    {"fps", kFoot, kSpeed},
    {"gn", kGravity, kAcceleration},
    {"kg|KG|kgs|kilogram|kilograms", 1, kMass},
    {"g|gram|grams", 1e-3, kMass},
    {"t|tonne|tonnes", 1e3, kMass},
    {"lb|lbs|lbm|pound|pounds", kPound, kMass},
    {"oz|ounce|ounces", kOunce, kMass},
    {"N|newton|newtons", 1, kForce},
    {"daN", 10, kForce},
    {"kN", 1e3, kForce},
    {"kgf|kp", kKilogramForce, kForce},
    {"lbf", kPoundForce, kForce},
    {"ozf", kPoundForce / 16, kForce},
    {"Nm|NM", 1, kTorque},
    {"Ncm", 1e-2, kTorque},
    {"Nmm", 1e-3, kTorque},
    {"lbft|lbfft|ftlb|ftlbs|ftlbf", kPoundFoot, kTorque},
    {"inlb|inlbs|inlbf|lbin|lbfin", kPoundInch, kTorque},
    {"Pa", 1, kPressure},
    {"hPa", 1e2, kPressure},
    {"kPa|kpa|KPA", 1e3, kPressure},
    {"MPa", 1e6, kPressure},
    {"mbar", 1e2, kPressure},
    {"bar|bars|Bar|BAR", 1e5, kPressure},
    {"psi|PSI|Psi", kPsi, kPressure},
    {"ksi", 1e3 * kPsi, kPressure},
    {"atm", kAtmosphere, kPressure},
    {"barg|BARG", 1e5, kPressure, 0.0, Marker::kGauge},
    {"kPag", 1e3, kPressure, 0.0, Marker::kGauge},
    {"psig|PSIG", kPsi, kPressure, 0.0, Marker::kGauge},
    {"bara|BARA", 1e5, kPressure, 0.0, Marker::kAbsolute},
    {"kPaa", 1e3, kPressure, 0.0, Marker::kAbsolute},
    {"psia|PSIA", kPsi, kPressure, 0.0, Marker::kAbsolute},
    {"gpm|GPM", kUsGallon / kMinute, kFlow},
    {"lpm|LPM", kLitre / kMinute, kFlow},
    {"cP", 1e-3, kDynamicViscosity},
    {"cSt|cst|centistoke|centistokes", 1e-6, kKinematicViscosity},
    {"K|kelvin", 1, kTemperature},
    {"C|deg C|degC|celsius|Celsius", 1, kTemperature, kIcePoint},
    {"F|deg F|degF|fahrenheit|Fahrenheit", kRankine, kTemperature, kZeroFahrenheit},
    {"A|amp|amps|ampere|amperes", 1, kCurrent},
    {"mA", 1e-3, kCurrent},
    {"V|volt|volts", 1, kVoltage},
    {"mV", 1e-3, kVoltage},
    {"ohm|ohms|Ohm|Ohms", 1, kResistance},
    {"mohm", 1e-3, kResistance},
    {"kohm", 1e3, kResistance},
    {"H|henry", 1, kInductance},
    {"mH", 1e-3, kInductance},
    {"uH", 1e-6, kInductance},
    {"W|watt|watts", 1, kPower},
    {"kW|KW|kw", 1e3, kPower},
    // The mechanical horsepower of 550 ft·lbf/s. The metric one is PS: 75 kgf·m/s.
    {"hp|HP|bhp|BHP", kHorsepower, kPower},
    {"PS", 75 * kKilogramForce, kPower},
    {"s|sec|secs|second|seconds", 1, kTime},
    {"ms", 1e-3, kTime},
    {"min|minute|minutes", kMinute, kTime},
    {"h|hr|hrs|hour|hours", kHour, kTime},
    {"%|percent|pct", 1e-2, kNumber, 0.0, Marker::kPercent},
    {"tooth|teeth|rib|ribs|pc|pcs|off", 1, kNumber, 0.0, Marker::kThings},
};

using Spellings = std::unordered_map<std::string_view, const UnitDefinition*>;

// Every spelling of a definition, in order.
template <typename Visit>
void ForEachSpelling(const UnitDefinition& definition, Visit visit) {
  std::string_view rest = definition.spellings;
  while (!rest.empty()) {
    const std::size_t bar = rest.find('|');
    visit(rest.substr(0, bar));
    rest = bar == std::string_view::npos ? std::string_view{} : rest.substr(bar + 1);
  }
}

Spellings MakeIndex() {
  Spellings index;
  for (const UnitDefinition& definition : kDefinitions) {
    ForEachSpelling(definition,
                    [&](std::string_view spelling) { index.emplace(spelling, &definition); });
  }
  return index;
}

struct Homonym {
  std::string_view spelling;
  std::string_view meant;
};
constexpr Homonym kInAngles[] = {{"'", "arcmin"},       {"min", "arcmin"},    {"minute", "arcmin"},
                                 {"minutes", "arcmin"}, {"\"", "arcsec"},     {"sec", "arcsec"},
                                 {"second", "arcsec"},  {"seconds", "arcsec"}};
constexpr Homonym kInAccelerations[] = {{"g", "gn"}, {"G", "gn"}};
constexpr Homonym kInForces[] = {{"lb", "lbf"},     {"lbs", "lbf"}, {"pound", "lbf"},
                                 {"pounds", "lbf"}, {"oz", "ozf"},  {"ounce", "ozf"},
                                 {"ounces", "ozf"}};

std::span<const Homonym> HomonymsOf(Kind kind) {
  switch (kind) {
    case Kind::kAngle:
    case Kind::kTurns:
      return kInAngles;
    case Kind::kAcceleration:
      return kInAccelerations;
    case Kind::kForce:
    case Kind::kTorque:
    case Kind::kTorsionalStiffness:
    case Kind::kPressureGauge:
    case Kind::kPressureAbsolute:
    case Kind::kPressureDifference:
      return kInForces;
    default:
      return {};
  }
}

char Lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

constexpr int kMissing = 3;  // a letter added or lost
constexpr int kEdit = 2;     // a letter changed, or two swapped: more likely in short names
constexpr int kCase = 1;     // the same letter in the other case

int ChangeCost(char a, char b) {
  if (a == b) return 0;
  return Lower(a) == Lower(b) ? kCase : kEdit;
}

// Optimal string alignment distance (Damerau 1964, Levenshtein 1966), with a cheap change of case.
int Distance(std::string_view a, std::string_view b) {
  const std::size_t columns = b.size() + 1;
  std::vector<int> d((a.size() + 1) * columns);
  const auto at = [&](std::size_t i, std::size_t j) -> int& { return d[i * columns + j]; };
  for (std::size_t i = 0; i <= a.size(); ++i) at(i, 0) = kMissing * static_cast<int>(i);
  for (std::size_t j = 0; j <= b.size(); ++j) at(0, j) = kMissing * static_cast<int>(j);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      at(i, j) = std::min({at(i - 1, j) + kMissing, at(i, j - 1) + kMissing,
                           at(i - 1, j - 1) + ChangeCost(a[i - 1], b[j - 1])});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        at(i, j) = std::min(at(i, j), at(i - 2, j - 2) + kEdit);
      }
    }
  }
  return at(a.size(), b.size());
}

bool Same(const Dimension& a, const Dimension& b) {
  return a.metre == b.metre && a.kilogram == b.kilogram && a.second == b.second &&
         a.kelvin == b.kelvin && a.ampere == b.ampere && a.radian == b.radian;
}

template <typename Accept>
std::string_view Nearest(std::string_view unknown, Accept accept) {
  // One slip in a short word, two in a longer one: beyond that an offer is a guess.
  int best = (unknown.size() <= 3 ? 1 : 2) * kMissing + 1;
  std::string_view nearest;
  for (const UnitDefinition& definition : kDefinitions) {
    if (!accept(definition)) continue;
    ForEachSpelling(definition, [&](std::string_view spelling) {
      // A slip must leave at least one letter standing.
      const int longest = kEdit * static_cast<int>(std::max(spelling.size(), unknown.size()));
      const int distance = Distance(unknown, spelling);
      if (distance >= best || distance >= longest) return;
      best = distance;
      nearest = spelling;
    });
  }
  return nearest;
}

}  // namespace

std::span<const UnitDefinition> UnitDefinitions() { return kDefinitions; }

const UnitDefinition* FindUnit(std::string_view spelling, Kind kind) {
  // Built once, on first use, and constant from then on, so that threads may share it.
  static const Spellings index = MakeIndex();
  for (const Homonym& homonym : HomonymsOf(kind)) {
    if (homonym.spelling == spelling) spelling = homonym.meant;
  }
  const auto found = index.find(spelling);
  return found == index.end() ? nullptr : found->second;
}

std::string_view NearestSpelling(std::string_view unknown, Kind kind) {
  constexpr std::size_t kLongest = 24;  // no spelling is longer
  if (unknown.size() > kLongest) return {};
  const std::string_view fitting = Nearest(unknown, [&](const UnitDefinition& definition) {
    return Same(definition.dimension, InfoOf(kind).dimension);
  });
  return fitting.empty() ? Nearest(unknown, [](const UnitDefinition&) { return true; }) : fitting;
}

}  // namespace steerbench
