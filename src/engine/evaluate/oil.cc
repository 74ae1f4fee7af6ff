#include "engine/evaluate/oil.h"

#include <algorithm>

#include "engine/base/monotone_cubic.h"
#include "engine/electrics/wiring.h"

namespace steerbench {
namespace {

using hydraulics::Circuit;

constexpr double kReliefOpening = 0.95;    // share of the relief pressure at which it begins
constexpr double kReactionPressure = 1e7;  // [Pa], 100 bar: at which a reaction torque is stated
// A plug and a metre of wire, out and back [ohm]; the network needs some (electrics/wiring.h).
constexpr double kPlugResistance = 0.02;

// Collects missing fields while reading known ones.
template <class T>
class Reader {
 public:
  explicit Reader(Missing& missing) : missing_(missing) {}
  T operator()(const std::optional<T>& field, std::string_view path) {
    if (field) return *field;
    missing_.push_back(path);
    return T(0.0);
  }

 private:
  Missing& missing_;
};

void Note(std::vector<Assumption>& assumed, Assumption a) {
  if (std::ranges::find(assumed, a) == assumed.end()) assumed.push_back(a);
}

template <class T>
hydraulics::Fluid<T> FluidOf(const Fitted<T>& f, Reader<T>& read, Missing& missing) {
  hydraulics::Fluid<T> fluid;
  if (!f.fluid) {
    missing.push_back("setup.fluid");
    return fluid;
  }
  constexpr double kCold = hydraulics::kZeroCelsius + 40.0;
  constexpr double kHot = hydraulics::kZeroCelsius + 100.0;
  fluid.cold = {T(kCold), read(f.fluid->viscosity_40, "fluid.viscosity_40")};
  fluid.hot = {T(kHot), read(f.fluid->viscosity_100, "fluid.viscosity_100")};
  fluid.density = read(f.fluid->density, "fluid.density");
  return fluid;
}

// Inner leak from the first bench reading that is whole, at the oil temperature of the car.
template <class T>
T LeakOf(const Pump<T>& pump, const hydraulics::FluidState<T>& oil,
         std::vector<Assumption>& assumed) {
  for (const PumpRow<T>& row : pump.bench) {
    if (!row.speed || !row.pressure || !row.flow || !pump.displacement) continue;
    return hydraulics::LeakFrom<T>(*pump.displacement,
                                   {*row.speed, *row.pressure, oil.dynamic, *row.flow});
  }
  Note(assumed, Assumption::kNoPumpLeak);
  return T(0.0);
}

template <class T>
hydraulics::Pump<T> PumpOf(const Fitted<T>& f, const hydraulics::FluidState<T>& oil,
                           Reader<T>& read, std::vector<Assumption>& assumed) {
  const Pump<T>& part = *f.pump;
  hydraulics::Pump<T> pump;
  pump.displacement = read(part.displacement, "pump.displacement");
  const T flow = read(part.flow, "pump.flow");
  const T relief = read(part.relief, "pump.relief");
  if (!part.displacement || !part.flow || !part.relief) return pump;
  pump.leak = LeakOf(part, oil, assumed);
  hydraulics::FlowControl<T> control;
  control.flow = flow;
  control.from_speed = part.full_flow_speed.value_or(flow / pump.displacement);
  pump.flow_control = control;
  if (!part.relief_cracking) Note(assumed, Assumption::kReliefOpens);
  pump.relief = {part.relief_cracking.value_or(relief * kReliefOpening), relief, flow};
  pump.top_speed = part.top_speed;
  return pump;
}

template <class T>
hydraulics::Line<T> LineOf(const std::optional<T>& length, const std::optional<T>& bore,
                           std::vector<Assumption>& assumed) {
  hydraulics::Line<T> line;
  if (!length || !bore) {
    Note(assumed, Assumption::kNoLineLoss);
    return line;
  }
  line.length = *length;
  line.bore = *bore;
  return line;
}

template <class T>
std::optional<hydraulics::RotaryValve<T>> ValveOf(const Fitted<T>& f,
                                                  const hydraulics::FluidState<T>& oil,
                                                  Reader<T>& read, Missing& missing) {
  const Rack<T>& rack = *f.rack;
  hydraulics::RotaryValve<T> valve;
  valve.stiffness = read(rack.torsion_bar, "rack.torsion_bar");
  valve.stop = read(rack.valve_stop, "rack.valve_stop");
  const T flow = read(rack.boost_flow, "rack.boost_flow");
  std::vector<hydraulics::BoostPoint<T>> points;
  for (const BoostRow<T>& row : rack.boost) {
    std::optional<T> torque = row.torque;
    if (!torque && row.pull) {
      torque = *row.pull * read(f.car.column.rim_diameter, "car.column.rim_diameter") / 2.0;
    }
    if (!torque || !row.pressure) {
      missing.push_back("rack.boost");
      break;
    }
    points.push_back({*torque / valve.stiffness, *row.pressure});
  }
  if (points.size() < 2) missing.push_back("rack.boost");
  if (!missing.empty()) return std::nullopt;
  const auto fitted = hydraulics::FitOpening<T>(points, flow, hydraulics::kSharpEdge, oil);
  if (!fitted) {
    missing.push_back("rack.boost");
    return std::nullopt;
  }
  valve.openings = *fitted;
  return valve;
}

hydraulics::Principle PrincipleOf(ControlPrinciple p) {
  switch (p) {
    case ControlPrinciple::kPumpBypass:
      return hydraulics::Principle::kPumpBypass;
    case ControlPrinciple::kPistonBypass:
      return hydraulics::Principle::kPistonBypass;
    case ControlPrinciple::kReaction:
      return hydraulics::Principle::kReaction;
    case ControlPrinciple::kFeed:
      break;
  }
  return hydraulics::Principle::kFeed;
}

template <class T>
std::optional<hydraulics::ControlValve<T>> ControlOf(const ControlValve<T>& part) {
  std::vector<T> current, opening;
  const bool reaction = part.principle == ControlPrinciple::kReaction;
  for (const OpeningRow<T>& row : part.opening) {
    const auto& bound = reaction ? row.share : row.diameter;
    if (!row.current || !bound) return std::nullopt;
    current.push_back(*row.current);
    opening.push_back(reaction ? *bound : T(*bound * *bound * (M_PI / 4.0)));
  }
  if (current.size() < 2 || Value(current.front()) != 0.0 || FirstRowOutOfOrder<T>(current)) {
    return std::nullopt;
  }
  return hydraulics::ControlValve<T>{FitMonotoneCubic<T>(current, opening)};
}

// Control valves of one principle stand one after another in one passage, as the setup lists them;
// those of different principles are passages of their own.
template <class T>
void AddControls(Circuit<T>& circuit, const Fitted<T>& f, Missing& missing) {
  const auto add = [&](const std::optional<ControlValve<T>>& part, std::string_view principle_path,
                       std::string_view opening_path, std::string_view reaction_path) {
    if (!part) return;
    if (!part->principle) missing.push_back(principle_path);
    const auto valve = ControlOf(*part);
    if (!valve) missing.push_back(opening_path);
    if (!part->principle || !valve) return;
    const auto principle = PrincipleOf(*part->principle);
    hydraulics::ControlBranch<T> branch;
    branch.principle = principle;
    branch.valves.push_back(*valve);
    if (principle == hydraulics::Principle::kReaction) {
      if (!part->reaction_torque || !part->reaction_onset) {
        missing.push_back(reaction_path);
        return;
      }
      branch.reaction = hydraulics::Reaction<T>{
          *part->reaction_torque / kReactionPressure, *part->reaction_onset, {}};
    } else if (!circuit.control.empty() && circuit.control.back().principle == principle) {
      circuit.control.back().valves.push_back(*valve);
      return;
    }
    circuit.control.push_back(std::move(branch));
  };
  add(f.control_valve, "control_valve.principle", "control_valve.opening",
      "control_valve.reaction_torque");
  add(f.second_control_valve, "second_control_valve.principle", "second_control_valve.opening",
      "second_control_valve.reaction_torque");
}

// Current asked for at a road speed, held at the ends of the table.
template <class T>
std::optional<T> Asked(const Driver<T>& driver, double road_speed) {
  std::vector<T> speed, current;
  for (const CurrentRow<T>& row : driver.current) {
    if (!row.road_speed || !row.current) return std::nullopt;
    speed.push_back(*row.road_speed);
    current.push_back(*row.current);
  }
  if (speed.size() < 2 || FirstRowOutOfOrder<T>(speed)) return std::nullopt;
  if (road_speed <= Value(speed.front())) return current.front();
  if (road_speed >= Value(speed.back())) return current.back();
  return PointAt<T>(FitMonotoneCubic<T>(speed, current), T(road_speed))->value;
}

}  // namespace

template <class T>
std::optional<Circuit<T>> CircuitOf(const Fitted<T>& fitted, const gear::RackRatio<T>& ratio,
                                    Missing& missing, std::vector<Assumption>& assumed) {
  if (!fitted.pump) missing.push_back("setup.pump");
  if (!fitted.rack) missing.push_back("setup.rack");
  if (!missing.empty()) return std::nullopt;
  Reader<T> read(missing);
  Circuit<T> circuit;
  circuit.fluid = FluidOf(fitted, read, missing);
  const T temperature = read(fitted.car.oil.temperature, "car.oil.temperature");
  const T bore = read(fitted.rack->piston_bore, "rack.piston_bore");
  const T rod = read(fitted.rack->piston_rod, "rack.piston_rod");
  const T efficiency = read(fitted.rack->mesh_efficiency, "rack.mesh_efficiency");
  if (!missing.empty()) return std::nullopt;
  const hydraulics::FluidState<T> oil = hydraulics::StateAt(circuit.fluid, temperature);
  circuit.pump = PumpOf(fitted, oil, read, assumed);
  const auto valve = ValveOf(fitted, oil, read, missing);
  if (!valve) return std::nullopt;
  circuit.valve = *valve;
  const OilCircuit<T>& lines = fitted.car.oil;
  circuit.pressure_line = LineOf(lines.pressure_length, lines.pressure_bore, assumed);
  circuit.return_line = LineOf(lines.return_length, lines.return_bore, assumed);
  circuit.cylinder.area_a = circuit.cylinder.area_b = hydraulics::RingArea<T>(bore, rod);
  // The mesh's loss lies between the valve's torque and the rack's force.
  circuit.cylinder.travel_per_radian = gear::TravelPerAngle<T>(ratio, T(0.0)) / efficiency;
  AddControls(circuit, fitted, missing);
  if (!missing.empty()) return std::nullopt;
  return circuit;
}

template <class T>
std::optional<std::vector<T>> CoilCurrents(const Fitted<T>& fitted, double road_speed,
                                           Missing& missing) {
  std::vector<T> currents;
  if (!fitted.control_valve && !fitted.second_control_valve) return currents;
  const auto asked = Asked(fitted.car.driver, road_speed);
  if (!asked) {
    missing.push_back("car.driver.current");
    return std::nullopt;
  }
  Reader<T> read(missing);
  std::vector<electrics::Coil<T>> coils;
  std::vector<bool> powered;
  const auto add = [&](const ControlValve<T>& part, const std::optional<bool>& plugged,
                       std::string_view coil_path, std::string_view pull_in_path) {
    powered.push_back(plugged.value_or(true));
    if (!powered.back()) return;
    const T pull_in = read(part.pull_in, pull_in_path);
    coils.push_back({read(part.coil, coil_path), T(kPlugResistance), pull_in, pull_in});
  };
  if (fitted.control_valve) {
    add(*fitted.control_valve, fitted.adjust.control_powered, "control_valve.coil",
        "control_valve.pull_in");
  }
  if (fitted.second_control_valve) {
    add(*fitted.second_control_valve, fitted.adjust.second_control_powered,
        "second_control_valve.coil", "second_control_valve.pull_in");
  }
  const bool several = coils.size() > 1;
  if (several && !fitted.adjust.wiring) missing.push_back("setup.wiring");
  electrics::Source<T> source;
  source.voltage = read(fitted.car.driver.voltage, "car.driver.voltage");
  source.resistance = read(fitted.car.driver.resistance, "car.driver.resistance");
  const T limit = read(fitted.car.driver.limit, "car.driver.limit");
  if (!missing.empty()) return std::nullopt;
  source.limit = Value(limit) < Value(*asked) ? limit : *asked;
  std::vector<T> flowing;
  if (!coils.empty() && Value(*source.limit) > 0.0) {
    const CoilWiring wiring = several ? *fitted.adjust.wiring : CoilWiring::kSeries;
    const auto kind = wiring == CoilWiring::kSeries     ? electrics::Wiring::kSeries
                      : wiring == CoilWiring::kParallel ? electrics::Wiring::kParallel
                                                        : electrics::Wiring::kOwnDrivers;
    const std::size_t drivers = kind == electrics::Wiring::kOwnDrivers ? coils.size() : 1;
    const auto wired =
        electrics::Wire<T>(kind, std::vector<electrics::Source<T>>(drivers, source), coils);
    if (!wired) {
      missing.push_back("car.driver");
      return std::nullopt;
    }
    flowing = wired->current;
  }
  auto next = flowing.begin();
  for (const bool on : powered) {
    currents.push_back(on && next != flowing.end() ? *next++ : T(0.0));
  }
  return currents;
}

#define STEERBENCH_INSTANTIATE(T)                                                              \
  template std::optional<Circuit<T>> CircuitOf<T>(const Fitted<T>&, const gear::RackRatio<T>&, \
                                                  Missing&, std::vector<Assumption>&);         \
  template std::optional<std::vector<T>> CoilCurrents<T>(const Fitted<T>&, double, Missing&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench
