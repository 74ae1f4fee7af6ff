#include "engine/evaluate/weigh.h"

#include <fmt/format.h>

#include <array>

#include "engine/evaluate/chain.h"
#include "engine/evaluate/control_trouble.h"
#include "engine/evaluate/oil.h"
#include "engine/evaluate/power.h"
#include "engine/evaluate/states.h"

namespace steerbench {
namespace {

// The states in which the wheel is weighed on the road.
struct RoadCase {
  double speed, ay;  // [m/s], [m/s^2], left bend
  Output torque, pull;
  std::optional<Output> pressure;  // unset: assistance lost
};
constexpr std::array<RoadCase, 5> kRoad{
    {{50 * kKmh, 2.0, Output::kTownTorque, Output::kTownPull, Output::kTownPressure},
     {kRoadSpeed, kRoadAcceleration, Output::kRoadTorque, Output::kRoadPull, Output::kRoadPressure},
     {110 * kKmh, 3.0, Output::kFastTorque, Output::kFastPull, Output::kFastPressure},
     {140 * kKmh, 2.0, Output::kMotorwayTorque, Output::kMotorwayPull, Output::kMotorwayPressure},
     {kRoadSpeed, kRoadAcceleration, Output::kRoadLostTorque, Output::kRoadLostPull, {}}}};

struct KerbCase {
  Ground ground;
  bool assisted;
  Output torque, pull;
};
constexpr std::array<KerbCase, 4> kKerb{
    {{{tyre::Brake::kOff, false}, true, Output::kKerbTorque, Output::kKerbPull},
     {{tyre::Brake::kOn, false}, true, Output::kKerbBrakeTorque, Output::kKerbBrakePull},
     {{tyre::Brake::kOff, true}, true, Output::kKerbWetTorque, Output::kKerbWetPull},
     {{tyre::Brake::kOff, false}, false, Output::kKerbLostTorque, Output::kKerbLostPull}}};

constexpr effort::Direction kIn = effort::Direction::kLeft, kOut = effort::Direction::kRight;

template <class T>
class Weigher {
 public:
  Weigher(const Fitted<T>& fitted, const Front<T>& front, const std::optional<HandToRack<T>>& hand,
          const Missing& hand_missing, const Evaluation<double>* found,
          hydraulics::KnownRoots* roots, Evaluation<T>& out)
      : f_(fitted),
        chain_(fitted, front, hand, hand_missing, out.assumed, roots),
        found_(found),
        out_(out) {
    if (!chain_.HasAssist() || !PumpDriveLacks(f_).empty()) return;
    const Engine<T>& engine = f_.car.engine;
    if (engine.idle) idle_ = chain_.PumpSpeedAt(*engine.idle);
    if (engine.cruise) cruise_ = chain_.PumpSpeedAt(*engine.cruise);
  }

  void Run() {
    for (const KerbCase& c : kKerb) Kerb(c);
    for (const RoadCase& c : kRoad) Road(c);
    Return();
    OnCentre();
    Oil();
    AddPower(f_, chain_, states_, found_, out_);
  }

 private:
  void Set(Output id, const T& value) { out_.result[static_cast<std::size_t>(id)].value = value; }
  void Lack(std::initializer_list<Output> ids, const Missing& missing) {
    for (const Output id : ids) out_.result[static_cast<std::size_t>(id)].missing = missing;
  }

  // The pump's speed for a weighing that has assistance; unset without.
  static std::optional<T> If(bool assisted, const std::optional<T>& pump_speed) {
    return assisted ? pump_speed : std::nullopt;
  }

  // Torque and pull with the sign of the hand wheel, positive turns left, and of what they are.
  void Put(Output torque, Output pull, const Weighed<T>& weighed) {
    Set(torque, weighed.to_left);
    Set(pull, weighed.hand.rim_pull * chain_.Sense());
    Explain(torque, weighed.hand.terms, chain_.Sense());
    if (weighed.oil) NoteMarks(out_, InfoOf(torque).label, weighed.oil->marks);
  }

  // Pressure and flow, the latter being the pressure's pair.
  void PutOil(Output pressure, const hydraulics::SteadyState<T>& oil) {
    Set(pressure, oil.outlet);
    Set(RightOf(pressure), oil.delivered);
  }

  void Kerb(const KerbCase& c) {
    if (!c.assisted && !chain_.HasAssist()) return;  // it has none to lose
    Missing missing = chain_.StandingLacks(c.ground.wet);
    if (c.assisted) Append(missing, chain_.AssistLacks(0.0));
    if (!missing.empty()) return Lack({c.torque, c.pull}, missing);
    const auto axle = chain_.Standing(c.ground, T(0.0));
    if (!axle) return SayNotKnown(out_, {c.torque, c.pull}, axle.why());
    const auto weighed = chain_.Turn(*axle, kIn, If(c.assisted, idle_), 0.0);
    if (!weighed) return SayNotKnown(out_, {c.torque, c.pull}, weighed.why());
    Put(c.torque, c.pull, *weighed);
    if (c.torque != Output::kKerbTorque || !weighed->oil) return;
    states_.kerb = WorkingOf(*weighed);
    PutOil(Output::kKerbPressure, *weighed->oil);
    const auto full = hydraulics::FullFlowFrom<T>(chain_.Circuit(), *f_.car.oil.temperature,
                                                  weighed->oil->outlet);
    if (full) Set(Output::kFullFlowFrom, *full);
    const auto speed = chain_.CatchUpUnder(weighed->load, *idle_);
    if (!speed)
      return SayNotKnown(out_, {Output::kCatchUpLeft, Output::kCatchUpRight}, speed.why());
    NoteMarks(out_, "Hand wheel outruns the pump", hydraulics::DoubtsOf(speed->marks));
    Set(Output::kCatchUpLeft, speed->left);
    Set(Output::kCatchUpRight, speed->right);
    Taken({Output::kCatchUpPistonLeft, Output::kCatchUpValveLeft, Output::kCatchUpControlLeft},
          speed->left, speed->oil_left);
    Taken({Output::kCatchUpPistonRight, Output::kCatchUpValveRight, Output::kCatchUpControlRight},
          speed->right, speed->oil_right);
  }

  // What takes the oil at catch-up; nothing to tell where the load is not moved at all.
  void Taken(const std::array<Output, 3>& ids, const T& speed, const hydraulics::OilTaken<T>& oil) {
    if (Value(speed) <= 0.0) return;
    Set(ids[0], oil.piston);
    Set(ids[1], oil.valve);
    if (f_.control_valve || f_.second_control_valve) Set(ids[2], oil.control);
  }

  // Where a torque comes from: its terms, each taken so many times.
  void Explain(Output of, effort::Terms<T> terms, double times) {
    for (T& term : terms.of) term *= times;
    out_.breakdown.push_back({of, terms});
  }

  // What the last turn loaded the oil with.
  Working<T> WorkingOf(const Weighed<T>& weighed) {
    return {weighed.load, chain_.Circuit().cylinder.travel_per_radian};
  }

  void Road(const RoadCase& c) {
    if (!c.pressure && !chain_.HasAssist()) return;
    Missing missing = chain_.BendLacks();
    if (c.pressure) Append(missing, chain_.AssistLacks(c.speed));
    const bool oil = c.pressure && chain_.HasAssist();
    if (!missing.empty()) {
      Lack({c.torque, c.pull}, missing);
      if (oil) Lack({*c.pressure, RightOf(*c.pressure)}, missing);
      return;
    }
    const auto axle = chain_.InBend(c.speed, c.ay);
    if (!axle) return SayNotKnown(out_, {c.torque, c.pull}, axle.why());
    const auto weighed = chain_.Turn(*axle, kIn, If(c.pressure.has_value(), cruise_), c.speed);
    if (!weighed) return SayNotKnown(out_, {c.torque, c.pull}, weighed.why());
    Put(c.torque, c.pull, *weighed);
    if (!weighed->oil) return;
    PutOil(*c.pressure, *weighed->oil);
    if (c.torque == Output::kRoadTorque) states_.road = WorkingOf(*weighed);
  }

  // Back to straight ahead, let go in a bend; assistance has no part in it.
  void Return() {
    const Missing missing = chain_.BendLacks();
    if (!missing.empty()) return Lack({Output::kReturnTorque}, missing);
    const auto axle = chain_.InBend(kRoadSpeed, kRoadAcceleration);
    if (!axle) return SayNotKnown(out_, {Output::kReturnTorque}, axle.why());
    const auto band = chain_.LetGo(*axle);
    if (!band) return SayNotKnown(out_, {Output::kReturnTorque}, band.why());
    Set(Output::kReturnTorque, band->return_torque);
    Explain(Output::kReturnTorque, band->back, 1.0);
  }

