// What a person measured, as written and in SI: value, unit, plus-minus, origin.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace steerbench {

// What kind of thing a field of the document holds. Kinds with the same dimension but another
// meaning (gauge and absolute pressure, a temperature and a temperature difference, torque and
// energy) are told apart. SI unit of each, which `Quantity::value` is in, in brackets.
enum class Kind : std::uint8_t {
  kLength,                 // [m]
  kArea,                   // [m2]
  kVolume,                 // [m3]
  kAngle,                  // [rad]
  kTurns,                  // [rad], an angle that people count in turns
  kAnglePerLength,         // [rad/m], steer per wheel travel
  kAngularSpeed,           // [rad/s]
  kSpeed,                  // [m/s]
  kAcceleration,           // [m/s2]
  kMass,                   // [kg]
  kForce,                  // [N]
  kForcePerAngle,          // [N/rad], cornering stiffness
  kTorque,                 // [N m]
  kTorsionalStiffness,     // [N m/rad]
  kPressureGauge,          // [Pa] above atmosphere
  kPressureAbsolute,       // [Pa]
  kPressureDifference,     // [Pa]
  kFlow,                   // [m3/s]
  kDisplacement,           // [m3/rad], pump volume per angle of its shaft
  kTravelPerTurn,          // [m/rad], rack travel per angle of the pinion
  kKinematicViscosity,     // [m2/s]
  kDensity,                // [kg/m3]
  kTemperature,            // [K], a point on the scale
  kTemperatureDifference,  // [K], a difference
  kCurrent,                // [A]
  kVoltage,                // [V]
  kResistance,             // [ohm]
  kInductance,             // [H]
  kPower,                  // [W]
  kCooling,                // [W/K], heat shed per temperature difference
  kTime,                   // [s]
  kRatio,                  // [1], also written in percent
  kShare,                  // [1], shown in percent
  kCount,                  // [1], a whole number of things: teeth, ribs
  kMoney,                  // [1] in the document's own currency, no unit
};

// Where a value comes from, as the user says it.
enum class Origin : std::uint8_t {
  kUnstated,
  kMeasured,
  kDrawing,
  kManual,
  kSeller,
  kGuess,
  kTypical,  // a usual value of the trade; results that lean on it are marked as assumed
};

// Of every ±: standard deviations in it (JCGM 100:2008, clause 6).
inline constexpr double kCoverageFactor = 2.0;

// One number of the document.
struct Quantity {
  double value = 0.0;  // SI unit of its kind
  // Half-width of the interval that holds the true value with about 95 % confidence (coverage
  // factor 2, JCGM 100:2008 clause 6), in SI; unset when none was stated.
  std::optional<double> tolerance;
  Kind kind = Kind::kRatio;
  Origin origin = Origin::kUnstated;
  std::string note;
  std::string written;  // as written, e.g. "4 5/8 in ± 1/16"; empty when made by a program
  std::string unit;     // the unit as written, e.g. "in"; empty for a bare number
};

// Why a text is not a quantity. `message` says what was read and what is accepted, ready for the
// user; `column` is the 0-based byte offset in the text at which reading failed.
struct QuantityError {
  std::string message;
  std::size_t column = 0;
};

// Either a value or why there is none.
struct ParsedQuantity {
  std::optional<Quantity> quantity;
  QuantityError error;  // meaningful only when `quantity` is unset
};
struct ParsedVector {
  std::vector<Quantity> components;  // three of them when reading succeeded
  QuantityError error;               // meaningful only when `components` is empty
};

