#include "engine/evaluate/power.h"

#include <fmt/format.h>

#include <array>

#include "engine/electrics/copper.h"
#include "engine/evaluate/oil.h"
#include "engine/evaluate/states.h"
#include "engine/hydraulics/curves.h"
#include "engine/hydraulics/heat.h"
#include "engine/limits/margin.h"

namespace steerbench {
namespace {

using enum Output;

constexpr std::array kChecksHere{Check::kPressureReserve, Check::kHose,           Check::kCatchUp,
                                 Check::kInlet,           Check::kOilTemperature, Check::kCoil,
                                 Check::kSecondCoil};

template <class T>
class Power {
 public:
  Power(const Fitted<T>& fitted, Chain<T>& chain, const WeighedStates<T>& states,
        const Evaluation<double>* found, Evaluation<T>& out)
      : f_(fitted), chain_(chain), states_(states), found_(found), out_(out) {}

  void Run() {
    Handling();
    if (!chain_.HasAssist()) return;
    if (f_.pump) Reserves();
    Flow();
    Inlet();
    Heat();
    Coils();
  }

 private:
  Result<T>& ResultOf(Output id) { return out_.result[static_cast<std::size_t>(id)]; }
  void Set(Output id, const T& value) { ResultOf(id).value = value; }
  void Lack(std::initializer_list<Output> ids, const Missing& missing) {
    for (const Output id : ids) ResultOf(id).missing = missing;
  }
  Margin<T>& Begin(Check id) {
    Margin<T>& m = out_.check[static_cast<std::size_t>(id)];
    m.absent = false;
    return m;
  }
  // How the car answers, and what its front wheels carry in the bend that is weighed.
  void Handling() {
    Missing missing = chain_.HandlingLacks();
    if (!missing.empty()) {
      Lack({kUndersteer, kCharacteristicSpeed, kCriticalSpeed}, missing);
    } else if (const auto handling = chain_.Handling()) {
      Set(kUndersteer, handling->understeer * kGravity);
      if (handling->characteristic_speed)
        Set(kCharacteristicSpeed, *handling->characteristic_speed);
      if (handling->critical_speed) Set(kCriticalSpeed, *handling->critical_speed);
    } else {
      SayNotKnown(out_, {kUndersteer}, handling.why());
    }
    Loads();
  }

  void Loads() {
    const Car<T>& c = f_.car;
    Missing missing;
    for (const auto& [field, path] : {std::pair{&c.front_mass, "car.front_mass"},
                                      {&c.rear_mass, "car.rear_mass"},
                                      {&c.cg_height, "car.cg_height"},
                                      {&c.roll_share, "car.roll_share"},
                                      {&c.front.track, "car.front.track"},
                                      {&c.rear_track, "car.rear_track"}}) {
      if (!*field) missing.push_back(path);
    }
    if (!missing.empty()) return Lack({kOuterLoad, kInnerLoad}, missing);
    const auto rest = tyre::LoadsFromScales<T>(*c.front_mass, *c.rear_mass);
    if (!rest) return SayNotKnown(out_, {kOuterLoad, kInnerLoad}, Describe(rest.why()));
    const auto loads = tyre::LoadsInBend<T>(
        *rest, {*c.cg_height, *c.front.track, *c.rear_track, *c.roll_share}, T(kRoadAcceleration));
    if (!loads) return SayNotKnown(out_, {kOuterLoad, kInnerLoad}, Describe(loads.why()));
    Set(kOuterLoad, loads->front.right);
    Set(kInnerLoad, loads->front.left);
  }

  // Pressure that the relief valve and the hose leave.
  void Reserves() {
    Margin<T>& kerb = Begin(Check::kPressureReserve);
    kerb.at_least = false;
    kerb.missing = ResultOf(kKerbPressure).missing;
    const std::optional<T> relief = ReliefOf(f_);
    if (!relief) kerb.missing.push_back("pump.relief");
    if (relief) kerb.limit = ReliefBegins(f_);
    if (kerb.limit && ResultOf(kKerbPressure).value) kerb.value = *kerb.limit - KerbNeeds();
    Margin<T>& hose = Begin(Check::kHose);
    hose.at_least = false;
    hose.limit = f_.car.oil.hose_working;
    if (!hose.limit) hose.missing.push_back("car.oil.hose_working");
    if (!relief) hose.missing.push_back("pump.relief");
    if (hose.missing.empty()) hose.value = *hose.limit - *relief;
    Missing missing = chain_.AssistLacksBesideEngine(0.0);
    if (!relief) Note(missing, std::string_view("pump.relief"));
    if (!missing.empty()) return Lack({kRackPush}, missing);
    Set(kRackPush, chain_.Circuit().cylinder.area_a * *relief);
  }

