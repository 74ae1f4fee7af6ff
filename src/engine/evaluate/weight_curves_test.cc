#include "engine/evaluate/weight_curves.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "engine/evaluate/chain.h"
#include "engine/evaluate/propagate.h"
#include "fixtures/demo.h"
#include "fixtures/near.h"

namespace steerbench {
namespace {

using fixtures::PlainDemo;
using enum Output;

constexpr double kLookedUp = 1e-4, kSolved = 1e-9;  // shares by which a value may be off

double Cell(const WeightCurve& curve, std::size_t row, std::string_view key) {
  const auto& columns = curve.sweep.column;
  const auto found = std::ranges::find(columns, key, &SweepColumn::key);
  REQUIRE(found != columns.end());
  REQUIRE(curve.sweep.row.at(row).size() == columns.size());
  return curve.sweep.row[row][static_cast<std::size_t>(found - columns.begin())];
}

TEST_CASE("Where a curve passes the state of a result it has its value") {
  for (const std::string setup : {"first-try", "calm", "keen"}) {
    CAPTURE(setup);
    const Fitted<double> f = PlainDemo(setup);
    const auto e = Evaluate(f);
    const auto same = [&](double cell, Output id, double share = kLookedUp) {
      CAPTURE(InfoOf(id).key);
      CHECK(cell == fixtures::Near(e[id].value(), share));
    };
    const auto kerb = KerbCurve(f, {-0.05, 0.0});
    same(Cell(kerb, 1, "turn_left"), kKerbTorque);
    same(Cell(kerb, 1, "brake_turn_left"), kKerbBrakeTorque);
    same(Cell(kerb, 1, "lost_left"), kKerbLostTorque, kSolved);
    const auto road = RoadCurve(f, {0.0, 2.0, 3.0});
    same(Cell(road, 1, "in_50"), kTownTorque);
    same(Cell(road, 2, "in_80"), kRoadTorque);
    same(Cell(road, 2, "in_110"), kFastTorque);
    same(Cell(road, 1, "in_140"), kMotorwayTorque);
    const auto pump = PumpCurve(f);
    REQUIRE(pump.sweep.row.size() == kCurvePoints);
    same(Cell(pump, 0, "pump_speed"), kPumpIdle, kSolved);
    same(Cell(pump, 0, "flow"), kIdleFlow, kSolved);
    same(Cell(pump, 0, "pressure"), kKerbPressure, kSolved);
    same(Cell(pump, 0, "turn_left"), kKerbTorque, kSolved);
    same(Cell(pump, 0, "catch_up_left"), kCatchUpLeft, kSolved);
    same(Cell(pump, 0, "catch_up_right"), kCatchUpRight, kSolved);
    same(Cell(pump, kCurvePoints - 1, "pump_speed"), kPumpTop, kSolved);
  }
}

TEST_CASE("The plus-minus of a curve is that of the result whose state it passes") {
  const Fitted<Quantity> f = fixtures::FittedSetup(fixtures::Example(), "first-try");
  const Propagated p = Propagate(f);
  const auto same = [&](const WeightCurve& curve, std::size_t row, std::string_view key,
                        Output id) {
    CAPTURE(key);
    REQUIRE(curve.sweep.pm.size() == curve.sweep.row.size());
    const auto& columns = curve.sweep.column;
    const auto at = std::ranges::find(columns, key, &SweepColumn::key) - columns.begin();
    REQUIRE(curve.sweep.pm.at(row).size() == columns.size());
    CHECK(curve.sweep.row[row][at] == fixtures::Near(p[id].figure->value, 1e-4));
    CHECK(curve.sweep.pm[row][at] == fixtures::Near(p[id].figure->tolerance, 1e-6));
    CHECK(p[id].figure->tolerance > 0.0);
  };
  same(KerbCurve(f, {0.0}), 0, "turn_left", kKerbTorque);
  same(KerbCurve(f, {0.0}), 0, "lost_left", kKerbLostTorque);
  same(RoadCurve(f, {3.0}), 0, "in_80", kRoadTorque);
  same(PumpCurve(f, 2), 0, "pressure", kKerbPressure);
  // At one engine speed, so without the doubt of what idle is: the pulleys' alone.
  const double pulleys = PumpCurve(f, 2).sweep.pm[0][1];
  CHECK(pulleys > 0.0);
  CHECK(pulleys < p[kPumpIdle].figure->tolerance);
  same(PumpCurve(f, 2), 0, "catch_up_left", kCatchUpLeft);
  CHECK(KerbCurve(f, {0.01}).sweep.pm[0][0] == 0.0);  // what it is drawn over is not in doubt
  CHECK(KerbCurve(PlainDemo("first-try"), {0.0}).sweep.pm.empty());
  // A boost curve is the valve's own, which here is known to the gauge's plus-minus.
  const auto boost = BoostCurve(f, 5);
  for (std::size_t i = 1; i < 5; ++i) CHECK(boost.sweep.pm[i][1] > 0.0);
}

// A chain that solves what curves look up.
struct Solver {
  explicit Solver(const Fitted<double>& car) : f(car), front(AssembleFront(f)) {
    hand = HandToRackOf(f, Evaluate(f).steers_to_own_side.value(), missing);
    chain.emplace(f, front, hand, missing, assumed);
  }
  Solver(const Solver&) = delete;

  Fitted<double> f;
  Front<double> front;
  Missing missing;
  std::optional<HandToRack<double>> hand;
  std::vector<Assumption> assumed;
  std::optional<Chain<double>> chain;
};

// Every torque of both curves of weight and every value of the boost curve against solves.
void CompareWithSolves(const Fitted<double>& car) {
  constexpr auto kLeft = effort::Direction::kLeft, kRight = effort::Direction::kRight;
  constexpr double kSame = 3e-4;
  Solver solver(car);
  Chain<double>& chain = *solver.chain;
  const auto pump = [&](const std::optional<double>& engine) {
    return chain.HasAssist() ? std::optional(chain.PumpSpeedAt(*engine)) : std::nullopt;
  };
  const auto same = [](double cell, const Said<Weighed<double>>& weighed) {
    CHECK(std::isnan(cell) == !weighed);
    if (!weighed) return;
    CHECK(std::abs(cell - weighed->to_left) < kSame * (1.0 + std::abs(weighed->to_left)));
  };
  const auto idle = pump(car.car.engine.idle), cruise = pump(car.car.engine.cruise);
  const auto travel = UsualTravel(Evaluate(car), kCurvePoints);
  const auto kerb = KerbCurve(car, travel);
  REQUIRE(kerb.sweep.row.size() == travel.size());
  for (std::size_t i = 0; i < travel.size(); ++i) {
    for (const auto& [brake, name] :
         {std::pair{tyre::Brake::kOff, ""}, {tyre::Brake::kOn, "brake_"}}) {
      const std::string of = name;
      const auto axle = *chain.Standing({brake, false}, travel[i]);
      same(Cell(kerb, i, of + "turn_left"), chain.Turn(axle, kLeft, idle, 0.0));
      same(Cell(kerb, i, of + "turn_right"), chain.Turn(axle, kRight, idle, 0.0));
      const auto left = chain.Turn(WoundUp(axle, kLeft), kRight, idle, 0.0);
      const auto right = chain.Turn(WoundUp(axle, kRight), kLeft, idle, 0.0);
      if (!left || left->to_left >= 0.0) same(Cell(kerb, i, of + "hold_left"), left);
      if (!right || right->to_left <= 0.0) same(Cell(kerb, i, of + "hold_right"), right);
    }
  }
  const std::vector<double> ay = UsualAccelerations();
  const auto road = RoadCurve(car, ay);
  for (std::size_t i = 0; i < ay.size(); ++i) {
    for (const double speed : {50.0, 80.0, 110.0, 140.0}) {
      const double v = speed / 3.6;
      const std::string at = std::to_string(static_cast<int>(speed));
      const auto axle = chain.InBend(v, ay[i]);
      if (!axle) continue;
      same(Cell(road, i, "in_" + at), chain.Turn(*axle, kLeft, cruise, v));
      same(Cell(road, i, "out_" + at), chain.Turn(*axle, kRight, cruise, v));
    }
  }
  if (!chain.HasAssist()) return;
  const auto boost = BoostCurve(car);
  for (std::size_t i = 0; i < kCurvePoints; ++i) {
    const auto solved = hydraulics::SolveAtTorque<double>(chain.Circuit(), chain.At(*idle, 0.0),
                                                          Cell(boost, i, "torque"));
    REQUIRE(solved);
    CHECK(Cell(boost, i, "pressure") == fixtures::Near(solved->outlet, 1e-3));
    CHECK(std::abs(Cell(boost, i, "assist") - solved->assist) < 1e-3 * (100.0 + solved->assist));
  }
}

TEST_CASE("Every value of a curve is that of a solve") {
  for (const std::string setup : {"works", "first-try", "calm", "keen"}) {
    CAPTURE(setup);
    CompareWithSolves(PlainDemo(setup));
  }
}

TEST_CASE("so with a rack whose ratio has corners, a soft tyre, a lossy mesh, a reaction valve") {
  Fitted<double> f = PlainDemo("calm");
  const double even = *f.rack->travel / *f.rack->turns;  // [m] a turn
  f.rack->ratio = {{0.0, even}, {0.002, even}, {0.004, 1.35 * even}};
  CompareWithSolves(f);
  f = PlainDemo("calm");
  *f.car.front.tyre.cornering_stiffness *= 0.1;
  CompareWithSolves(f);
  f = PlainDemo("calm");
  f.rack->mesh_efficiency = 0.45;  // the load cannot drive such a mesh back
  CompareWithSolves(f);
  f = PlainDemo("calm");
  f.control_valve->principle = ControlPrinciple::kReaction;
  f.control_valve->reaction_torque = 2.0;
  f.control_valve->reaction_onset = 0.3 * M_PI / 180.0;
  CompareWithSolves(f);
}

TEST_CASE("A curve says why it has gaps") {
  Fitted<double> f = PlainDemo("keen");
  f.car.front.tyre.friction = 0.2;
  const auto road = RoadCurve(f, {0.0, 3.0});
  REQUIRE(road.sweep.gaps.size() == 1);
  CHECK(road.sweep.gaps[0].find("slide") != std::string::npos);
  CHECK(RoadCurve(PlainDemo("keen"), {1.0}).sweep.gaps.empty());
  CHECK_FALSE(KerbCurve(PlainDemo("keen"), {0.5}).sweep.gaps.empty());  // out of reach
}

TEST_CASE("Drawn together or one by one, curves are the same") {
  const Fitted<double> f = PlainDemo("keen");
  const auto found = Evaluate(f);
  const WeightCurves all = AllCurves(f, found);
  const auto same = [](const WeightCurve& one, const WeightCurve& other) {
    REQUIRE(one.sweep.row.size() == kCurvePoints);
    REQUIRE(other.sweep.row.size() == kCurvePoints);
    for (std::size_t i = 0; i < kCurvePoints; ++i) {
      for (std::size_t j = 0; j < one.sweep.column.size(); ++j) {
        CAPTURE(one.sweep.column[j].key);
        CHECK(one.sweep.row[i][j] == fixtures::Near(other.sweep.row[i].at(j), 1e-9));
      }
    }
  };
  same(all.kerb, KerbCurve(f, UsualTravel(found, kCurvePoints)));
  same(all.road, RoadCurve(f, UsualAccelerations()));
  same(all.boost, BoostCurve(f));
  same(all.pump, PumpCurve(f));
}

TEST_CASE("Between poses the axle is looked up to the last nanometre") {
  Solver exact(PlainDemo("keen")), drawn(PlainDemo("keen"));
  const std::vector<double> ay = EvenGrid(0.0, 4.0, 9);
  const std::vector<double> speeds{50.0 / 3.6, 140.0 / 3.6};
  auto map = MapBends(*drawn.chain, ay, speeds);
  REQUIRE(map);
  drawn.chain->TakeSteerMap(*std::move(map));
  for (const double a : ay) {
    for (const double speed : speeds) {
      const auto solved = *exact.chain->InBend(speed, a),
                 looked_up = *drawn.chain->InBend(speed, a);
      CHECK(std::abs(looked_up.travel - solved.travel) < 1e-9);
      CHECK(std::abs(looked_up.steer - solved.steer) < 1e-8);
      const auto &l = looked_up.left.leverage, &s = solved.left.leverage;
      CHECK(l.vertical == fixtures::Near(s.vertical, 1e-6));
      CHECK(l.lateral == fixtures::Near(s.lateral, 1e-6));
      CHECK(l.aligning == fixtures::Near(s.aligning, 1e-6));
      CHECK(looked_up.left.load.aligning == solved.left.load.aligning);
    }
  }
  CHECK(drawn.chain->InBend(speeds[0], 5.0)->steer ==
        fixtures::Near(exact.chain->InBend(speeds[0], 5.0)->steer));  // outside: solved
}

// Rack, pump and oil alone: what a bench has.
Fitted<double> OnBench() {
  const Fitted<double> whole = PlainDemo("calm");
  Fitted<double> f;
  f.rack = whole.rack;
  f.pump = whole.pump;
  f.fluid = whole.fluid;
  f.car.oil.temperature = whole.car.oil.temperature;
  return f;
}

TEST_CASE("Rack and pump on a bench have their boost and pump curves without a car") {
  const Fitted<double> f = OnBench();
  const auto boost = BoostCurve(f, 5);
  CHECK(boost.missing.empty());
  REQUIRE(boost.sweep.row.size() == 5);
  CHECK(Cell(boost, 0, "assist") == 0.0);
  for (std::size_t i = 1; i < 5; ++i) {
    CHECK(Cell(boost, i, "pressure") > Cell(boost, i - 1, "pressure"));
    CHECK(Cell(boost, i, "assist") > Cell(boost, i - 1, "assist"));
  }
  const auto pump = PumpCurve(f);
  CHECK(pump.missing.empty());
  REQUIRE(pump.sweep.row.size() == kCurvePoints);
  const std::size_t last = kCurvePoints - 1;
  CHECK(Cell(pump, last, "pump_speed") == fixtures::Near(*f.pump->top_speed));
  // Slow, the flow goes with the speed up to that of full flow; fast, it is the regulated one.
  const double slow = Cell(pump, 0, "pump_speed") * *f.pump->flow / *f.pump->full_flow_speed;
  CHECK(slow < *f.pump->flow);
  CHECK(Cell(pump, 0, "flow_half") == fixtures::Near(slow, 1e-3));
  CHECK(Cell(pump, last, "flow_half") == fixtures::Near(*f.pump->flow, 1e-3));
  CHECK(Cell(pump, last, "pressure_free") < *f.pump->relief / 2.0);
}

TEST_CASE("On the bench a boost point read at the regulated flow comes back") {
  Fitted<double> f = OnBench();
  f.rack->boost_flow = *f.pump->flow;
  const BoostRow<double>& read = f.rack->boost[4];
  // A grid that ends at the stop and has the torque of that point in it.
  f.rack->valve_stop = 2.0 * *read.torque / *f.rack->torsion_bar;
  const auto boost = BoostCurve(f, 3);
  CHECK(Cell(boost, 1, "torque") == fixtures::Near(*read.torque));
  CHECK(Cell(boost, 1, "pressure") == fixtures::Near(*read.pressure, 0.01));
}

TEST_CASE("What a bench lacks for its curves is named") {
  Fitted<double> f = OnBench();
  f.rack->boost_flow.reset();
  f.pump->top_speed.reset();
  const auto lacks = [](const WeightCurve& curve, std::string_view path) {
    return std::ranges::find(curve.missing, path) != curve.missing.end();
  };
  CHECK(lacks(BoostCurve(f), "rack.boost_flow"));
  CHECK(lacks(PumpCurve(f), "pump.top_speed"));
}

TEST_CASE("Held lies between let go and turned, at every travel and brake") {
  const auto curve = KerbCurve(PlainDemo("keen"), EvenGrid(-0.07, 0.07, kCurvePoints));
  for (std::size_t i = 0; i < kCurvePoints; ++i) {
    for (const std::string brake : {"", "brake_"}) {
      const double hold = Cell(curve, i, brake + "hold_left");
      CHECK(hold > 0.0);  // the tyres of this car push back harder than its friction holds
      CHECK(hold < Cell(curve, i, brake + "turn_left"));
      CHECK(Cell(curve, i, brake + "hold_right") < 0.0);
      CHECK(Cell(curve, i, brake + "hold_right") > Cell(curve, i, brake + "turn_right"));
    }
    CHECK(Cell(curve, i, "lost_left") > Cell(curve, i, "turn_left"));
    CHECK(Cell(curve, i, "brake_turn_left") >= Cell(curve, i, "turn_left"));
  }
}

TEST_CASE("On the road turning in takes more than turning out, and grip ends the curve") {
  Fitted<double> f = PlainDemo("keen");
  const auto curve = RoadCurve(f, UsualAccelerations());
  REQUIRE(curve.sweep.row.size() == kCurvePoints);
  for (std::size_t i = 0; i < kCurvePoints; ++i) {
    for (const std::string speed : {"50", "80", "110", "140"}) {
      CHECK(Cell(curve, i, "in_" + speed) > Cell(curve, i, "out_" + speed));
    }
    // Between 50 and 140 km/h the demo's control valve opens.
    CHECK(Cell(curve, i, "in_140") > Cell(curve, i, "in_50"));
  }
  // Straight ahead there is friction alone, the same both ways.
  CHECK(Cell(curve, 0, "out_80") == fixtures::Near(-Cell(curve, 0, "in_80"), 1e-3));
  f.car.front.tyre.friction = 0.2;
  const auto wet = RoadCurve(f, {1.0, 3.0});
  CHECK(std::isfinite(Cell(wet, 0, "in_80")));
  CHECK(std::isnan(Cell(wet, 1, "in_80")));
}

// The boost curve was read at a flow; with that flow, no lines and no control it comes back.
TEST_CASE("The boost curve goes through the points that the builder read") {
  Fitted<double> f = PlainDemo("calm");
  f.pump->flow = *f.rack->boost_flow;
  f.car.oil.pressure_length.reset();
  f.car.oil.return_length.reset();
  constexpr int kMost = 8;  // [N m] at the stop, so that a row falls on every whole one
  f.rack->valve_stop = kMost / *f.rack->torsion_bar;
  const auto curve = BoostCurve(f, kMost + 1);
  const double area =
      M_PI / 4.0 *
      (*f.rack->piston_bore * *f.rack->piston_bore - *f.rack->piston_rod * *f.rack->piston_rod);
  int compared = 0;
  for (const auto& point : f.rack->boost) {
    const auto row = static_cast<std::size_t>(std::lround(*point.torque));
    CHECK(Cell(curve, row, "torque") == fixtures::Near(*point.torque));
    if (*point.pressure > 0.9 * *f.pump->relief) continue;  // there the relief valve opens
    CHECK(Cell(curve, row, "pressure") == fixtures::Near(*point.pressure, 1e-6));
    CHECK(Cell(curve, row, "assist") < area * *point.pressure);
    ++compared;
  }
  CHECK(compared == 5);
  CHECK(Cell(curve, kMost, "pressure") < *f.pump->relief);
}

TEST_CASE("With engine speed the pump gives no less, and the hand may be as quick or quicker") {
  const auto curve = PumpCurve(PlainDemo("first-try"));
  for (std::size_t i = 1; i < kCurvePoints; ++i) {
    CHECK(Cell(curve, i, "flow") >= Cell(curve, i - 1, "flow") * (1.0 - 1e-9));
    CHECK(Cell(curve, i, "catch_up_left") >= Cell(curve, i - 1, "catch_up_left") * (1.0 - 1e-9));
    CHECK(Cell(curve, i, "turn_left") <= Cell(curve, i - 1, "turn_left") * (1.0 + 1e-9));
  }
}

TEST_CASE("A curve says of which columns to doubt some value, and why") {
  const auto doubts = BoostCurve(PlainDemo("keen")).sweep.doubts;
  REQUIRE(doubts.size() == 1);
  CHECK(doubts[0].why.find("beyond the last measured point") != std::string_view::npos);
  CHECK(doubts[0].columns.size() == 6);
  CHECK(doubts[0].columns.front() == "pressure");
  Fitted<double> f = PlainDemo("keen");
  CHECK(KerbCurve(f, {0.0}).sweep.doubts.empty());
  *f.car.oil.temperature = 273.15 - 40.0;  // 80 K from the oil's colder point
  const auto cold = KerbCurve(f, {0.0}).sweep.doubts;
  const auto far = std::ranges::find_if(cold, [](const SweepDoubt& d) {
    return d.why.find("temperature far") != std::string_view::npos;
  });
  REQUIRE(far != cold.end());
  // Turned and held, brake off and on; without assistance there is no oil to doubt.
  CHECK(far->columns.size() == 8);
  CHECK(std::ranges::find(far->columns, "lost_left") == far->columns.end());
}

TEST_CASE("A curve says what was taken for granted, of the linkage where it uses one") {
  const auto says = [](const WeightCurve& curve, Assumption a) {
    return std::ranges::find(curve.sweep.assumed, Describe(a)) != curve.sweep.assumed.end();
  };
  const Fitted<double> f = PlainDemo("keen");
  CHECK(says(KerbCurve(f, {0.0}), Assumption::kMirrored));
  CHECK_FALSE(says(KerbCurve(f, {0.0}), Assumption::kRigidSteering));
  CHECK(says(RoadCurve(f, {1.0}), Assumption::kRigidSteering));
  CHECK(says(BoostCurve(f), Assumption::kNoPumpLeak));
  CHECK_FALSE(says(BoostCurve(f), Assumption::kMirrored));
  // Together they say what each says alone.
  const WeightCurves all = AllCurves(f, Evaluate(f));
  CHECK(all.pump.sweep.assumed == PumpCurve(f).sweep.assumed);
  CHECK(all.boost.sweep.assumed == BoostCurve(f).sweep.assumed);
  Fitted<double> bench = f;
  bench.car.engine.idle.reset();
  bench.car.engine.crank_pulley.reset();
  CHECK(says(PumpCurve(bench), Assumption::kReliefOpens));
}

TEST_CASE("A curve says what it lacks, and one of the oil lacks a pump in a setup without") {
  const Fitted<double> works = PlainDemo("works");
  CHECK(BoostCurve(works).missing == Missing{"setup.pump"});
  CHECK(PumpCurve(works).missing == Missing{"setup.pump"});
  const auto kerb = KerbCurve(works, {0.0});
  REQUIRE(kerb.missing.empty());
  CHECK(Cell(kerb, 0, "lost_left") == Cell(kerb, 0, "turn_left"));
  Fitted<double> f = PlainDemo("keen");
  f.car.engine.top.reset();
  CHECK(PumpCurve(f).missing == Missing{"car.engine.top"});
  f.rack->turns.reset();
  for (const auto& curve :
       {PumpCurve(f), BoostCurve(f), KerbCurve(f, {0.0}), RoadCurve(f, {1.0})}) {
    CHECK(std::ranges::find(curve.missing, "rack.turns") != curve.missing.end());
    CHECK(curve.sweep.row.empty());
  }
  CHECK_FALSE(RoadCurve(Fitted<double>{}, {1.0}).missing.empty());
}

}  // namespace
}  // namespace steerbench
