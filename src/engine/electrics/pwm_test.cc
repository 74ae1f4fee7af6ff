#include "engine/electrics/pwm.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "fixtures/derivatives.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::electrics {
namespace {

using reference::Between;
using reference::Load;

constexpr double kHertz = 1.0;

Switched<double> FromRow(const reference::Row& row) {
  // Its frequency is in Hz, which the rows' units do not list.
  const double f = row.Json().at("inputs").at("f").at("value").get<double>() * kHertz;
  return {row.Input("U"), row.Input("R"), row.Input("L"), f, row.Input("duty"), 0.0};
}

TEST_CASE("pwm: mean, ripple, rise") {
  const reference::Row row = Load("pwm");
  const Switched<double> load = FromRow(row);
  const auto c = CurrentOf(load);
  REQUIRE(c);
  REFERENCE_CHECK(row, "I_mean", c->mean);
  REFERENCE_CHECK(row, "I_max", c->most);
  REFERENCE_CHECK(row, "I_min", c->least);
  REFERENCE_CHECK(row, "ripple_linear_approx", c->linear_ripple);
  REFERENCE_CHECK(row, "I_rise_at_5ms", RisingCurrent(load, 0.005));
  CHECK_FALSE(c->gaps);
  CHECK(*TimeToReach(load, RisingCurrent(load, 0.005)) == fixtures::Near(0.005));
}

// Steps the circuit through many periods by Heun's method, the diode blocking below zero.
SwitchedCurrent<double> Stepped(const Switched<double>& s) {
  constexpr int kSteps = 20'000, kPeriods = 40;
  SwitchedCurrent<double> c;
  double i = 0.0;
  const double h = 1.0 / (s.frequency * kSteps);
  for (int period = 0; period < kPeriods; ++period) {
    c = {0.0, 0.0, HUGE_VAL, 0.0, false};
    for (int k = 0; k < kSteps; ++k) {
      const double drive = k < s.duty * kSteps ? s.voltage : -s.diode_drop;
      const auto rate = [&](double x) { return (drive - s.resistance * x) / s.inductance; };
      const double slope = rate(i);
      i = std::max(0.0, i + h / 2.0 * (slope + rate(i + h * slope)));
      c.mean += i / kSteps;
      c.most = std::max(c.most, i);
      c.least = std::min(c.least, i);
    }
  }
  return c;
}

TEST_CASE("pwm equals stepping through the periods, with a diode and with gaps") {
  for (const auto& s : {Switched<double>{13.5, 7.0, 0.02, 300.0, 0.4, 0.7},
                        Switched<double>{13.5, 7.0, 0.004, 100.0, 0.3, 0.7},
                        Switched<double>{13.5, 7.0, 0.02, 300.0, 0.4, 0.0}}) {
    const auto c = CurrentOf(s);
    const auto stepped = Stepped(s);
    CHECK(c->mean == fixtures::Near(stepped.mean, 1e-3));
    CHECK(c->most == fixtures::Near(stepped.most, 1e-3));
    CHECK(std::abs(c->least - stepped.least) < 1e-3);
  }
  CHECK(CurrentOf(Switched<double>{13.5, 7.0, 0.004, 100.0, 0.3, 0.7})->gaps);
}

TEST_CASE("pwm: mean rises with duty and lies within the ripple, duty and mean are inverse") {
  CHECK(rc::check([] {
    Switched<double> s{Between(5.0, 30.0),    Between(1.0, 30.0),  Between(1e-3, 0.1),
                       Between(50.0, 5000.0), Between(0.01, 0.95), Between(0.0, 1.0)};
    const auto c = CurrentOf(s);
    RC_ASSERT(bool(c));
    RC_ASSERT(c->least >= 0.0 && c->least <= c->mean * (1.0 + 1e-9));
    RC_ASSERT(c->mean <= c->most * (1.0 + 1e-9));
    RC_ASSERT(c->most <= s.voltage / s.resistance);
    if (!c->gaps) RC_ASSERT(std::abs(*DutyFor(s, c->mean) - s.duty) < 1e-9);
    s.duty += 0.02;
    RC_ASSERT(CurrentOf(s)->mean > c->mean);
  }));
  const Switched<double> always{13.5, 7.0, 0.02, 300.0, 1.0, 0.7};
  CHECK(CurrentOf(always)->mean == fixtures::Near(13.5 / 7.0));
  Switched<double> never = always;
  never.duty = 0.0;
  CHECK(CurrentOf(never)->mean == 0.0);
  CHECK(CurrentOf(never)->most == 0.0);
}

TEST_CASE("pwm: derivatives equal central differences") {
  for (const double inductance : {0.02, 0.004}) {
    CHECK(ScaledDerivativesHold(
        [](const auto& x) {
          using T = std::decay_t<decltype(x[0])>;
          const Switched<T> s{x[0], x[1], x[2], x[3], x[4], x[5]};
          const auto c = CurrentOf(s);
          return T(c->mean + 2.0 * c->most + c->linear_ripple + *TimeToReach(s, T(x[4])));
        },
        {13.5, 7.0, inductance, 150.0, 0.3, 0.7}));
  }
}

TEST_CASE("pwm: hostile numbers give a reason") {
  const Switched<double> good{13.5, 7.0, 0.02, 300.0, 0.4, 0.7};
  for (const double bad : {-1.0, std::nan(""), HUGE_VAL}) {
    Switched<double> s = good;
    s.voltage = bad;
    CHECK(CurrentOf(s).why().problem == Problem::kVoltage);
    s = good;
    s.resistance = bad;
    CHECK(CurrentOf(s).why().problem == Problem::kResistance);
    s = good;
    s.inductance = bad;
    CHECK(CurrentOf(s).why().problem == Problem::kInductance);
    s = good;
    s.frequency = bad;
    CHECK(CurrentOf(s).why().problem == Problem::kFrequency);
    s = good;
    s.duty = bad;
    CHECK(CurrentOf(s).why().problem == Problem::kDuty);
    CHECK(TimeToReach(good, bad).why().problem == Problem::kUnreachable);
  }
  CHECK(TimeToReach(good, 2.0).why().problem == Problem::kUnreachable);
  CHECK(DutyFor(good, 2.0).why().problem == Problem::kUnreachable);
  Switched<double> s = good;
  s.frequency = 1e-300;
  s.inductance = 1e-300;
  const auto c = CurrentOf(s);
  if (c) CHECK(std::isfinite(c->mean));
}

}  // namespace
}  // namespace steerbench::electrics