// Reads one quantity of a given kind, in any accepted spelling of any unit of its dimension:
//   "117.5 mm", "4 5/8 in", "1,250 mm"(refused: ambiguous comma), "117.5 ± 0.2 mm",
//   "117.5 mm +/- 0.2 mm", "82 bar ± 3 %", "33 deg 30'", "33° 30' 15\"", "5 3/4\"", "3.1 turns",
//   "5' 8 1/2\"", "3.1 turns ± 10 deg", "8.5e-3 m", "-2 mm", "0.5 turn", "25 psi", "1 bar abs",
//   "20 °C ± 2 K".
// A bare number is accepted only for kRatio, kShare, kCount and kMoney.
// The plus-minus takes the value's unit unless it has its own; a percent plus-minus is of the
// value, but of the same whole when the value is in percent: "35 % ± 3 %" is 0.35 ± 0.03, and
// "85 ± 3 %" as a ratio is refused, since it could be either. "lb" and "oz" are forces in kForce,
// kTorque, kTorsionalStiffness and pressures, masses elsewhere; "gal" is the US gallon ("imp gal"
// the other); "hp" is 550 ft·lbf/s ("PS" the metric one); ' and " are feet and inches of length,
// minutes and seconds of angle. May be called from several threads at once. Errors: empty or
// over-long text (over 200 bytes), no number, not finite, unknown unit (the nearest known spelling
// is offered), wrong dimension (the expected one is named, with an example), negative plus-minus,
// plus-minus in another dimension, a fraction with a zero denominator, a fractional kCount, a
// temperature or pressure below absolute zero, kPressureGauge marked absolute or the reverse,
// kPressureAbsolute without a mark. Definitions of units: NIST SP 811 (2008), Appendix B, exact
// where it says exact.
[[nodiscard]] ParsedQuantity ParseQuantity(std::string_view text, Kind kind);

// Reads three lengths written as one, with one unit and one plus-minus for all:
//   "(12, -655.5, 195) mm ± 1 mm". The brackets are optional. Each component's `written` is the
// whole text. Errors as ParseQuantity's.
[[nodiscard]] ParsedVector ParseVector(std::string_view text, Kind kind);

// How results are shown.
enum class UnitStyle : std::uint8_t { kMetric, kImperial };

// A value (and its plus-minus, both SI) as text in the trade's usual unit for the kind, e.g.
// "117.50 ± 0.20 mm", "4.6260 ± 0.0079 in", "33.5°", "1180 psi"; the digits shown follow the
// plus-minus (two significant digits of it, the value rounded to the same place: JCGM 100:2008,
// 7.2.6), or six significant digits without one. ParseQuantity reads the text back. A value that
// is not finite is shown as "not known"; a plus-minus that is not finite is left out.
struct Shown {
  double value = 0.0;               // in `unit`
  std::optional<double> tolerance;  // in `unit`
  std::string unit;                 // "mm", "in", "deg", ...
  std::string number;               // value and, when given, ± tolerance, for a column of one unit
  std::string text;                 // the same with its unit
};
[[nodiscard]] Shown Show(double value_si, std::optional<double> tolerance_si, Kind kind,
                         UnitStyle style);

// The same in one given unit (any accepted spelling, as `Quantity::unit`); falls back to metric
// when the unit is not of the kind.
[[nodiscard]] Shown ShowIn(double value_si, std::optional<double> tolerance_si, Kind kind,
                           std::string_view unit);

// Converts an SI value of a kind to a unit given by any accepted spelling; unset when the unit is
// unknown or of another dimension.
[[nodiscard]] std::optional<double> ToUnit(double value_si, Kind kind, std::string_view unit);

// "a length", "an angle", ... and an example of it, for messages and the schema.
[[nodiscard]] std::string_view KindName(Kind kind);
[[nodiscard]] std::string_view KindExample(Kind kind);
// The common units of a kind, "mm, cm, m, thou, in, ft"; empty where none is needed.
[[nodiscard]] std::string_view KindUnits(Kind kind);
// Symbol of the SI unit of a kind: "m", "rad", "m³/rad", "Pa", "1", ...
[[nodiscard]] std::string_view SiSymbol(Kind kind);

// "measured", "drawing", ... and back; unset for a word that is none of them.
[[nodiscard]] std::string_view OriginName(Origin origin);
[[nodiscard]] std::optional<Origin> ParseOrigin(std::string_view word);

}  // namespace steerbench
