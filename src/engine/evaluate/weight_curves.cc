#include "engine/evaluate/weight_curves.h"

#include <algorithm>
#include <cmath>
#include <span>

#include "engine/evaluate/chain.h"
#include "engine/evaluate/seeded.h"
#include "engine/evaluate/states.h"
#include "engine/hydraulics/curves.h"

namespace steerbench {
namespace {

constexpr effort::Direction kLeft = effort::Direction::kLeft, kRight = effort::Direction::kRight;

constexpr SweepColumn kKerbColumns[] = {
    {"travel", "rack travel", Kind::kLength},
    {"hand_wheel", "hand wheel, to the left", Kind::kAngle},
    {"turn_left", "turned left, brake off", Kind::kTorque},
    {"turn_right", "turned right, brake off", Kind::kTorque},
    {"hold_left", "held after turning left, brake off", Kind::kTorque},
    {"hold_right", "held after turning right, brake off", Kind::kTorque},
    {"brake_turn_left", "turned left, brake on", Kind::kTorque},
    {"brake_turn_right", "turned right, brake on", Kind::kTorque},
    {"brake_hold_left", "held after turning left, brake on", Kind::kTorque},
    {"brake_hold_right", "held after turning right, brake on", Kind::kTorque},
    {"lost_left", "turned left, brake off, assist lost", Kind::kTorque},
    {"lost_right", "turned right, brake off, assist lost", Kind::kTorque},
};

constexpr double kAtRest[] = {0.0};
constexpr double kRoadSpeeds[] = {50 * kKmh, 80 * kKmh, 110 * kKmh, 140 * kKmh};
constexpr SweepColumn kRoadColumns[] = {
    {"acceleration", "lateral acceleration", Kind::kAcceleration},
    {"in_50", "turned in, 50 km/h", Kind::kTorque},
    {"out_50", "turned out, 50 km/h", Kind::kTorque},
    {"in_80", "turned in, 80 km/h", Kind::kTorque},
    {"out_80", "turned out, 80 km/h", Kind::kTorque},
    {"in_110", "turned in, 110 km/h", Kind::kTorque},
    {"out_110", "turned out, 110 km/h", Kind::kTorque},
    {"in_140", "turned in, 140 km/h", Kind::kTorque},
    {"out_140", "turned out, 140 km/h", Kind::kTorque},
};

constexpr SweepColumn kBoostColumns[] = {
    {"torque", "torque at the valve", Kind::kTorque},
    {"pressure", "pressure, standing at idle", Kind::kPressureGauge},
    {"assist", "assistance on the rack, standing at idle", Kind::kForce},
    {"pressure_80", "pressure, 80 km/h", Kind::kPressureGauge},
    {"assist_80", "assistance on the rack, 80 km/h", Kind::kForce},
    {"pressure_140", "pressure, 140 km/h", Kind::kPressureGauge},
    {"assist_140", "assistance on the rack, 140 km/h", Kind::kForce},
};

constexpr SweepColumn kPumpColumns[] = {
    {"engine_speed", "engine speed", Kind::kAngularSpeed},
    {"pump_speed", "pump speed", Kind::kAngularSpeed},
    {"flow", "flow delivered, kerb", Kind::kFlow},
    {"pressure", "pressure, kerb", Kind::kPressureGauge},
    {"turn_left", "turned left, kerb", Kind::kTorque},
    {"catch_up_left", "hand wheel outruns the pump, left turn", Kind::kAngularSpeed},
    {"catch_up_right", "hand wheel outruns the pump, right turn", Kind::kAngularSpeed},
};

// Rack and pump on a bench, with no car around them.
constexpr SweepColumn kBenchBoostColumns[] = {
    {"torque", "torque at the valve", Kind::kTorque},
    {"pressure", "pressure, pump at its regulated flow", Kind::kPressureGauge},
    {"assist", "assistance on the rack, pump at its regulated flow", Kind::kForce},
};
constexpr SweepColumn kBenchPumpColumns[] = {
    {"pump_speed", "pump speed", Kind::kAngularSpeed},
    {"flow_free", "flow delivered, hand wheel let go", Kind::kFlow},
    {"pressure_free", "pressure, hand wheel let go", Kind::kPressureGauge},
    {"flow_half", "flow delivered at half the relief pressure", Kind::kFlow},
};

// A curve in the scalar T.
template <class T>
struct Plot {
  Level level = Level::kUnknown;
  std::vector<std::vector<T>> row;
  Missing missing;
};

// One chain and the curve that it fills.
template <class T>
class Plotter {
 public:
  // `solved` is what plotters of one car share that differ in their derivatives alone; kept.
  Plotter(const Fitted<T>& fitted, std::size_t columns, Solved& solved)
      : f_(fitted),
        front_(AssembleFront(fitted, &solved.poses)),
        roots_(solved.roots),
        columns_(columns) {
    const auto rest = SeeWheel<T>(front_, Side::kLeft, T(0.0), T(0.0));
    Missing hand_missing;
    hand_ = HandToRackOf(fitted, !rest || Value(rest->sample.steer_per_travel) > 0.0, hand_missing);
    chain_.emplace(f_, front_, hand_, hand_missing, assumed_, &roots_);
    plot_.level = front_.level;
  }
  Plotter(const Plotter&) = delete;
  Plotter& operator=(const Plotter&) = delete;

