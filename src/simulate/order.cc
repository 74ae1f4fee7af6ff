#include "simulate/order.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "model/lift.h"

namespace steerbench::simulate {
namespace {

// A run by its name, and what it is when nothing more is said.
struct Usual {
  std::string_view word;
  Shape shape;
  double amplitude;  // [rad]; of lock runs counted from lock
  bool from_lock;
  double time;    // [s]
  double length;  // of the whole run, in times
};
constexpr double kDegree = M_PI / 180.0;
constexpr std::array<Usual, 5> kRuns{
    {{"step", Shape::kStep, 90.0 * kDegree, false, 0.3, 5.0},
     {"ramp", Shape::kRamp, 180.0 * kDegree, false, 1.0, 1.5},
     {"sine", Shape::kSine, 45.0 * kDegree, false, 2.0, 3.0},
     {"parking", Shape::kParking, -10.0 * kDegree, true, 3.0, 3.0},
     // Past lock by more than the valve and the column wind up, so that the rack does arrive.
     {"lock-impact", Shape::kLockImpact, 10.0 * kDegree, true, 2.0, 1.5}}};

class Preparer {
 public:
  Preparer(const Order& order, const Fitted<double>& fitted) : o_(order), f_(fitted) {}

  Prepared Run(const Evaluation<double>& results, int samples) {
    TakePlant(results);
    if (!out_.wrong) TakeRun();
    out_.run.samples = samples;
    return std::move(out_);
  }

 private:
  void Wrongly(std::string field, std::string message) {
    if (!out_.wrong) out_.wrong = Wrong{std::move(field), std::move(message)};
  }

  // A value of a kind; unset when it was not given or is wrong, which is noted.
  std::optional<double> Take(std::string_view field, const std::string& text, Kind kind) {
    if (text.empty()) return std::nullopt;
    const ParsedQuantity read = ParseQuantity(text, kind);
    if (read.quantity) return read.quantity->value;
    Wrongly(std::string(field), fmt::format("'{}': {}", text, read.error.message));
    return std::nullopt;
  }

  void TakePlant(const Evaluation<double>& results) {
    Given given;
    given.air = Take("air", o_.air, Kind::kShare).value_or(0.0);
    given.engine_speed = Take("engine_speed", o_.engine_speed, Kind::kAngularSpeed);
    given.rack_mass = Take("rack_mass", o_.rack_mass, Kind::kMass);
    if (out_.wrong) return;
    Missing missing;
    auto made = PlantOf(f_, results, given, missing);
    if (made) {
      out_.plant = std::move(*made);
      return;
    }
    std::vector<std::string> names;
    for (const std::string_view path : missing) names.push_back(FullPath(f_, path));
    Wrongly("", fmt::format("setup '{}' lacks what a simulation needs: {}", f_.setup_name,
                            names.empty() ? "a load at the kerb that can be computed"
                                          : fmt::format("{}", fmt::join(names, ", "))));
  }

  // What the hand does, in the plant's sense.
  void TakeRun() {
    const auto* usual = std::ranges::find(kRuns, o_.run, &Usual::word);
    if (usual == kRuns.end()) {
      return Wrongly("run",
                     fmt::format("'{}': write step, ramp, sine, parking or lock-impact", o_.run));
    }
    Manoeuvre& m = out_.run.manoeuvre;
    m.shape = usual->shape;
    const Plant& p = out_.plant.plant;
    const double turn = out_.plant.turn;
    const double lock =
        (turn > 0.0 ? p.stops.high : -p.stops.low) / p.circuit.cylinder.travel_per_radian;
    m.of_torque = ParseQuantity(o_.amplitude, Kind::kTorque).quantity.has_value();
    m.amplitude = turn * Take("amplitude", o_.amplitude, m.of_torque ? Kind::kTorque : Kind::kAngle)
                             .value_or(usual->amplitude + (usual->from_lock ? lock : 0.0));
    m.time = Take("time", o_.time, Kind::kTime).value_or(usual->time);
    out_.run.duration = Take("duration", o_.duration, Kind::kTime).value_or(m.time * usual->length);
  }

  const Order& o_;
  const Fitted<double>& f_;
  Prepared out_;
};

// What is smaller than the solver's own error is none; also takes the sign off a zero.
double Quiet(double x, double error) { return std::abs(x) < error ? 0.0 : x; }
constexpr double kSpeedError = 1e-6, kForceError = 1e-3, kTorqueError = 1e-6;  // SI

}  // namespace

Prepared Prepare(const Order& order, const Fitted<double>& fitted,
                 const Evaluation<double>& results, int samples) {
  return Preparer(order, fitted).Run(results, samples);
}

Sweep AsSweep(const History& history, const FittedPlant& plant) {
  const double turn = plant.turn;
  Sweep sweep;
  sweep.assumed = plant.assumed;
  sweep.level = Level::kPoints;
  sweep.column = {{"time", "Time", Kind::kTime},
                  {"hand_angle", "Hand-wheel angle, to the left positive", Kind::kAngle},
                  {"hand_torque", "Torque of the hand, to the left positive", Kind::kTorque},
                  {"travel", "Rack travel, to the left positive", Kind::kLength},
                  {"rack_speed", "Rack speed", Kind::kSpeed},
                  {"outlet", "Pressure at the pump", Kind::kPressureGauge},
                  {"chamber_left", "Pressure that pushes to the left", Kind::kPressureGauge},
                  {"chamber_right", "Pressure that pushes to the right", Kind::kPressureGauge},
                  {"flow", "Flow delivered by the pump", Kind::kFlow},
                  {"assist", "Force of the oil on the rack", Kind::kForce},
                  {"load", "Force of the wheels against the rack", Kind::kForce}};
  // Energies [J] are of the kind of a torque, 1 N m = 1 J; a table for people has no room for them.
  for (const auto& [key, label] : std::initializer_list<std::pair<const char*, const char*>>{
           {"hand_work", "Energy brought in by the hand (1 N m = 1 J)"},
           {"pump_work", "Energy brought in by the pump (1 N m = 1 J)"},
           {"load_work", "Energy given to the wheels (1 N m = 1 J)"},
           {"stored", "Energy kept in motion, springs and oil (1 N m = 1 J)"},
           {"lost", "Energy turned to heat (1 N m = 1 J)"},
           {"carried", "Elastic energy that came with the oil (1 N m = 1 J)"}}) {
    sweep.column.push_back({key, label, Kind::kTorque});
  }
  for (const Sample& s : history.samples) {
    sweep.row.push_back({s.time, Quiet(turn * s.hand_angle, kTorqueError),
                         Quiet(turn * s.hand_torque, kTorqueError), s.travel,
                         Quiet(s.speed, kSpeedError), s.outlet, s.chamber_a, s.chamber_b,
                         s.delivered, Quiet(s.assist, kForceError), Quiet(s.load, kForceError),
                         s.hand_work, s.pump_work, s.load_work, s.stored, s.lost, s.carried});
  }
  return sweep;
}

}  // namespace steerbench::simulate