  // Pressure that turning at the kerb asks for: while the relief valve is open, what it would be
  // were it shut, for an open one holds the pressure down and leaves the rest to the hand.
  T KerbNeeds() {
    const T used = *ResultOf(kKerbPressure).value;
    if (Value(used) < Value(ReliefBegins(f_)) || !states_.kerb) return used;
    hydraulics::Circuit<T> shut = chain_.Circuit();
    shut.pump.relief.reset();
    shut.known = nullptr;
    shut.cylinder.travel_per_radian = states_.kerb->travel_per_radian;
    hydraulics::Condition<T> condition = chain_.At(chain_.PumpSpeedAt(*f_.car.engine.idle), 0.0);
    condition.rack_force = states_.kerb->rack_force;
    const auto state = hydraulics::SolveSteady<T>(shut, condition);
    return state ? state->outlet : used;
  }

  // What the hand asks for, against what the pump gives.
  void Flow() {
    const T speed = f_.limits.hand_wheel_speed.value_or(T(limits::kLeastHandWheelSpeed));
    Margin<T>& m = Begin(Check::kCatchUp);
    m.limit = speed;
    if (!f_.limits.hand_wheel_speed) {
      m.wanted = limits::kWantedHandWheelSpeed - limits::kLeastHandWheelSpeed;
    }
    m.missing = ResultOf(kCatchUpLeft).missing;
    const auto &left = ResultOf(kCatchUpLeft).value, &right = ResultOf(kCatchUpRight).value;
    if (left && right) m.value = (Value(*left) < Value(*right) ? *left : *right) - speed;
    const Missing missing = chain_.AssistLacksBesideEngine(0.0);
    if (!missing.empty()) return Lack({kAskedFlow}, missing);
    Set(kAskedFlow, hydraulics::Swallowed(chain_.Circuit().cylinder, chain_.RackSpeedAt(speed)));
  }

  // The coldest start: whether the oil gets into the pump fast enough.
  void Inlet() {
    const OilCircuit<T>& oil = f_.car.oil;
    Margin<T>& m = Begin(Check::kInlet);
    m.limit = f_.limits.inlet_pressure.value_or(T(limits::kLeastInletPressure));
    m.missing = chain_.AssistLacks(0.0);
    for (const auto& [field, path] : {std::pair{&oil.inlet_length, "car.oil.inlet_length"},
                                      {&oil.inlet_bore, "car.oil.inlet_bore"},
                                      {&oil.inlet_head, "car.oil.inlet_head"},
                                      {&oil.coldest, "car.oil.coldest"}}) {
      if (!*field) m.missing.push_back(path);
    }
    if (!m.missing.empty()) return Lack({kInletPressure}, m.missing);
    hydraulics::Condition<T> start = chain_.At(chain_.PumpSpeedAt(*f_.car.engine.idle), 0.0);
    start.temperature = *oil.coldest;
    const auto state = hydraulics::SolveSteady<T>(chain_.Circuit(), start);
    if (!state) return SayNotKnown(out_, {kInletPressure}, Describe(state.why()));
    Set(kInletPressure, state->pump.inlet_pressure);
    m.value = state->pump.inlet_pressure - *m.limit;
    NoteMarks(out_, "coldest start", state->marks);
  }

  // With the cooler of the setup, else as the car has it.
  const std::optional<T>& Cooling() const {
    return f_.adjust.cooling ? f_.adjust.cooling : f_.car.oil.cooling;
  }