  Plot<T> Kerb(const std::vector<double>& travel) {
    if (Lacks(chain_->StandingLacks(false), kAtRest)) return plot_;
    const auto idle = PumpSpeed(f_.car.engine.idle);
    for (const double s : travel) {
      Row({T(s), hand_->HandAngle(T(s))});
      Standing(tyre::Brake::kOff, T(s), idle, true);
      Standing(tyre::Brake::kOn, T(s), idle, true);
      Standing(tyre::Brake::kOff, T(s), std::nullopt, false);
    }
    return plot_;
  }

  Plot<T> Road(const std::vector<double>& accelerations) {
    if (Lacks(chain_->BendLacks(), kRoadSpeeds)) return plot_;
    const auto cruise = PumpSpeed(f_.car.engine.cruise);
    for (const double ay : accelerations) {
      Row({T(ay)});
      for (const double speed : kRoadSpeeds) {
        const auto axle = chain_->InBend(speed, ay);
        for (const auto side : {kLeft, kRight}) {
          Add(axle ? Torque(chain_->Turn(*axle, side, cruise, speed)) : T(kNoValue));
        }
      }
    }
    return plot_;
  }

  Plot<T> Boost(int points) {
    constexpr double kSpeeds[] = {0.0, 80 * kKmh, 140 * kKmh};
    if (LacksAssist() || Lacks({}, kSpeeds)) return plot_;
    const auto& circuit = chain_->Circuit();
    for (const double torque :
         EvenGrid(0.0, Value(circuit.valve.stiffness) * Value(circuit.valve.stop), points)) {
      Row({T(torque)});
      for (const double speed : kSpeeds) {
        const auto& engine = speed > 0.0 ? f_.car.engine.cruise : f_.car.engine.idle;
        AddBoost(circuit, chain_->At(*PumpSpeed(engine), speed), torque);
      }
    }
    return plot_;
  }

  // Nothing but rack, pump, lines and oil, the pump at its regulated flow.
  Plot<T> BenchBoost(int points) {
    const auto bench = OnBench();
    if (!bench) return plot_;
    const auto& [circuit, condition] = *bench;
    for (const double torque :
         EvenGrid(0.0, Value(circuit.valve.stiffness) * Value(circuit.valve.stop), points)) {
      Row({T(torque)});
      AddBoost(circuit, condition, torque);
    }
    return plot_;
  }

