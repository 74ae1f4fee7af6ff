#include "reference/reference.h"

#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <numbers>
#include <stdexcept>

namespace steerbench::reference {

double SiOf(const std::string& unit) {
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
      {"Hz", 1.0},
      {"K", 1.0},
      {"L/min", 1e-3 / 60.0},
      {"MPa", 1e6},
      {"N", 1.0},
      {"N*m", 1.0},
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

std::string Row::Describe(const char* name) const {
  return row_->at("id").get<std::string>() + ", " + name +
         ". Source: " + row_->at("source").get<std::string>() +
         ". Confidence: " + row_->at("confidence").get<std::string>() + ". " +
         row_->at("note").get<std::string>();
}

double Row::Number(const char* part, const char* name, const char* key) const {
  const nlohmann::json& entry = row_->at(part).at(name);
  return entry.at(key).get<double>() * SiOf(entry.at("unit").get<std::string>());
}

Row Load(std::string_view id) {
  static const nlohmann::json rows =
      nlohmann::json::parse(std::ifstream(STEERBENCH_REFERENCE_FILE));
  for (const auto& row : rows) {
    if (row.at("id").get<std::string>() == id) {
      return Row(std::make_shared<const nlohmann::json>(row));
    }
  }
  throw std::out_of_range("no reference row " + std::string(id));
}

}  // namespace steerbench::reference
