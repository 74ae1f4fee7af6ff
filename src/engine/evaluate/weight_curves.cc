#include "engine/evaluate/weight_curves.h"

#include <algorithm>
#include <cmath>
#include <concepts>
#include <memory>
#include <span>
#include <utility>

#include "engine/evaluate/chain.h"
#include "engine/evaluate/seeded.h"
#include "engine/evaluate/states.h"
#include "engine/hydraulics/characteristic.h"
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
  std::vector<std::string_view> gaps;     // why values are missing
  std::vector<hydraulics::Marks> doubts;  // of each column, in any row
  std::vector<Assumption> assumed;
};

// One chain and the curves that it fills, one after another.
template <class T>
class Plotter {
 public:
  // `solved` is what plotters of one car share that differ in their derivatives alone; kept.
  Plotter(const Fitted<T>& fitted, Solved& solved)
      : f_(fitted), front_(AssembleFront(fitted, &solved.poses)), roots_(solved.roots) {
    const auto rest = SeeWheel<T>(front_, Side::kLeft, T(0.0), T(0.0));
    Missing hand_missing;
    hand_ = HandToRackOf(fitted, !rest || Value(rest->sample.steer_per_travel) > 0.0, hand_missing);
    chain_.emplace(f_, front_, hand_, hand_missing, assumed_, &roots_);
    // The circuit is made once, so that what it takes for granted is noted once, for every curve.
    if (chain_->HasAssist()) (void)chain_->AssistLacks(0.0);
    for_all_ = assumed_;
  }
  Plotter(const Plotter&) = delete;
  Plotter& operator=(const Plotter&) = delete;

  Plot<T> Kerb(const std::vector<double>& travel) {
    Begin(kKerbColumns);
    NoteLinkage();
    if (Lacks(chain_->StandingLacks(false), kAtRest)) return Drawn();
    const Running idle = RunningAt(f_.car.engine.idle, 0.0);
    const Running lost;
    for (const double s : travel) {
      Row({T(s), hand_->HandAngle(T(s))});
      const auto posed = chain_->PoseAt(T(s));
      if (!posed) {
        Note(plot_.gaps, posed.why());
        continue;
      }
      const auto off = chain_->Standing({tyre::Brake::kOff, false}, *posed);
      AddTurns(off, idle);
      AddHolds(off, idle);
      const auto on = chain_->Standing({tyre::Brake::kOn, false}, *posed);
      AddTurns(on, idle);
      AddHolds(on, idle);
      AddTurns(off, lost);
    }
    return Drawn();
  }

  Plot<T> Road(const std::vector<double>& accelerations) {
    Begin(kRoadColumns);
    NoteLinkage();
    if (Lacks(chain_->BendLacks(), kRoadSpeeds)) return Drawn();
    std::vector<Running> running;
    for (const double speed : kRoadSpeeds) {
      running.push_back(RunningAt(f_.car.engine.cruise, speed));
    }
    if constexpr (kLooksUp) {
      if (auto map = MapBends(*chain_, accelerations, kRoadSpeeds)) {
        chain_->TakeSteerMap(*std::move(map));
      }
    }
    for (const double ay : accelerations) {
      Row({T(ay)});
      for (const Running& state : running) AddTurns(chain_->InBend(state.road_speed, ay), state);
    }
    return Drawn();
  }

  Plot<T> Boost(int points) {
    Begin(kBoostColumns);
    constexpr double kSpeeds[] = {0.0, 80 * kKmh, 140 * kKmh};
    if (LacksAssist() || Lacks({}, kSpeeds)) return Drawn();
    std::vector<Oil> oil;
    for (const double speed : kSpeeds) {
      const auto& engine = speed > 0.0 ? f_.car.engine.cruise : f_.car.engine.idle;
      oil.push_back(OilOfCar(chain_->PumpSpeedAt(*engine), speed));
    }
    for (const double torque : Torques(chain_->Circuit(), points)) {
      Row({T(torque)});
      for (const Oil& at : oil) AddBoost(at, torque);
    }
    return Drawn();
  }

  // Nothing but rack, pump, lines and oil, the pump at its regulated flow.
  Plot<T> BenchBoost(int points) {
    Begin(kBenchBoostColumns);
    const auto bench = OnBench();
    if (!bench) return Drawn();
    const Oil oil = OilIn(bench->first, bench->second);
    for (const double torque : Torques(bench->first, points)) {
      Row({T(torque)});
      AddBoost(oil, torque);
    }
    return Drawn();
  }

  Plot<T> BenchPump(int points) {
    Begin(kBenchPumpColumns);
    auto bench = OnBench();
    if (f_.pump && !f_.pump->top_speed) plot_.missing.push_back("pump.top_speed");
    if (!bench || !plot_.missing.empty()) return Drawn();
    auto& [circuit, condition] = *bench;
    const double top = Value(*f_.pump->top_speed);
    for (const double speed : EvenGrid(top / points, top, points)) {
      Row({T(speed)});
      condition.pump_speed = T(speed);
      const auto free = hydraulics::SolveAtTorque<T>(circuit, condition, T(0.0));
      if (!free) Note(plot_.gaps, Describe(free.why()));
      const hydraulics::Marks marks = free ? free->marks : hydraulics::Marks();
      Add(free ? free->delivered : T(kNoValue), marks);
      Add(free ? free->outlet : T(kNoValue), marks);
      const auto half = hydraulics::DeliveredAt<T>(circuit, condition, T(*ReliefOf(f_) / 2.0));
      if (!half) Note(plot_.gaps, Describe(half.why()));
      // It leans on the oil, not on lines or valve.
      Add(half ? *half : T(kNoValue),
          hydraulics::StateAt<T>(circuit.fluid, condition.temperature).marks);
    }
    return Drawn();
  }

