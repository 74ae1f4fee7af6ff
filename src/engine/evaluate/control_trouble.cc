#include "engine/evaluate/control_trouble.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/evaluate/oil.h"
#include "engine/evaluate/states.h"

namespace steerbench {
namespace {

using Car = Fitted<double>;
using CarCoils = Coils<double>;

// A state in which the driver may ask for current.
struct State {
  double road_speed;
  Output weight;
};
constexpr std::array<State, 2> kStates{
    {{0.0, Output::kKerbTorque}, {kRoadSpeed, Output::kRoadTorque}}};

bool IsFull(double current, double asked) { return current >= kFullCurrent * asked; }

// What the driver's table asks for; the limit may stand below it.
template <class T>
void AskFor(Driver<T>& driver, double current) {
  for (CurrentRow<T>& row : driver.current) row.current = T(current);
  if (Value(*driver.limit) < current) driver.limit = T(current);
}

template <class T>
Fitted<T> Changed(Fitted<T> car, const ControlChange& change) {
  const auto valve = [&car](bool second) -> std::optional<ControlValve<T>>& {
    return second ? car.second_control_valve : car.control_valve;
  };
  if (change.plugged) car.adjust.control_powered = car.adjust.second_control_powered = true;
  if (change.wiring) car.adjust.wiring = change.wiring;
  if (change.gives) AskFor(car.car.driver, *change.gives);
  if (change.slimmer) *valve(*change.slimmer)->coil *= change.coil_share;
  if (change.out) valve(*change.out).reset();
  return car;
}

// A car in one state, weighed with the assistance of cars that differ in it alone.
template <class T>
class Scales {
 public:
  Scales(const Fitted<T>& fitted, const Front<T>& front, const std::optional<HandToRack<T>>& hand,
         const State& state)
      : hand_(hand), state_(state), chain_(fitted, front, hand, {}, assumed_) {
    const bool standing = state.weight == Output::kKerbTorque;
    engine_ = standing ? fitted.car.engine.idle : fitted.car.engine.cruise;
    if (!(standing ? chain_.StandingLacks(false) : chain_.BendLacks()).empty()) return;
    const auto axle =
        standing ? chain_.Standing({}, T(0.0)) : chain_.InBend(state.road_speed, kRoadAcceleration);
    if (axle) axle_ = *axle;
  }

  // Torque of the hand wheel, its size alone [N m], if it can be had.
  std::optional<T> Weigh(const Fitted<T>& car) {
    using std::abs;
    Assist<T> assist(car, hand_, {}, assumed_);
    if (!axle_ || !assist.Present() || !assist.Lacks(state_.road_speed).empty()) {
      return std::nullopt;
    }
    chain_.TakeAssist(assist);
    const auto weighed = chain_.Turn(*axle_, effort::Direction::kLeft, assist.PumpSpeedAt(*engine_),
                                     state_.road_speed);
    return weighed ? std::optional<T>(abs(weighed->to_left)) : std::nullopt;
  }

 private:
  const std::optional<HandToRack<T>>& hand_;
  State state_;
  std::vector<Assumption> assumed_;
  Chain<T> chain_;
  std::optional<T> engine_;
  std::optional<LoadedAxle<T>> axle_;
};

class TroubleFinder {
 public:
  TroubleFinder(const Car& fitted, const Front<double>& front,
                const std::optional<HandToRack<double>>& hand)
      : f_(fitted), front_(front), hand_(hand) {}

  std::optional<ControlTrouble> Run() {
    for (const State& state : kStates) {
      Missing missing;
      const auto coils = CoilsAt<double>(f_, state.road_speed, missing);
      if (!coils) continue;
      state_ = state;
      trouble_ = {};
      trouble_.weight = state.weight;
      Weak(*coils);
      if (trouble_.weak.empty()) continue;
      scales_.emplace(f_, front_, hand_, state);
      trouble_.torque = scales_->Weigh(f_);
      Try(*coils);
      return trouble_;
    }
    return std::nullopt;
  }

 private:
  // Every valve that is asked to move and has not the current to.
  void Weak(const CarCoils& coils) {
    const double asked = coils.asked;
    const bool several = coils.coil.size() > 1;
    const auto most = std::ranges::max_element(
        f_.car.driver.current, {}, [](const CurrentRow<double>& row) { return *row.current; });
    std::size_t i = 0;
    for (const bool second : {false, true}) {
      const auto& part = second ? f_.second_control_valve : f_.control_valve;
      if (!part) continue;
      const double current = coils.current[i], pull_in = part->pull_in.value_or(0.0);
      const bool unplugged = !coils.powered[i++];
      // Less than moves it is asked for where it is to stand still, unless nothing ever moves it.
      const bool to_move = asked > 0.0 && (asked >= pull_in || *most->current < pull_in);
      if (!to_move || (!unplugged && IsFull(current, asked) && current >= pull_in)) continue;
      ControlTrouble::Weak weak;
      weak.second = second;
      weak.unplugged = unplugged;
      weak.in_series = !unplugged && several && coils.wiring == electrics::Wiring::kSeries;
      weak.shared = !unplugged && several && coils.wiring == electrics::Wiring::kParallel;
      weak.open_loop = !unplugged && coils.open_loop;
      if (!unplugged && *coils.source.limit < asked) weak.driver_limit = *coils.source.limit;
      weak.asked = asked;
      weak.current = current;
      weak.pull_in = pull_in;
      trouble_.weak.push_back(weak);
    }
  }

  // Whether every coil of a changed car gets what is asked for in the state looked at, and moves.
  bool Cured(const Car& car, double asked) const {
    Missing missing;
    const auto coils = CoilsAt<double>(car, state_.road_speed, missing);
    return coils &&
           std::ranges::all_of(coils->moving, [asked](double c) { return IsFull(c, asked); });
  }

  void Add(std::string words, const ControlChange& change, double asked) {
    const Car car = Changed(f_, change);
    trouble_.trials.push_back({std::move(words), change, Cured(car, asked), scales_->Weigh(car)});
  }

  void Try(const CarCoils& coils) {
    const double asked = coils.asked;
    Plugs(asked);
    if (coils.wired) Wirings(coils, asked);
    TakenOut(asked);
    std::stable_partition(trouble_.trials.begin(), trouble_.trials.end(),
                          [](const ControlTrouble::Trial& t) { return t.cures; });
  }

  // Every plug in, wired in each way there is.
  void Plugs(double asked) {
    if (std::ranges::none_of(trouble_.weak, &ControlTrouble::Weak::unplugged)) return;
    ControlChange plugged;
    plugged.plugged = true;
    if (!f_.control_valve || !f_.second_control_valve) return Add("plugged in", plugged, asked);
    for (const CoilWiring wiring :
         {CoilWiring::kSeries, CoilWiring::kParallel, CoilWiring::kOwnDrivers}) {
      plugged.wiring = wiring;
      Add(fmt::format("both plugged in, {}", wiring == CoilWiring::kOwnDrivers
                                                 ? "each on a driver like the present one"
                                                 : fmt::format("in {}", WordOf(wiring))),
          plugged, asked);
    }
  }