  // Where the results of a duty go.
  struct DutyOutputs {
    Output oil, heat, pump, circuit;
  };
  static constexpr DutyOutputs kParking{kParkingOil, kParkingHeat, kParkingHeatPump,
                                        kParkingHeatCircuit},
      kRoad{kRoadOil, kRoadHeat, kRoadHeatPump, kRoadHeatCircuit},
      kHill{kHillOil, kHillHeat, kHillHeatPump, kHillHeatCircuit};
  void LackHeat(const DutyOutputs& ids, const Missing& missing) {
    Lack({ids.oil, ids.heat, ids.pump, ids.circuit}, missing);
  }

  struct Duty {
    DutyOutputs ids;
    const std::optional<Working<T>>& load;  // unset: straight ahead, or not known
    bool loaded;
    T engine;
    double road_speed;
  };

  void Heat() {
    const OilCircuit<T>& oil = f_.car.oil;
    Margin<T>& m = Begin(Check::kOilTemperature);
    m.at_least = false;
    m.limit = f_.limits.oil_temperature.value_or(T(limits::kMostOilTemperature));
    Missing shed;  // heat
    if (!Cooling()) shed.push_back("car.oil.cooling");
    if (!oil.surroundings) shed.push_back("car.oil.surroundings");
    const auto lacks = [&](Missing missing) {
      Append(missing, shed);
      Append(m.missing, missing);
      return missing;
    };
    const Engine<T>& e = f_.car.engine;
    const Missing parking = lacks(ResultOf(kKerbTorque).missing);
    const Missing road = lacks(chain_.AssistLacks(kRoadSpeed));
    Missing loaded = ResultOf(kRoadTorque).missing;
    if (!e.top) loaded.push_back("car.engine.top");
    const Missing hill = lacks(loaded);
    m.may_be_less = ResultOf(kKerbTorque).failed || ResultOf(kRoadTorque).failed;
    if (!parking.empty()) LackHeat(kParking, parking);
    if (!road.empty()) LackHeat(kRoad, road);
    if (!hill.empty()) LackHeat(kHill, hill);
    if (road.empty()) Settle({kRoad, {}, false, *e.cruise, kRoadSpeed}, m);
    if (parking.empty() && states_.kerb) Settle({kParking, states_.kerb, true, *e.idle, 0.0}, m);
    if (hill.empty() && states_.road) Settle({kHill, states_.road, true, *e.top, kRoadSpeed}, m);
    AtLock();
  }

  // The valve twisted to its stop, the rack held: what it does not let past goes over the relief
  // valve.
  void AtLock() {
    const Missing missing = chain_.AssistLacks(0.0);
    if (!missing.empty()) return Lack({kLockHeat}, missing);
    const auto& circuit = chain_.Circuit();
    const auto state = hydraulics::SolveAtTwist<T>(
        circuit, chain_.At(chain_.PumpSpeedAt(*f_.car.engine.idle), 0.0), circuit.valve.stop);
    if (!state) return SayNotKnown(out_, {kLockHeat}, Describe(state.why()));
    Set(kLockHeat, state->heat);
    NoteMarks(out_, "Held against the lock", state->marks);
    if (Value(state->outlet) < Value(ReliefBegins(f_))) {
      Note(out_.notes, std::string("held against the lock at idle the relief valve stays shut: the "
                                   "steering valve at its stop lets all the oil past"));
    }
  }

  void Settle(const Duty& duty, Margin<T>& m) {
    hydraulics::Circuit<T> circuit = chain_.Circuit();
    hydraulics::Duty<T> d;
    d.working = chain_.At(chain_.PumpSpeedAt(duty.engine), duty.road_speed);
    if (duty.loaded) {
      circuit.cylinder.travel_per_radian = duty.load->travel_per_radian;
      d.working.rack_force = duty.load->rack_force;
    }
    d.cooling = *Cooling();
    d.surroundings = *f_.car.oil.surroundings;
    const auto settled = found_ && (*found_)[duty.ids.oil]
                             ? hydraulics::BalanceAt<T>(circuit, d, *(*found_)[duty.ids.oil])
                             : hydraulics::SettleTemperature<T>(circuit, d);
    if (!settled) {
      m.may_be_less = true;
      // How much hotter is not known; that it is hotter than all that is looked at is.
      const bool too_hot = settled.why() == hydraulics::Problem::kTooHot;
      if (too_hot && KeepLess(m, *m.limit - hydraulics::kHottest)) m.circumstance = "past 250 °C";
      const DutyOutputs& ids = duty.ids;
      return SayNotKnown(out_, {ids.oil, ids.heat, ids.pump, ids.circuit}, Describe(settled.why()));
    }
    Set(duty.ids.oil, settled->temperature);
    Set(duty.ids.heat, settled->heat);
    Set(duty.ids.circuit, settled->in_circuit);
    Set(duty.ids.pump, settled->heat - settled->in_circuit);
    NoteMarks(out_, InfoOf(duty.ids.oil).label, settled->marks);
    KeepLess(m, *m.limit - settled->temperature);
  }

