// Values from outside the project that tests are held against: the rows of checks.json.
//
// A row names its source and says how sure its values are. 'Recomputed here from' a formula, its
// own or the one named, is arithmetic on the row's inputs, done apart from the engine, and no
// agreement with a print; where a print agrees, the note says so. Single facts are marked, in the
// rows as in comments all over the project: 'from memory' is recalled from the book or standard
// named, which was not at hand; 'common practice, no source' is of the trade, without one to name.
#pragma once

#include <doctest/doctest.h>

#include <cmath>
#include <memory>
#include <nlohmann/json_fwd.hpp>
#include <string>
#include <string_view>
#include <utility>

namespace steerbench::reference {

// SI value of one of a unit of checks.json; units with an offset (degC) are not among them. Throws
// std::out_of_range for an unknown one.
[[nodiscard]] double SiOf(const std::string& unit);

// One row. All numbers in SI and radians; a missing name throws, so that the test fails.
class Row {
 public:
  explicit Row(std::shared_ptr<const nlohmann::json> row) : row_(std::move(row)) {}

  [[nodiscard]] double Input(const char* name) const { return Number("inputs", name, "value"); }
  [[nodiscard]] double Expected(const char* name) const {
    return Number("expected", name, "value");
  }
  [[nodiscard]] double Tolerance(const char* name) const { return Number("expected", name, "tol"); }
  [[nodiscard]] const nlohmann::json& Json() const { return *row_; }

  [[nodiscard]] std::string Describe(const char* name) const;

 private:
  [[nodiscard]] double Number(const char* part, const char* name, const char* key) const;

  std::shared_ptr<const nlohmann::json> row_;
};

// The row with this id; throws std::out_of_range when there is none.
[[nodiscard]] Row Load(std::string_view id);

}  // namespace steerbench::reference

// Holds a computed SI value against the row's expected one within the row's tolerance; says where
// the expected value is from when they differ.
#define REFERENCE_CHECK(row, name, computed)                                             \
  CHECK_MESSAGE(std::abs((computed) - (row).Expected(name)) <= (row).Tolerance(name),    \
                (row).Describe(name), " Expected ", (row).Expected(name), ", computed ", \
                (computed))
