#include "simulate/simulate.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/hydraulics/outrun.h"
#include "engine/hydraulics/steady.h"
#include "simulate/stiff.h"
#include "simulate/store.h"

namespace steerbench::simulate {
namespace {

using hydraulics::Built;
using hydraulics::NodeVector;

// States ahead of the nodes' pressures, and the running integrals behind them.
enum State : int { kTravel, kSpeed, kBristle, kWound, kHand, kHandRate, kPressures };
enum Integral : int { kHandWork, kPumpWork, kLoadWork, kLost, kCarried, kIntegrals };

// Errors allowed beside the relative tolerance, per 1e-6 of it: a thousandth of what can be felt.
constexpr double kUsualTolerance = 1e-6;
constexpr std::array<double, kPressures> kAbsolute{1e-9, 1e-6, 1e-5, 1e-9, 1e-8, 1e-6};
constexpr double kPressureError = 10.0;  // [Pa]
constexpr double kEnergyError = 1e-5;    // [J]

// Damping of the twist stop per its torque, as Hunt & Crossley's; a dog that strikes at 5 rad/s
// feels twice its spring [s/rad]. No source: it only keeps a hard stop from ringing.
constexpr double kTwistBounce = 0.2;

// Forces and flows in one moment.
struct Moment {
  HandInput hand;  // angle and its rate, whichever way they come about
  double travel{}, speed{}, twist{}, twist_rate{};
  double torque{};              // at the valve: bar, stop, reaction
  double reaction{}, bounce{};  // its shares that are not kept: reaction, what damps the stop
  double assist{}, mesh{}, rack{}, wheels{}, tyre{}, stop{};
  NodeVector<double> pressure, surplus;
  double delivered{};
};

class Model {
 public:
  Model(const Plant& plant, const Manoeuvre& manoeuvre)
      : plant_(plant),
        manoeuvre_(manoeuvre),
        built_(hydraulics::Build(plant.circuit, plant.condition)),
        stores_(StoresOf(plant, built_)) {}

  int Nodes() const { return built_.network.nodes; }
  int Size() const { return kPressures + Nodes() + kIntegrals; }

  // At rest with the hand off; empty when the oil finds no steady flow.
  std::vector<double> Rest() {
    std::vector<double> y(static_cast<std::size_t>(Size()), 0.0);
    hydraulics::SetTwist(built_, plant_.circuit, 0.0);
    hydraulics::SetRackSpeed(built_, plant_.circuit, 0.0);
    NodeVector<double> pressure = NodeVector<double>::Constant(Nodes(), kFirstGuess);
    hydraulics::NodalState state;
    if (!hydraulics::SolveNetwork(built_.network, pressure, state).solved) return {};
    std::copy(pressure.begin(), pressure.end(), y.begin() + kPressures);
    return y;
  }

  std::vector<double> AbsoluteErrors(double tolerance) const {
    const double scale = tolerance / kUsualTolerance;
    std::vector<double> error(static_cast<std::size_t>(Size()), kPressureError * scale);
    for (std::size_t i = 0; i < kPressures; ++i) error[i] = kAbsolute[i] * scale;
    std::fill(error.end() - kIntegrals, error.end(), kEnergyError * scale);
    return error;
  }

