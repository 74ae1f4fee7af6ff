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
  bool assisted;
};
constexpr std::array<RoadCase, 5> kRoad{
    {{50 * kKmh, 2.0, Output::kTownTorque, Output::kTownPull, true},
     {kRoadSpeed, kRoadAcceleration, Output::kRoadTorque, Output::kRoadPull, true},
     {kRoadSpeed, kRoadAcceleration, Output::kRoadLostTorque, Output::kRoadLostPull, false},
     {110 * kKmh, 3.0, Output::kFastTorque, Output::kFastPull, true},
     {140 * kKmh, 2.0, Output::kMotorwayTorque, Output::kMotorwayPull, true}}};

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

  // Torque and pull with the sign of the hand wheel: positive turns left.
  void Put(Output torque, Output pull, const Weighed<T>& weighed) {
    Set(torque, weighed.to_left);
    Set(pull, weighed.hand.rim_pull * chain_.Sense());
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
    Mark(c.torque, *weighed);
    if (c.torque != Output::kKerbTorque) return;
    Explain(c.torque, *weighed);
    if (!weighed->oil) return;
    states_.kerb = WorkingOf(*weighed);
    Set(Output::kKerbPressure, weighed->oil->outlet);
    Set(Output::kIdleFlow, weighed->oil->delivered);
    const auto speed = chain_.CatchUpUnder(weighed->oil->rack_force, *idle_);
    if (!speed)
      return SayNotKnown(out_, {Output::kCatchUpLeft, Output::kCatchUpRight}, speed.why());
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

  // Where a weight comes from.
  void Explain(Output of, const Weighed<T>& weighed) {
    effort::Terms<T> terms = weighed.hand.terms;
    for (T& term : terms.of) term *= chain_.Sense();
    out_.breakdown.push_back({of, terms});
  }

  void Mark(Output of, const Weighed<T>& weighed) {
    if (weighed.oil) NoteMarks(out_, InfoOf(of).label, weighed.oil->marks);
  }

  // What the last turn loaded the oil with.
  Working<T> WorkingOf(const Weighed<T>& weighed) {
    return {weighed.oil->rack_force, chain_.Circuit().cylinder.travel_per_radian};
  }

  void Road(const RoadCase& c) {
    if (!c.assisted && !chain_.HasAssist()) return;
    Missing missing = chain_.BendLacks();
    if (c.assisted) Append(missing, chain_.AssistLacks(c.speed));
    if (!missing.empty()) return Lack({c.torque, c.pull}, missing);
    const auto axle = chain_.InBend(c.speed, c.ay);
    if (!axle) return SayNotKnown(out_, {c.torque, c.pull}, axle.why());
    const auto weighed = chain_.Turn(*axle, kIn, If(c.assisted, cruise_), c.speed);
    if (!weighed) return SayNotKnown(out_, {c.torque, c.pull}, weighed.why());
    Put(c.torque, c.pull, *weighed);
    Mark(c.torque, *weighed);
    if (c.torque != Output::kRoadTorque) return;
    Explain(c.torque, *weighed);
    if (weighed->oil) states_.road = WorkingOf(*weighed);
  }

  // Back to straight ahead, let go in a bend; assistance has no part in it.
  void Return() {
    const Missing missing = chain_.BendLacks();
    if (!missing.empty()) return Lack({Output::kReturnTorque}, missing);
    const auto axle = chain_.InBend(kRoadSpeed, kRoadAcceleration);
    if (!axle) return SayNotKnown(out_, {Output::kReturnTorque}, axle.why());
    const auto back = chain_.Return(*axle);
    if (!back) return SayNotKnown(out_, {Output::kReturnTorque}, back.why());
    Set(Output::kReturnTorque, *back);
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
    Set(kOf, (in->to_left + out->to_left) / 2.0 * (kGravity / kSlightAcceleration));
  }

  void Oil() {
    if (!chain_.HasAssist()) return;
    Missing missing = chain_.StandingLacks(false);
    Append(missing, chain_.AssistLacks(0.0));
    if (missing.empty()) return;
    Lack({Output::kKerbPressure, Output::kIdleFlow, Output::kCatchUpLeft, Output::kCatchUpRight,
          Output::kCatchUpPistonLeft, Output::kCatchUpPistonRight, Output::kCatchUpValveLeft,
          Output::kCatchUpValveRight},
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