  // A margin of several cases is that of the worst: whether it is this one.
  static bool KeepLess(Margin<T>& m, const T& left) {
    if (m.value && Value(left) >= Value(*m.value)) return false;
    m.value = left;
    return true;
  }

  // ---- coils --------------------------------------------------------------------------------

  // Where the results of a control valve go.
  struct ValveOutputs {
    Output standing, road, voltage, duty;             // currents, meter, driver
    Output opening, road_opening, share, road_share;  // of a hole; of a reaction valve
  };
  static constexpr std::array<ValveOutputs, 2> kValves{
      {{kCoilCurrent, kCoilRoadCurrent, kCoilVoltage, kCoilDuty, kOpening, kRoadOpening,
        kShareLetIn, kRoadShareLetIn},
       {kSecondCoilCurrent, kSecondCoilRoadCurrent, kSecondCoilVoltage, kSecondCoilDuty,
        kSecondOpening, kSecondRoadOpening, kSecondShareLetIn, kSecondRoadShareLetIn}}};

  void Coils() {
    if (!f_.control_valve && !f_.second_control_valve) return;
    Missing missing;
    const auto standing = CoilsAt<T>(f_, 0.0, missing);
    const auto road = CoilsAt<T>(f_, kRoadSpeed, missing);
    std::size_t valve = 0, plugged = 0;
    for (const bool second : {false, true}) {
      const auto& part = second ? f_.second_control_valve : f_.control_valve;
      if (!part) continue;
      const ValveOutputs& ids = kValves[second ? 1 : 0];
      const bool share = part->principle == ControlPrinciple::kReaction;
      const Output opening = share ? ids.share : ids.opening;
      const Output road_opening = share ? ids.road_share : ids.road_opening;
      WarmCoil(*part, second);
      Margin<T>& m = Begin(second ? Check::kSecondCoil : Check::kCoil);
      if (!standing || !road) {
        Lack({ids.standing, ids.road, ids.voltage, ids.duty, opening, road_opening}, missing);
        m.missing = missing;
        continue;
      }
      Set(ids.standing, standing->current[valve]);
      Set(ids.road, road->current[valve]);
      Opening(opening, *part, second, standing->moving[valve]);
      Opening(road_opening, *part, second, road->moving[valve]);
      if (standing->powered[valve]) Meter(*standing, plugged++, ids.voltage, ids.duty);
      PullIn(*part, *standing, *road, valve, m);
      ++valve;
    }
    if constexpr (std::same_as<T, double>) TellDropOut();
  }

  // Where a driver asks for some current, but for less than a coil pulls in with.
  void TellDropOut() {
    constexpr std::array kSpeeds{0.0, 50.0 * kKmh, kRoadSpeed, 110.0 * kKmh, 140.0 * kKmh};
    std::array<std::string, 2> where;  // by valve, in words
    for (const double speed : kSpeeds) {
      Missing ignored;
      const auto coils = CoilsAt<T>(f_, speed, ignored);
      if (!coils) return;
      std::size_t plugged = 0;
      for (std::size_t valve = 0; valve < coils->powered.size(); ++valve) {
        if (!coils->powered[valve]) continue;
        const double current = Value(coils->current[valve]);
        const double pull_in = Value(coils->coil[plugged++].pull_in);
        if (current == 0.0 || current >= pull_in) continue;
        where[valve] +=
            (where[valve].empty() ? "" : ", ") +
            (speed == 0.0 ? std::string("standing") : fmt::format("{:.0f} km/h", speed / kKmh));
      }
    }
    std::size_t valve = 0;
    for (const bool second : {false, true}) {
      if (!(second ? f_.second_control_valve : f_.control_valve)) continue;
      const std::string& states = where[valve++];
      if (states.empty()) continue;
      Note(
          out_.notes,
          fmt::format("{}: the {}control valve's coil has less than its pull-in current; the valve "
                      "stands as with its plug off",
                      states, second ? "second " : ""));
    }
  }

  void WarmCoil(const ControlValve<T>& part, bool second) {
    const Output id = second ? kSecondCoilResistance : kCoilResistance;
    Missing missing;
    if (!part.coil) missing.push_back(second ? "second_control_valve.coil" : "control_valve.coil");
    if (!f_.car.driver.coil_temperature) {
      missing.push_back("car.driver.coil_temperature");
      Note(out_.assumed, Assumption::kColdCoils);
    }
    if (!missing.empty()) return Lack({id}, missing);
    const auto warm = electrics::CopperAt<T>(*part.coil, *f_.car.driver.coil_temperature);
    if (!warm) return SayNotKnown(out_, {id}, electrics::Describe(warm.why().problem));
    Set(id, *warm);
  }

  void Opening(Output id, const ControlValve<T>& part, bool second, const T& current) {
    if (!part.principle) {
      return Lack({id}, {second ? "second_control_valve.principle" : "control_valve.principle"});
    }
    const auto valve = ControlValveOf<T>(f_, second);
    if (!valve) {
      return Lack({id}, {second ? "second_control_valve.opening" : "control_valve.opening"});
    }
    Set(id, hydraulics::OpeningAt<T>(*valve, current).opening);
  }

  // What a voltmeter across the coil shows, and how long a switched driver must be on for it.
  void Meter(const steerbench::Coils<T>& coils, std::size_t plugged, Output voltage, Output duty) {
    if (!coils.wired) return Set(voltage, T(0.0)), Set(duty, T(0.0));
    const auto& wired = *coils.wired;
    const auto& pins = wired.coil_pins[plugged];
    Set(voltage, wired.state.voltage[pins.in] - wired.state.voltage[pins.out]);
    const std::size_t driver = wired.driver_pins.size() > 1 ? plugged : 0;
    const T behind = wired.state.voltage[wired.driver_pins[driver]] +
                     wired.driver_current[driver] * coils.source.resistance;
    Set(duty, behind / coils.source.voltage);
  }

  // Against the current from which it moves, at whichever of the two states asks for more.
  void PullIn(const ControlValve<T>& part, const steerbench::Coils<T>& standing,
              const steerbench::Coils<T>& road, std::size_t valve, Margin<T>& m) {
    const bool at_rest = Value(standing.asked) >= Value(road.asked);
    const steerbench::Coils<T>& most = at_rest ? standing : road;
    if (!part.pull_in) return;  // only of one that is unplugged
    m.limit = *part.pull_in;
    m.value = most.current[valve] - *part.pull_in;
    m.wanted = kFullCurrent * Value(most.asked) - Value(*part.pull_in);
  }

  const Fitted<T>& f_;
  Chain<T>& chain_;
  const WeighedStates<T>& states_;
  const Evaluation<double>* found_;
  Evaluation<T>& out_;
};

}  // namespace

template <class T>
void AddPower(const Fitted<T>& fitted, Chain<T>& chain, const WeighedStates<T>& states,
              const Evaluation<double>* found, Evaluation<T>& out) {
  SkipPower(out);
  Power<T>(fitted, chain, states, found, out).Run();
}

template <class T>
void SkipPower(Evaluation<T>& out) {
  for (const Check id : kChecksHere) out.check[static_cast<std::size_t>(id)].absent = true;
}

#define STEERBENCH_INSTANTIATE(T)                                                 \
  template void AddPower<T>(const Fitted<T>&, Chain<T>&, const WeighedStates<T>&, \
                            const Evaluation<double>*, Evaluation<T>&);           \
  template void SkipPower<T>(Evaluation<T>&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench
