#include "simulate/plant.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/evaluate/oil.h"

namespace steerbench::simulate {
namespace {

void AddMissing(Missing& to, const Missing& from) {
  for (const std::string_view path : from) Note(to, path);
}

double VolumeOf(const std::optional<double>& length, const std::optional<double>& bore) {
  return length && bore ? *length * *bore * *bore * M_PI / 4.0 : kUsualLine;
}

// Forces at the rack from the weight of the standing wheel's breakdown, which is at the hand wheel.
void TakeLoad(const effort::Terms<double>& terms, double rack_per_hand, Plant& plant) {
  const auto force = [&](effort::Term term) { return std::abs(terms[term]) * rack_per_hand; };
  plant.load.friction = force(effort::Term::kSpin) + force(effort::Term::kJoints);
  plant.load.wind_up = plant.load.friction / kUsualWindUp;
  plant.rack_friction = force(effort::Term::kRack) + force(effort::Term::kSeals);
}

void TakeStops(const Evaluation<double>& results, Plant& plant) {
  plant.stops.high = *results[Output::kTravelLeft];
  plant.stops.low = -*results[Output::kTravelRight];
}

void TakeLines(const Fitted<double>& fitted, Plant& plant) {
  const auto& oil = fitted.car.oil;
  plant.supply_volume = VolumeOf(oil.pressure_length, oil.pressure_bore);
  plant.return_volume = VolumeOf(oil.return_length, oil.return_bore);
  plant.hose_modulus = kUsualHoseModulus;
  plant.dead_volume = kUsualDead;
}

std::vector<std::string> Said(const Plant& p, const Given& given, bool some_line_unknown) {
  std::vector<std::string> said;
  if (!given.rack_mass) {
    said.push_back(
        fmt::format("{:g} kg move with the rack (rack, rods and arms; the wheels hang "
                    "on soft bushes)",
                    p.rack_mass));
  }
  said.emplace_back("the tyres push back as with the rack centred: towards lock they push harder");
  said.push_back(fmt::format("tyres and bushes damp the rack by {:g} N per m/s", p.load.damping));
  said.push_back(fmt::format("a standing tyre takes 95 % of its full load over {:g} mm of the rack",
                             3e3 * kUsualWindUp));
  said.push_back(fmt::format("hose walls give as oil of {:g} bar would", p.hose_modulus / 1e5));
  if (some_line_unknown) {
    said.push_back(fmt::format("an oil line of unknown size holds {:g} cm³", 1e6 * kUsualLine));
  }
  said.push_back(fmt::format("each chamber and its pipe hold {:g} cm³ of oil at its end of travel",
                             1e6 * p.dead_volume));
  said.push_back(
      fmt::format("a hand wheel that is pushed, not led, has {:g} kg m² with the arms on "
                  "it, and {:g} N·m per rad/s of damping",
                  p.hand_inertia, p.hand_damping));
  said.push_back(given.air > 0.0 ? fmt::format("{:g} % free air in the oil", given.air * 100.0)
                                 : "no free air in the oil");
  said.emplace_back("the rack's ratio as at centre, the column even and without friction");
  return said;
}

}  // namespace

std::optional<FittedPlant> PlantOf(const Fitted<double>& fitted, const Evaluation<double>& results,
                                   const Given& given, Missing& missing) {
  if (!fitted.pump) missing.push_back("setup.pump");
  const std::optional<double> engine =
      given.engine_speed ? given.engine_speed : fitted.car.engine.idle;
  if (!engine) missing.push_back("car.engine.idle");
  AddMissing(missing, PumpDriveLacks(fitted));
  // The load is that of the weight without assistance, which waits for no engine.
  for (const Output id : {Output::kKerbLostTorque, Output::kTravelLeft, Output::kTravelRight}) {
    const Result<double>& r = results.result[static_cast<std::size_t>(id)];
    if (!r.value) AddMissing(missing, r.missing);
  }
  // The steady states can do without them, but not how fast the valve follows the hand.
  if (fitted.rack && !fitted.rack->torsion_bar) missing.push_back("rack.torsion_bar");
  if (fitted.rack && !fitted.rack->valve_stop) missing.push_back("rack.valve_stop");
  Missing of_hand;
  const auto hand = HandToRackOf(fitted, results.steers_to_own_side.value_or(true), of_hand);
  AddMissing(missing, of_hand);
  const auto kerb = std::ranges::find(results.breakdown, Output::kKerbLostTorque,
                                      &Evaluation<double>::Breakdown::of);
  if (!missing.empty() || !hand || kerb == results.breakdown.end()) return std::nullopt;
  std::vector<Assumption> assumed;
  const auto circuit = CircuitOf(fitted, hand->ratio, missing, assumed);
  const auto currents = CoilCurrents(fitted, 0.0, missing);
  if (!circuit || !currents || !missing.empty()) return std::nullopt;
  FittedPlant made;
  Plant& p = made.plant;
  p.circuit = *circuit;
  p.circuit.fluid.air = given.air;
  p.mesh_efficiency = *fitted.rack->mesh_efficiency;
  p.circuit.cylinder.travel_per_radian *= p.mesh_efficiency;  // CircuitOf has the loss in it
  p.condition.temperature = *fitted.car.oil.temperature;
  std::copy(currents->begin(), currents->end(), p.condition.currents.begin());
  p.condition.pump_speed = PumpSpeedOf(fitted, *engine);
  const double column = gear::TurnColumn(hand->joints, 0.0).ratio;
  TakeLoad(kerb->terms, 1.0 / (p.circuit.cylinder.travel_per_radian * column), p);
  TakeStops(results, p);
  TakeLines(fitted, p);
  p.rack_mass = given.rack_mass.value_or(kUsualRackMass);
  p.load.damping = kUsualDamping;
  p.hand_inertia = kUsualHandInertia;
  p.hand_damping = kUsualHandDamping;
  made.turn = hand->turn;
  if (fitted.car.column.rim_diameter) made.rim_radius = *fitted.car.column.rim_diameter / 2.0;
  const auto& oil = fitted.car.oil;
  made.assumed =
      Said(p, given,
           !(oil.pressure_length && oil.pressure_bore && oil.return_length && oil.return_bore));
  const auto words = InWords(assumed);
  made.assumed.insert(made.assumed.end(), words.begin(), words.end());
  return made;
}

}  // namespace steerbench::simulate
