#include "engine/hydraulics/steady.h"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <unordered_map>
#include <vector>

#include "engine/hydraulics/outrun.h"

namespace steerbench::hydraulics {
namespace {

constexpr int kMostTrials = 120;       // of the outer unknown; bisection alone needs about 60
constexpr double kForceScale = 200.0;  // [N] where asinh turns from straight to logarithm
constexpr double kTorqueScale = 0.5;   // [N m] the same for a torque
constexpr double kMostPressure = 5e8;  // [Pa] for bounds on the twist; past any pump's reach
constexpr double kLeastForce = 1e-8;   // [N] or [N m] that rounding may add to a balance
constexpr double kWiden = 4.0;         // by which a bound that does not reach moves out
constexpr double kFirstShare = 0.4;    // of the way to the stop, where the search for a first twist
constexpr int kFirstSteps = 5;         // begins, and its steps
constexpr int kMostTogether = 12;      // steps; it takes three from nearby and about five else
constexpr std::size_t kLookBack = 16;  // known solves that are looked at for a start
constexpr double kNear = 2.0;          // how unlike they may be, in the sizes below
constexpr double kUsualTwist = 0.02;   // [rad]
constexpr double kUsualRackSpeed = 0.05;   // [m/s]
constexpr double kUsualPumpSpeed = 100.0;  // [rad/s]
constexpr double kUsualWarming = 30.0;     // [K]
constexpr double kUsualCurrent = 0.5;      // [A]
constexpr double kVoidFlow = 1e-9;         // [m^3/s] into a void that counts

// What is solved for beside the pressures, and what must come out.
enum class Free : std::uint8_t { kTwist, kRackSpeed, kNothing };
enum class Goal : std::uint8_t { kRackForce, kTorque, kAssist };

template <class T>
struct Task {
  const Circuit<T>& circuit;
  const Condition<T>& condition;
  Free free = Free::kTwist;
  Goal goal = Goal::kRackForce;
  T target{};      // [N] or [N m]
  T held_twist{};  // when the twist is not free
};

// The mechanical side at a twist and pressures.
template <class T>
struct Mechanics {
  T assist, reaction, torque, rack_force;
};

// Share of its full torque that a reaction chamber has at a twist: an odd function, smooth.
template <class T>
T Onset(const T& twist, const T& onset) {
  using std::sqrt;
  return twist / sqrt(twist * twist + onset * onset);
}

template <class T>
T ReactionPressure(const Built<T>& built, const BuiltReaction<T>& r, const NodeVector<T>& p) {
  return r.share * (p[built.at.supply] - PressureAt(p, built.at.back));
}

template <class T>
T SumReactions(const Built<T>& built, const NodeVector<T>& p, const T& twist) {
  T sum(0.0);
  for (const BuiltReaction<T>& r : built.reactions) {
    sum += r.torque_per_pressure * ReactionPressure<T>(built, r, p) * Onset<T>(twist, r.onset);
  }
  return sum;
}

template <class T>
Mechanics<T> MechanicsAt(const Circuit<T>& circuit, const Built<T>& built, const NodeVector<T>& p,
                         const T& twist) {
  Mechanics<T> m;
  m.assist = circuit.cylinder.area_a * p[built.at.chamber_a] -
             circuit.cylinder.area_b * p[built.at.chamber_b];
  m.reaction = SumReactions<T>(built, p, twist);
  m.torque = TwistTorque<T>(circuit.valve, twist).torque + m.reaction;
  m.rack_force = m.assist + m.torque / circuit.cylinder.travel_per_radian;
  return m;
}

template <class T>
T GoalOf(const Task<T>& task, const Mechanics<T>& m) {
  switch (task.goal) {
    case Goal::kRackForce:
      return m.rack_force;
    case Goal::kTorque:
      return m.torque;
    case Goal::kAssist:
      break;
  }
  return m.assist;
}

// The goal's value with its derivatives to the pressures and to the twist, in double.
struct GoalPoint {
  double value = 0.0;
  NodeVector<double> by_pressure;
  double by_twist = 0.0;
};

GoalPoint GoalAt(const Task<double>& task, const Built<double>& built, const NodeVector<double>& p,
                 double twist) {
  const Circuit<double>& c = task.circuit;
  const Mechanics<double> m = MechanicsAt<double>(c, built, p, twist);
  const double lever = task.goal == Goal::kRackForce ? 1.0 / c.cylinder.travel_per_radian : 1.0;
  GoalPoint g;
  g.value = GoalOf<double>(task, m);
  g.by_pressure.setZero(built.network.nodes);
  if (task.goal != Goal::kTorque) {
    g.by_pressure[built.at.chamber_a] += c.cylinder.area_a;
    g.by_pressure[built.at.chamber_b] -= c.cylinder.area_b;
  }
  if (task.goal == Goal::kAssist) return g;
  g.by_twist = lever * TwistTorque<double>(c.valve, twist).slope;
  for (const BuiltReaction<double>& r : built.reactions) {
    const double reach2 = twist * twist + r.onset * r.onset;
    const double onset_slope = r.onset * r.onset / (reach2 * std::sqrt(reach2));
    const double pressure = ReactionPressure<double>(built, r, p);
    g.by_twist += lever * r.torque_per_pressure * pressure * onset_slope;
    const double share = lever * r.torque_per_pressure * Onset<double>(twist, r.onset) * r.share;
    g.by_pressure[built.at.supply] += share;
    if (built.at.back != kReservoir) g.by_pressure[built.at.back] -= share;
  }
  return g;
}

// Rate of the nodes' surplus with the rack's speed.
NodeVector<double> SurplusBySpeed(const Circuit<double>& circuit, const Built<double>& built) {
  NodeVector<double> rate = NodeVector<double>::Zero(built.network.nodes);
  rate[built.at.chamber_a] += circuit.cylinder.area_a;
  rate[built.at.chamber_b] -= circuit.cylinder.area_b;
  return rate;
}

// A solved circuit in double.
struct Root {
  NodeVector<double> pressure;
  double twist = 0.0, speed = 0.0;
  double slope = 0.0;  // of the goal with the free unknown
  NetworkSolve network;
  double residual = 0.0;
  int iterations = 0;
  std::optional<Problem> problem = Problem::kNotConverged;  // until it is solved
};

// One that is being solved, with what a step needs.
struct Solving : Root {
  Built<double> built;
  NodalState state;
  NodeVector<double> rate;  // of the pressures with the free unknown
  GoalPoint goal;
};

// Why a trial whose network is not solved to the promise is not, or nothing.
std::optional<Problem> WhyNotSolved(const Root& root) {
  if (!(root.pressure.lpNorm<Eigen::Infinity>() < kHighest)) return Problem::kPressure;
  if (!root.network.solved) return Problem::kNotConverged;
  return std::nullopt;
}

void SetUnknown(const Task<double>& task, Solving& root, double unknown) {
  if (task.free == Free::kRackSpeed) {
    root.speed = unknown;
    SetRackSpeed<double>(root.built, task.circuit, unknown);
  } else {
    root.twist = unknown;
    SetTwist<double>(root.built, task.circuit, unknown);
  }
}

// The goal and its rate with the unknown, pressures following, where the network was evaluated.
void SetGoal(const Task<double>& task, Solving& root, const NodalFactors& factors) {
  root.goal = GoalAt(task, root.built, root.pressure, root.twist);
  const NodeVector<double> by_unknown = task.free == Free::kRackSpeed
                                            ? SurplusBySpeed(task.circuit, root.built)
                                            : SurplusByTwist(root.built, root.pressure);
  root.rate = factors.Solve(-by_unknown);
  root.slope =
      root.goal.by_pressure.dot(root.rate) + (task.free == Free::kTwist ? root.goal.by_twist : 0.0);
}

// Solves the network at the unknown's value; returns the goal there.
double Trial(const Task<double>& task, Solving& root, double unknown) {
  SetUnknown(task, root, unknown);
  root.network = SolveNetwork(root.built.network, root.pressure, root.state);
  root.iterations += root.network.iterations;
  SetGoal(task, root, NodalFactors(root.state.slope));
  return root.goal.value;
}

// An interval that holds the root, as far as known.
struct Bracket {
  double low, high;
  bool low_known = false, high_known = false;  // the goal was seen on the right side of the target
  double width = std::numeric_limits<double>::infinity();  // one trial ago
  double width_before = width;                             // two trials ago
};

// Twist: at the bounds the hand alone outweighs all that oil can commonly do. Speed: at the bounds
// the piston swallows many times what there is.
Bracket BoundsOf(const Task<double>& task, const Solving& root) {
  const Circuit<double>& c = task.circuit;
  if (task.free == Free::kRackSpeed) {
    const double area = std::min(c.cylinder.area_a, c.cylinder.area_b);
    const double most = 10.0 * (Delivered<double>(root.built.network.pump, 0.0).flow + 1e-4) / area;
    return {-most, most};
  }
  const double lever = task.goal == Goal::kRackForce ? c.cylinder.travel_per_radian : 1.0;
  const double oil =
      kMostPressure * std::max(c.cylinder.area_a, c.cylinder.area_b) * c.cylinder.travel_per_radian;
  const double torque = std::abs(task.target) * lever + oil;
  const double most = 1.1 * c.valve.stop + torque / (c.valve.stiffness * kStopStiffness);
  return {-most, most};
}

// The next trial: Newton's step when it stays inside, else the middle; or, when that side was never
// seen, its bound, moved out each time it turns out not to reach. The middle too when two trials
// have not halved the bracket.
double NextTrial(Bracket& bracket, double x, double newton) {
  const double width = bracket.high - bracket.low;
  const bool slow = bracket.low_known && bracket.high_known && width > 0.5 * bracket.width_before;
  bracket.width_before = bracket.width;
  bracket.width = width;
  if (slow) return 0.5 * (bracket.low + bracket.high);
  if (newton > bracket.low && newton < bracket.high) return newton;
  const bool up = newton >= bracket.high;
  if (up ? bracket.high_known : bracket.low_known) return 0.5 * (bracket.low + bracket.high);
  double& bound = up ? bracket.high : bracket.low;
  if (x == bound) bound *= kWiden;
  return bound;
}

// Newton's step of the unknown on asinh(goal), in which a boost curve is near a straight line.
struct GoalStep {
  double target, scale, tolerance;

  explicit GoalStep(const Task<double>& task) : target(task.target) {
    const bool force = task.goal != Goal::kTorque;
    scale = force ? kForceScale : kTorqueScale;
    const double unit = force ? 1.0 : task.circuit.cylinder.travel_per_radian;
    tolerance = kForceTolerance * (unit + std::abs(target));
  }
  [[nodiscard]] double From(double value, double slope) const {
    return (std::asinh(target / scale) - std::asinh(value / scale)) * std::hypot(value, scale) /
           slope;
  }
};

// Newton's method on pressures and unknown together, from where they stand; whether it arrived.
// Far from the solution it may not, for nothing keeps it on the way.
bool FindTogether(const Task<double>& task, Solving& root) {
  const GoalStep goal_step(task);
  const double rises = task.free == Free::kRackSpeed ? -1.0 : 1.0;
  double x = task.free == Free::kRackSpeed ? root.speed : root.twist;
  for (int i = 0; i < kMostTogether; ++i) {
    SetUnknown(task, root, x);
    Evaluate(root.built.network, root.pressure, root.state);
    const NodalFactors factors(root.state.slope);
    SetGoal(task, root, factors);
    ++root.iterations;
    root.residual = root.goal.value - task.target;
    root.network = {false, root.state.surplus.lpNorm<Eigen::Infinity>(), i};
    root.network.solved = root.network.residual < kFlowTolerance;
    if (root.network.solved && std::abs(root.residual) <= goal_step.tolerance) {
      root.problem.reset();
      return root.slope * rises > 0.0 && !WhyNotSolved(root);
    }
    const NodeVector<double> settle = factors.Solve(-root.state.surplus);
    const double value = root.goal.value + root.goal.by_pressure.dot(settle);
    // With the rack's speed a shut valve's pressure goes straight.
    const double step = task.free == Free::kRackSpeed ? (task.target - value) / root.slope
                                                      : goal_step.From(value, root.slope);
    root.pressure += settle + step * root.rate;
    x += step;
    if (!(root.pressure.lpNorm<Eigen::Infinity>() < kHighest)) return false;
  }
  return false;
}

// Newton's method on asinh(goal), kept inside a bracket that shrinks with every trial. Where a
// trial goes past all pressure, it went too far.
void FindRoot(const Task<double>& task, Solving& root) {
  const GoalStep goal_step(task);
  const double rises = task.free == Free::kRackSpeed ? -1.0 : 1.0;
  Bracket bracket = BoundsOf(task, root);
  double x = 0.0, held = 0.0;
  Problem unsolved = Problem::kNotConverged;
  NodeVector<double> pressure = root.pressure;  // at `held`, the last trial that could be solved
  for (int i = 0; i < kMostTrials; ++i) {
    const double value = Trial(task, root, x);
    root.residual = value - task.target;
    root.problem = WhyNotSolved(root);
    if (root.problem == Problem::kPressure && x != held) {
      (x > held ? bracket.high : bracket.low) = x;
      (x > held ? bracket.high_known : bracket.low_known) = true;
      root.pressure = pressure;
      x = 0.5 * (held + x);
      unsolved = Problem::kPressure;
      continue;
    }
    if (root.problem || std::abs(root.residual) <= goal_step.tolerance) return;
    root.problem = unsolved;
    held = x;
    pressure = root.pressure;
    const bool below = root.residual * rises < 0.0;
    // A bound that does not reach stays a bound, to be moved out.
    if (below && x != bracket.high) bracket.low = x;
    if (!below && x != bracket.low) bracket.high = x;
    (below ? bracket.low_known : bracket.high_known) = true;
    const double step = goal_step.From(value, root.slope);
    const double newton = std::isfinite(step) ? x + step : (below ? bracket.high : bracket.low);
    const double next = NextTrial(bracket, x, newton);
    if (next == x) return;
    root.pressure += root.rate * (next - x);
    x = next;
  }
}

// One last Newton step of pressures and unknown together: it squares what error the nested solves
// left, so that results are smooth in the inputs to rounding. Undone should it make things worse.
void Polish(const Task<double>& task, Solving& root) {
  const Root before = root;
  const NodeVector<double> settle = NodalFactors(root.state.slope).Solve(-root.state.surplus);
  const double unknown = task.free == Free::kRackSpeed ? root.speed : root.twist;
  const double step = task.free == Free::kNothing
                          ? 0.0
                          : -(root.residual + root.goal.by_pressure.dot(settle)) / root.slope;
  SetUnknown(task, root, unknown + step);
  root.pressure += settle + step * root.rate;
  Evaluate(root.built.network, root.pressure, root.state);
  root.network.residual = root.state.surplus.lpNorm<Eigen::Infinity>();
  if (task.free != Free::kNothing) {
    root.residual = GoalAt(task, root.built, root.pressure, root.twist).value - task.target;
  }
  const bool worse = !(root.network.residual < kFlowTolerance) ||
                     !(std::abs(root.residual) <= std::abs(before.residual) + kLeastForce);
  if (!worse) return;
  static_cast<Root&>(root) = before;
  SetUnknown(task, root, unknown);
}

double Lost(const Built<double>& built, int orifice, double flow) {
  return DropAt<double>(built.network.orifices[orifice].law, flow);
}

double MostPressure(const Circuit<double>& circuit) {
  return circuit.pump.relief ? circuit.pump.relief->full_pressure : kMostPressure;
}

// A start near enough for a few Newton steps: the delivery halved at the valve, pressures cut at
// the relief valve's.
NodeVector<double> FirstPressures(const Circuit<double>& circuit, const Built<double>& built) {
  const Network<double>& net = built.network;
  const double half = 0.5 * Delivered<double>(net.pump, 0.0).flow;
  const double most = MostPressure(circuit);
  double back = 0.0;
  if (built.at.back != kReservoir) {
    back = std::min(most, DropAt<double>(net.lines[net.lines.count - 1].law, 2.0 * half).drop);
  }
  double a = Lost(built, kAToReturn, half);
  double b = Lost(built, kBToReturn, half);
  double supply = std::max(a + Lost(built, kSupplyToA, half), b + Lost(built, kSupplyToB, half));
  const double cut = supply > most ? most / supply : 1.0;
  a = back + cut * a;
  b = back + cut * b;
  supply = back + cut * supply;
  NodeVector<double> p = NodeVector<double>::Constant(net.nodes, back);
  p[built.at.outlet] = p[built.at.feed] = p[built.at.supply] = supply;
  p[built.at.chamber_a] = a;
  p[built.at.chamber_b] = b;
  return p;
}

// A twist to begin at: that at which the halves of the delivery, lost at the valve's edges alone,
// push the rack with the force asked for; by secants on the scale of GoalStep.
double FirstTwist(const Task<double>& task, Built<double>& built) {
  const Circuit<double>& c = task.circuit;
  if (task.goal == Goal::kTorque) return TwistAt<double>(c.valve, task.target);
  const double half = 0.5 * Delivered<double>(built.network.pump, 0.0).flow;
  const double most = MostPressure(c);
  const auto miss = [&](double twist) {
    SetTwist<double>(built, c, twist);
    const double oil = Lost(built, kAToReturn, half) - Lost(built, kBToReturn, half);
    const double force = c.cylinder.area_a * std::clamp(oil, -most, most) +
                         TwistTorque<double>(c.valve, twist).torque / c.cylinder.travel_per_radian;
    return std::asinh(force / kForceScale) - std::asinh(task.target / kForceScale);
  };
  const double end = StopBegins(c.valve);
  double before = 0.0, miss_before = miss(before);
  double twist = std::copysign(kFirstShare * end, task.target);
  for (int i = 0; i < kFirstSteps; ++i) {
    const double missed = miss(twist);
    const double next = twist - missed * (twist - before) / (missed - miss_before);
    if (!std::isfinite(next)) break;
    before = twist;
    miss_before = missed;
    twist = std::clamp(next, -end, end);
  }
  return twist;
}

// A rack speed to begin at, and the pressures with it: the piston takes what the pump delivers at
// the pressure that the assistance asks for.
double FirstSpeed(const Task<double>& task, const Built<double>& built,
                  NodeVector<double>& pressure) {
  const Cylinder<double>& cylinder = task.circuit.cylinder;
  const bool to_a = task.target >= 0.0;
  const double area = to_a ? cylinder.area_a : cylinder.area_b;
  const double push = std::abs(task.target) / area;
  const double flow = Delivered<double>(built.network.pump, push).flow;
  const double empty = Lost(built, to_a ? kBToReturn : kAToReturn, flow);
  const Places& at = built.at;
  pressure = NodeVector<double>::Zero(built.network.nodes);
  pressure[to_a ? at.chamber_b : at.chamber_a] = empty;
  pressure[to_a ? at.chamber_a : at.chamber_b] = empty + push;
  pressure[at.outlet] = pressure[at.feed] = pressure[at.supply] =
      empty + push + Lost(built, to_a ? kSupplyToA : kSupplyToB, flow);
  return (to_a ? 1.0 : -1.0) * flow / area;
}

// Sets a built network to the twist and speed of a root.
void SetAt(Built<double>& built, const Task<double>& task, const Root& root) {
  SetRackSpeed<double>(built, task.circuit, root.speed);
  SetTwist<double>(built, task.circuit, root.twist);
}

// `near`: a solution of the same circuit to begin at, or null.
Solving SolvePlain(const Task<double>& task, const Root* near) {
  Solving root;
  root.built = Build<double>(task.circuit, task.condition);
  const auto begin = [&](double twist, double speed, const NodeVector<double>& pressure) {
    root.twist = task.free == Free::kTwist ? twist : task.held_twist;
    root.speed = task.free == Free::kRackSpeed ? speed : task.condition.rack_speed;
    SetAt(root.built, task, root);
    root.pressure = pressure;
  };
  const auto begin_afresh = [&] {
    begin(0.0, 0.0, {});
    root.pressure = FirstPressures(task.circuit, root.built);
  };
  const bool usable = near != nullptr && near->pressure.size() == root.built.network.nodes;
  if (usable) {
    begin(near->twist, near->speed, near->pressure);
  } else if (task.free == Free::kRackSpeed) {
    begin(0.0, 0.0, {});
    root.speed = FirstSpeed(task, root.built, root.pressure);
  } else if (task.free == Free::kTwist) {
    begin(FirstTwist(task, root.built), 0.0, {});
    root.pressure = FirstPressures(task.circuit, root.built);
  } else {
    begin_afresh();
  }
  if (task.free == Free::kNothing) {
    Trial(task, root, root.twist);
    root.problem = WhyNotSolved(root);
  } else if (!FindTogether(task, root)) {
    begin_afresh();
    FindRoot(task, root);
  }
  if (!root.problem) Polish(task, root);
  return root;
}

// The network as it is at a root.
Built<double> BuiltAt(const Task<double>& task, const Root& root) {
  Built<double> built = Build<double>(task.circuit, task.condition);
  SetAt(built, task, root);
  return built;
}

// Inverse of the whole system's derivatives: nodes, then the goal to the free unknown.
constexpr int kMostUnknowns = kMostNodes + 1;
using WholeMatrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor,
                                  kMostUnknowns, kMostUnknowns>;

WholeMatrix WholeInverse(const Task<double>& task, const Root& root) {
  const Built<double> built = BuiltAt(task, root);
  NodalState state;
  Evaluate(built.network, root.pressure, state);
  const int n = built.network.nodes;
  WholeMatrix whole = WholeMatrix::Identity(n + 1, n + 1);
  whole.topLeftCorner(n, n) = state.slope;
  whole.diagonal().head(n).array() += kIsolated;
  if (task.free != Free::kNothing) {
    const GoalPoint goal = GoalAt(task, built, root.pressure, root.twist);
    const bool speed = task.free == Free::kRackSpeed;
    whole.row(n).head(n) = goal.by_pressure.transpose();
    whole.col(n).head(n) =
        speed ? SurplusBySpeed(task.circuit, built) : SurplusByTwist(built, root.pressure);
    whole(n, n) = speed ? 0.0 : goal.by_twist;
  }
  return whole.inverse();
}

// The solution in T.
template <class T>
struct Lifted {
  Built<T> built;
  NodeVector<T> pressure;
  T twist, speed;
};

template <class T>
Lifted<T> Lift(const Task<T>& task, const Root& root, const WholeMatrix& inverse) {
  Lifted<T> l;
  l.built = Build<T>(task.circuit, task.condition);
  l.twist = task.free == Free::kTwist ? T(root.twist) : task.held_twist;
  l.speed = task.free == Free::kRackSpeed ? T(root.speed) : task.condition.rack_speed;
  SetRackSpeed<T>(l.built, task.circuit, l.speed);
  SetTwist<T>(l.built, task.circuit, l.twist);
  const int n = l.built.network.nodes;
  const NodeVector<T> plain = root.pressure.template cast<T>();
  Eigen::Matrix<T, Eigen::Dynamic, 1, 0, kMostUnknowns, 1> error(n + 1);
  error.head(n) = Surplus<T>(l.built.network, plain);
  const Mechanics<T> m = MechanicsAt<T>(task.circuit, l.built, plain, l.twist);
  error[n] = task.free == Free::kNothing ? T(0.0) : T(GoalOf<T>(task, m) - task.target);
  // The values stay where they are, bit for bit those of a solve without derivatives.
  for (int j = 0; j <= n; ++j) error[j] -= Value(error[j]);
  l.pressure = plain;
  T unknown(0.0);
  for (int j = 0; j <= n; ++j) {
    for (int i = 0; i < n; ++i) l.pressure[i] -= inverse(i, j) * error[j];
    unknown -= inverse(n, j) * error[j];
  }
  if (task.free == Free::kTwist) l.twist += unknown;
  if (task.free == Free::kRackSpeed) l.speed += unknown;
  SetRackSpeed<T>(l.built, task.circuit, l.speed);
  SetTwist<T>(l.built, task.circuit, l.twist);
  return l;
}

template <class T>
T FlowIn(const Built<T>& built, const NodeVector<T>& p, int orifice) {
  const Passage<OrificeLaw<T>>& o = built.network.orifices[orifice];
  return FlowThrough<T>(o.law, PressureAt(p, o.from) - PressureAt(p, o.to)).flow;
}

template <class T>
T SumOver(const Built<T>& built, const NodeVector<T>& p,
          const FewOf<int, kMostControlValves>& orifices) {
  T sum(0.0);
  for (const int i : orifices) sum += FlowIn<T>(built, p, i);
  return sum;
}

// Voids and catch-up.
template <class T>
void MarkPiston(SteadyState<T>& s, const Circuit<T>& c, const Network<T>& net,
                const NodeVector<T>& p) {
  for (const Passage<CheckLaw<T>>& check : net.checks) {
    const double drop = Value(PressureAt(p, check.from) - PressureAt(p, check.to));
    s.marks.Set(Mark::kVoid, Value(FlowThrough<T>(check.law, T(drop)).flow) > kVoidFlow);
  }
  s.marks.Set(Mark::kOutrun,
              !s.marks.Has(Mark::kNoAssist) &&
                  Outrun(Value(s.twist), StopBegins(c.valve), Value(s.rack_speed),
                         Value(s.swallowed), Value(PassedBy(s, FilledSide(Value(s.rack_speed)))),
                         Value(s.delivered), s.marks.Has(Mark::kReliefOpen)));
}

template <class T>
SteadyState<T> Report(const Task<T>& task, const Root& root, const Lifted<T>& l) {
  const Circuit<T>& c = task.circuit;
  const Places& at = l.built.at;
  SteadyState<T> s;
  const Mechanics<T> m = MechanicsAt<T>(c, l.built, l.pressure, l.twist);
  s.twist = l.twist;
  s.torque = m.torque;
  s.reaction = m.reaction;
  s.assist = m.assist;
  s.rack_force = m.rack_force;
  s.rack_speed = l.speed;
  s.outlet = l.pressure[at.outlet];
  s.supply = l.pressure[at.supply];
  s.chamber_a = l.pressure[at.chamber_a];
  s.chamber_b = l.pressure[at.chamber_b];
  s.back = PressureAt(l.pressure, at.back);
  s.delivered = Delivered<T>(l.built.network.pump, s.outlet).flow;
  s.through_valve =
      FlowIn<T>(l.built, l.pressure, kSupplyToA) + FlowIn<T>(l.built, l.pressure, kSupplyToB);
  s.swallowed = Swallowed(c.cylinder, l.speed);
  s.pump_bypass = SumOver<T>(l.built, l.pressure, l.built.pump_bypasses);
  s.piston_bypass = SumOver<T>(l.built, l.pressure, l.built.piston_bypasses);
  s.pump = PumpStateAt<T>(c.pump, l.built.network.pump, task.condition.pump_speed, l.built.fluid,
                          task.condition.air_pressure, s.outlet, s.delivered);
  s.useful = s.assist * s.rack_speed;
  s.heat = s.pump.shaft_power - s.useful;
  s.marks = l.built.marks;
  s.marks.Add(s.pump.marks);
  s.marks.Set(Mark::kAtStop, std::abs(root.twist) > StopBegins(c.valve));
  s.marks.Set(Mark::kBeyondValvePoints, BeyondPoints<T>(c.valve, root.twist));
  s.marks.Set(Mark::kUnsteadyBalance, task.free == Free::kTwist && !(root.slope > 0.0));
  s.marks.Add(DoubtsOfLines<T>(l.built.network, l.pressure));
  MarkPiston<T>(s, c, l.built.network, l.pressure);
  s.flow_residual = root.network.residual;
  s.force_residual = std::abs(root.residual);
  s.iterations = root.iterations;
  return s;
}

// Figures that are sound one by one may still multiply beyond a double's range, in the powers
// first.
template <class T>
Outcome<SteadyState<T>, Problem> UnlessOverflown(const SteadyState<T>& s) {
  if (!IsFinite(s.torque, s.heat)) return Problem::kNotFinite;
  return s;
}

// What makes one solve of a circuit another than the next.
struct Question {
  Condition<double> condition;
  double travel_per_radian = 0.0;
  Free free = Free::kTwist;
  Goal goal = Goal::kRackForce;
  double target = 0.0, held_twist = 0.0;

  friend bool operator==(const Question&, const Question&) = default;
};

template <class T>
Question QuestionOf(const Task<T>& task) {
  return {Plain(task.condition),
          Value(task.circuit.cylinder.travel_per_radian),
          task.free,
          task.goal,
          Value(task.target),
          Value(task.held_twist)};
}

struct Entry {
  Root root;
  double load = 0.0;                           // LoadOf its question
  std::unique_ptr<const WholeMatrix> inverse;  // once derivatives were asked for
};

struct HashOfQuestion {
  std::size_t operator()(const Question& q) const {
    const Condition<double>& c = q.condition;
    std::size_t hash = 0;
    for (const double x : {q.target, q.held_twist, c.rack_force, c.rack_speed, c.pump_speed}) {
      hash = hash * 31 + std::hash<double>()(x);
    }
    return hash;
  }
};

}  // namespace

struct KnownRoots::Table {
  std::unordered_map<Question, Entry, HashOfQuestion> at;
  // As they were made; a hash map's elements stay where they are.
  std::vector<const std::pair<const Question, Entry>*> in_order;
  bool sound = false;  // the circuit
};

KnownRoots::KnownRoots(Start start) : start_(start), table_(std::make_unique<Table>()) {}
KnownRoots::~KnownRoots() = default;
void KnownRoots::Forget() { *table_ = {}; }
std::size_t KnownRoots::Count() const { return table_->at.size(); }

namespace {

// What is asked for on the scale of GoalStep.
double LoadOf(const Question& q) {
  return std::asinh(q.target / (q.goal == Goal::kTorque ? kTorqueScale : kForceScale));
}

// How unlike two questions of given loads are, for a start: the rest counts as a share of what is
// common.
double Distance(const Question& a, double load_a, const Question& b, double load_b) {
  if (a.free != b.free || a.goal != b.goal) return kNear;
  const Condition<double>&c = a.condition, &d = b.condition;
  double sum = std::abs(load_a - load_b) + std::abs(a.held_twist - b.held_twist) / kUsualTwist +
               std::abs(c.rack_speed - d.rack_speed) / kUsualRackSpeed +
               std::abs(c.pump_speed - d.pump_speed) / kUsualPumpSpeed +
               std::abs(c.temperature - d.temperature) / kUsualWarming;
  for (std::size_t i = 0; i < c.currents.size(); ++i) {
    sum += std::abs(c.currents[i] - d.currents[i]) / kUsualCurrent;
  }
  return sum;
}

// The nearest of the solves made last, or null.
const Root* NearRoot(const KnownRoots::Table& table, const Question& question, double load) {
  const Root* near = nullptr;
  double least = kNear;
  const auto& made = table.in_order;
  const std::size_t first = made.size() > kLookBack ? made.size() - kLookBack : 0;
  for (std::size_t i = made.size(); i-- > first;) {
    const auto& [other, entry] = *made[i];
    const double distance =
        entry.root.problem ? kNear : Distance(other, entry.load, question, load);
    if (distance >= least) continue;
    least = distance;
    near = &entry.root;
  }
  return near;
}

// The answer to a question as it is known; null when it is not.
Entry* Find(KnownRoots* known, const Question& question) {
  if (known == nullptr) return nullptr;
  auto& at = known->Content().at;
  const auto found = at.find(question);
  return found == at.end() ? nullptr : &found->second;
}

// What FindOrSolve solved itself: all of it, and the entry where nothing keeps it.
struct Fresh {
  std::optional<Solving> solving;
  Entry entry;
};

// The answer to a question, solved if need be.
Entry& FindOrSolve(const Task<double>& task, const Question& question, Fresh& fresh) {
  KnownRoots* const known = task.circuit.known;
  if (Entry* found = Find(known, question)) return *found;
  const bool near = known != nullptr && known->From() == KnownRoots::Start::kNear;
  fresh.entry.load = LoadOf(question);
  fresh.solving =
      SolvePlain(task, near ? NearRoot(known->Content(), question, fresh.entry.load) : nullptr);
  fresh.entry.root = *fresh.solving;  // what is worth keeping of it
  if (known == nullptr) return fresh.entry;
  KnownRoots::Table& table = known->Content();
  const auto made = table.at.emplace(question, std::move(fresh.entry)).first;
  table.in_order.push_back(&*made);
  return made->second;
}

// Double: the task is its own plain form, and the root needs no lifting.
Outcome<SteadyState<double>, Problem> Solve(const Task<double>& task) {
  Fresh fresh;
  const Root& root = FindOrSolve(task, QuestionOf(task), fresh).root;
  if (root.problem) return *root.problem;
  return UnlessOverflown(Report<double>(task, root,
                                        {fresh.solving ? fresh.solving->built : BuiltAt(task, root),
                                         root.pressure, root.twist, root.speed}));
}

Outcome<SteadyState<Jet>, Problem> Solve(const Task<Jet>& task) {
  const Question question = QuestionOf(task);
  Fresh fresh;
  Entry* entry = Find(task.circuit.known, question);
  if (entry == nullptr || !entry->inverse) {
    const Circuit<double> circuit = Plain(task.circuit);
    const Task<double> plain{circuit,   question.condition, task.free,
                             task.goal, question.target,    question.held_twist};
    entry = &FindOrSolve(plain, question, fresh);
    if (!entry->root.problem) {
      entry->inverse = std::make_unique<const WholeMatrix>(WholeInverse(plain, entry->root));
    }
  }
  const Root& root = entry->root;
  if (root.problem) return *root.problem;
  return UnlessOverflown(Report<Jet>(task, root, Lift<Jet>(task, root, *entry->inverse)));
}

// A circuit whose solves are kept is looked at once; all of it but one figure stays as it is.
template <class T>
std::optional<Problem> WhyNot(const Circuit<T>& circuit, const Condition<T>& condition,
                              const T& extra) {
  if (!IsFinite(extra)) return Problem::kNotFinite;
  const bool seen = circuit.known != nullptr && circuit.known->Content().sound;
  if (!seen || !IsPositive(circuit.cylinder.travel_per_radian)) {
    if (const auto problem = WhyUnsound(circuit)) return problem;
  }
  if (circuit.known != nullptr) circuit.known->Content().sound = true;
  return WhyUnsound(condition);
}

}  // namespace

template <class T>
Outcome<SteadyState<T>, Problem> SolveSteady(const Circuit<T>& circuit,
                                             const Condition<T>& condition) {
  if (const auto problem = WhyNot<T>(circuit, condition, T(0.0))) return *problem;
  return Solve(
      Task<T>{circuit, condition, Free::kTwist, Goal::kRackForce, condition.rack_force, T(0.0)});
}

template <class T>
Outcome<SteadyState<T>, Problem> SolveAtTorque(const Circuit<T>& circuit,
                                               const Condition<T>& condition, const T& torque) {
  if (const auto problem = WhyNot<T>(circuit, condition, torque)) return *problem;
  return Solve(Task<T>{circuit, condition, Free::kTwist, Goal::kTorque, torque, T(0.0)});
}

template <class T>
Outcome<SteadyState<T>, Problem> SolveAtTwist(const Circuit<T>& circuit,
                                              const Condition<T>& condition, const T& twist) {
  if (const auto problem = WhyNot<T>(circuit, condition, twist)) return *problem;
  return Solve(Task<T>{circuit, condition, Free::kNothing, Goal::kRackForce, T(0.0), twist});
}

template <class T>
Outcome<SteadyState<T>, Problem> SolveCatchUp(const Circuit<T>& circuit,
                                              const Condition<T>& condition, const T& twist,
                                              const T& assist) {
  if (const auto problem = WhyNot<T>(circuit, condition, T(twist + assist))) return *problem;
  if (Value(condition.pump_speed) <= 0.0) return Problem::kNoFlow;
  Condition<T> still = condition;
  still.rack_speed = still.rack_force = T(0.0);
  const double sign = Value(twist) < 0.0 ? -1.0 : 1.0;
  const auto outrun =
      Solve(Task<T>{circuit, still, Free::kRackSpeed, Goal::kAssist, assist, twist});
  if (outrun && sign * Value(outrun->rack_speed) >= 0.0) return outrun;
  // Where the assistance is not reached at rest, only a rack that runs back would call it up.
  const auto at_rest = SolveAtTwist<T>(circuit, still, twist);
  if (!at_rest) return at_rest.why();
  if (sign * Value(at_rest->assist - assist) < 0.0) return Problem::kNotReached;
  return outrun;
}

double PassedBy(const Built<double>& built, const NodeVector<double>& pressure, double sign) {
  return SumOver<double>(built, pressure, built.pump_bypasses) +
         sign * SumOver<double>(built, pressure, built.piston_bypasses);
}

double ReactionTorque(const Built<double>& built, const NodeVector<double>& pressure,
                      double twist) {
  return SumReactions<double>(built, pressure, twist);
}

#define STEERBENCH_INSTANTIATE(T)                                                            \
  template Outcome<SteadyState<T>, Problem> SolveSteady<T>(const Circuit<T>&,                \
                                                           const Condition<T>&);             \
  template Outcome<SteadyState<T>, Problem> SolveAtTorque<T>(const Circuit<T>&,              \
                                                             const Condition<T>&, const T&); \
  template Outcome<SteadyState<T>, Problem> SolveAtTwist<T>(const Circuit<T>&,               \
                                                            const Condition<T>&, const T&);  \
  template Outcome<SteadyState<T>, Problem> SolveCatchUp<T>(                                 \
      const Circuit<T>&, const Condition<T>&, const T&, const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::hydraulics
