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
void AskFor(Car& car, double current) {
  for (CurrentRow<double>& row : car.car.driver.current) row.current = current;
  car.car.driver.limit = std::max(*car.car.driver.limit, current);
}

class Finder {
 public:
  Finder(const Car& fitted, const Front<double>& front,
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
      trouble_.torque = Weigh(f_);
      Try(*coils);
      return trouble_;
    }
    return std::nullopt;
  }

 private:
  // Every valve that is asked to move and has not the current to.
  void Weak(const CarCoils& coils) {
    const double asked = *coils.source.limit;
    const bool several = coils.coil.size() > 1;
    std::size_t i = 0;
    for (const bool second : {false, true}) {
      const auto& part = second ? f_.second_control_valve : f_.control_valve;
      if (!part) continue;
      const double current = coils.current[i], pull_in = part->pull_in.value_or(0.0);
      const bool unplugged = !coils.powered[i++];
      if (asked < pull_in || asked <= 0.0 || (!unplugged && IsFull(current, asked))) continue;
      ControlTrouble::Weak weak;
      weak.second = second;
      weak.unplugged = unplugged;
      weak.in_series = !unplugged && several && coils.wiring == electrics::Wiring::kSeries;
      weak.shared = !unplugged && several && coils.wiring == electrics::Wiring::kParallel;
      weak.asked = asked;
      weak.current = current;
      weak.pull_in = pull_in;
      trouble_.weak.push_back(weak);
    }
  }

  // Weight of the hand wheel of a changed car in the state looked at, if it can be had.
  std::optional<double> Weigh(const Car& car) const {
    std::vector<Assumption> assumed;
    Chain<double> chain(car, front_, hand_, {}, assumed);
    const bool standing = state_.weight == Output::kKerbTorque;
    Missing missing = standing ? chain.StandingLacks(false) : chain.BendLacks();
    const Missing assist = chain.AssistLacks(state_.road_speed);
    if (!missing.empty() || !assist.empty() || !chain.HasAssist()) return std::nullopt;
    const auto axle =
        standing ? chain.Standing({}, 0.0) : chain.InBend(state_.road_speed, kRoadAcceleration);
    if (!axle) return std::nullopt;
    const auto& engine = standing ? car.car.engine.idle : car.car.engine.cruise;
    const auto weighed =
        chain.Turn(*axle, effort::Direction::kLeft, chain.PumpSpeedAt(*engine), state_.road_speed);
    return weighed ? std::optional(std::abs(weighed->to_left)) : std::nullopt;
  }

  // Whether every coil of a changed car gets what is asked for in the state looked at.
  bool Cured(const Car& car, double asked) const {
    Missing missing;
    const auto coils = CoilsAt<double>(car, state_.road_speed, missing);
    return coils &&
           std::ranges::all_of(coils->current, [asked](double c) { return IsFull(c, asked); });
  }

  void Add(std::string change, const Car& car, double asked) {
    trouble_.trials.push_back({std::move(change), Cured(car, asked), Weigh(car)});
  }

  void Try(const CarCoils& coils) {
    const double asked = *coils.source.limit;
    Plugs(asked);
    if (coils.wired) Wirings(coils, asked);
    TakenOut(asked);
    std::stable_partition(trouble_.trials.begin(), trouble_.trials.end(),
                          [](const ControlTrouble::Trial& t) { return t.cures; });
  }

  // Every plug in, wired in each way there is.
  void Plugs(double asked) {
    if (std::ranges::none_of(trouble_.weak, &ControlTrouble::Weak::unplugged)) return;
    Car plugged = f_;
    plugged.adjust.control_powered = plugged.adjust.second_control_powered = true;
    if (!f_.control_valve || !f_.second_control_valve) return Add("plugged in", plugged, asked);
    for (const CoilWiring wiring :
         {CoilWiring::kSeries, CoilWiring::kParallel, CoilWiring::kOwnDrivers}) {
      plugged.adjust.wiring = wiring;
      Add(fmt::format("both plugged in, {}", wiring == CoilWiring::kOwnDrivers
                                                 ? "each on a driver like the present one"
                                                 : fmt::format("in {}", WordOf(wiring))),
          plugged, asked);
    }
  }

  // What nodal analysis finds for the coils that are plugged in; a coil counts as pulled in there
  // when it has all the current asked for.
  void Wirings(const CarCoils& coils, double asked) {
    if (std::ranges::all_of(trouble_.weak, &ControlTrouble::Weak::unplugged)) return;
    std::vector<electrics::Coil<double>> whole = coils.coil;
    for (auto& coil : whole) coil.pull_in = coil.hold = asked;
    const auto trials = electrics::TryChanges<double>(coils.wiring, coils.source, whole, {}, {});
    if (!trials) return;
    for (const electrics::Trial<double>& t : *trials) {
      Car car = f_;
      using enum electrics::Change;
      switch (t.change) {
        case kRewired:
        case kOwnDriver:
          car.adjust.wiring = WordFor(t.wired.wiring);
          Add(std::string(electrics::Describe(t.change)), car, asked);
          break;
        case kStrongerDriver:
          car.adjust.wiring = WordFor(t.wired.wiring);
          AskFor(car, *t.needed);
          Add(fmt::format("in {}, a driver that gives {:.2f} A", WordOf(*car.adjust.wiring),
                          *t.needed),
              car, asked);
          break;
        case kSlimmerCoil:
          car.adjust.wiring = CoilWiring::kSeries;
          Add(fmt::format("in series, {}, moved by no more current",
                          Slimmer(car, static_cast<std::size_t>(t.coil), *t.needed, coils)),
              car, asked);
          break;
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
  static std::string Slimmer(Car& car, std::size_t coil, double needed, const CarCoils& coils) {
    const bool second = !car.control_valve || coil == 1 || !coils.powered.front();
    auto& part = second ? car.second_control_valve : car.control_valve;
    *part->coil *= needed / coils.coil[coil].resistance;
    return fmt::format("a coil of {:.1f} ohm at 20 °C for {}", *part->coil, part->name);
  }

  // Weak valves taken out of the circuit, one at a time.
  void TakenOut(double asked) {
    for (const ControlTrouble::Weak& weak : trouble_.weak) {
      Car car = f_;
      const auto& part = weak.second ? f_.second_control_valve : f_.control_valve;
      (weak.second ? car.second_control_valve : car.control_valve).reset();
      Add(fmt::format("{} taken out of the circuit", part->name), car, asked);
    }
  }

  const Car& f_;
  const Front<double>& front_;
  const std::optional<HandToRack<double>>& hand_;
  State state_ = kStates[0];
  ControlTrouble trouble_;
};

}  // namespace

void FindControlTrouble(const Fitted<double>& fitted, const Front<double>& front,
                        const std::optional<HandToRack<double>>& hand, Evaluation<double>& out) {
  if (!fitted.control_valve && !fitted.second_control_valve) return;
  if (!hand) return;
  out.control_trouble = Finder(fitted, front, hand).Run();
}

}  // namespace steerbench