  Plot<T> Pump(int points) {
    Begin(kPumpColumns);
    NoteLinkage();
    if (LacksAssist()) return Drawn();
    if (!f_.car.engine.top) plot_.missing.push_back("car.engine.top");
    if (Lacks(chain_->StandingLacks(false), kAtRest)) return Drawn();
    const auto axle = chain_->Standing({}, T(0.0));
    for (const double engine :
         EvenGrid(Value(*f_.car.engine.idle), Value(*f_.car.engine.top), points)) {
      const T pump = chain_->PumpSpeedAt(T(engine));
      Row({T(engine), pump});
      const auto weighed = axle ? chain_->Turn(*axle, kLeft, std::optional(pump), 0.0) : axle.why();
      if (!weighed) {
        Note(plot_.gaps, weighed.why());
        continue;
      }
      for (const T& value : {weighed->oil->delivered, weighed->oil->outlet, weighed->to_left}) {
        Add(value, weighed->oil->marks);
      }
      const auto speed = chain_->CatchUpUnder(weighed->load, pump);
      if (!speed) Note(plot_.gaps, speed.why());
      const hydraulics::Marks marks = speed ? speed->marks : hydraulics::Marks();
      Add(speed ? speed->left : T(kNoValue), marks);
      Add(speed ? speed->right : T(kNoValue), marks);
    }
    return Drawn();
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

  // A circuit, which must outlive it, under a condition; and its characteristic where that is
  // looked up.
  struct Oil {
    const hydraulics::Circuit<T>* circuit = nullptr;
    hydraulics::Condition<T> condition;
    std::shared_ptr<const hydraulics::Characteristic> traced;
  };

  // Pump and coils at a road speed; no pump speed: the assistance is lost, or there is none.
  struct Running {
    double road_speed = 0.0;
    std::optional<T> pump_speed;
    Oil oil;
  };

  static Oil OilIn(const hydraulics::Circuit<T>& circuit,
                   const hydraulics::Condition<T>& condition) {
    Oil oil{&circuit, condition, nullptr};
    if constexpr (kLooksUp) {
      if (auto traced = hydraulics::Characteristic::Trace(circuit, condition)) {
        oil.traced = std::make_shared<const hydraulics::Characteristic>(*std::move(traced));
      }
    }
    return oil;
  }

  // That of the car, traced once for all states in which pump and coils are alike.
  Oil OilOfCar(const T& pump_speed, double road_speed) {
    const hydraulics::Condition<T> condition = chain_->At(pump_speed, road_speed);
    if constexpr (!kLooksUp) return OilIn(chain_->Circuit(), condition);
    const auto known = std::ranges::find(traced_, condition, &Oil::condition);
    if (known != traced_.end()) return *known;
    return traced_.emplace_back(OilIn(chain_->Circuit(), condition));
  }

  Running RunningAt(const std::optional<T>& engine, double road_speed) {
    if (!chain_->HasAssist()) return {road_speed, {}, {}};
    const T pump = chain_->PumpSpeedAt(*engine);
    return {road_speed, pump, OilOfCar(pump, road_speed)};
  }

  // Torques at the valve up to that of its stop.
  static std::vector<double> Torques(const hydraulics::Circuit<T>& circuit, int points) {
    return EvenGrid(0.0, Value(circuit.valve.stiffness) * Value(circuit.valve.stop), points);
  }

  // Pressure and assistance at a torque of the valve.
  void AddBoost(const Oil& oil, double torque) {
    const auto add = [this](const T& outlet, const T& assist, hydraulics::Marks marks) {
      Add(outlet, marks);
      // What is left of a solve where the valve stands centred is no force.
      Add(std::abs(Value(assist)) < hydraulics::kForceTolerance ? T(0.0) : assist, marks);
    };
    if (oil.traced) {
      const auto point = oil.traced->AtTorque(torque);
      return add(T(point.outlet), T(point.assist), point.doubts);
    }
    const auto state = hydraulics::SolveAtTorque<T>(*oil.circuit, oil.condition, T(torque));
    if (state) return add(state->outlet, state->assist, state->marks);
    Note(plot_.gaps, Describe(state.why()));
    next_ += 2;
  }

  // Torque at the hand wheel, to the left, turned slowly; no number where there is none. What
  // casts doubt on it is noted for the column that is next.
  T Turned(const LoadedAxle<T>& axle, effort::Direction side, const Running& running) {
    if constexpr (kLooksUp) {
      if (running.oil.traced) {
        const auto torque = TurnWith(*chain_, *running.oil.traced, axle, side);
        if (!torque) return Gap(torque.why());
        Doubt(torque->doubts);
        return torque->to_left;
      }
    }
    const auto weighed = chain_->Turn(axle, side, running.pump_speed, running.road_speed);
    if (!weighed) return Gap(weighed.why());
    if (weighed->oil) Doubt(weighed->oil->marks);
    return weighed->to_left;
  }
  T Gap(std::string_view why) {
    Note(plot_.gaps, why);
    return T(kNoValue);
  }
  void Doubt(hydraulics::Marks marks) { plot_.doubts[next_].Add(hydraulics::DoubtsOf(marks)); }

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

  void NoteLinkage() {
    for (const Assumption a : front_.assumed) Note(assumed_, a);
  }

  Plot<T> Drawn() {
    plot_.assumed = assumed_;
    return std::exchange(plot_, {});
  }

  void Begin(std::span<const SweepColumn> columns) {
    plot_ = {front_.level, {}, {}, {}, std::vector<hydraulics::Marks>(columns.size()), {}};
    assumed_ = for_all_;
    // The last bits of a solve depend on where it began: on no other curve's.
    if constexpr (kLooksUp) {
      front_.known->at.clear();
      roots_.Forget();
    }
    columns_ = columns.size();
  }

  // A row starts with what it is over; what has no value in it stays 'none'.
  void Row(std::initializer_list<T> first) {
    auto& row = plot_.row.emplace_back(columns_, T(kNoValue));
    std::ranges::copy(first, row.begin());
    next_ = first.size();
  }
  void Add(const T& value, hydraulics::Marks marks = {}) {
    Doubt(marks);
    plot_.row.back()[next_++] = value;
  }

  // Turned both ways; held after each.
  void AddTurns(const Said<LoadedAxle<T>>& axle, const Running& running) {
    if (!axle) Note(plot_.gaps, axle.why());
    for (const auto side : {kLeft, kRight}) {
      Add(axle ? Turned(*axle, side, running) : T(kNoValue));
    }
  }
  void AddHolds(const Said<LoadedAxle<T>>& axle, const Running& running) {
    for (const auto side : {kLeft, kRight}) {
      const T torque = axle ? Turned(WoundUp(*axle, side), Opposite(side), running) : T(kNoValue);
      Add(Value(torque) * static_cast<double>(side) < 0.0 ? T(0.0) : torque);
    }
  }

  // A curve's values may be looked up; its derivatives come from solves.
  static constexpr bool kLooksUp = std::same_as<T, double>;
  const Fitted<T>& f_;
  Front<T> front_;
  hydraulics::KnownRoots& roots_;
  std::optional<HandToRack<T>> hand_;
  std::vector<Assumption> assumed_, for_all_;  // the latter by every curve
  std::optional<Chain<T>> chain_;
  std::size_t columns_ = 0;
  std::vector<Oil> traced_;  // of the car
  Plot<T> plot_;
  std::size_t next_ = 0;
};

// Squares of what each input's plus-minus makes of every value, added up over the inputs; not a
// number where a value that was looked up cannot be solved.
void AddSquares(const Plot<Jet>& plot, std::span<const double> tolerance,
                std::vector<std::vector<double>>& squares) {
  for (std::size_t i = 0; i < plot.row.size(); ++i) {
    for (std::size_t j = 0; j < plot.row[i].size(); ++j) {
      for (std::size_t k = 0; k < tolerance.size(); ++k) {
        const double part = plot.row[i][j].v[static_cast<int>(k)] * tolerance[k];
        squares[i][j] += std::isnan(plot.row[i][j].a) ? kNoValue : part * part;
      }
    }
  }
}

// Each doubt with the columns it is cast on.
std::vector<SweepDoubt> DoubtsIn(std::span<const hydraulics::Marks> marks,
                                 std::span<const SweepColumn> columns) {
  std::vector<SweepDoubt> doubts;
  hydraulics::Marks all;
  for (const hydraulics::Marks m : marks) all.Add(m);
  for (const hydraulics::Mark mark : hydraulics::List(all)) {
    SweepDoubt& doubt = doubts.emplace_back();
    doubt.why = Describe(mark);
    for (std::size_t i = 0; i < columns.size(); ++i) {
      if (marks[i].Has(mark)) doubt.columns.push_back(columns[i].key);
    }
  }
  return doubts;
}

template <std::size_t N>
WeightCurve CurveOf(Plot<double> plot, const SweepColumn (&columns)[N]) {
  WeightCurve curve;
  curve.sweep.level = plot.level;
  curve.sweep.column.assign(std::begin(columns), std::end(columns));
  curve.sweep.row = std::move(plot.row);
  curve.missing = std::move(plot.missing);
  curve.sweep.gaps.assign(plot.gaps.begin(), plot.gaps.end());
  curve.sweep.assumed = InWords(plot.assumed);
  curve.sweep.doubts = DoubtsIn(plot.doubts, columns);
  return curve;
}

// Points of a curve lie near each other.
Solved AlongCurve() { return {{}, hydraulics::KnownRoots(hydraulics::KnownRoots::Start::kNear)}; }

// With the plus-minus; `draw(plotter)` makes a Plot, in any scalar.
template <std::size_t N, class Draw>
WeightCurve WithPlusMinus(const Fitted<Quantity>& fitted, const SweepColumn (&columns)[N],
                          const Draw& draw) {
  const auto plain = LiftTo<double>(fitted, [](std::size_t, double value) { return value; });
  Solved solved = AlongCurve();
  Plotter<double> plotter(plain, solved);
  WeightCurve curve = CurveOf(draw(plotter), columns);
  auto& pm = curve.sweep.pm;
  for (const auto& row : curve.sweep.row) pm.emplace_back(row.size(), 0.0);
  std::vector<double> tolerance;
  for (const Input& input : Inputs(fitted)) {
    tolerance.push_back(input.quantity.tolerance.value_or(0.0));
  }
  ForEachSeeded(fitted, tolerance.size(), [&](const Fitted<Jet>& seeded, std::size_t first) {
    const std::size_t count = std::min<std::size_t>(kJetWidth, tolerance.size() - first);
    Plotter<Jet> with(seeded, solved);
    AddSquares(draw(with), std::span(tolerance).subspan(first, count), pm);
  });
  for (std::size_t i = 0; i < pm.size(); ++i) {
    for (std::size_t j = 0; j < pm[i].size(); ++j) {
      pm[i][j] = std::isnan(curve.sweep.row[i][j]) ? 0.0 : std::sqrt(pm[i][j]);
    }
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

// What draws a curve of numbers, by a plotter that is at hand or by one of its own.
auto By(Plotter<double>& plotter) {
  return
      [&plotter](const auto& columns, const auto& draw) { return CurveOf(draw(plotter), columns); };
}
auto For(const Fitted<double>& fitted) {
  return [&fitted](const auto& columns, const auto& draw) {
    Solved solved = AlongCurve();
    Plotter<double> plotter(fitted, solved);
    return CurveOf(draw(plotter), columns);
  };
}
auto For(const Fitted<Quantity>& fitted) {
  return [&fitted](const auto& columns, const auto& draw) {
    return WithPlusMinus(fitted, columns, draw);
  };
}

template <class Draw>
WeightCurve DrawKerb(const Draw& draw, const std::vector<double>& travel) {
  return draw(kKerbColumns, [&](auto& plotter) { return plotter.Kerb(travel); });
}
template <class Draw>
WeightCurve DrawRoad(const Draw& draw, const std::vector<double>& ay) {
  return draw(kRoadColumns, [&](auto& plotter) { return plotter.Road(ay); });
}
template <class Draw, class S>
WeightCurve DrawBoost(const Draw& draw, const Fitted<S>& f, int points) {
  if (DrivesNothing(f)) {
    return draw(kBenchBoostColumns, [&](auto& plotter) { return plotter.BenchBoost(points); });
  }
  return draw(kBoostColumns, [&](auto& plotter) { return plotter.Boost(points); });
}
template <class Draw, class S>
WeightCurve DrawPump(const Draw& draw, const Fitted<S>& f, int points) {
  if (DrivesNothing(f) || SteersNothing(f)) {
    return draw(kBenchPumpColumns, [&](auto& plotter) { return plotter.BenchPump(points); });
  }
  return draw(kPumpColumns, [&](auto& plotter) { return plotter.Pump(points); });
}

}  // namespace

WeightCurves AllCurves(const Fitted<double>& fitted, const Evaluation<double>& found) {
  Solved solved = AlongCurve();
  Plotter<double> plotter(fitted, solved);
  const auto draw = By(plotter);
  return {DrawKerb(draw, UsualTravel(found, kCurvePoints)), DrawRoad(draw, UsualAccelerations()),
          DrawBoost(draw, fitted, kCurvePoints), DrawPump(draw, fitted, kCurvePoints)};
}

WeightCurve KerbCurve(const Fitted<double>& fitted, const std::vector<double>& travel) {
  return DrawKerb(For(fitted), travel);
}
WeightCurve KerbCurve(const Fitted<Quantity>& fitted, const std::vector<double>& travel) {
  return DrawKerb(For(fitted), travel);
}
WeightCurve RoadCurve(const Fitted<double>& fitted, const std::vector<double>& ay) {
  return DrawRoad(For(fitted), ay);
}
WeightCurve RoadCurve(const Fitted<Quantity>& fitted, const std::vector<double>& ay) {
  return DrawRoad(For(fitted), ay);
}
WeightCurve BoostCurve(const Fitted<double>& fitted, int points) {
  return DrawBoost(For(fitted), fitted, points);
}
WeightCurve BoostCurve(const Fitted<Quantity>& fitted, int points) {
  return DrawBoost(For(fitted), fitted, points);
}
WeightCurve PumpCurve(const Fitted<double>& fitted, int points) {
  return DrawPump(For(fitted), fitted, points);
}
WeightCurve PumpCurve(const Fitted<Quantity>& fitted, int points) {
  return DrawPump(For(fitted), fitted, points);
}

// Up to where the two-wheel model ends (tyre/vehicle.h), about 4 m/s^2.
std::vector<double> UsualAccelerations(int points) {
  constexpr double kMost = 4.0;  // [m/s^2]
  return EvenGrid(0.0, kMost, points);
}

}  // namespace steerbench
