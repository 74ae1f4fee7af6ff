// Values from outside the project that tests are held against: the rows of checks.json.
//
// A row names its source and says how sure its values are: 'found in search' (seen at the address
// given), 'recomputed here from the formula' (a standard formula on inputs of our own: arithmetic
// and conventions, no agreement with a book) or 'from memory, to be verified'.
#pragma once

#include <doctest/doctest.h>

#include <cmath>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <numbers>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>

namespace steerbench::reference {

// SI value of one of a unit of checks.json; units with an offset (degC) are not among them. Throws
// std::out_of_range for an unknown one.
inline double SiOf(const std::string& unit) {
  using std::numbers::pi;
  static constexpr double kInch = 0.0254, kPound = 0.45359237, kGravity = 9.80665;
  static const std::map<std::string, double> si{
      {"", 1.0},
      {"-", 1.0},
      {"%", 0.01},
      {"1/K", 1.0},
      {"1/in", 1.0 / kInch},
      {"1/s", 1.0},
      {"A", 1.0},
      {"GPa", 1e9},
      {"Hz", 1.0},
      {"K", 1.0},
      {"L/min", 1e-3 / 60.0},
      {"MPa", 1e6},
      {"N", 1.0},
      {"N*m", 1.0},
      {"N*m/deg", 180.0 / pi},
      {"N*m/rad", 1.0},
      {"N/m2", 1.0},
      {"N/rad", 1.0},
      {"Pa", 1.0},
      {"V", 1.0},
      {"W", 1.0},
      {"bar", 1e5},
      {"cm3/rev", 1e-6 / (2.0 * pi)},
      {"deg", pi / 180.0},
      {"deg/g", pi / 180.0 / kGravity},
      {"ft", 12.0 * kInch},
      {"ft/s", 12.0 * kInch},
      {"ft/s2", 12.0 * kInch},
      {"in", kInch},
      {"in2", kInch * kInch},
      {"kW", 1e3},
      {"kg", 1.0},
      {"kg/m", 1.0},
      {"kg/m3", 1.0},
      {"lb", kPound * kGravity},
      {"lb/rad", kPound * kGravity},
      {"m", 1.0},
      {"m/rev", 1.0 / (2.0 * pi)},
      {"m/s", 1.0},
      {"m/s2", 1.0},
      {"m/s2/rad", 1.0},
      {"mA", 1e-3},
      {"mH", 1e-3},
      {"mm", 1e-3},
      {"mm/rev", 1e-3 / (2.0 * pi)},
      {"mm/s", 1e-3},
      {"mm2", 1e-6},
      {"mm2/s", 1e-6},
      {"nm", 1e-9},
      {"ohm", 1.0},
      {"rad", 1.0},
      {"rad*s2/m", 1.0},
      {"rpm", 2.0 * pi / 60.0},
  };
  return si.at(unit);
}

// One row. All numbers in SI and radians; a missing name throws, so that the test fails.
class Row {
 public:
  explicit Row(nlohmann::json row) : row_(std::move(row)) {}

  [[nodiscard]] double Input(const char* name) const { return Number("inputs", name, "value"); }
  [[nodiscard]] double Expected(const char* name) const {
    return Number("expected", name, "value");
  }
  [[nodiscard]] double Tolerance(const char* name) const { return Number("expected", name, "tol"); }
  [[nodiscard]] const nlohmann::json& Json() const { return row_; }

  [[nodiscard]] std::string Describe(const char* name) const {
    return row_.at("id").get<std::string>() + ", " + name +
           ". Source: " + row_.at("source").get<std::string>() +
           ". Confidence: " + row_.at("confidence").get<std::string>() + ". " +
           row_.at("note").get<std::string>();
  }

 private:
  [[nodiscard]] double Number(const char* part, const char* name, const char* key) const {
    const nlohmann::json& entry = row_.at(part).at(name);
    return entry.at(key).get<double>() * SiOf(entry.at("unit").get<std::string>());
  }

  nlohmann::json row_;
};

// The row with this id; throws std::out_of_range when there is none.
inline Row Load(std::string_view id) {
  static const nlohmann::json rows =
      nlohmann::json::parse(std::ifstream(STEERBENCH_REFERENCE_FILE));
  for (const auto& row : rows) {
    if (row.at("id").get<std::string>() == id) return Row(row);
  }
  throw std::out_of_range("no reference row " + std::string(id));
}

}  // namespace steerbench::reference

// Holds a computed SI value against the row's expected one within the row's tolerance; says where
// the expected value is from when they differ.
#define REFERENCE_CHECK(row, name, computed)                                             \
  CHECK_MESSAGE(std::abs((computed) - (row).Expected(name)) <= (row).Tolerance(name),    \
                (row).Describe(name), " Expected ", (row).Expected(name), ", computed ", \
                (computed))
