#include "engine/evaluate/chain.h"

#include <algorithm>
#include <cmath>

#include "engine/evaluate/oil.h"
#include "engine/evaluate/sweep.h"
#include "engine/hydraulics/curves.h"
#include "engine/tyre/loads.h"

namespace steerbench {
namespace {

constexpr int kMostSteps = 30;
constexpr std::string_view kOutOfReach = "the linkage does not reach so far";

constexpr double kMapMisses = 1e-7;  // share by which a looked-up pose may be off

}  // namespace

template <class T>
Assist<T>::Assist(const Fitted<T>& fitted, const std::optional<HandToRack<T>>& hand,
                  const Missing& hand_missing, std::vector<Assumption>& assumed,
                  hydraulics::KnownRoots* roots)
    : f_(fitted) {
  if (!Present()) return;
  Append(missing_, hand_missing);
  if (hand) circuit_ = CircuitOf<T>(f_, hand->ratio, missing_, assumed);
  if (circuit_) circuit_->known = roots;
  Append(missing_, PumpDriveLacks(f_));
}

template <class T>
Missing Assist<T>::LacksBesideEngine(double road_speed) const {
  if (!Present()) return {};
  Missing missing = missing_;
  Append(missing, CurrentsAt(road_speed).missing);
  return missing;
}

template <class T>
Missing Assist<T>::Lacks(double road_speed) const {
  Missing missing = LacksBesideEngine(road_speed);
  const Engine<T>& engine = f_.car.engine;
  const bool standing = road_speed == 0.0;
  if (Present() && !(standing ? engine.idle : engine.cruise)) {
    missing.push_back(standing ? "car.engine.idle" : "car.engine.cruise");
  }
  return missing;
}

template <class T>
const typename Assist<T>::Currents& Assist<T>::CurrentsAt(double road_speed) const {
  const auto known = std::ranges::find(currents_, road_speed, &Currents::road_speed);
  if (known != currents_.end()) return *known;
  Currents fresh;
  fresh.road_speed = road_speed;
  fresh.known = CoilCurrents<T>(f_, road_speed, fresh.missing);
  return currents_.emplace_back(std::move(fresh));
}

template <class T>
hydraulics::Condition<T> Assist<T>::At(const T& pump_speed, double road_speed) const {
  hydraulics::Condition<T> condition;
  condition.pump_speed = pump_speed;
  condition.temperature = *f_.car.oil.temperature;
  const std::vector<T>& currents = *CurrentsAt(road_speed).known;
  for (std::size_t i = 0; i < currents.size(); ++i) condition.currents[i] = currents[i];
  return condition;
}

template <class T>
Chain<T>::Chain(const Fitted<T>& fitted, const Front<T>& front,
                const std::optional<HandToRack<T>>& hand, const Missing& hand_missing,
                std::vector<Assumption>& assumed, hydraulics::KnownRoots* roots)
    : f_(fitted),
      front_(front),
      hand_(hand),
      assumed_(assumed),
      own_assist_(fitted, hand, hand_missing, assumed, roots) {
  if (front.level != Level::kPoints) {
    Append(missing_, SpaceLacks(front));
  } else if (front.corner[0].axis == linkage::AxisKind::kVirtual) {
    Note(assumed, Assumption::kSpringAtWheel);
  }
  Append(missing_, hand_missing);
  if (fitted.rack && !IsAssisted(*fitted.rack) && !fitted.pump) {
    Note(assumed, Assumption::kManualRack);
  }
  load_ = Need(f_.car.front_mass, "car.front_mass") * (kGravity / 2.0);
  rim_radius_ = Need(f_.car.column.rim_diameter, "car.column.rim_diameter") / 2.0;
  joint_friction_ = Need(f_.car.friction.joints, "car.friction.joints");
  column_friction_ = Need(f_.car.friction.column, "car.friction.column");
  if (f_.rack) {
    rack_friction_ = Need(f_.rack->friction, "rack.friction");
    efficiency_ = Need(f_.rack->mesh_efficiency, "rack.mesh_efficiency");
    seal_friction_ = f_.rack->seal_friction.value_or(T(0.0));
  }
  for (const Side side : kSides) {
    centred_[Index(side)] = SeeWheel<T>(front_, side, T(0.0), T(0.0));
    if (!centred_[Index(side)] && missing_.empty()) missing_.push_back("car.front.left");
  }
}

template <class T>
T Chain<T>::Need(const std::optional<T>& field, std::string_view path) {
  if (!field) missing_.push_back(path);
  return field.value_or(T(0.0));
}

// What every state needs. Seals rub only where there is assistance; a rack that may be a manual one
// is asked that first.
template <class T>
Missing Chain<T>::Common() const {
  Missing missing = missing_;
  if (HasAssist() && f_.rack && !f_.rack->seal_friction) {
    missing.push_back(IsAssisted(*f_.rack) ? "rack.seal_friction" : "rack.assisted");
  }
  return missing;
}

template <class T>
Missing Chain<T>::StandingLacks(bool wet) const {
  Missing missing = Common();
  const Tyre<T>& t = f_.car.front.tyre;
  if (!t.pressure) missing.push_back("car.front.tyre.pressure");
  if (wet && !t.friction_wet) missing.push_back("car.front.tyre.friction_wet");
  if (!wet && !t.friction) missing.push_back("car.front.tyre.friction");
  if (!f_.car.front.tyre_width) missing.push_back("car.front.tyre_width");
  return missing;
}

template <class T>
Missing Chain<T>::BendLacks() const {
  Missing missing = Common();
  if (!f_.car.rear_mass) missing.push_back("car.rear_mass");
  if (!f_.car.wheelbase) missing.push_back("car.wheelbase");
  const auto tyre = [&](const Tyre<T>& t, const std::array<std::string_view, 3>& path) {
    if (!t.cornering_stiffness) missing.push_back(path[0]);
    if (!t.friction) missing.push_back(path[1]);
    if (!t.patch_length && !(t.pressure && t.tread_width)) missing.push_back(path[2]);
  };
  tyre(f_.car.front.tyre, {"car.front.tyre.cornering_stiffness", "car.front.tyre.friction",
                           "car.front.tyre.patch_length"});
  tyre(f_.car.rear_tyre, {"car.rear_tyre.cornering_stiffness", "car.rear_tyre.friction",
                          "car.rear_tyre.patch_length"});
  return missing;
}

template <class T>
Missing Chain<T>::HandlingLacks() const {
  Missing missing;
  const auto need = [&](const std::optional<T>& field, std::string_view path) {
    if (!field) missing.push_back(path);
  };
  need(f_.car.front_mass, "car.front_mass");
  need(f_.car.rear_mass, "car.rear_mass");
  need(f_.car.wheelbase, "car.wheelbase");
  need(f_.car.front.tyre.cornering_stiffness, "car.front.tyre.cornering_stiffness");
  need(f_.car.rear_tyre.cornering_stiffness, "car.rear_tyre.cornering_stiffness");
  return missing;
}

// The corner frame's y is outboard, and its travel too.
template <class T>
Said<effort::WheelSide<T>> Chain<T>::InCar(const linkage::WheelState<T>& s, Side side) const {
  const double y = SideSign(side);
  const auto point = [y](const Vec3<T>& p) { return Vec3<T>(p.x(), p.y() * y, p.z()); };
  effort::Wheel<T> wheel;
  wheel.axis_direction = point(s.axis_direction);
  wheel.contact = point(s.contact);
  wheel.centre = point(s.centre);
  wheel.heading = point(Vec3<T>(s.spin_axis.cross(Vec3<T>::UnitZ()).normalized()));
  // Mirrored: an angular velocity keeps its y part and turns round the others; the right corner's
  // travel is minus the car's.
  const linkage::Rate<T> steered = linkage::SteeredAlone<T>(front_.corner[Index(side)].axis, s);
  const Vec3<T>& a = steered.angular;
  const Vec3<T>& v = steered.centre;
  effort::Motion<T> motion;
  motion.angular = side == Side::kLeft ? a : Vec3<T>(a.x(), -a.y(), a.z());
  motion.centre = side == Side::kLeft ? v : Vec3<T>(-v.x(), v.y(), -v.z());
  const auto leverage = effort::LeverageOf<T>(wheel, motion);
  if (!leverage) return effort::Describe(leverage.why());
  effort::WheelSide<T> w;
  w.leverage = *leverage;
  w.joint_friction = joint_friction_;
  w.load.vertical = load_;
  return w;
}

template <class T>
effort::Mechanism<T> Chain<T>::MechanismAt(const T& travel) const {
  effort::Mechanism<T> m;
  m.travel_per_radian = gear::TravelPerAngle<T>(hand_->ratio, travel);
  m.mesh_efficiency = efficiency_;
  m.column_ratio = hand_->HandWheelAt(travel).ratio;
  m.rack_friction = rack_friction_;
  m.column_friction = column_friction_;
  m.rim_radius = rim_radius_;
  return m;
}

template <class T>
effort::Mechanism<T> Chain<T>::WithSeals(effort::Mechanism<T> mechanism) const {
  if (HasAssist()) mechanism.seal_friction = seal_friction_;
  return mechanism;
}

template <class T>
effort::Direction Chain<T>::OfRack(effort::Direction side) const {
  return hand_->turn > 0.0 ? side : Opposite(side);
}

// Length and width as measured; the length else from load and air.
template <class T>
std::optional<tyre::Patch<T>> Chain<T>::PatchOf(const Tyre<T>& tyre) {
  if (!tyre.patch_length || !tyre.tread_width) Note(assumed_, Assumption::kPatchNotMeasured);
  if (!tyre.tread_width) return std::nullopt;
  std::optional<tyre::Patch<T>> patch;
  if (tyre.patch_length) {
    patch = {*tyre.patch_length, *tyre.tread_width};
  } else if (const auto found =
                 tyre::PatchFromPressure<T>(load_, *tyre.pressure, *tyre.tread_width)) {
    patch = *found;
  }
  const auto& radius = f_.car.front.tyre_radius;
  if (patch && radius && tyre::IsLong<T>(*patch, *radius)) Note(assumed_, Assumption::kLongPatch);
  return patch;
}

template <class T>
Said<PosedAxle<T>> Chain<T>::PoseAt(const T& travel, const Poses* from) const {
  PosedAxle<T> posed;
  posed.axle.travel = travel;
  posed.axle.mechanism = MechanismAt(travel);
  for (const Side side : kSides) {
    const std::size_t i = Index(side);
    const auto pose = from == nullptr ? std::nullopt : std::optional((*from)[i]);
    const auto seen = Value(travel) == 0.0 && !pose
                          ? centred_[i]
                          : SeeWheel<T>(front_, side, travel, T(0.0), pose);
    if (!seen) return kOutOfReach;
    const auto wheel = InCar(*seen->state, side);
    if (!wheel) return wheel.why();
    (side == Side::kLeft ? posed.axle.left : posed.axle.right) = *wheel;
    posed.axle.steer += seen->sample.steer / 2.0;
    posed.scrub_radius[i] = seen->state->scrub_radius;
    posed.mechanical_trail[i] = seen->state->mechanical_trail;
  }
  return posed;
}

template <class T>
Said<LoadedAxle<T>> Chain<T>::Standing(const Ground& ground, const PosedAxle<T>& posed) {
  const Tyre<T>& t = f_.car.front.tyre;
  tyre::Standing<T> standing;
  standing.load = load_;
  standing.pressure = *t.pressure;
  standing.friction = ground.wet ? *t.friction_wet : *t.friction;
  standing.tyre_width = *f_.car.front.tyre_width;
  standing.brake = ground.brake;
  standing.patch = PatchOf(t);
  LoadedAxle<T> axle = posed.axle;
  for (const Side side : kSides) {
    standing.scrub_radius = posed.scrub_radius[Index(side)];
    standing.mechanical_trail = posed.mechanical_trail[Index(side)];
    const auto spin = tyre::SpinTorqueStanding<T>(standing);
    if (!spin) return Describe(spin.why());
    (side == Side::kLeft ? axle.left : axle.right).spin =
        spin->middle + spin->half_spread * f_.model.standing_torque.value_or(T(0.0));
  }
  return axle;
}

template <class T>
Said<LoadedAxle<T>> Chain<T>::Standing(const Ground& ground, const T& travel) {
  const auto posed = PoseAt(travel);
  if (!posed) return posed.why();
  return Standing(ground, *posed);
}

template <class T>
tyre::AxleTyre<T> Chain<T>::AxleTyre(const Tyre<T>& t, const T& load) {
  tyre::AxleTyre<T> a;
  a.reference_load = load;
  a.cornering_stiffness = *t.cornering_stiffness;
  a.friction = *t.friction;
  a.stiffness_exponent = t.load_exponent.value_or(T(0.0));
  if (t.patch_length) {
    a.half_length = *t.patch_length / 2.0;
    return a;
  }
  Note(assumed_, Assumption::kPatchNotMeasured);
  const auto patch = tyre::PatchFromPressure<T>(load, *t.pressure, *t.tread_width);
  if (patch) a.half_length = patch->length / 2.0;
  return a;
}

template <class T>
tyre::RoadCar<T> Chain<T>::RoadCar() {
  tyre::RoadCar<T> car;
  const T rear_load = *f_.car.rear_mass * (kGravity / 2.0);
  car.loads = {load_ * 2.0, rear_load * 2.0};
  car.wheelbase = *f_.car.wheelbase;
  car.front = AxleTyre(f_.car.front.tyre, load_);
  car.rear = AxleTyre(f_.car.rear_tyre, rear_load);
  const Car<T>& c = f_.car;
  if (c.cg_height && c.roll_share && c.front.track && c.rear_track) {
    car.transfer = tyre::Transfer<T>{*c.cg_height, *c.front.track, *c.rear_track, *c.roll_share};
  }
  return car;
}

template <class T>
Said<tyre::Handling<T>> Chain<T>::Handling() const {
  tyre::TwoWheel<T> car;
  const T rear_load = *f_.car.rear_mass * (kGravity / 2.0);
  car.mass = *f_.car.front_mass + *f_.car.rear_mass;
  car.wheelbase = *f_.car.wheelbase;
  car.cg_to_front = tyre::CgToFront<T>({load_ * 2.0, rear_load * 2.0}, car.wheelbase);
  car.front_stiffness = *f_.car.front.tyre.cornering_stiffness * 2.0;
  car.rear_stiffness = *f_.car.rear_tyre.cornering_stiffness * 2.0;
  const auto handling = tyre::HandlingOf<T>(car);
  if (!handling) return Describe(handling.why());
  return *handling;
}

// Both wheels at the rack travel that gives a mean steer angle: Newton's method without
// derivatives, which then follow from those of the angles there.
template <class T>
Said<LoadedAxle<T>> Chain<T>::AtSteer(const T& steer) const {
  if constexpr (std::same_as<T, double>) {
    if (auto known = steered_ ? steered_->At(steer) : std::nullopt) {
      effort::Mechanism<double>& m = known->mechanism;
      m.travel_per_radian = gear::TravelPerAngle<double>(hand_->ratio, known->travel);
      if (hand_->ratio.angle_per_travel) m.column_ratio = hand_->HandWheelAt(known->travel).ratio;
      return *known;
    }
  }
  double travel = 0.0;
  Poses pose{front_.rest[0].pose, front_.rest[1].pose};
  for (int step = 0; step < kMostSteps; ++step) {
    double mean = 0.0, rate = 0.0;
    for (const Side side : kSides) {
      const std::size_t i = Index(side);
      const double s = travel * SideSign(side);
      const linkage::Solve solve = steerbench::PoseAt(front_, side, s, 0.0, &pose[i]);
      if (solve.status != linkage::SolveStatus::kConverged) return kOutOfReach;
      pose[i] = solve.pose;
      const auto state = PlainStateAt(front_, side, pose[i], s, 0.0);
      mean += state.steer * SideSign(side) / 2.0;
      rate += state.steer_per_travel / 2.0;
    }
    constexpr double kSteerTolerance = 1e-12;  // [rad]
    const double error = mean - Value(steer);
    if (std::abs(error) < kSteerTolerance) {
      const auto posed = PoseAt(Lifted(travel, rate, steer, pose), &pose);
      if (!posed) return posed.why();
      return posed->axle;
    }
    travel -= error / rate;
  }
  return kOutOfReach;
}

// The travel with the derivatives that keep the mean steer angle at `steer`.
template <class T>
T Chain<T>::Lifted(double travel, double rate, const T& steer, const Poses& pose) const {
  T exact(travel);
  if constexpr (!std::same_as<T, double>) {
    T mean(0.0);
    for (const Side side : kSides) {
      if (!front_.varies[Index(side)]) continue;  // then only `steer` carries derivatives
      mean += linkage::SteerAt<T>(front_.corner[Index(side)], pose[Index(side)],
                                  T(travel * SideSign(side)), T(0.0)) *
              (SideSign(side) / 2.0);
    }
    exact -= ((mean - Value(mean)) - (steer - Value(steer))) / rate;
  }
  return exact;
}

template <class T>
Said<LoadedAxle<T>> Chain<T>::InBend(double speed, double ay) {
  if (!bend_ || bend_->speed != speed || bend_->ay != ay) {
    bend_.emplace(Bend{speed, ay, MakeBend(speed, ay)});
  }
  return bend_->axle;
}

// Slips and forces of a bend, whatever its speed.
template <class T>
Said<tyre::Bend<T>> Chain<T>::ForcesAt(double ay) {
  const auto known = std::ranges::find(forces_, ay, &Forces::ay);
  if (known != forces_.end()) return known->bend;
  const tyre::RoadCar<T> car = RoadCar();
  const auto bend = tyre::SteadyBend<T>(car, T(ay));
  if (!bend) return forces_.emplace_back(Forces{ay, Describe(bend.why())}).bend;
  Note(assumed_, Assumption::kRigidSteering);
  if (!car.transfer) Note(assumed_, Assumption::kEvenLoad);
  if (car.transfer && !(f_.car.front.tyre.load_exponent && f_.car.rear_tyre.load_exponent)) {
    Note(assumed_, Assumption::kStiffnessKept);
  }
  return forces_.emplace_back(Forces{ay, *bend}).bend;
}

template <class T>
Said<T> Chain<T>::SteerAt(double speed, double ay) {
  const auto bend = ForcesAt(ay);
  if (!bend) return bend.why();
  return SteerIn(*bend, speed, ay);
}

template <class T>
Said<T> Chain<T>::SteerIn(const tyre::Bend<T>& bend, double speed, double ay) const {
  const auto steer = tyre::SteerInBend<T>(bend, *f_.car.wheelbase, T(speed), T(ay));
  if (!steer) return Describe(steer.why());
  return *steer;
}

template <class T>
Said<LoadedAxle<T>> Chain<T>::MakeBend(double speed, double ay) {
  const auto bend = ForcesAt(ay);
  if (!bend) return bend.why();
  const auto steer = SteerIn(*bend, speed, ay);
  if (!steer) return steer.why();
  const auto unloaded = AtSteer(*steer);
  if (!unloaded) return unloaded.why();
  LoadedAxle<T> axle = *unloaded;
  axle.left.load.vertical = bend->front_left.load;
  axle.right.load.vertical = bend->front_right.load;
  axle.left.load.lateral = bend->front_left.force.side;
  axle.right.load.lateral = bend->front_right.force.side;
  const T trail =
      tyre::kRealTrail + tyre::kRealTrailSpread * f_.model.pneumatic_trail.value_or(T(0.0));
  axle.left.load.aligning = trail * bend->front_left.force.aligning;
  axle.right.load.aligning = trail * bend->front_right.force.aligning;
  return axle;
}

// What the rack must be pushed with to turn, and how.
template <class T>
Said<typename Chain<T>::Task> Chain<T>::TaskOf(const LoadedAxle<T>& axle,
                                               effort::Direction side) const {
  Task task;
  task.mechanism = WithSeals(axle.mechanism);
  const auto load = effort::LoadToTurn<T>(axle.left, axle.right, task.mechanism, OfRack(side));
  if (!load) return Describe(load.why());
  task.load = *load;
  const auto bare = effort::TorqueUnder<T>(task.load, task.mechanism, T(0.0));
  if (!bare) return Describe(bare.why());
  task.bare = *bare;
  // What the mesh loses lies between the valve's torque and the rack's force; which way it goes
  // depends on which of them drives. The oil takes a share of the force, so the rate stays.
  task.travel_per_radian = Value(bare->rack_force) == 0.0
                               ? task.mechanism.travel_per_radian
                               : T(bare->pinion_torque / bare->rack_force);
  return task;
}

template <class T>
Said<Weighed<T>> Chain<T>::Turn(const LoadedAxle<T>& axle, effort::Direction side,
                                const std::optional<T>& pump_speed, double road_speed) {
  const auto task = TaskOf(axle, side);
  if (!task) return task.why();
  const T& force = task->bare.rack_force;
  if (!pump_speed) return Weighed<T>{task->bare, {}, force, task->bare.total * Sense()};
  if (!IsPositive(task->travel_per_radian)) return Describe(hydraulics::Problem::kCylinder);
  Circuit().cylinder.travel_per_radian = task->travel_per_radian;
  hydraulics::Condition<T> condition = At(*pump_speed, road_speed);
  condition.rack_force = force;
  auto oil = hydraulics::SolveSteady<T>(Circuit(), condition);
  if (!oil) return Describe(oil.why());
  const auto hand = effort::TorqueUnder<T>(task->load, task->mechanism, oil->assist);
  if (!hand) return Describe(hand.why());
  return Weighed<T>{*hand, *oil, force, hand->total * Sense()};
}

template <class T>
Said<effort::HoldBand<T>> Chain<T>::LetGo(const LoadedAxle<T>& axle) {
  const auto band = effort::Hold<T>(axle.left, axle.right, WithSeals(axle.mechanism), T(0.0));
  if (!band) return Describe(band.why());
  return *band;
}

template <class T>
Said<typename Chain<T>::CatchUp> Chain<T>::CatchUpUnder(const T& rack_force, const T& pump_speed) {
  hydraulics::Condition<T> condition = At(pump_speed, 0.0);
  condition.rack_force = rack_force;
  const auto speed = hydraulics::CatchUpAt<T>(Circuit(), condition);
  if (!speed) return Describe(speed.why());
  const T per_radian = RackSpeedAt(T(1.0));
  const T a = speed->towards_a / per_radian, b = speed->towards_b / per_radian;
  return hand_->turn > 0.0 ? CatchUp{a, b, speed->oil_a, speed->oil_b, speed->marks}
                           : CatchUp{b, a, speed->oil_b, speed->oil_a, speed->marks};
}

template <class T>
T Chain<T>::RackSpeedAt(const T& hand_wheel_speed) const {
  const effort::Mechanism<T> m = MechanismAt(T(0.0));
  return hand_wheel_speed * m.travel_per_radian * m.column_ratio;
}

namespace {

// The axle between two steer angles, through poses at even steps of the rack.
std::optional<SteerMap> MapBetween(const Chain<double>& chain, double least, double most) {
  const auto from = chain.AtSteer(least), to = chain.AtSteer(most);
  if (!from || !to) return std::nullopt;
  std::vector<LoadedAxle<double>> axle;
  for (const double travel : EvenGrid(from->travel, to->travel, SteerMap::kPoses)) {
    const auto posed = chain.PoseAt(travel);
    if (!posed || (!axle.empty() && !(posed->axle.steer > axle.back().steer))) return std::nullopt;
    axle.push_back(posed->axle);
  }
  // Such a map is at its worst between the outer poses: there it is held against one more.
  const SteerMap map(axle);
  for (const auto& [outer, inner] : {std::pair{axle[0], axle[1]}, {axle.back(), axle.end()[-2]}}) {
    constexpr double kBetween = 0.4;
    const auto solved = chain.PoseAt(outer.travel + kBetween * (inner.travel - outer.travel));
    const auto misses = solved ? map.Misses(solved->axle) : std::nullopt;
    if (!misses || *misses > kMapMisses) return std::nullopt;
  }
  return map;
}

}  // namespace

std::optional<SteerMap> MapBends(Chain<double>& chain, const std::vector<double>& ay,
                                 std::span<const double> speeds) {
  double least = HUGE_VAL, most = -HUGE_VAL;
  for (const double a : ay) {
    for (const double speed : speeds) {
      const auto steer = chain.SteerAt(speed, a);
      if (!steer) continue;
      least = std::min(least, *steer);
      most = std::max(most, *steer);
    }
  }
  return most > least ? MapBetween(chain, least, most) : std::nullopt;
}

Said<LookedUp> TurnWith(const Chain<double>& chain, const hydraulics::Characteristic& oil,
                        const LoadedAxle<double>& axle, effort::Direction side) {
  const auto task = chain.TaskOf(axle, side);
  if (!task) return task.why();
  if (!IsPositive(task->travel_per_radian)) return Describe(hydraulics::Problem::kCylinder);
  const auto point = oil.UnderForce(task->bare.rack_force, task->travel_per_radian);
  const auto hand = effort::TorqueUnder<double>(task->load, task->mechanism, point.assist);
  if (!hand) return Describe(hand.why());
  return LookedUp{hand->total * chain.Sense(), point.doubts};
}

template class Assist<double>;
template class Assist<Jet>;
template class Chain<double>;
template class Chain<Jet>;

}  // namespace steerbench
