#include "engine/evaluate/stance_figures.h"

#include <array>

#include "engine/evaluate/chain.h"
#include "engine/evaluate/make_figure.h"
#include "engine/evaluate/seeded.h"
#include "engine/turning/ackermann.h"

namespace steerbench {
namespace {

struct ReadOut {
  std::string_view key, label, meaning;
  Kind kind;
};

constexpr std::array<ReadOut, 10> kWheel{{
    {"steer", "Steer", "angle of the wheel, to the left positive", Kind::kAngle},
    {"toe", "Toe-in", "of this wheel as it stands", Kind::kAngle},
    {"camber", "Camber", "true angle, top out positive", Kind::kAngle},
    {"caster", "Caster", "top rearward positive", Kind::kAngle},
    {"inclination", "Axis inclination", "top inboard positive", Kind::kAngle},
    {"scrub", "Scrub radius", "in the wheel's own frame", Kind::kLength},
    {"trail", "Mechanical trail", "in the wheel's own frame", Kind::kLength},
    {"rod_arm_angle", "Rod to arm", "seen along the steering axis", Kind::kAngle},
    {"inner_tilt", "Inner joint tilt", "against the rack's axis", Kind::kAngle},
    {"outer_tilt", "Outer joint tilt", "against square to its stud", Kind::kAngle},
}};
constexpr std::string_view kTurnedThere =
    "standing on dry ground, brake off, turned on from here; to the left positive";
constexpr std::string_view kOilThere = "at the pump, standing, turned on from here";
constexpr std::array<ReadOut, 13> kAxle{{
    {"hand_wheel", "Hand wheel", "angle, to the left positive", Kind::kAngle},
    {"circle.kerb", "Kerb to kerb", "diameter of the outermost tyre edge's path", Kind::kLength},
    {"circle.wall", "Wall to wall", "diameter of the outer front corner's path", Kind::kLength},
    {"ackermann", "Ackermann", "share, same inner angle", Kind::kShare},
    {"pump_speed", "Pump speed", "at this engine speed", Kind::kAngularSpeed},
    {"weight.turn_left.torque", "Torque, turned left", kTurnedThere, Kind::kTorque},
    {"weight.turn_left.pull", "Pull at the rim, turned left", kTurnedThere, Kind::kForce},
    {"weight.turn_left.pressure", "Oil pressure, turned left", kOilThere, Kind::kPressureGauge},
    {"weight.turn_left.flow", "Oil delivered, turned left", kOilThere, Kind::kFlow},
    {"weight.turn_right.torque", "Torque, turned right", kTurnedThere, Kind::kTorque},
    {"weight.turn_right.pull", "Pull at the rim, turned right", kTurnedThere, Kind::kForce},
    {"weight.turn_right.pressure", "Oil pressure, turned right", kOilThere, Kind::kPressureGauge},
    {"weight.turn_right.flow", "Oil delivered, turned right", kOilThere, Kind::kFlow},
}};

template <class T>
using ReadValues = std::vector<std::optional<T>>;

// All read-outs in the order of the catalogue, left wheel, right wheel, axle.
template <class T>
class StanceReader {
 public:
  StanceReader(const Fitted<T>& fitted, const StanceDrive& drive, const StanceRunning& running)
      : f_(fitted), front_(AssembleFront(fitted)), drive_(drive), running_(running) {}

  ReadValues<T> Read() {
    for (const Side side : kSides) {
      const std::size_t i = Index(side);
      seen_[i] = SeeWheel<T>(front_, side, T(drive_.travel), T(drive_.jounce[i]));
      Wheel(side);
    }
    Missing hand_missing;
    const auto rest = SeeWheel<T>(front_, Side::kLeft, T(0.0), T(0.0));
    hand_ = HandToRackOf(f_, !rest || Value(rest->sample.steer_per_travel) > 0.0, hand_missing);
    values_.push_back(hand_ ? std::optional<T>(hand_->HandAngle(T(drive_.travel))) : std::nullopt);
    Circle();
    Weight(hand_missing);
    return std::move(values_);
  }

 private:
  void Wheel(Side side) {
    const auto& seen = seen_[Index(side)];
    const auto put = [&](const std::optional<T>& x) { values_.push_back(x); };
    if (!seen) return values_.resize(values_.size() + kWheel.size());
    const auto& state = seen->state;
    const auto of = [&](T linkage::WheelState<T>::*field) {
      return state ? std::optional<T>((*state).*field) : std::nullopt;
    };
    using State = linkage::WheelState<T>;
    put(seen->sample.steer);
    put(T(-seen->sample.steer * SideSign(side)));
    for (const auto field : {&State::camber, &State::caster, &State::inclination,
                             &State::scrub_radius, &State::mechanical_trail}) {
      put(of(field));
    }
    put(seen->sample.rod_arm_angle);
    put(seen->sample.inner_tilt);
    put(seen->sample.outer_tilt);
  }

  // Circles and Ackermann share; from the points only, where contacts and axes are known.
  void Circle() {
    std::optional<T> kerb, wall, share;
    const auto& car = f_.car;
    const bool known = seen_[0] && seen_[1] && seen_[0]->state && seen_[1]->state;
    if (known && car.wheelbase) {
      const Vec3<T>& l = seen_[0]->state->contact;
      const Vec3<T>& r = seen_[1]->state->contact;
      const turning::SteeredAxle<T> axle{{{l.x(), l.y()}, seen_[0]->sample.steer},
                                         {{r.x(), T(-r.y())}, seen_[1]->sample.steer}};
      const auto turn = turning::FindTurn<T>(*car.wheelbase, axle);
      if (turn && car.front.tyre_width) {
        kerb = T(2.0 * turning::KerbRadius<T>(*turn, axle, *car.front.tyre_width));
      }
      if (turn && car.body_width && car.front_overhang) {
        wall = T(2.0 * turning::WallRadius<T>(*turn, *car.body_width, *car.front_overhang));
      }
      T spacing(0.0);
      for (const Side side : kSides) {
        spacing += SeeWheel<T>(front_, side, T(0.0), T(0.0))->state->axis_ground.y();
      }
      share =
          turning::AckermannShare<T>(turning::AckermannBasis::kSameInner, {*car.wheelbase, spacing},
                                     {seen_[0]->sample.steer, seen_[1]->sample.steer});
    }
    values_.insert(values_.end(), {kerb, wall, share});
  }

  void Weight(const Missing& hand_missing) {
    std::optional<T> pump;
    struct Turned {
      std::optional<T> torque, pull, pressure, flow;
    };
    std::array<Turned, 2> turned;
    std::vector<Assumption> assumed;
    Chain<T> chain(f_, front_, hand_, hand_missing, assumed);
    const std::optional<T> engine =
        running_.engine_speed ? std::optional(T(*running_.engine_speed)) : f_.car.engine.idle;
    if (chain.StandingLacks(false).empty() &&
        chain.AssistLacksBesideEngine(running_.road_speed).empty() &&
        (engine || !chain.HasAssist())) {
      if (chain.HasAssist()) pump = chain.PumpSpeedAt(*engine);
      const auto axle = chain.Standing({}, T(drive_.travel));
      constexpr std::array kWays2{effort::Direction::kLeft, effort::Direction::kRight};
      for (std::size_t i = 0; axle && i < kWays2.size(); ++i) {
        const auto weighed = chain.Turn(*axle, kWays2[i], pump, running_.road_speed);
        if (!weighed) continue;
        turned[i].torque = weighed->to_left;
        turned[i].pull = T(weighed->hand.rim_pull * chain.Sense());
        if (!weighed->oil) continue;
        turned[i].pressure = weighed->oil->outlet;
        turned[i].flow = weighed->oil->delivered;
      }
    }
    values_.push_back(pump);
    for (const Turned& t : turned) {
      values_.insert(values_.end(), {t.torque, t.pull, t.pressure, t.flow});
    }
  }

  const Fitted<T>& f_;
  Front<T> front_;
  StanceDrive drive_;
  StanceRunning running_;
  std::optional<HandToRack<T>> hand_;
  std::array<std::optional<SeenWheel<T>>, 2> seen_;
  ReadValues<T> values_;
};

}  // namespace

StanceFigures FiguresAt(const Fitted<Quantity>& fitted, const StanceDrive& drive,
                        const StanceRunning& running) {
  StanceFigures out;
  out.inputs = Inputs(fitted);
  const Fitted<double> plain =
      LiftTo<double>(fitted, [](std::size_t, double value) { return value; });
  const ReadValues<double> values = StanceReader<double>(plain, drive, running).Read();
  std::vector<std::vector<double>> gradient(values.size());
  ForEachSeeded(fitted, out.inputs.size(), [&](const Fitted<Jet>& seeded, std::size_t) {
    const ReadValues<Jet> lifted = StanceReader<Jet>(seeded, drive, running).Read();
    for (std::size_t i = 0; i < values.size(); ++i) {
      AppendDerivatives(gradient[i], lifted[i], out.inputs.size());
    }
  });
  const auto add = [&](std::size_t i, const ReadOut& r, const std::string& before) {
    if (!values[i]) return;
    out.figures.push_back({before + std::string(r.key), r.label, r.meaning, r.kind,
                           MakeFigure(*values[i], gradient[i], out.inputs)});
  };
  std::size_t i = 0;
  for (const char* side : {"wheels.left.", "wheels.right."}) {
    for (const ReadOut& r : kWheel) add(i++, r, side);
  }
  for (const ReadOut& r : kAxle) add(i++, r, "");
  return out;
}

}  // namespace steerbench