  // What nodal analysis finds for the coils that are plugged in; a coil counts as pulled in there
  // when it has all the current asked for, or all that it needs where that is more. Of a single
  // coil there is nothing to wire.
  void Wirings(const CarCoils& coils, double asked) {
    if (std::ranges::all_of(trouble_.weak, &ControlTrouble::Weak::unplugged)) return;
    std::vector<electrics::Coil<double>> whole = coils.coil;
    const bool several = whole.size() > 1;
    for (auto& coil : whole) coil.pull_in = coil.hold = std::max(asked, coil.pull_in);
    const auto trials = electrics::TryChanges<double>(coils.wiring, coils.source, whole, {}, {});
    if (!trials) return;
    for (const electrics::Trial<double>& t : *trials) {
      using enum electrics::Change;
      const bool rewires = t.change == kRewired || t.change == kOwnDriver ||
                           (t.change == kStrongerDriver && t.wired.wiring != coils.wiring);
      if (!several && rewires) continue;
      ControlChange change;
      switch (t.change) {
        case kRewired:
        case kOwnDriver:
          change.wiring = WordFor(t.wired.wiring);
          Add(std::string(electrics::Describe(t.change)), change, asked);
          break;
        case kStrongerDriver:
          change.wiring = WordFor(t.wired.wiring);
          change.gives = *t.needed;
          Add(fmt::format("{}a driver that gives {:.2f} A",
                          several ? fmt::format("in {}, ", WordOf(*change.wiring)) : "", *t.needed),
              change, asked);
          break;
        case kSlimmerCoil: {
          change.wiring = CoilWiring::kSeries;
          const std::string fitted =
              Slimmer(change, static_cast<std::size_t>(t.coil), *t.needed, coils);
          Add(fmt::format("{}{}, moved by no more current", several ? "in series, " : "", fitted),
              change, asked);
          break;
        }
        case kSpareDriver:
        case kSpareCoil:
          break;  // none were offered
      }
    }
  }

  static CoilWiring WordFor(electrics::Wiring wiring) {
    switch (wiring) {
      case electrics::Wiring::kSeries:
        return CoilWiring::kSeries;
      case electrics::Wiring::kParallel:
        return CoilWiring::kParallel;
      case electrics::Wiring::kOwnDrivers:
        break;
    }
    return CoilWiring::kOwnDrivers;
  }

  // `needed` is of the warm coil; the fitted car states it at 20 degC. Says what was fitted.
  std::string Slimmer(ControlChange& change, std::size_t coil, double needed,
                      const CarCoils& coils) const {
    change.slimmer = !f_.control_valve || coil == 1 || !coils.powered.front();
    change.coil_share = needed / coils.coil[coil].resistance;
    const auto& part = *change.slimmer ? f_.second_control_valve : f_.control_valve;
    return fmt::format("a coil of {:.1f} ohm at 20 °C for {}", *part->coil * change.coil_share,
                       part->name);
  }

  // Weak valves taken out of the circuit, one at a time.
  void TakenOut(double asked) {
    for (const ControlTrouble::Weak& weak : trouble_.weak) {
      ControlChange change;
      change.out = weak.second;
      const auto& part = weak.second ? f_.second_control_valve : f_.control_valve;
      Add(fmt::format("{} taken out of the circuit", part->name), change, asked);
    }
  }

  const Car& f_;
  const Front<double>& front_;
  const std::optional<HandToRack<double>>& hand_;
  State state_ = kStates[0];
  std::optional<Scales<double>> scales_;
  ControlTrouble trouble_;
};

}  // namespace

void FindControlTrouble(const Fitted<double>& fitted, const Front<double>& front,
                        const std::optional<HandToRack<double>>& hand, Evaluation<double>& out) {
  if (!fitted.control_valve && !fitted.second_control_valve) return;
  if (!hand || !fitted.pump) return;  // without a pump it stands in no circuit
  out.control_trouble = TroubleFinder(fitted, front, hand).Run();
  if (!out.control_trouble) return;
  out.control_torque.push_back(out.control_trouble->torque);
  for (const ControlTrouble::Trial& t : out.control_trouble->trials) {
    out.control_torque.push_back(t.torque);
  }
}

void LiftControlTrouble(const Fitted<Jet>& fitted, const Front<Jet>& front,
                        const std::optional<HandToRack<Jet>>& hand, const ControlTrouble& found,
                        Evaluation<Jet>& out) {
  const auto state = std::ranges::find(kStates, found.weight, &State::weight);
  Scales<Jet> scales(fitted, front, hand, *state);
  out.control_torque.push_back(scales.Weigh(fitted));
  for (const ControlTrouble::Trial& t : found.trials) {
    out.control_torque.push_back(scales.Weigh(Changed(fitted, t.made)));
  }
}

}  // namespace steerbench
