#include "engine/evaluate/sweep.h"

#include <doctest/doctest.h>

#include <cmath>
#include <map>

#include "engine/evaluate/evaluate.h"
#include "fixtures/demo.h"
#include "fixtures/near.h"

namespace steerbench {
namespace {

using fixtures::PlainDemo;

std::map<std::string, double> Cells(const Sweep& sweep, std::size_t row) {
  std::map<std::string, double> cells;
  REQUIRE(sweep.row.at(row).size() == sweep.column.size());
  for (std::size_t i = 0; i < sweep.column.size(); ++i) {
    cells[std::string(sweep.column[i].key)] = sweep.row[row][i];
  }
  return cells;
}

TEST_CASE("At rest the columns are the results of an evaluation") {
  for (const char* setup : {"works", "first-try", "keen"}) {
    const Fitted<double> f = PlainDemo(setup);
    const auto e = Evaluate(f);
    const auto cells = Cells(RunSweep(f, {{0.0}, {0.0}, {}, true}), 0);
    // Every result that stands still has a column of the same key.
    int compared = 0;
    for (const OutputInfo& info : Outputs()) {
      const auto found = cells.find(std::string(info.key));
      const bool standing =
          info.group == OutputGroup::kAlignment || info.group == OutputGroup::kBump;
      if (!standing || found == cells.end()) continue;
      CAPTURE(info.key);
      CHECK(found->second == e[info.id].value());
      ++compared;
    }
    CHECK(compared == 15);  // six pairs standing, one pair and roll steer over bumps
    CHECK(cells.at("roll_centre_height") == e[Output::kRollCentre].value());
    CHECK(cells.at("total_toe") ==
          fixtures::Near(*e[Output::kToeLeft] + *e[Output::kToeRight], 1e-12));
  }
}

TEST_CASE("At lock the steer columns are the wheel angles of an evaluation") {
  const Fitted<double> f = PlainDemo("first-try");
  const auto e = Evaluate(f);
  const Sweep sweep =
      RunSweep(f, {{-*e[Output::kTravelRight], *e[Output::kTravelLeft]}, {0.0}, {}, true});
  // The rack lies behind the axes: moved to the left it steers to the right.
  CHECK(std::abs(Cells(sweep, 0).at("steer_left") - *e[Output::kInnerWheelLeft]) < 1e-10);
  CHECK(std::abs(Cells(sweep, 0).at("steer_right") - *e[Output::kOuterWheelLeft]) < 1e-10);
  CHECK(std::abs(Cells(sweep, 1).at("steer_right") - *e[Output::kInnerWheelRight]) < 1e-10);
  CHECK(std::abs(Cells(sweep, 1).at("ackermann_cot") - *e[Output::kAckermannCotRight]) < 1e-9);
}

TEST_CASE("A grid has as many rows as its numbers multiplied, the last running fastest") {
  const Fitted<double> f = PlainDemo("calm");
  const auto travel = EvenGrid(-0.06, 0.06, 5);
  const Sweep together = RunSweep(f, {travel, EvenGrid(-0.05, 0.05, 3), {0.02, 0.01}, true});
  REQUIRE(together.row.size() == 15);
  CHECK(Cells(together, 4).at("jounce_left") == Cells(together, 4).at("jounce_right"));
  const Sweep apart = RunSweep(f, {travel, EvenGrid(-0.05, 0.05, 3), {0.02, 0.01}, false});
  REQUIRE(apart.row.size() == 30);
  CHECK(Cells(apart, 0).at("jounce_right") == 0.02);
  CHECK(Cells(apart, 1).at("jounce_right") == 0.01);
  CHECK(Cells(apart, 2).at("jounce_left") == 0.0);
  CHECK(Cells(apart, 29).at("travel") == 0.06);
}

TEST_CASE("A row does not depend on the rows before it") {
  const Fitted<double> f = PlainDemo("calm");
  const Sweep grid = RunSweep(f, {EvenGrid(-0.07, 0.07, 9), EvenGrid(-0.06, 0.07, 4), {}, true});
  for (std::size_t i = 0; i < grid.row.size(); ++i) {
    const Sweep one = RunSweep(f, {{grid.row[i][0]}, {grid.row[i][1]}, {}, true});
    for (std::size_t k = 0; k < grid.column.size(); ++k) {
      CAPTURE(grid.column[k].key);
      if (std::isnan(one.row[0][k]) && std::isnan(grid.row[i][k])) continue;  // none near centre
      // A closure of 1e-12 m leaves angles this sure; rates to steer by travel a little less.
      CHECK(std::abs(one.row[0][k] - grid.row[i][k]) <= 1e-9 * (1.0 + std::abs(grid.row[i][k])));
    }
  }
}

TEST_CASE("Beyond reach there are no numbers, and the rows after it are whole again") {
  const Sweep sweep = RunSweep(PlainDemo("works"), {{0.0, 0.15, 0.02}, {0.0}, {}, true});
  REQUIRE(sweep.row.size() == 3);
  CHECK(std::isnan(Cells(sweep, 1).at("steer_left")));
  CHECK(std::isnan(Cells(sweep, 1).at("roll_steer")));
  CHECK(Cells(sweep, 1).at("travel") == 0.15);
  CHECK(std::isfinite(Cells(sweep, 2).at("steer_left")));
}

TEST_CASE("Turn plates sweep their own travel, and nothing outside it") {
  const Fitted<double> van =
      fixtures::PlainOf(fixtures::FittedSetup(fixtures::Example("light-van.toml"), "now"));
  const Sweep sweep = RunSweep(van, {{-0.066, 0.0, 0.066, 0.07}, {0.0}, {}, true});
  CHECK(sweep.level == Level::kTurnPlate);
  CHECK(Cells(sweep, 0).at("steer_right") == fixtures::Near(-35.0 * M_PI / 180.0));
  CHECK(Cells(sweep, 2).at("steer_left") == fixtures::Near(35.0 * M_PI / 180.0));
  CHECK(std::isnan(Cells(sweep, 3).at("steer_left")));
}

TEST_CASE("An even grid holds both ends, one number when asked for one, none for none") {
  CHECK(EvenGrid(-1.0, 1.0, 3) == std::vector<double>{-1.0, 0.0, 1.0});
  CHECK(EvenGrid(2.0, 5.0, 1) == std::vector<double>{2.0});
  CHECK(EvenGrid(2.0, 5.0, 0).empty());
}

}  // namespace
}  // namespace steerbench