  // Middle between turning in and out in a slight bend, per g: what the hand feels on centre.
  void OnCentre() {
    constexpr double kSpeed = kRoadSpeed;
    constexpr Output kOf = Output::kCentreGradient;
    Missing missing = chain_.BendLacks();
    Append(missing, chain_.AssistLacks(kSpeed));
    if (!missing.empty()) return Lack({kOf}, missing);
    const auto axle = chain_.InBend(kSpeed, kSlightAcceleration);
    if (!axle) return SayNotKnown(out_, {kOf}, axle.why());
    const auto in = chain_.Turn(*axle, kIn, cruise_, kSpeed);
    if (!in) return SayNotKnown(out_, {kOf}, in.why());
    const auto out = chain_.Turn(*axle, kOut, cruise_, kSpeed);
    if (!out) return SayNotKnown(out_, {kOf}, out.why());
    constexpr double kMiddlePerG = kGravity / kSlightAcceleration / 2.0;
    Set(kOf, (in->to_left + out->to_left) * kMiddlePerG);
    effort::Terms<T> both = in->hand.terms;
    for (std::size_t i = 0; i < effort::kTermCount; ++i) both.of[i] += out->hand.terms.of[i];
    Explain(kOf, both, kMiddlePerG * chain_.Sense());
  }

  // Of the oil: what is missing for its results at the kerb, and the circuit with the wheel let go.
  void Oil() {
    if (!chain_.HasAssist()) return;
    const Missing lacks = chain_.AssistLacks(0.0);
    if (lacks.empty()) {
      const auto rest =
          hydraulics::SolveAtTorque<T>(chain_.Circuit(), chain_.At(*idle_, 0.0), T(0.0));
      if (!rest) {
        SayNotKnown(out_, {Output::kRestPressure, Output::kRestFlow}, Describe(rest.why()));
      } else {
        PutOil(Output::kRestPressure, *rest);
        NoteMarks(out_, InfoOf(Output::kRestPressure).label, rest->marks);
      }
    } else {
      Lack({Output::kRestPressure, Output::kRestFlow}, lacks);
    }
    Missing missing = chain_.StandingLacks(false);
    Append(missing, lacks);
    if (missing.empty()) return;
    Lack({Output::kFullFlowFrom, Output::kKerbPressure, Output::kIdleFlow, Output::kCatchUpLeft,
          Output::kCatchUpRight, Output::kCatchUpPistonLeft, Output::kCatchUpPistonRight,
          Output::kCatchUpValveLeft, Output::kCatchUpValveRight},
         missing);
    if (!f_.control_valve && !f_.second_control_valve) return;
    Lack({Output::kCatchUpControlLeft, Output::kCatchUpControlRight}, missing);
  }

  const Fitted<T>& f_;
  Chain<T> chain_;
  const Evaluation<double>* found_;
  Evaluation<T>& out_;
  WeighedStates<T> states_;
  std::optional<T> idle_, cruise_;  // pump speeds
};

}  // namespace

template <class T>
void Weigh(const Fitted<T>& fitted, const Front<T>& front, const std::optional<HandToRack<T>>& hand,
           const Missing& hand_missing, const Evaluation<double>* found,
           hydraulics::KnownRoots* roots, Evaluation<T>& evaluation) {
  // Weights are asked for as soon as the car's are: a file about geometry alone waits for nothing.
  const Car<T>& car = fitted.car;
  if (!car.front_mass && !car.rear_mass && !car.front.tyre.pressure) return SkipPower(evaluation);
  Weigher<T>(fitted, front, hand, hand_missing, found, roots, evaluation).Run();
  if constexpr (std::same_as<T, double>) {
    WriteMarks(evaluation);
    FindControlTrouble(fitted, front, hand, evaluation);
  } else if (found->control_trouble) {
    LiftControlTrouble(fitted, front, hand, *found->control_trouble, evaluation);
  }
}

template void Weigh<double>(const Fitted<double>&, const Front<double>&,
                            const std::optional<HandToRack<double>>&, const Missing&,
                            const Evaluation<double>*, hydraulics::KnownRoots*,
                            Evaluation<double>&);
template void Weigh<Jet>(const Fitted<Jet>&, const Front<Jet>&,
                         const std::optional<HandToRack<Jet>>&, const Missing&,
                         const Evaluation<double>*, hydraulics::KnownRoots*, Evaluation<Jet>&);

}  // namespace steerbench