  Plot<T> BenchPump(int points) {
    auto bench = OnBench();
    if (f_.pump && !f_.pump->top_speed) plot_.missing.push_back("pump.top_speed");
    if (!bench || !plot_.missing.empty()) return plot_;
    auto& [circuit, condition] = *bench;
    const double top = Value(*f_.pump->top_speed);
    for (const double speed : EvenGrid(top / points, top, points)) {
      Row({T(speed)});
      condition.pump_speed = T(speed);
      const auto free = hydraulics::SolveAtTorque<T>(circuit, condition, T(0.0));
      Add(free ? free->delivered : T(kNoValue));
      Add(free ? free->outlet : T(kNoValue));
      const auto half = hydraulics::DeliveredAt<T>(circuit, condition, T(*ReliefOf(f_) / 2.0));
      Add(half ? *half : T(kNoValue));
    }
    return plot_;
  }

  Plot<T> Pump(int points) {
    if (LacksAssist()) return plot_;
    if (!f_.car.engine.top) plot_.missing.push_back("car.engine.top");
    if (Lacks(chain_->StandingLacks(false), kAtRest)) return plot_;
    const auto axle = chain_->Standing({}, T(0.0));
    for (const double engine :
         EvenGrid(Value(*f_.car.engine.idle), Value(*f_.car.engine.top), points)) {
      const T pump = chain_->PumpSpeedAt(T(engine));
      Row({T(engine), pump});
      if (!axle) continue;
      const auto weighed = chain_->Turn(*axle, kLeft, std::optional(pump), 0.0);
      if (!weighed) continue;
      Add(weighed->oil->delivered);
      Add(weighed->oil->outlet);
      Add(weighed->to_left);
      const auto speed = chain_->CatchUpUnder(weighed->oil->rack_force, pump);
      Add(speed ? speed->left : T(kNoValue));
      Add(speed ? speed->right : T(kNoValue));
    }
    return plot_;
  }

 private:
  // Adds what is missing, with the assistance at each road speed; whether there is any.
  bool Lacks(Missing missing, std::span<const double> speeds) {
    for (const double speed : speeds) {
      Append(missing, chain_->AssistLacks(speed));
    }
    for (const std::string_view m : missing) Note(plot_.missing, m);
    return !plot_.missing.empty();
  }

  // Curves of the oil need a setup that has some, and its way to the hand wheel.
  bool LacksAssist() {
    if (!chain_->HasAssist()) plot_.missing.push_back("setup.pump");
    if (!hand_) return Lacks(chain_->StandingLacks(false), kAtRest);
    return !plot_.missing.empty();
  }

  // Pressure and assistance at a torque of the valve.
  void AddBoost(const hydraulics::Circuit<T>& circuit, const hydraulics::Condition<T>& condition,
                double torque) {
    const auto state = hydraulics::SolveAtTorque<T>(circuit, condition, T(torque));
    Add(state ? state->outlet : T(kNoValue));
    // What is left of a solve where the valve stands centred is no force.
    const bool none = state && std::abs(Value(state->assist)) < hydraulics::kForceTolerance;
    Add(!state ? T(kNoValue) : none ? T(0.0) : state->assist);
  }

  // The circuit with its coils as they are standing, or what is missing for it.
  std::optional<std::pair<hydraulics::Circuit<T>, hydraulics::Condition<T>>> OnBench() {
    auto& missing = plot_.missing;
    const auto ratio = RatioOf(f_, missing);
    const auto currents = CoilCurrents<T>(f_, 0.0, missing);
    std::optional<hydraulics::Circuit<T>> circuit;
    if (ratio) circuit = CircuitOf<T>(f_, *ratio, missing, assumed_);
    if (!missing.empty() || !circuit) return std::nullopt;
    circuit->known = &roots_;
    hydraulics::Condition<T> condition;
    condition.pump_speed =
        f_.pump->full_flow_speed.value_or(T(*f_.pump->flow / circuit->pump.displacement));
    condition.temperature = *f_.car.oil.temperature;
    std::ranges::copy(*currents, condition.currents.begin());
    return std::pair{*circuit, condition};
  }

  std::optional<T> PumpSpeed(const std::optional<T>& engine) const {
    if (!chain_->HasAssist()) return std::nullopt;
    return chain_->PumpSpeedAt(*engine);
  }

  // A row starts with what it is over; what has no value in it stays 'none'.
  void Row(std::initializer_list<T> first) {
    auto& row = plot_.row.emplace_back(columns_, T(kNoValue));
    std::ranges::copy(first, row.begin());
    next_ = first.size();
  }
  void Add(const T& value) { plot_.row.back()[next_++] = value; }

  static T Torque(const Said<Weighed<T>>& weighed) {
    return weighed ? weighed->to_left : T(kNoValue);
  }

  // Turned both ways and, if asked for, held after each.
  void Standing(tyre::Brake brake, const T& travel, const std::optional<T>& pump, bool hold) {
    const auto axle = chain_->Standing({brake, false}, travel);
    if (!axle) {
      next_ += hold ? 4 : 2;
      return;
    }
    for (const auto side : {kLeft, kRight}) Add(Torque(chain_->Turn(*axle, side, pump, 0.0)));
    if (!hold) return;
    for (const auto side : {kLeft, kRight}) {
      const T torque = Torque(chain_->HoldAfter(*axle, side, pump, 0.0));
      Add(Value(torque) * static_cast<double>(side) < 0.0 ? T(0.0) : torque);
    }
  }

  const Fitted<T>& f_;
  Front<T> front_;
  hydraulics::KnownRoots& roots_;
  std::optional<HandToRack<T>> hand_;
  std::vector<Assumption> assumed_;
  std::optional<Chain<T>> chain_;
  std::size_t columns_;
  Plot<T> plot_;
  std::size_t next_ = 0;
};

// Squares of what each input's plus-minus makes of every value, added up over the inputs.
void AddSquares(const Plot<Jet>& plot, std::span<const double> tolerance,
                std::vector<std::vector<double>>& squares) {
  for (std::size_t i = 0; i < plot.row.size(); ++i) {
    for (std::size_t j = 0; j < plot.row[i].size(); ++j) {
      for (std::size_t k = 0; k < tolerance.size(); ++k) {
        const double part = plot.row[i][j].v[static_cast<int>(k)] * tolerance[k];
        squares[i][j] += part * part;
      }
    }
  }
}

template <std::size_t N>
WeightCurve CurveOf(Plot<double> plot, const SweepColumn (&columns)[N]) {
  WeightCurve curve;
  curve.sweep.level = plot.level;
  curve.sweep.column.assign(std::begin(columns), std::end(columns));
  curve.sweep.row = std::move(plot.row);
  curve.missing = std::move(plot.missing);
  return curve;
}

// Points of a curve lie near each other.
Solved AlongCurve() { return {{}, hydraulics::KnownRoots(hydraulics::KnownRoots::Start::kNear)}; }

// `draw(plotter)` makes a Plot, in any scalar.
template <std::size_t N, class Draw>
WeightCurve Drawn(const Fitted<double>& fitted, const SweepColumn (&columns)[N], Draw draw,
                  Solved& solved) {
  return CurveOf(draw(Plotter<double>(fitted, N, solved)), columns);
}
template <std::size_t N, class Draw>
WeightCurve Drawn(const Fitted<double>& fitted, const SweepColumn (&columns)[N], Draw draw) {
  Solved solved = AlongCurve();
  return Drawn(fitted, columns, draw, solved);
}

template <std::size_t N, class Draw>
WeightCurve Drawn(const Fitted<Quantity>& fitted, const SweepColumn (&columns)[N], Draw draw) {
  const auto plain = LiftTo<double>(fitted, [](std::size_t, double value) { return value; });
  Solved solved = AlongCurve();
  WeightCurve curve = Drawn(plain, columns, draw, solved);
  auto& pm = curve.sweep.pm;
  for (const auto& row : curve.sweep.row) pm.emplace_back(row.size(), 0.0);
  std::vector<double> tolerance;
  for (const Input& input : Inputs(fitted)) {
    tolerance.push_back(input.quantity.tolerance.value_or(0.0));
  }
  ForEachSeeded(fitted, tolerance.size(), [&](const Fitted<Jet>& seeded, std::size_t first) {
    const std::size_t count = std::min<std::size_t>(kJetWidth, tolerance.size() - first);
    AddSquares(draw(Plotter<Jet>(seeded, N, solved)), std::span(tolerance).subspan(first, count),
               pm);
  });
  for (auto& row : pm) {
    for (double& square : row) square = std::sqrt(square);
  }
  return curve;
}

// Whether the file says nothing of the car around rack and pump that a curve of theirs could use:
// not how fast an engine turns the pump, and of the linkage not even its kind.
template <class S>
bool DrivesNothing(const Fitted<S>& f) {
  return !f.car.engine.idle && !f.car.engine.crank_pulley;
}
template <class S>
bool SteersNothing(const Fitted<S>& f) {
  const FrontAxle<S>& axle = f.car.front;
  return !axle.left.tie_rod_outer && !axle.plan.arm_length && axle.turn_plate.empty();
}

template <class S>
WeightCurve DrawnBoost(const Fitted<S>& f, int points) {
  if (DrivesNothing(f)) {
    return Drawn(f, kBenchBoostColumns, [&](auto&& p) { return p.BenchBoost(points); });
  }
  return Drawn(f, kBoostColumns, [&](auto&& p) { return p.Boost(points); });
}

template <class S>
WeightCurve DrawnPump(const Fitted<S>& f, int points) {
  if (DrivesNothing(f) || SteersNothing(f)) {
    return Drawn(f, kBenchPumpColumns, [&](auto&& p) { return p.BenchPump(points); });
  }
  return Drawn(f, kPumpColumns, [&](auto&& p) { return p.Pump(points); });
}

}  // namespace

WeightCurve KerbCurve(const Fitted<double>& fitted, const std::vector<double>& travel) {
  return Drawn(fitted, kKerbColumns, [&](auto&& plotter) { return plotter.Kerb(travel); });
}
WeightCurve KerbCurve(const Fitted<Quantity>& fitted, const std::vector<double>& travel) {
  return Drawn(fitted, kKerbColumns, [&](auto&& plotter) { return plotter.Kerb(travel); });
}
WeightCurve RoadCurve(const Fitted<double>& fitted, const std::vector<double>& ay) {
  return Drawn(fitted, kRoadColumns, [&](auto&& plotter) { return plotter.Road(ay); });
}
WeightCurve RoadCurve(const Fitted<Quantity>& fitted, const std::vector<double>& ay) {
  return Drawn(fitted, kRoadColumns, [&](auto&& plotter) { return plotter.Road(ay); });
}
WeightCurve BoostCurve(const Fitted<double>& fitted, int points) {
  return DrawnBoost(fitted, points);
}
WeightCurve BoostCurve(const Fitted<Quantity>& fitted, int points) {
  return DrawnBoost(fitted, points);
}
WeightCurve PumpCurve(const Fitted<double>& fitted, int points) {
  return DrawnPump(fitted, points);
}
WeightCurve PumpCurve(const Fitted<Quantity>& fitted, int points) {
  return DrawnPump(fitted, points);
}

// Up to where the two-wheel model ends (tyre/vehicle.h), about 4 m/s^2.
std::vector<double> UsualAccelerations(int points) {
  constexpr double kMost = 4.0;  // [m/s^2]
  return EvenGrid(0.0, kMost, points);
}

}  // namespace steerbench
