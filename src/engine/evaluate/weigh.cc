#include "engine/evaluate/weigh.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/drive/drive.h"
#include "engine/effort/hand_wheel.h"
#include "engine/evaluate/oil.h"
#include "engine/hydraulics/curves.h"
#include "engine/tyre/loads.h"
#include "engine/tyre/standing.h"
#include "engine/tyre/vehicle.h"

namespace steerbench {
namespace {

constexpr double kKmh = 1.0 / 3.6;  // [m/s]
constexpr int kMostSteps = 30;

// The states in which the wheel is weighed on the road.
struct RoadCase {
  double speed, ay;  // [m/s], [m/s^2], left bend
  Output torque, pull;
  bool assisted;
};
constexpr std::array<RoadCase, 5> kRoad{
    {{50 * kKmh, 2.0, Output::kTownTorque, Output::kTownPull, true},
     {80 * kKmh, 3.0, Output::kRoadTorque, Output::kRoadPull, true},
     {80 * kKmh, 3.0, Output::kRoadLostTorque, Output::kRoadLostPull, false},
     {110 * kKmh, 3.0, Output::kFastTorque, Output::kFastPull, true},
     {140 * kKmh, 2.0, Output::kMotorwayTorque, Output::kMotorwayPull, true}}};

struct KerbCase {
  tyre::Brake brake;
  bool wet, assisted;
  Output torque, pull;
};
constexpr std::array<KerbCase, 4> kKerb{
    {{tyre::Brake::kOff, false, true, Output::kKerbTorque, Output::kKerbPull},
     {tyre::Brake::kOn, false, true, Output::kKerbBrakeTorque, Output::kKerbBrakePull},
     {tyre::Brake::kOff, true, true, Output::kKerbWetTorque, Output::kKerbWetPull},
     {tyre::Brake::kOff, false, false, Output::kKerbLostTorque, Output::kKerbLostPull}}};

template <class T>
class Weigher {
 public:
  Weigher(const Fitted<T>& fitted, const Front<T>& front, const std::optional<HandToRack<T>>& hand,
          const Missing& hand_missing, Evaluation<T>& out)
      : f_(fitted), front_(front), hand_(hand), out_(out) {
    if (front.level != Level::kPoints) missing_ = Begun() ? Missing{"car.front.left"} : Missing{};
    missing_.insert(missing_.end(), hand_missing.begin(), hand_missing.end());
  }

  void Run() {
    if (!Begun()) return;
    Needed();
    for (const Side side : kSides) {
      centred_[Index(side)] = SeeWheel<T>(front_, side, T(0.0), T(0.0));
      if (!centred_[Index(side)] && missing_.empty()) missing_.push_back("car.front.left");
    }
    Circuit();
    for (const KerbCase& c : kKerb) Kerb(c);
    for (const RoadCase& c : kRoad) Road(c);
    OnCentre();
    Oil();
  }

 private:
  // Weights are asked for as soon as the car's are: a file about geometry alone waits for nothing.
  bool Begun() const { return f_.car.front_mass || f_.car.rear_mass || f_.car.front.tyre.pressure; }

  T Need(const std::optional<T>& field, std::string_view path) {
    if (!field) missing_.push_back(path);
    return field.value_or(T(0.0));
  }

  void Set(Output id, const T& value) { out_.result[static_cast<std::size_t>(id)].value = value; }
  void Lack(std::initializer_list<Output> ids, const Missing& missing) {
    for (const Output id : ids) out_.result[static_cast<std::size_t>(id)].missing = missing;
  }
  void Note(Assumption a) {
    if (std::ranges::find(out_.assumed, a) == out_.assumed.end()) out_.assumed.push_back(a);
  }

  void Needed() {
    load_ = Need(f_.car.front_mass, "car.front_mass") * (tyre::kGravity / 2.0);
    rim_radius_ = Need(f_.car.column.rim_diameter, "car.column.rim_diameter") / 2.0;
    joint_friction_ = Need(f_.car.friction.joints, "car.friction.joints");
    column_friction_ = Need(f_.car.friction.column, "car.friction.column");
    if (!f_.rack) return;
    rack_friction_ = Need(f_.rack->friction, "rack.friction");
    efficiency_ = Need(f_.rack->mesh_efficiency, "rack.mesh_efficiency");
    if (f_.rack->piston_bore) {
      seal_friction_ = Need(f_.rack->seal_friction, "rack.seal_friction");
    }
  }

  // Whether the setup has assistance at all; without, 'assist lost' is how it always is.
  bool HasAssist() const { return f_.pump || (f_.rack && f_.rack->piston_bore); }

  void Circuit() {
    if (!HasAssist() || !hand_) return;
    circuit_ = CircuitOf<T>(f_, hand_->ratio, oil_missing_, out_.assumed);
    idle_ = PumpSpeed(f_.car.engine.idle, "car.engine.idle");
    cruise_ = PumpSpeed(f_.car.engine.cruise, "car.engine.cruise");
  }

  std::optional<T> PumpSpeed(const std::optional<T>& engine, std::string_view path) {
    if (!engine) oil_missing_.push_back(path);
    if (!f_.car.engine.crank_pulley) oil_missing_.push_back("car.engine.crank_pulley");
    if (!f_.pulley || !f_.pulley->diameter) {
      oil_missing_.push_back(f_.pulley ? "pulley.diameter" : "setup.pulley");
      return std::nullopt;
    }
    if (!engine || !f_.car.engine.crank_pulley) return std::nullopt;
    return drive::PumpSpeed<T>({*f_.car.engine.crank_pulley, *f_.pulley->diameter}, *engine);
  }

  // One wheel in car axes: the corner frame's y is outboard, and its travel too.
  effort::WheelSide<T> InCar(const linkage::WheelState<T>& s, Side side) const {
    const double y = SideSign(side);
    const auto point = [y](const Vec3<T>& p) { return Vec3<T>(p.x(), p.y() * y, p.z()); };
    effort::WheelSide<T> w;
    w.wheel.axis_point = point(s.axis_point);
    w.wheel.axis_direction = point(s.axis_direction);
    w.wheel.contact = point(s.contact);
    w.wheel.centre = point(s.centre);
    w.wheel.heading = point(Vec3<T>(s.spin_axis.cross(Vec3<T>::UnitZ()).normalized()));
    // Mirrored: an angular velocity keeps its y part and turns round the others; the right corner's
    // travel is minus the car's.
    const Vec3<T>& a = s.per_travel.angular;
    const Vec3<T>& v = s.per_travel.centre;
    w.motion.angular = side == Side::kLeft ? a : Vec3<T>(a.x(), -a.y(), a.z());
    w.motion.centre = side == Side::kLeft ? v : Vec3<T>(-v.x(), v.y(), -v.z());
    w.joint_friction = joint_friction_;
    w.load.vertical = load_;
    return w;
  }

  effort::Mechanism<T> MechanismAt(const T& travel) const {
    effort::Mechanism<T> m;
    m.travel_per_radian = gear::TravelPerAngle<T>(hand_->ratio, travel);
    m.mesh_efficiency = efficiency_;
    m.column_ratio = gear::TurnColumn(hand_->joints, hand_->HandAngle(travel)).ratio;
    m.rack_friction = rack_friction_;
    m.seal_friction = seal_friction_;
    m.column_friction = column_friction_;
    m.rim_radius = rim_radius_;
    return m;
  }

  // Rack direction of a left turn.
  effort::Direction ToLeft() const {
    return hand_->turn > 0.0 ? effort::Direction::kLeft : effort::Direction::kRight;
  }

  // A pair of wheels ready to be turned, at a rack travel.
  struct Ready {
    effort::WheelSide<T> left, right;
    T travel{};
  };

  // Circuit under a load of the rack, rack at rest in a moment; unset without assistance.
  std::optional<hydraulics::SteadyState<T>> Assist(const T& rack_force, const T& pump_speed,
                                                   double road_speed) {
    Missing lacks;
    const auto currents = CoilCurrents<T>(f_, road_speed, lacks);
    if (!circuit_ || !currents) return std::nullopt;
    const auto state = hydraulics::SolveSteady<T>(*circuit_, At(rack_force, pump_speed, *currents));
    if (!state) return std::nullopt;
    return *state;
  }

  hydraulics::Condition<T> At(const T& rack_force, const T& pump_speed,
                              const std::vector<T>& currents) const {
    hydraulics::Condition<T> condition;
    condition.rack_force = rack_force;
    condition.pump_speed = pump_speed;
    condition.temperature = *f_.car.oil.temperature;
    for (std::size_t i = 0; i < currents.size(); ++i) condition.currents[i] = currents[i];
    return condition;
  }

  struct Turned {
    effort::HandTorque<T> hand;
    std::optional<hydraulics::SteadyState<T>> oil;
  };

  // Torque to turn in from a state, with the assistance that the load calls up.
  std::optional<Turned> TurnIn(const Ready& r, const std::optional<T>& pump_speed,
                               double road_speed) {
    const effort::Mechanism<T> mechanism = MechanismAt(r.travel);
    const auto bare = effort::TorqueToTurn<T>(r.left, r.right, mechanism, T(0.0), ToLeft());
    if (!bare) return std::nullopt;
    if (!pump_speed) return Turned{*bare, {}};
    auto oil = Assist(bare->rack_force, *pump_speed, road_speed);
    if (!oil) return std::nullopt;
    const auto hand = effort::TorqueToTurn<T>(r.left, r.right, mechanism, oil->assist, ToLeft());
    if (!hand) return std::nullopt;
    return Turned{*hand, std::move(oil)};
  }

  // Torque and pull with the sign of the hand wheel: positive turns left.
  void Put(Output torque, Output pull, const effort::HandTorque<T>& hand) {
    Set(torque, hand.total * hand_->turn);
    Set(pull, hand.rim_pull * hand_->turn);
  }

  std::optional<Ready> Standing(const KerbCase& c, Missing& missing) {
    const Tyre<T>& t = f_.car.front.tyre;
    const auto need = [&](const std::optional<T>& field, std::string_view path) -> T {
      if (!field) missing.push_back(path);
      return field.value_or(T(0.0));
    };
    tyre::Standing<T> standing;
    standing.load = load_;
    standing.pressure = need(t.pressure, "car.front.tyre.pressure");
    standing.friction = c.wet ? need(t.friction_wet, "car.front.tyre.friction_wet")
                              : need(t.friction, "car.front.tyre.friction");
    standing.tyre_width = need(f_.car.front.tyre_width, "car.front.tyre_width");
    standing.brake = c.brake;
    if (!missing.empty()) return std::nullopt;
    if (t.patch_length && t.tread_width) standing.patch = {*t.patch_length, *t.tread_width};
    Ready ready;
    for (const Side side : kSides) {
      const auto& seen = centred_[Index(side)];
      standing.scrub_radius = seen->state->scrub_radius;
      standing.mechanical_trail = seen->state->mechanical_trail;
      const auto spin = tyre::SpinTorqueStanding<T>(standing);
      if (!spin) return std::nullopt;
      effort::WheelSide<T>& w = side == Side::kLeft ? ready.left : ready.right;
      w = InCar(*seen->state, side);
      w.spin = spin->middle + spin->half_spread * f_.model.standing_torque.value_or(T(0.0));
    }
    return ready;
  }

  void Kerb(const KerbCase& c) {
    if (!c.assisted && !HasAssist()) return;  // it has none to lose
    Missing missing = missing_;
    const bool assisted = c.assisted && HasAssist();
    if (assisted) missing.insert(missing.end(), oil_missing_.begin(), oil_missing_.end());
    if (assisted) (void)CoilCurrents<T>(f_, 0.0, missing);
    const auto ready = missing.empty() ? Standing(c, missing) : std::nullopt;
    const auto turned = ready ? TurnIn(*ready, assisted ? idle_ : std::nullopt, 0.0) : std::nullopt;
    if (!turned) return Lack({c.torque, c.pull}, missing);
    Put(c.torque, c.pull, turned->hand);
    if (c.torque != Output::kKerbTorque) return;
    Explain(c.torque, "standing", *turned);
    if (!turned->oil) return;
    Set(Output::kKerbPressure, turned->oil->outlet);
    Set(Output::kIdleFlow, turned->oil->delivered);
    CatchUp(*turned->oil);
  }

  void CatchUp(const hydraulics::SteadyState<T>& kerb) {
    Missing lacks;
    const auto currents = CoilCurrents<T>(f_, 0.0, lacks);
    if (!currents) return;
    const auto speed = hydraulics::CatchUpAt<T>(*circuit_, At(kerb.rack_force, *idle_, *currents));
    if (!speed) return;
    // The circuit's pinion angle holds the mesh's loss in its force; its speed does not.
    const auto put = [&](Output id, const T& pinion) { Set(id, pinion / efficiency_); };
    const bool own = hand_->turn > 0.0;
    put(Output::kCatchUpLeft, own ? speed->towards_a : speed->towards_b);
    put(Output::kCatchUpRight, own ? speed->towards_b : speed->towards_a);
  }

  tyre::AxleTyre<T> AxleTyre(const Tyre<T>& t, const T& load,
                             const std::array<std::string_view, 3>& path, Missing& missing) const {
    tyre::AxleTyre<T> a;
    if (!t.cornering_stiffness) missing.push_back(path[0]);
    if (!t.friction) missing.push_back(path[1]);
    a.reference_load = load;
    a.cornering_stiffness = t.cornering_stiffness.value_or(T(0.0));
    a.friction = t.friction.value_or(T(0.0));
    if (t.patch_length) {
      a.half_length = *t.patch_length / 2.0;
    } else if (t.pressure && t.tread_width) {
      const auto patch = tyre::PatchFromPressure<T>(load, *t.pressure, *t.tread_width);
      if (patch) a.half_length = patch->length / 2.0;
    } else {
      missing.push_back(path[2]);
    }
    return a;
  }

  std::optional<tyre::RoadCar<T>> Car(Missing& missing) {
    tyre::RoadCar<T> car;
    if (!f_.car.rear_mass) missing.push_back("car.rear_mass");
    if (!f_.car.wheelbase) missing.push_back("car.wheelbase");
    const T rear_load = f_.car.rear_mass.value_or(T(0.0)) * (tyre::kGravity / 2.0);
    car.loads = {load_ * 2.0, rear_load * 2.0};
    car.wheelbase = f_.car.wheelbase.value_or(T(0.0));
    car.front = AxleTyre(f_.car.front.tyre, load_,
                         {"car.front.tyre.cornering_stiffness", "car.front.tyre.friction",
                          "car.front.tyre.patch_length"},
                         missing);
    car.rear = AxleTyre(f_.car.rear_tyre, rear_load,
                        {"car.rear_tyre.cornering_stiffness", "car.rear_tyre.friction",
                         "car.rear_tyre.patch_length"},
                        missing);
    if (!missing.empty()) return std::nullopt;
    car.mechanical_trail =
        (centred_[0]->state->mechanical_trail + centred_[1]->state->mechanical_trail) / 2.0;
    return car;
  }

  // Where a weight comes from, and what the oil does meanwhile.
  void Explain(Output of, std::string_view when, const Turned& turned) {
    effort::Terms<T> terms = turned.hand.terms;
    for (T& term : terms.of) term *= hand_->turn;
    out_.breakdown.push_back({of, terms});
    if (!turned.oil) return;
    for (const hydraulics::Mark mark : hydraulics::List(turned.oil->marks)) {
      out_.notes.push_back(fmt::format("{}: {}{}", when, hydraulics::Describe(mark),
                                       hydraulics::CastsDoubt(mark) ? " (outside the model)" : ""));
    }
  }

  // Both wheels at the rack travel that gives a mean steer angle: Newton's method without
  // derivatives, which then follow from those of the angles there.
  std::optional<Ready> AtSteer(const T& steer) const {
    double travel = 0.0;
    std::array<linkage::Pose, 2> pose{front_.rest[0].pose, front_.rest[1].pose};
    for (int step = 0; step < kMostSteps; ++step) {
      double mean = 0.0, rate = 0.0;
      for (const Side side : kSides) {
        const std::size_t i = Index(side);
        const double s = travel * SideSign(side);
        const linkage::Solve solve = linkage::MoveTo(front_.plain[i], pose[i], s, 0.0);
        if (solve.status != linkage::SolveStatus::kConverged) return std::nullopt;
        pose[i] = solve.pose;
        const auto state = linkage::StateAt<double>(front_.plain[i], pose[i], s, 0.0);
        mean += state.steer * SideSign(side) / 2.0;
        rate += state.steer_per_travel / 2.0;
      }
      constexpr double kSteerTolerance = 1e-12;  // [rad]
      const double error = mean - Value(steer);
      if (std::abs(error) < kSteerTolerance) return Lifted(travel, rate, steer, pose);
      travel -= error / rate;
    }
    return std::nullopt;
  }

  std::optional<Ready> Lifted(double travel, double rate, const T& steer,
                              const std::array<linkage::Pose, 2>& pose) const {
    T exact(travel);
    if constexpr (!std::same_as<T, double>) {
      T mean(0.0);
      for (const Side side : kSides) {
        mean += linkage::SteerAt<T>(front_.corner[Index(side)], pose[Index(side)],
                                    T(travel * SideSign(side)), T(0.0)) *
                (SideSign(side) / 2.0);
      }
      exact -= ((mean - Value(mean)) - (steer - Value(steer))) / rate;
    }
    const auto side_at = [&](Side side) {
      return InCar(*SeeWheel<T>(front_, side, exact, T(0.0), pose[Index(side)])->state, side);
    };
    return Ready{side_at(Side::kLeft), side_at(Side::kRight), exact};
  }

  // Both wheels in a steady left bend.
  std::optional<Ready> InBend(double speed, double ay, Missing& missing) {
    if (bend_ && bend_speed_ == speed && bend_ay_ == ay) return bend_;
    bend_ = MakeBend(speed, ay, missing);
    bend_speed_ = speed;
    bend_ay_ = ay;
    return bend_;
  }

  std::optional<Ready> MakeBend(double speed, double ay, Missing& missing) {
    const auto car = Car(missing);
    if (!car) return std::nullopt;
    const auto bend = tyre::SteadyBend<T>(*car, T(speed), T(ay));
    if (!bend) return std::nullopt;
    auto ready = AtSteer(bend->commanded_steer);
    if (!ready) return std::nullopt;
    Note(Assumption::kEvenLoad);
    ready->left.load.lateral = bend->front_left.force.side;
    ready->right.load.lateral = bend->front_right.force.side;
    ready->left.load.aligning = bend->front_left.force.aligning;
    ready->right.load.aligning = bend->front_right.force.aligning;
    return ready;
  }

  void Road(const RoadCase& c) {
    if (!c.assisted && !HasAssist()) return;
    Missing missing = missing_;
    const bool assisted = c.assisted && HasAssist();
    if (assisted) missing.insert(missing.end(), oil_missing_.begin(), oil_missing_.end());
    if (assisted) (void)CoilCurrents<T>(f_, c.speed, missing);
    const auto ready = missing.empty() ? InBend(c.speed, c.ay, missing) : std::nullopt;
    const auto turned =
        ready ? TurnIn(*ready, assisted ? cruise_ : std::nullopt, c.speed) : std::nullopt;
    if (!turned) return Lack({c.torque, c.pull}, missing);
    Put(c.torque, c.pull, turned->hand);
    if (c.torque != Output::kRoadTorque) return;
    Explain(c.torque, "on the road", *turned);
    LetGo(*ready);
  }

  // Let go in the bend: no torque at the valve, so no assistance beyond the valve's centre.
  void LetGo(const Ready& ready) {
    const auto band = effort::Hold<T>(ready.left, ready.right, MechanismAt(ready.travel), T(0.0));
    if (band) Set(Output::kReturnTorque, band->return_torque);
  }

  // Middle between turning in and out in a slight bend, per g: what the hand feels on centre.
  void OnCentre() {
    constexpr double kSpeed = 80 * kKmh;
    constexpr double kSlight = 1.0;  // [m/s^2]
    Missing missing = missing_;
    if (HasAssist()) missing.insert(missing.end(), oil_missing_.begin(), oil_missing_.end());
    if (HasAssist()) (void)CoilCurrents<T>(f_, kSpeed, missing);
    const auto ready = missing.empty() ? InBend(kSpeed, kSlight, missing) : std::nullopt;
    if (!ready) return Lack({Output::kCentreGradient, Output::kReturnTorque}, missing);
    const auto band =
        effort::Hold<T>(ready->left, ready->right, MechanismAt(ready->travel), T(0.0));
    if (!band) return;
    T balance = band->balance * hand_->turn;
    if (HasAssist()) {
      // The rack's load without friction, which valve and hand share.
      const T force = balance * hand_->turn / MechanismAt(ready->travel).travel_per_radian;
      const auto oil = Assist(force, *cruise_, kSpeed);
      if (!oil) return;
      balance = oil->torque * hand_->turn;
    }
    Set(Output::kCentreGradient, balance * (tyre::kGravity / kSlight));
  }

  void Oil() {
    if (!HasAssist()) return;
    Missing missing = missing_;
    missing.insert(missing.end(), oil_missing_.begin(), oil_missing_.end());
    const auto currents = CoilCurrents<T>(f_, 0.0, missing);
    if (currents && !currents->empty()) Set(Output::kCoilCurrent, currents->front());
    if (currents && currents->size() > 1) Set(Output::kSecondCoilCurrent, currents->back());
    if (missing.empty()) return;
    Lack({Output::kKerbPressure, Output::kIdleFlow, Output::kCatchUpLeft, Output::kCatchUpRight},
         missing);
  }

  const Fitted<T>& f_;
  const Front<T>& front_;
  const std::optional<HandToRack<T>>& hand_;
  Evaluation<T>& out_;
  Missing missing_, oil_missing_;
  std::optional<hydraulics::Circuit<T>> circuit_;
  std::optional<T> idle_, cruise_;  // pump speeds
  std::array<std::optional<Seen<T>>, 2> centred_;
  std::optional<Ready> bend_;  // the last bend made, for cases that share it
  double bend_speed_ = 0.0, bend_ay_ = 0.0;
  T load_{};  // on one front wheel
  T rim_radius_{}, joint_friction_{}, column_friction_{}, rack_friction_{}, seal_friction_{};
  T efficiency_{};
};

}  // namespace

template <class T>
void Weigh(const Fitted<T>& fitted, const Front<T>& front, const std::optional<HandToRack<T>>& hand,
           const Missing& hand_missing, Evaluation<T>& evaluation) {
  Weigher<T>(fitted, front, hand, hand_missing, evaluation).Run();
}

template void Weigh<double>(const Fitted<double>&, const Front<double>&,
                            const std::optional<HandToRack<double>>&, const Missing&,
                            Evaluation<double>&);
template void Weigh<Jet>(const Fitted<Jet>&, const Front<Jet>&,
                         const std::optional<HandToRack<Jet>>&, const Missing&, Evaluation<Jet>&);

}  // namespace steerbench