  void Rates(double time, const double* y, double* dy) {
    const Moment m = At(time, y);
    const double wind_up = plant_.load.wind_up;
    dy[kTravel] = m.speed;
    dy[kSpeed] = Push(m) / plant_.rack_mass;
    dy[kBristle] = (m.speed - std::abs(m.speed) * y[kBristle]) / plant_.presliding;
    dy[kWound] = plant_.load.friction > 0.0
                     ? m.speed - std::abs(m.speed) * y[kWound] * wind_up / plant_.load.friction
                     : 0.0;
    dy[kHand] = dy[kHandRate] = 0.0;
    double hand_work = m.torque * m.hand.rate;
    double hand_loss = 0.0;
    if (manoeuvre_.of_torque) {
      const double given = InputAt(manoeuvre_, time).value;
      dy[kHand] = y[kHandRate];
      dy[kHandRate] = (given - m.torque - plant_.hand_damping * y[kHandRate]) / plant_.hand_inertia;
      hand_work = given * y[kHandRate];
      hand_loss = plant_.hand_damping * y[kHandRate] * y[kHandRate];
    }
    for (int i = 0; i < Nodes(); ++i) {
      const double p = m.pressure[i];
      dy[kPressures + i] = -m.surplus[i] / Give(plant_, stores_[Place(i)], m.travel, p);
    }
    double* integral = dy + kPressures + Nodes();
    integral[kHandWork] = hand_work;
    integral[kPumpWork] = m.pressure[built_.network.pump_node] * m.delivered;
    integral[kLoadWork] = m.wheels * m.speed;
    integral[kLost] = OilLoss(m) + hand_loss + (m.reaction + m.bounce) * m.twist_rate +
                      (m.rack + m.mesh + StopLoss(m)) * m.speed;
    integral[kCarried] = Carried(m);
  }

  Sample Show(double time, const double* y) {
    const Moment m = At(time, y);
    const double* integral = y + kPressures + Nodes();
    Sample s;
    s.time = time;
    s.hand_angle = m.hand.value;
    s.hand_torque = HandTorque(time, m);
    s.twist = m.twist;
    s.travel = m.travel;
    s.speed = m.speed;
    s.outlet = m.pressure[built_.at.outlet];
    s.chamber_a = m.pressure[built_.at.chamber_a];
    s.chamber_b = m.pressure[built_.at.chamber_b];
    s.delivered = m.delivered;
    s.assist = m.assist;
    s.load = m.wheels;
    s.friction = m.rack + m.mesh;
    s.stop = m.stop;
    s.hand_work = integral[kHandWork];
    s.pump_work = integral[kPumpWork];
    s.load_work = integral[kLoadWork];
    s.lost = integral[kLost];
    s.carried = integral[kCarried];
    s.stored = Stored(m);
    return s;
  }

  // What a summary looks at.
  Glance Look(double time, const double* y) {
    const Moment m = At(time, y);
    const double outlet = m.pressure[built_.at.outlet];
    const bool relief_open = hydraulics::ReliefFlow(built_.network.pump, outlet) > 0.0;
    return {time, HandTorque(time, m), outlet, relief_open, IsOutrun(m, relief_open)};
  }

 private:
  static constexpr double kFirstGuess = 1e5;  // [Pa]
  static std::size_t Place(int node) { return static_cast<std::size_t>(node); }

  Moment At(double time, const double* y) {
    const hydraulics::Circuit<double>& circuit = plant_.circuit;
    const double radius = circuit.cylinder.travel_per_radian;
    Moment m;
    m.hand = manoeuvre_.of_torque ? HandInput{y[kHand], y[kHandRate]} : InputAt(manoeuvre_, time);
    m.travel = y[kTravel];
    m.speed = y[kSpeed];
    m.twist = m.hand.value - m.travel / radius;
    m.twist_rate = m.hand.rate - m.speed / radius;
    m.pressure = Eigen::Map<const Eigen::VectorXd>(y + kPressures, Nodes());
    hydraulics::SetTwist(built_, circuit, m.twist);
    hydraulics::SetRackSpeed(built_, circuit, m.speed);
    m.surplus = hydraulics::Surplus(built_.network, m.pressure);
    m.delivered =
        hydraulics::Delivered(built_.network.pump, m.pressure[built_.network.pump_node]).flow;
    m.reaction = hydraulics::ReactionTorque(built_, m.pressure, m.twist);
    const double held = hydraulics::TwistTorque(circuit.valve, m.twist).torque;
    m.bounce = Bounce(held - circuit.valve.stiffness * m.twist, m.twist_rate);
    m.torque = held + m.bounce + m.reaction;
    m.assist = circuit.cylinder.area_a * m.pressure[built_.at.chamber_a] -
               circuit.cylinder.area_b * m.pressure[built_.at.chamber_b];
    m.rack = plant_.rack_friction * y[kBristle];
    m.mesh = (1.0 - plant_.mesh_efficiency) * std::abs(m.torque) / radius * y[kBristle];
    m.tyre = plant_.load.wind_up * y[kWound];
    m.wheels = m.tyre + plant_.load.spring * m.travel + plant_.load.damping * m.speed;
    m.stop = StopForce(m);
    return m;
  }

  double HandTorque(double time, const Moment& m) const {
    return manoeuvre_.of_torque ? InputAt(manoeuvre_, time).value : m.torque;
  }

  bool IsOutrun(const Moment& m, bool relief_open) const {
    if (!(built_.network.pump.ideal > 0.0)) return false;  // a manual rack
    const double swallowed = hydraulics::Swallowed(plant_.circuit.cylinder, m.speed);
    const double passed_by =
        hydraulics::PassedBy(built_, m.pressure, hydraulics::FilledSide(m.speed));
    return hydraulics::Outrun(m.twist, hydraulics::StopBegins(plant_.circuit.valve), m.speed,
                              swallowed, passed_by, m.delivered, relief_open);
  }

  double Push(const Moment& m) const {
    return m.torque / plant_.circuit.cylinder.travel_per_radian + m.assist - m.rack - m.mesh -
           m.wheels - m.stop;
  }

  // What damps the valve's twist stop, as its torque rises and falls: dogs strike dully.
  static double Bounce(double stop, double rate) {
    const double outward = stop < 0.0 ? -rate : rate;
    return stop * std::max(kTwistBounce * outward, -1.0);
  }

  // Way into the stop, signed; zero when it is not met.
  double IntoStop(double travel) const {
    return std::max(travel - plant_.stops.high, 0.0) + std::min(travel - plant_.stops.low, 0.0);
  }
  double StopForce(const Moment& m) const {
    const double into = IntoStop(m.travel);
    const double side = into < 0.0 ? -1.0 : 1.0;
    return plant_.stops.stiffness * into *
           std::max(1.0 + plant_.stops.bounce * side * m.speed, 0.0);
  }
  double StopLoss(const Moment& m) const {
    return m.stop - plant_.stops.stiffness * IntoStop(m.travel);
  }

  // Heat in the passages: what goes in at the nodes and does not come out. Tellegen's theorem would
  // give it from the surplus; summed passage by passage it checks that.
  double OilLoss(const Moment& m) const { return PassageLoss(built_.network, m.pressure); }

  // Elastic energy of oil that comes with a growing chamber: the flow laws count oil by volume.
  double Carried(const Moment& m) const {
    const hydraulics::Cylinder<double>& c = plant_.circuit.cylinder;
    const double a = m.pressure[built_.at.chamber_a], b = m.pressure[built_.at.chamber_b];
    return (c.area_b * Elastic(plant_, b) - c.area_a * Elastic(plant_, a)) * m.speed;
  }

  double Stored(const Moment& m) const {
    double sum = plant_.rack_mass * m.speed * m.speed / 2.0;
    sum += TwistEnergy(plant_.circuit.valve, m.twist);
    const double into = IntoStop(m.travel);
    sum += plant_.stops.stiffness * into * into / 2.0;
    if (manoeuvre_.of_torque) sum += plant_.hand_inertia * m.hand.rate * m.hand.rate / 2.0;
    for (int i = 0; i < Nodes(); ++i) {
      sum += StoredAt(plant_, stores_[Place(i)], m.travel, m.pressure[i]);
    }
    return sum;
  }

  const Plant& plant_;
  const Manoeuvre& manoeuvre_;
  Built<double> built_;
  std::vector<Store> stores_;
};

bool IsUsable(const Plant& p) {
  return IsPositive(p.mesh_efficiency, p.presliding, p.rack_mass, p.supply_volume, p.return_volume,
                    p.dead_volume, p.hose_modulus, p.stops.stiffness) &&
         p.mesh_efficiency <= 1.0 &&
         IsNotNegative(p.rack_friction, p.hand_inertia, p.hand_damping, p.load.friction,
                       p.load.wind_up, p.load.spring, p.load.damping, p.stops.bounce) &&
         (p.load.friction == 0.0 || p.load.wind_up > 0.0) && IsFinite(p.stops.low, p.stops.high) &&
         p.stops.low < 0.0 && p.stops.high > 0.0;
}

std::optional<Why> WhyNot(const Plant& plant, const Run& run) {
  if (hydraulics::WhyUnsound(plant.circuit) || hydraulics::WhyUnsound(plant.condition)) {
    return Why::kCircuit;
  }
  if (!IsUsable(plant)) return Why::kPlant;
  const Manoeuvre& m = run.manoeuvre;
  if (!IsFinite(m.amplitude) || !IsPositive(m.time)) return Why::kManoeuvre;
  if (m.of_torque && !(plant.hand_inertia > 0.0)) return Why::kManoeuvre;
  if (!IsPositive(run.duration) || run.duration > kLongest || run.samples < 2 ||
      run.samples > kMostSamples) {
    return Why::kSpan;
  }
  if (!(run.tolerance >= kFinest && run.tolerance <= kCoarsest)) return Why::kTolerance;
  return std::nullopt;
}

void Balance(History& history) {
  const double start = history.samples.front().stored;
  double largest = 0.0;
  for (Sample& s : history.samples) {
    s.stored -= start;
    history.turned_over = std::max(
        {history.turned_over, std::abs(s.hand_work) + std::abs(s.pump_work), std::abs(s.stored)});
    largest = std::max(largest, std::abs(s.Unbalanced()));
  }
  if (history.turned_over > 0.0) history.worst_unbalanced = largest / history.turned_over;
}

}  // namespace

std::string_view Describe(Why why) {
  switch (why) {
    case Why::kCircuit:
      return "the oil circuit or its condition has a figure that cannot be";
    case Why::kPlant:
      return "a mass, friction, stiffness, volume or stop is not above zero or not finite";
    case Why::kManoeuvre:
      return "the amplitude is not finite, the time not above zero, or a torque is given to a hand "
             "wheel without inertia";
    case Why::kSpan:
      return "the duration must lie above 0 and up to 600 s, with 2 to 100001 samples";
    case Why::kTolerance:
      return "the tolerance must lie between 1e-10 and 1e-3";
    case Why::kBroken:
      return "the hand forces the rack through its stop: turn less far, or give a torque";
    case Why::kStuck:
      return "no step however short meets the tolerance: the steering strikes something too hard";
    case Why::kTooLong:
      return "more than two million steps are needed: it shakes, or the tolerance is too fine";
    case Why::kUnbalanced:
      return "the energies do not balance: the run is too rough for the tolerance";
  }
  return "";
}

Outcome<History, Why> Simulate(const Plant& plant, const Run& run, const Progress& progress) {
  if (const auto why = WhyNot(plant, run)) return *why;
  Model model(plant, run.manoeuvre);
  const std::vector<double> start = model.Rest();
  if (start.empty()) return Why::kCircuit;
  Stiff stiff([&model](double t, const double* y, double* dy) { model.Rates(t, y, dy); }, start,
              run.tolerance, model.AbsoluteErrors(run.tolerance), kMostSteps);
  History history;
  history.samples.push_back(model.Show(0.0, start.data()));
  Glance last = model.Look(0.0, start.data());
  const auto see = [&](double time, const double* y) {
    const Glance now = model.Look(time, y);
    Add(history.summary, last, now);
    last = now;
  };
  for (int i = 1; i < run.samples; ++i) {
    const double share = static_cast<double>(i) / (run.samples - 1);
    const Stiff::Status status = stiff.AdvanceTo(run.duration * share, see);
    if (status == Stiff::Status::kStuck) return Why::kStuck;
    if (status == Stiff::Status::kTooManySteps) return Why::kTooLong;
    history.samples.push_back(model.Show(run.duration * share, stiff.State()));
    const double travel = history.samples.back().travel;
    if (travel > plant.stops.high + kMostIntoStop || travel < plant.stops.low - kMostIntoStop) {
      return Why::kBroken;
    }
    if (progress) progress(share);
  }
  history.steps = stiff.Steps();
  Balance(history);
  if (!(history.worst_unbalanced <= kMostUnbalanced)) return Why::kUnbalanced;
  return history;
}

}  // namespace steerbench::simulate
