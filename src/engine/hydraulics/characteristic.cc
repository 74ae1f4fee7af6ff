#include "engine/hydraulics/characteristic.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/hydraulics/steady.h"

namespace steerbench::hydraulics {
namespace {

constexpr double kLeastTorque = 1e-3;  // [N m] of reaction that is felt
constexpr double kShortest = 1e-4;     // of the stop's twist, below which a piece is not halved
constexpr double kBeside = 1e-6;       // of the stop's twist, for a slope
constexpr double kTraceAim = 1e-13;    // [m^3/s] surplus left: a Newton step or two from nearby
constexpr double kMostFall = 1e-6;     // of the assistance: falling by less is rounding
constexpr int kMostLookups = 60;       // bisection alone needs about 40
constexpr double kNearEnough = 1e-12;  // of the twist
constexpr double kSharp = 10.0;        // times what a piece may miss by, when it is the shortest

double TwistTorqueAt(const RotaryValve<double>& valve, double twist) {
  return TwistTorque<double>(valve, twist).torque;
}

}  // namespace

// Solves at one twist after another.
class Characteristic::Tracer {
 public:
  Tracer(const Circuit<double>& circuit, const Condition<double>& condition)
      : circuit_(circuit), built_(Build<double>(circuit, condition)) {}

  // Whether every network was solved.
  bool Run() {
    const double stop = circuit_.valve.stop;
    // Past its stop the valve opens no further.
    std::vector<double> corner{StopBegins(circuit_.valve), 2.0 * stop - StopBegins(circuit_.valve)};
    for (const double twist : circuit_.valve.openings.log_area.x) {
      if (twist > 0.0 && twist < corner.front()) corner.push_back(twist);
    }
    std::ranges::sort(corner);
    Knot last{0.0, NodeVector<double>::Zero(built_.network.nodes), {}};
    if (!Solve(last, kFlowAim)) return false;
    knot_.push_back(last);
    for (const double twist : corner) {
      Knot next{twist, last.pressure + (twist - last.twist) * last.rate, {}};
      if (!Solve(next) || !Refine(last, next)) return false;
      last = next;
    }
    return true;
  }

  MonotoneCubic<double> Assist(int side) const {
    const double area_a = circuit_.cylinder.area_a, area_b = circuit_.cylinder.area_b;
    const double fills = side == 0 ? area_a : area_b, empties = side == 0 ? area_b : area_a;
    const Places& at = built_.at;
    return Each([&](const NodeVector<double>& p) {
      return fills * p[at.chamber_a] - empties * p[at.chamber_b];
    });
  }
  std::vector<Marks> Doubts() const {
    std::vector<Marks> doubts;
    for (const Knot& k : knot_) {
      doubts.emplace_back(DoubtsOfLines(built_.network, k.pressure)).Add(DoubtsOf(built_.marks));
    }
    return doubts;
  }
  MonotoneCubic<double> Outlet() const {
    return Each([&](const NodeVector<double>& p) { return p[built_.at.outlet]; });
  }
  std::optional<MonotoneCubic<double>> Reaction() const {
    if (built_.reactions.count == 0) return std::nullopt;
    MonotoneCubic<double> curve = Blank();
    for (const Knot& k : knot_) AddPoint(curve, k.twist, k.reaction.value, k.reaction.slope);
    return curve;
  }

 private:
  struct Knot {
    double twist;
    NodeVector<double> pressure, rate;  // the latter with the twist
    CurvePoint<double> reaction{};      // torque of the chambers
  };

  MonotoneCubic<double> Blank() const {
    MonotoneCubic<double> curve;
    for (auto* column : {&curve.x, &curve.y, &curve.slope}) column->reserve(knot_.size());
    return curve;
  }
  static void AddPoint(MonotoneCubic<double>& curve, double x, double y, double slope) {
    curve.x.push_back(x);
    curve.y.push_back(y);
    curve.slope.push_back(slope);
  }

  // From the pressures that the knot has.
  bool Solve(Knot& knot, double aim = kTraceAim) {
    SetTwist<double>(built_, circuit_, knot.twist);
    const NetworkSolve solve = SolveNetwork(built_.network, knot.pressure, state_, aim);
    if (!solve.solved || !(Largest(knot.pressure) < kHighest)) return false;
    knot.rate = NodalFactors(state_.slope).Solve(-SurplusByTwist(built_, knot.pressure));
    if (built_.reactions.count > 0) knot.reaction = ReactionAt(knot);
    return true;
  }

  // The slope from both sides, pressures following: the torque is written out, so this is as good.
  CurvePoint<double> ReactionAt(const Knot& knot) const {
    const auto beside = [&](double step) {
      return ReactionTorque(built_, NodeVector<double>(knot.pressure + step * knot.rate),
                            knot.twist + step);
    };
    const double step = kBeside * circuit_.valve.stop;
    return {beside(0.0), (beside(step) - beside(-step)) / (2.0 * step)};
  }

  // Adds the knots after `a` up to `b` that the cubic between them needs.
  bool Refine(const Knot& a, const Knot& b) {
    const double width = b.twist - a.twist;
    Knot middle{0.5 * (a.twist + b.twist),
                0.5 * (a.pressure + b.pressure) + width / 8.0 * (a.rate - b.rate),
                {}};
    const NodeVector<double> expected = middle.pressure;
    const NodeVector<double> expected_rate =
        1.5 / width * (b.pressure - a.pressure) - 0.25 * (a.rate + b.rate);
    if (!Solve(middle)) return false;
    // A corner a quarter of the way from an end leaves the middle where it is, but not its slope.
    const double error = std::max(Largest(middle.pressure - expected),
                                  width / 8.0 * Largest(middle.rate - expected_rate));
    const double misses = std::max(error / Largest(middle.pressure), ReactionMisses(a, middle, b));
    const bool shortest = width < kShortest * circuit_.valve.stop;
    if (shortest && misses > kSharp * kTraced) return false;
    const bool holds = shortest || misses <= kTraced;
    if (!holds && !Refine(a, middle)) return false;
    if (holds) knot_.push_back(middle);
    if (!holds && !Refine(middle, b)) return false;
    if (holds) knot_.push_back(b);
    return true;
  }

  // As a share of the torque, value and slope alike; none without chambers.
  double ReactionMisses(const Knot& a, const Knot& middle, const Knot& b) const {
    if (built_.reactions.count == 0) return 0.0;
    const double width = b.twist - a.twist;
    const double rise = b.reaction.value - a.reaction.value;
    const double value = 0.5 * (a.reaction.value + b.reaction.value) +
                         width / 8.0 * (a.reaction.slope - b.reaction.slope);
    const double slope = 1.5 * rise / width - 0.25 * (a.reaction.slope + b.reaction.slope);
    return std::max(std::abs(middle.reaction.value - value),
                    width / 8.0 * std::abs(middle.reaction.slope - slope)) /
           std::max(std::abs(b.reaction.value), kLeastTorque);
  }

  // A curve of what is a weighted sum of the nodes' pressures.
  template <class Sum>
  MonotoneCubic<double> Each(const Sum& sum) const {
    MonotoneCubic<double> curve = Blank();
    for (const Knot& k : knot_) AddPoint(curve, k.twist, sum(k.pressure), sum(k.rate));
    return curve;
  }

  const Circuit<double>& circuit_;
  Built<double> built_;
  NodalState state_;
  std::vector<Knot> knot_;
};

std::optional<Characteristic> Characteristic::Trace(const Circuit<double>& circuit,
                                                    const Condition<double>& condition) {
  if (WhyUnsound(circuit) || WhyUnsound(condition)) return std::nullopt;
  Tracer tracer(circuit, condition);
  if (!tracer.Run()) return std::nullopt;
  Characteristic c;
  c.valve_ = circuit.valve;
  c.assist_ = {tracer.Assist(0), tracer.Assist(1)};
  c.outlet_ = tracer.Outlet();
  c.reaction_ = tracer.Reaction();
  c.doubts_ = tracer.Doubts();
  for (std::size_t i = 0; i < c.outlet_.x.size(); ++i) {
    c.torque_.push_back(TwistTorqueAt(c.valve_, c.outlet_.x[i]) +
                        (c.reaction_ ? c.reaction_->y[i] : 0.0));
  }
  for (std::size_t i = 1; i < c.torque_.size(); ++i) {
    if (c.torque_[i] < c.torque_[i - 1]) return std::nullopt;
    for (const MonotoneCubic<double>& assist : c.assist_) {
      if (assist.y[i] < assist.y[i - 1] - kMostFall * std::abs(assist.y[i])) return std::nullopt;
    }
  }
  return c;
}

// The twist at which `assist` (null: none) + torque of the hand x `per_torque` reaches a target.
Characteristic::Place Characteristic::Find(double target, const MonotoneCubic<double>* assist,
                                           double per_torque) const {
  const std::vector<double>& twist = outlet_.x;
  const auto at_knot = [&](std::size_t i) {
    return per_torque * torque_[i] + (assist != nullptr ? assist->y[i] : 0.0);
  };
  std::size_t low = 0, high = twist.size() - 1;
  if (target >= at_knot(high)) {
    // The oil gives no more: bar and stop carry the rest.
    const double more = (target - at_knot(high)) / per_torque;
    return {TwistAt<double>(valve_, TwistTorqueAt(valve_, twist[high]) + more), high};
  }
  while (high - low > 1) {
    const std::size_t middle = (low + high) / 2;
    (at_knot(middle) <= target ? low : high) = middle;
  }
  const double first = at_knot(low), last = at_knot(high);
  if (!(last > first)) return {twist[low], low};
  const auto miss = [&](double x) {
    const TorquePoint<double> bar = TwistTorque<double>(valve_, x);
    CurvePoint<double> sum{per_torque * bar.torque - target, per_torque * bar.slope};
    const auto add = [&](const MonotoneCubic<double>& curve, double share) {
      const CurvePoint<double> point = PointIn<double>(curve, low, x);
      sum.value += share * point.value;
      sum.slope += share * point.slope;
    };
    if (assist != nullptr) add(*assist, 1.0);
    if (reaction_) add(*reaction_, per_torque);
    return sum;
  };
  // Newton's method kept inside the piece, which holds the root.
  double from = twist[low], to = twist[high];
  double x = from + (to - from) * std::clamp((target - first) / (last - first), 0.0, 1.0);
  for (int i = 0; i < kMostLookups; ++i) {
    const CurvePoint<double> at = miss(x);
    (at.value < 0.0 ? from : to) = x;
    double next = x - at.value / at.slope;
    if (!(next >= from && next <= to)) next = 0.5 * (from + to);
    const bool near = std::abs(next - x) <= kNearEnough * twist[high];
    x = next;
    if (near) break;
  }
  return {x, low};
}

Characteristic::Point Characteristic::UnderForce(double rack_force,
                                                 double travel_per_radian) const {
  const std::size_t side = rack_force >= assist_[0].y.front() ? 0 : 1;
  const double sign = side == 0 ? 1.0 : -1.0;
  return PointOf(Find(sign * rack_force, &assist_[side], 1.0 / travel_per_radian), side);
}

Characteristic::Point Characteristic::AtTorque(double torque) const {
  return PointOf(Find(std::abs(torque), nullptr, 1.0), torque >= 0.0 ? 0 : 1);
}

Characteristic::Point Characteristic::PointOf(const Place& at, std::size_t side) const {
  // Past the last point the oil rests.
  const auto on = [&](const MonotoneCubic<double>& curve) {
    const bool past = at.interval + 1 >= curve.x.size();
    return past ? curve.y.back() : PointIn<double>(curve, at.interval, at.twist).value;
  };
  const double sign = side == 0 ? 1.0 : -1.0;
  Marks doubts = doubts_[at.interval];
  doubts.Add(doubts_[std::min(at.interval + 1, doubts_.size() - 1)]);
  doubts.Set(Mark::kBeyondValvePoints, BeyondPoints(valve_, at.twist));
  return {sign * at.twist, sign * on(assist_[side]), on(outlet_), doubts};
}

}  // namespace steerbench::hydraulics
