#include "engine/evaluate/weight_curves.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>

#include "engine/evaluate/chain.h"

namespace steerbench {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
constexpr double kKmh = 1.0 / 3.6;  // [m/s]
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

// One chain and the curve that it fills.
class Plotter {
 public:
  template <std::size_t N>
  Plotter(const Fitted<double>& fitted, const SweepColumn (&columns)[N])
      : f_(fitted), front_(AssembleFront(fitted)) {
    const auto rest = SeeWheel<double>(front_, Side::kLeft, 0.0, 0.0);
    Missing hand_missing;
    hand_ = HandToRackOf(fitted, !rest || rest->sample.steer_per_travel > 0.0, hand_missing);
    chain_.emplace(f_, front_, hand_, hand_missing, assumed_);
    curve_.sweep.level = front_.level;
    curve_.sweep.column.assign(std::begin(columns), std::end(columns));
  }
  Plotter(const Plotter&) = delete;
  Plotter& operator=(const Plotter&) = delete;

  WeightCurve Kerb(const std::vector<double>& travel) {
    if (Lacks(chain_->StandingLacks(false), kAtRest)) return curve_;
    const auto idle = PumpSpeed(f_.car.engine.idle);
    for (const double s : travel) {
      Row({s, hand_->HandAngle(s)});
      Standing(tyre::Brake::kOff, s, idle, true);
      Standing(tyre::Brake::kOn, s, idle, true);
      Standing(tyre::Brake::kOff, s, std::nullopt, false);
    }
    return curve_;
  }

  WeightCurve Road(const std::vector<double>& accelerations) {
    if (Lacks(chain_->BendLacks(), kRoadSpeeds)) return curve_;
    const auto cruise = PumpSpeed(f_.car.engine.cruise);
    for (const double ay : accelerations) {
      Row({ay});
      for (const double speed : kRoadSpeeds) {
        const auto axle = chain_->InBend(speed, ay);
        for (const auto side : {kLeft, kRight}) {
          Add(axle ? Torque(chain_->Turn(*axle, side, cruise, speed)) : kNone);
        }
      }
    }
    return curve_;
  }

  WeightCurve Boost(int points) {
    constexpr double kSpeeds[] = {0.0, 80 * kKmh, 140 * kKmh};
    if (LacksAssist() || Lacks({}, kSpeeds)) return curve_;
    const auto& circuit = chain_->Circuit();
    for (const double torque :
         EvenGrid(0.0, circuit.valve.stiffness * circuit.valve.stop, points)) {
      Row({torque});
      for (const double speed : kSpeeds) {
        const auto& engine = speed > 0.0 ? f_.car.engine.cruise : f_.car.engine.idle;
        const auto state = hydraulics::SolveAtTorque<double>(
            circuit, chain_->At(*PumpSpeed(engine), speed), torque);
        Add(state ? state->outlet : kNone);
        // What is left of a solve where the valve stands centred is no force.
        const bool none = state && std::abs(state->assist) < hydraulics::kForceTolerance;
        Add(!state ? kNone : none ? 0.0 : state->assist);
      }
    }
    return curve_;
  }

  WeightCurve Pump(int points) {
    if (LacksAssist()) return curve_;
    if (!f_.car.engine.top) curve_.missing.push_back("car.engine.top");
    if (Lacks(chain_->StandingLacks(false), kAtRest)) return curve_;
    const auto axle = chain_->Standing({}, 0.0);
    for (const double engine : EvenGrid(*f_.car.engine.idle, *f_.car.engine.top, points)) {
      const double pump = chain_->PumpSpeedAt(engine);
      Row({engine, pump});
      if (!axle) continue;
      const auto weighed = chain_->Turn(*axle, kLeft, pump, 0.0);
      if (!weighed) continue;
      Add(weighed->oil->delivered);
      Add(weighed->oil->outlet);
      Add(weighed->to_left);
      const auto speed = chain_->CatchUpUnder(weighed->oil->rack_force, pump);
      Add(speed ? speed->left : kNone);
      Add(speed ? speed->right : kNone);
    }
    return curve_;
  }

 private:
  // Adds what is missing, with the assistance at each road speed; whether there is any.
  bool Lacks(Missing missing, std::span<const double> speeds) {
    for (const double speed : speeds) {
      const Missing more = chain_->AssistLacks(speed);
      missing.insert(missing.end(), more.begin(), more.end());
    }
    for (const std::string_view m : missing) {
      if (std::ranges::find(curve_.missing, m) == curve_.missing.end()) curve_.missing.push_back(m);
    }
    return !curve_.missing.empty();
  }

  // Curves of the oil need a setup that has some, and its way to the hand wheel.
  bool LacksAssist() {
    if (!chain_->HasAssist()) curve_.missing.push_back("setup.pump");
    if (!hand_) return Lacks(chain_->StandingLacks(false), kAtRest);
    return !curve_.missing.empty();
  }

  std::optional<double> PumpSpeed(const std::optional<double>& engine) const {
    if (!chain_->HasAssist()) return std::nullopt;
    return chain_->PumpSpeedAt(*engine);
  }

  // A row starts with what it is over; what has no value in it stays 'none'.
  void Row(std::initializer_list<double> first) {
    auto& row = curve_.sweep.row.emplace_back(curve_.sweep.column.size(), kNone);
    std::ranges::copy(first, row.begin());
    next_ = first.size();
  }
  void Add(double value) { curve_.sweep.row.back()[next_++] = value; }

  static double Torque(const Said<Weighed<double>>& weighed) {
    return weighed ? weighed->to_left : kNone;
  }

  // Turned both ways and, if asked for, held after each.
  void Standing(tyre::Brake brake, double travel, const std::optional<double>& pump, bool hold) {
    const auto axle = chain_->Standing({brake, false}, travel);
    if (!axle) {
      next_ += hold ? 4 : 2;
      return;
    }
    for (const auto side : {kLeft, kRight}) Add(Torque(chain_->Turn(*axle, side, pump, 0.0)));
    if (!hold) return;
    for (const auto side : {kLeft, kRight}) {
      const double torque = Torque(chain_->HoldAfter(*axle, side, pump, 0.0));
      Add(torque * static_cast<double>(side) < 0.0 ? 0.0 : torque);
    }
  }

  const Fitted<double>& f_;
  Front<double> front_;
  std::optional<HandToRack<double>> hand_;
  std::vector<Assumption> assumed_;
  std::optional<Chain<double>> chain_;
  WeightCurve curve_;
  std::size_t next_ = 0;
};

}  // namespace

WeightCurve KerbCurve(const Fitted<double>& fitted, const std::vector<double>& travel) {
  return Plotter(fitted, kKerbColumns).Kerb(travel);
}
WeightCurve RoadCurve(const Fitted<double>& fitted, const std::vector<double>& ay) {
  return Plotter(fitted, kRoadColumns).Road(ay);
}
WeightCurve BoostCurve(const Fitted<double>& fitted, int points) {
  return Plotter(fitted, kBoostColumns).Boost(points);
}
WeightCurve PumpCurve(const Fitted<double>& fitted, int points) {
  return Plotter(fitted, kPumpColumns).Pump(points);
}

// Up to where the two-wheel model ends (tyre/vehicle.h), about 4 m/s^2.
std::vector<double> UsualAccelerations(int points) {
  constexpr double kMost = 4.0;  // [m/s^2]
  return EvenGrid(0.0, kMost, points);
}

}  // namespace steerbench
