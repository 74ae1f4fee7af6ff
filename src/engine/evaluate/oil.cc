#include "engine/evaluate/oil.h"

#include <algorithm>

#include "engine/base/monotone_cubic.h"
#include "engine/drive/drive.h"
#include "engine/electrics/copper.h"
#include "engine/electrics/wiring.h"
#include "engine/gear/column.h"
#include "engine/limits/margin.h"

namespace steerbench {
namespace {

static_assert(kColdestOnCar == hydraulics::kColdest && kHottestOnCar == hydraulics::kHottest,
              "the document takes the temperatures that the oil's model does");

using hydraulics::Circuit;

constexpr double kReliefOpening = 0.95;    // share of the relief pressure at which it begins
constexpr double kReactionPressure = 1e7;  // [Pa], 100 bar: at which a reaction torque is stated
constexpr double kFlowApart = 0.05;        // share by which two figures of one flow are the same
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

// Oil, and how it is in the car.
template <class T>
struct Oil {
  const hydraulics::Fluid<T>& fluid;
  const hydraulics::FluidState<T>& warm;
};

// The bench readings that are whole.
template <class T>
std::vector<hydraulics::PumpReading<T>> ReadingsOf(const Pump<T>& pump, const Oil<T>& oil,
                                                   std::vector<Assumption>& assumed) {
  std::vector<hydraulics::PumpReading<T>> readings;
  for (const PumpRow<T>& row : pump.bench) {
    if (!row.speed || !row.pressure || !row.flow) continue;
    if (!row.temperature) Note(assumed, Assumption::kBenchAsInCar);
    const T viscosity = row.temperature
                            ? hydraulics::StateAt<T>(oil.fluid, *row.temperature).dynamic
                            : oil.warm.dynamic;
    readings.push_back({*row.speed, *row.pressure, viscosity, *row.flow});
  }
  return readings;
}

// Whether readings lie off the displacement and leak made of them by more than reading makes.
template <class T>
bool Apart(const hydraulics::DisplacementAndLeak<T>& inner,
           const std::vector<hydraulics::PumpReading<T>>& readings) {
  constexpr double kShare = 0.1;  // of a flow: bucket and stopwatch are good to half of that
  return std::ranges::any_of(readings, [&](const hydraulics::PumpReading<T>& r) {
    const T flow = inner.displacement * r.speed - inner.leak * r.pressure / r.viscosity;
    return std::abs(Value(T(flow - r.flow))) > kShare * Value(r.flow);
  });
}

// What a pump moves and loses inside.
template <class T>
struct Inner {
  T displacement{}, leak{}, filled = T(1.0);
};

// Displacement as stated and leak from the bench, or both from the bench. Without a reading a speed
// of full flow that is later than the displacement's tells what share of it never arrives.
template <class T>
Inner<T> InnerPump(const Pump<T>& part, const Oil<T>& oil, Reader<T>& read,
                   std::vector<Assumption>& assumed) {
  const auto readings = ReadingsOf(part, oil, assumed);
  if (!part.displacement) {
    if (const auto both = hydraulics::PumpFrom<T>(readings)) {
      if (Apart<T>(*both, readings)) Note(assumed, Assumption::kBenchApart);
      return {both->displacement, both->leak};
    }
  }
  Inner<T> inner{read(part.displacement, "pump.displacement")};
  if (!readings.empty()) {
    inner.leak = hydraulics::LeakFrom<T>(inner.displacement, readings);
    if (Apart<T>({inner.displacement, inner.leak}, readings)) {
      Note(assumed, Assumption::kBenchApart);
    }
  } else {
    Note(assumed, Assumption::kNoPumpLeak);
    if (!part.full_flow_speed) Note(assumed, Assumption::kFullFlowComputed);
  }
  if (!part.displacement || !part.flow || !part.full_flow_speed) return inner;
  const T filled = *part.flow / (inner.displacement * *part.full_flow_speed);
  if (1.0 / Value(filled) - 1.0 <= kFlowApart) return inner;
  Note(assumed, readings.empty() ? Assumption::kFillsInPart : Assumption::kFullFlowLater);
  if (readings.empty()) inner.filled = filled;
  return inner;
}

template <class T>
hydraulics::FlowControl<T> FlowControlOf(const Pump<T>& part, const T& flow, const T& displacement,
                                         Reader<T>& read, std::vector<Assumption>& assumed) {
  hydraulics::FlowControl<T> control;
  control.flow = flow;
  if (part.metering_drop) {
    control.metering_drop = *part.metering_drop;
  } else {
    Note(assumed, Assumption::kNoMeteringDrop);
  }
  control.from_speed = part.full_flow_speed.value_or(flow / displacement);
  if (!part.flow_at_top) return control;
  if (!part.full_flow_speed) Note(assumed, Assumption::kFullFlowComputed);
  const T top = read(part.top_speed, "pump.top_speed");
  if (Value(top) > Value(control.from_speed)) {
    control.droop = (flow - *part.flow_at_top) / (top - control.from_speed);
  }
  return control;
}

template <class T>
hydraulics::Pump<T> PumpOf(const Fitted<T>& f, const Oil<T>& oil, Reader<T>& read,
                           std::vector<Assumption>& assumed) {
  const Pump<T>& part = *f.pump;
  hydraulics::Pump<T> pump;
  const auto inner = InnerPump(part, oil, read, assumed);
  pump.displacement = inner.displacement;
  pump.leak = inner.leak;
  pump.filled = inner.filled;
  if (part.efficiency) {
    pump.efficiency = *part.efficiency;
  } else {
    Note(assumed, Assumption::kNoPumpFriction);
  }
  const T flow = read(part.flow, "pump.flow");
  const std::optional<T> set_relief = ReliefOf(f);
  const T relief = read(set_relief, "pump.relief");
  if (!part.flow || !set_relief || Value(pump.displacement) == 0.0) return pump;
  pump.flow_control = FlowControlOf(part, flow, pump.displacement, read, assumed);
  if (f.adjust.relief || !part.relief_cracking) Note(assumed, Assumption::kReliefOpens);
  pump.relief = {ReliefBegins(f), relief, flow};
  pump.top_speed = part.top_speed;
  const OilCircuit<T>& laid = f.car.oil;
  if (laid.inlet_length && laid.inlet_bore && laid.inlet_head) {
    Note(assumed, Assumption::kSeaLevel);
    pump.inlet =
        hydraulics::Inlet<T>{{*laid.inlet_length, *laid.inlet_bore},
                             *laid.inlet_head,
                             f.limits.inlet_pressure.value_or(T(limits::kLeastInletPressure))};
  } else {
    Note(assumed, Assumption::kNoInletLoss);
  }
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

// Torque at the pinion of a pull at the rim, slowly on against a rack that is held: what is left
// past the column's friction, through its joints, straight ahead. None of no pull.
template <class T>
T PinionTorqueOf(const T& pull, const Fitted<T>& f, Reader<T>& read) {
  if (Value(pull) == 0.0) return T(0.0);
  const T hand = pull * read(f.car.column.rim_diameter, "car.column.rim_diameter") / 2.0;
  std::vector<gear::CardanJoint<T>> joints;
  for (const ColumnJoint<T>& j : f.car.column.joint) {
    joints.push_back(
        {read(j.angle, "car.column.joint.angle"), read(j.phase, "car.column.joint.phase")});
  }
  return (hand - read(f.car.friction.column, "car.friction.column")) /
         gear::HandWheelAt<T>(joints, T(0.0)).ratio;
}

// Whether the twist itself tells, and not the torque alone: a reaction chamber sets in by it.
template <class T>
bool TwistTells(const Fitted<T>& f) {
  const auto reacts = [](const std::optional<ControlValve<T>>& valve) {
    return valve && valve->principle == ControlPrinciple::kReaction;
  };
  return reacts(f.control_valve) || reacts(f.second_control_valve);
}

// Stiffness and stop of a valve whose last boost row stands at a torque.
template <class T>
void SetBar(hydraulics::RotaryValve<T>& valve, const Fitted<T>& f, const T& last, Reader<T>& read,
            std::vector<Assumption>& assumed) {
  constexpr double kStandInTwist = 0.1;  // [rad] at the last row; results do not depend on it
  const Rack<T>& rack = *f.rack;
  if (rack.torsion_bar || TwistTells(f)) {
    valve.stiffness = read(rack.torsion_bar, "rack.torsion_bar");
  } else {
    valve.stiffness = T(Value(last) / kStandInTwist);
    Note(assumed, Assumption::kTwistByTorque);
  }
  if (rack.torsion_bar && rack.valve_stop) {
    valve.stop = *rack.valve_stop;
  } else {
    valve.stop = last / valve.stiffness;
    Note(assumed, Assumption::kStopAtLastRow);
  }
}

template <class T>
std::optional<hydraulics::RotaryValve<T>> ValveOf(const Fitted<T>& f,
                                                  const hydraulics::FluidState<T>& oil,
                                                  Reader<T>& read, Missing& missing,
                                                  std::vector<Assumption>& assumed) {
  const Rack<T>& rack = *f.rack;
  hydraulics::RotaryValve<T> valve;
  const T flow = read(rack.boost_flow, "rack.boost_flow");
  std::vector<hydraulics::BoostPoint<T>> points;  // at first by torque
  for (const BoostRow<T>& row : rack.boost) {
    std::optional<T> torque = row.torque;
    if (!torque && row.pull) torque = PinionTorqueOf<T>(*row.pull, f, read);
    if (!torque || !row.pressure) {
      missing.push_back("rack.boost");
      break;
    }
    points.push_back({*torque, *row.pressure});
  }
  if (points.size() < 2) missing.push_back("rack.boost");
  if (!missing.empty()) return std::nullopt;
  SetBar(valve, f, points.back().twist, read, assumed);
  if (!missing.empty()) return std::nullopt;
  for (auto& point : points) point.twist /= valve.stiffness;
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

// What may be missing of a control valve.
struct ControlPaths {
  std::string_view principle, opening, diameter, share, torque, onset;
};
constexpr ControlPaths kControlPaths{
    "control_valve.principle",        "control_valve.opening",
    "control_valve.opening.diameter", "control_valve.opening.share",
    "control_valve.reaction_torque",  "control_valve.reaction_onset"};
constexpr ControlPaths kSecondControlPaths{
    "second_control_valve.principle",        "second_control_valve.opening",
    "second_control_valve.opening.diameter", "second_control_valve.opening.share",
    "second_control_valve.reaction_torque",  "second_control_valve.reaction_onset"};

// What its openings lack: rows, or in the rows what its principle goes by.
template <class T>
std::string_view LackOfOpening(const ControlValve<T>& part, const ControlPaths& paths) {
  const bool reaction = part.principle == ControlPrinciple::kReaction;
  const bool bound = std::ranges::all_of(part.opening, [&](const OpeningRow<T>& row) {
    return (reaction ? row.share : row.diameter).has_value();
  });
  return bound ? paths.opening : reaction ? paths.share : paths.diameter;
}

// Control valves of one principle stand one after another in one passage, as the setup lists them,
// but for reaction valves, each with a chamber of its own; those of different principles are
// passages of their own.
template <class T>
void AddControls(Circuit<T>& circuit, const Fitted<T>& f, Missing& missing,
                 std::vector<Assumption>& assumed) {
  const auto add = [&](bool second, const ControlPaths& paths) {
    const std::optional<ControlValve<T>>& part = second ? f.second_control_valve : f.control_valve;
    if (!part) return;
    if (!part->principle) missing.push_back(paths.principle);
    const auto valve = ControlValveOf(f, second);
    if (!valve) missing.push_back(LackOfOpening(*part, paths));
    if (!part->principle || !valve) return;
    const auto principle = PrincipleOf(*part->principle);
    hydraulics::ControlBranch<T> branch;
    branch.principle = principle;
    branch.valves.push_back(*valve);
    if (principle == hydraulics::Principle::kReaction) {
      if (!part->reaction_torque) missing.push_back(paths.torque);
      if (!part->reaction_onset) missing.push_back(paths.onset);
      if (!part->reaction_torque || !part->reaction_onset) return;
      branch.reaction = hydraulics::Reaction<T>{*part->reaction_torque / kReactionPressure,
                                                *part->reaction_onset};
    } else if (!circuit.control.empty() && circuit.control.back().principle == principle) {
      circuit.control.back().valves.push_back(*valve);
      Note(assumed, Assumption::kControlsInLine);
      return;
    }
    circuit.control.push_back(std::move(branch));
  };
  add(false, kControlPaths);
  add(true, kSecondControlPaths);
}

// Current asked for at a road speed: a monotone cubic between the rows of the table, held at its
// ends.
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

electrics::Wiring WiringOf(CoilWiring wiring) {
  switch (wiring) {
    case CoilWiring::kSeries:
      return electrics::Wiring::kSeries;
    case CoilWiring::kParallel:
      return electrics::Wiring::kParallel;
    case CoilWiring::kOwnDrivers:
      break;
  }
  return electrics::Wiring::kOwnDrivers;
}

// The coils that are plugged in, at their temperature.
template <class T>
void AddCoils(Coils<T>& coils, const Fitted<T>& f, Reader<T>& read, Missing& missing) {
  const auto& temperature = f.car.driver.coil_temperature;
  const auto add = [&](const std::optional<ControlValve<T>>& part,
                       const std::optional<bool>& plugged, std::string_view coil_path,
                       std::string_view pull_in_path) {
    if (!part) return;
    coils.powered.push_back(plugged.value_or(true));
    if (!coils.powered.back()) return;
    const T pull_in = read(part->pull_in, pull_in_path);
    T resistance = read(part->coil, coil_path);
    if (temperature && part->coil) {
      const auto warm = electrics::CopperAt<T>(resistance, *temperature);
      if (warm) {
        resistance = *warm;
      } else {
        missing.push_back("car.driver.coil_temperature");
      }
    }
    coils.coil.push_back({resistance, T(kPlugResistance), pull_in, pull_in});
  };
  add(f.control_valve, f.adjust.control_powered, "control_valve.coil", "control_valve.pull_in");
  add(f.second_control_valve, f.adjust.second_control_powered, "second_control_valve.coil",
      "second_control_valve.pull_in");
}

}  // namespace

template <class T>
std::optional<hydraulics::ControlValve<T>> ControlValveOf(const Fitted<T>& fitted, bool second) {
  const ControlValve<T>& part = second ? *fitted.second_control_valve : *fitted.control_valve;
  const T size = second ? T(1.0) : fitted.adjust.control_opening.value_or(T(1.0));
  std::vector<T> current, opening;
  const bool reaction = part.principle == ControlPrinciple::kReaction;
  for (const OpeningRow<T>& row : part.opening) {
    const auto& bound = reaction ? row.share : row.diameter;
    if (!row.current || !bound) return std::nullopt;
    current.push_back(*row.current);
    opening.push_back(reaction ? *bound : T(*bound * *bound * size * size * (M_PI / 4.0)));
  }
  if (current.size() < 2 || Value(current.front()) != 0.0 || FirstRowOutOfOrder<T>(current)) {
    return std::nullopt;
  }
  return hydraulics::ControlValve<T>{FitMonotoneCubic<T>(current, opening)};
}

template <class T>
T PumpSpeedOf(const Fitted<T>& fitted, const T& engine_speed) {
  return drive::PumpSpeed<T>({*fitted.car.engine.crank_pulley, *fitted.pulley->diameter,
                              fitted.car.drive.line_differential.value_or(T(0.0))},
                             engine_speed);
}

template <class T>
Missing PumpDriveLacks(const Fitted<T>& fitted) {
  Missing missing;
  if (!fitted.car.engine.crank_pulley) missing.push_back("car.engine.crank_pulley");
  if (!fitted.pulley) {
    missing.push_back("setup.pulley");
  } else if (!fitted.pulley->diameter) {
    missing.push_back("pulley.diameter");
  }
  return missing;
}

template <class T>
std::optional<T> ReliefOf(const Fitted<T>& fitted) {
  return fitted.adjust.relief ? fitted.adjust.relief : fitted.pump->relief;
}

template <class T>
T ReliefBegins(const Fitted<T>& fitted) {
  const auto& cracking = fitted.pump->relief_cracking;
  // A valve that is looked at with another spring, as when its pressure is sought, begins with it.
  const bool as_made =
      !fitted.adjust.relief && cracking && Value(*cracking) < Value(*ReliefOf(fitted));
  return as_made ? *cracking : *ReliefOf(fitted) * kReliefOpening;
}

template <class T>
std::optional<Circuit<T>> CircuitOf(const Fitted<T>& fitted, const gear::RackRatio<T>& ratio,
                                    Missing& missing, std::vector<Assumption>& assumed) {
  if (!fitted.pump) missing.push_back("setup.pump");
  if (!fitted.rack) missing.push_back("setup.rack");
  // One that may be manual is not asked for a piston.
  if (fitted.rack && !IsAssisted(*fitted.rack)) missing.push_back("rack.assisted");
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
  circuit.pump = PumpOf<T>(fitted, {circuit.fluid, oil}, read, assumed);
  const auto valve = ValveOf(fitted, oil, read, missing, assumed);
  if (!valve) return std::nullopt;
  circuit.valve = *valve;
  const OilCircuit<T>& lines = fitted.car.oil;
  circuit.pressure_line = LineOf(lines.pressure_length, lines.pressure_bore, assumed);
  circuit.return_line = LineOf(lines.return_length, lines.return_bore, assumed);
  circuit.cylinder.area_a = circuit.cylinder.area_b = hydraulics::RingArea<T>(bore, rod);
  // The mesh's loss lies between the valve's torque and the rack's force.
  circuit.cylinder.travel_per_radian = gear::TravelPerAngle<T>(ratio, T(0.0)) / efficiency;
  AddControls(circuit, fitted, missing, assumed);
  if (!missing.empty()) return std::nullopt;
  return circuit;
}

template <class T>
std::optional<Coils<T>> CoilsAt(const Fitted<T>& fitted, double road_speed, Missing& missing) {
  Coils<T> coils;
  if (!fitted.control_valve && !fitted.second_control_valve) return coils;
  const Driver<T>& driver = fitted.car.driver;
  const auto asked = Asked(driver, road_speed);
  if (!asked) {
    missing.push_back("car.driver.current");
    return std::nullopt;
  }
  Reader<T> read(missing);
  AddCoils(coils, fitted, read, missing);
  const bool several = coils.powered.size() > 1 && !coils.coil.empty();
  if (several && !fitted.adjust.wiring) missing.push_back("setup.wiring");
  coils.source.voltage = read(driver.voltage, "car.driver.voltage");
  coils.source.resistance = read(driver.resistance, "car.driver.resistance");
  const T limit = read(driver.limit, "car.driver.limit");
  if (!missing.empty()) return std::nullopt;
  coils.asked = *asked;
  coils.source.limit = Value(limit) < Value(*asked) ? limit : *asked;
  if (several) coils.wiring = WiringOf(*fitted.adjust.wiring);
  // A plug pulled off opens the loop in which coils in series lie.
  const bool all = coils.coil.size() == coils.powered.size();
  coils.open_loop = several && !all && coils.wiring == electrics::Wiring::kSeries;
  if (!coils.coil.empty() && !coils.open_loop && Value(*coils.source.limit) > 0.0) {
    const std::vector<electrics::Source<T>> sources(coils.coil.size(), coils.source);
    const auto wired = electrics::Wire<T>(coils.wiring, sources, coils.coil);
    if (!wired) {
      missing.push_back("car.driver");
      return std::nullopt;
    }
    coils.wired = *wired;
  }
  std::size_t next = 0;
  for (const bool on : coils.powered) {
    const bool flows = on && coils.wired;
    coils.current.push_back(flows ? coils.wired->current[next] : T(0.0));
    const bool moves = flows && Value(coils.current.back()) >= Value(coils.coil[next].pull_in);
    coils.moving.push_back(moves ? coils.current.back() : T(0.0));
    if (flows) ++next;
  }
  return coils;
}

template <class T>
std::optional<std::vector<T>> CoilCurrents(const Fitted<T>& fitted, double road_speed,
                                           Missing& missing) {
  const auto coils = CoilsAt<T>(fitted, road_speed, missing);
  return coils ? std::optional(coils->moving) : std::nullopt;
}

#define STEERBENCH_INSTANTIATE(T)                                                                \
  template std::optional<hydraulics::ControlValve<T>> ControlValveOf<T>(const Fitted<T>&, bool); \
  template T PumpSpeedOf<T>(const Fitted<T>&, const T&);                                         \
  template Missing PumpDriveLacks<T>(const Fitted<T>&);                                          \
  template std::optional<T> ReliefOf<T>(const Fitted<T>&);                                       \
  template T ReliefBegins<T>(const Fitted<T>&);                                                  \
  template std::optional<Circuit<T>> CircuitOf<T>(const Fitted<T>&, const gear::RackRatio<T>&,   \
                                                  Missing&, std::vector<Assumption>&);           \
  template std::optional<Coils<T>> CoilsAt<T>(const Fitted<T>&, double, Missing&);               \
  template std::optional<std::vector<T>> CoilCurrents<T>(const Fitted<T>&, double, Missing&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench
