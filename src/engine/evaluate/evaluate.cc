#include "engine/evaluate/evaluate.h"

#include <algorithm>
#include <cmath>

#include "engine/evaluate/belt_drive.h"
#include "engine/evaluate/oil.h"
#include "engine/evaluate/plate_check.h"
#include "engine/evaluate/weigh.h"
#include "engine/gear/column.h"
#include "engine/gear/threads.h"
#include "engine/limits/margin.h"
#include "engine/linkage/axle.h"
#include "engine/turning/ackermann.h"
#include "engine/turning/turn_circle.h"

namespace steerbench {
namespace {

// Builds an Evaluation step by step; each step fills the results that it can.
template <class T>
class Evaluator {
 public:
  // `found` is what was found without derivatives when T carries them, else null.
  Evaluator(const Fitted<T>& fitted, const Evaluation<double>* found, Solved& solved)
      : f_(fitted),
        found_(found),
        solved_(solved),
        front_(AssembleFront(fitted, &solved.poses)),
        ratio_(RatioOf(fitted, ratio_missing_)),
        rest_(WheelsAt(T(0.0))) {
    out_.level = front_.level;
    out_.assumed = front_.assumed;
    out_.trouble = front_.trouble;
  }

  Evaluation<T> Run() {
    Column();
    for (const Way way : kWays) {
      if constexpr (std::same_as<T, double>) {
        out_.ends[Index(way)] = FindTravelEnds(f_, front_, hand_, way);
      } else {
        out_.ends[Index(way)] = LiftTravelEnds(f_, front_, hand_, way, found_->ends[Index(way)]);
      }
      AddEndMargins(way);
    }
    Assume();
    Turns();
    Locks();
    Standing();
    Rods();
    Pump();
    WithinTravel();
    AddPlateCheck<T>(f_, found_, out_);
    Weigh<T>(f_, front_, hand_, hand_missing_, found_, &solved_.roots, out_);
    AddBelt<T>(f_, found_, out_);
    return std::move(out_);
  }

 private:
  void Set(Output id, T value) { out_.result[static_cast<std::size_t>(id)].value = value; }
  void Lack(std::initializer_list<Output> ids, const Missing& missing) {
    for (const Output id : ids) out_.result[static_cast<std::size_t>(id)].missing = missing;
  }

  // Travel that the rack really has one way, or what is needed to know it. An unknown stop could
  // bind before anything known, so then the travel is unknown too; without a stop, so could any
  // other unknown end. Dead centre is no lock: the wheels have no angle to speak of there.
  std::optional<T> LockTravel(Way way, Missing* missing = nullptr) const {
    const TravelEnds<T>& ends = out_.ends[Index(way)];
    Missing lacks;
    for (const RackLimit<T>& l : ends.limit) {
      const bool counts = l.end == RackEnd::kHousingStop ||
                          (ends.stop_state == StopState::kRemoved && EndsTravel(l.end));
      if (counts) lacks.insert(lacks.end(), l.missing.begin(), l.missing.end());
    }
    if (missing) *missing = lacks;
    if (!lacks.empty() || !ends.binding) return std::nullopt;
    const RackLimit<T>& binding = ends.limit[*ends.binding];
    if (binding.end == RackEnd::kDeadCentre) return std::nullopt;
    return binding.travel;
  }

  // Where a hand that turns on is stopped: teeth that run out and a coil that breaks do not stop
  // it.
  std::optional<T> StopTravel(Way way) const {
    const std::optional<T> lock = LockTravel(way);
    if (!lock) return std::nullopt;
    for (const RackLimit<T>& l : out_.ends[Index(way)].limit) {
      using enum RackEnd;
      const bool stops =
          EndsTravel(l.end) && l.end != kLastTooth && l.end != kColumnCoil && l.end != kDeadCentre;
      if (stops && l.travel) return l.travel;
    }
    return lock;
  }

  // Where the travel is meant to end: the stop, or without one the first thing that the rack meets.
  std::optional<T> MeantEnd(Way way, Missing& missing) const {
    const TravelEnds<T>& ends = out_.ends[Index(way)];
    if (ends.stop_state == StopState::kKnown) return ends.stop;
    if (ends.stop_state == StopState::kRemoved && ends.binding) {
      return ends.limit[*ends.binding].travel;
    }
    (void)LockTravel(way, &missing);
    return std::nullopt;
  }

  // What limits wait for that might end the travel sooner than those known.
  Missing UnknownEnds(Way way) const {
    Missing missing;
    for (const RackLimit<T>& l : out_.ends[Index(way)].limit) {
      if (EndsTravel(l.end)) Append(missing, l.missing);
    }
    return missing;
  }

  // How much later than the meant end each limit comes. Without a stop, the first of them is what
  // the rack runs into, and the others follow it.
  void AddEndMargins(Way way) {
    const TravelEnds<T>& ends = out_.ends[Index(way)];
    std::vector<Margin<T>>& margins = out_.end_margin[Index(way)];
    Missing travel_missing;
    const std::optional<T> end = MeantEnd(way, travel_missing);
    for (const RackLimit<T>& limit : ends.limit) {
      Margin<T> m;
      m.absent = limit.absent;
      m.out_of_sight = limit.out_of_sight;
      m.missing = limit.missing.empty() && !end ? travel_missing : limit.missing;
      if (limit.travel && end) m.value = *limit.travel - *end;
      margins.push_back(m);
    }
  }

  void Column() {
    const auto& joints = f_.car.column.joint;
    AddColumnCheck(joints);
    if (rest_) out_.steers_to_own_side = Value(rest_->left.steer_per_travel) > 0.0;
    if (!rest_ && !joints.empty()) Note(out_.assumed, Assumption::kSteersToOwnSide);
    hand_ = HandToRackOf(f_, out_.steers_to_own_side.value_or(true), hand_missing_);
    const std::initializer_list<Output> outputs{Output::kColumnUnevenness, Output::kColumnBestPhase,
                                                Output::kColumnBestUnevenness};
    if (joints.empty()) return Lack(outputs, {"car.column.joint"});
    if (!hand_) return Lack(outputs, hand_missing_);
    Set(Output::kColumnUnevenness, gear::FindUnevenness(hand_->joints).half_range);
    EvenedOut(hand_->joints);
  }

  // What turning the lowest joint's fork on its shaft could still do.
  void EvenedOut(const std::vector<gear::CardanJoint<T>>& joints) {
    if (joints.size() < 2) return;
    const std::vector<gear::CardanJoint<T>> above(joints.begin(), joints.end() - 1);
    const auto best = gear::CancelWithNextJoint(above, joints.back().bend);
    if (!best) return;
    Set(Output::kColumnBestPhase, best->phase);
    Set(Output::kColumnBestUnevenness, best->residual.half_range);
  }

  void Assume() {
    const auto note = [this](Assumption a, bool when) {
      if (when) out_.assumed.push_back(a);
    };
    note(Assumption::kStopsKept, f_.rack && !f_.adjust.stops);
    note(Assumption::kDiametersAtCords, f_.pulley && !f_.car.drive.line_differential);
    note(Assumption::kNoColumnJoints, ratio_ && f_.car.column.joint.empty());
    const auto& table = ratio_ ? ratio_->angle_per_travel : std::nullopt;
    for (const Way way : kWays) {
      const TravelEnds<T>& ends = out_.ends[Index(way)];
      if (ends.wheel_travel_too_far) Note(out_.trouble, Trouble::kWheelTravelTooFar);
      if (ends.binding && ends.limit[*ends.binding].end == RackEnd::kDeadCentre) {
        Note(out_.trouble,
             way == Way::kLeft ? Trouble::kDeadCentreLeft : Trouble::kDeadCentreRight);
      }
      const auto travel = LockTravel(way);
      const bool past = table && travel && Value(*travel) > Value(table->x.back());
      if (past) Note(out_.assumed, Assumption::kRatioHeldPastTable);
    }
  }

  void AddColumnCheck(const std::vector<ColumnJoint<T>>& joints) {
    Margin<T>& m = CheckOf(Check::kColumnJoint);
    m.absent = joints.empty();
    const T most = f_.limits.column_joint.value_or(T(limits::kMostColumnBend));
    for (const ColumnJoint<T>& j : joints) {
      if (!j.angle) {
        m.missing = {"car.column.joint.angle"};
        m.value.reset();
        return;
      }
      m.limit = most;
      m.at_least = false;
      const T left = most - *j.angle;
      if (!m.value || Value(left) < Value(*m.value)) m.value = left;
    }
  }

  Margin<T>& CheckOf(Check id) { return out_.check[static_cast<std::size_t>(id)]; }

  void Turns() {
    using enum Output;
    if (ratio_) {
      Set(kTravelPerTurn, gear::TravelPerAngle(*ratio_, T(0.0)));
    } else {
      Lack({kTravelPerTurn}, ratio_missing_);
    }
    constexpr std::array<Output, 2> kTravel{kTravelLeft, kTravelRight};
    constexpr std::array<Output, 2> kTurn{kTurnsLeft, kTurnsRight};
    std::array<std::optional<T>, 2> turned;
    Missing all;
    for (const Way way : kWays) {
      const std::size_t i = Index(way);
      Missing missing;
      const auto travel = LockTravel(way, &missing);
      if (travel) {
        Set(kTravel[i], *travel);
        Lack({kTravel[i]}, UnknownEnds(way));
      } else {
        Lack({kTravel[i]}, missing);
      }
      Append(missing, hand_missing_);
      if (travel && hand_) {
        const auto turns = [&](const T& to) {
          using std::abs;
          return T(abs(hand_->HandAngle(T(to * WaySign(way)))));
        };
        Set(kTurn[i], turns(*travel));
        turned[i] = turns(*StopTravel(way));
      } else {
        Lack({kTurn[i]}, missing);
        all = missing;
      }
    }
    if (turned[0] && turned[1]) {
      Set(kTurns, *turned[0] + *turned[1]);
    } else {
      Lack({kTurns}, all);
    }
  }

  // Both wheels at one rack travel, at design height.
  struct Wheels {
    WheelSample<T> left, right;
    std::optional<linkage::WheelState<T>> left_state, right_state;
  };
  std::optional<Wheels> WheelsAt(const T& travel) const {
    const auto left = SeeWheel<T>(front_, Side::kLeft, travel, T(0.0));
    const auto right = SeeWheel<T>(front_, Side::kRight, travel, T(0.0));
    if (!left || !right) return std::nullopt;
    return Wheels{left->sample, right->sample, left->state, right->state};
  }

  std::optional<T> OverallRatio(const Wheels& w, const T& travel) const {
    if (!hand_) return std::nullopt;
    const T steer_per_travel = (w.left.steer_per_travel + w.right.steer_per_travel) / 2.0;
    const T column = hand_->HandWheelAt(travel).ratio;
    using std::abs;
    return abs(gear::OverallRatio(gear::TravelPerAngle(*ratio_, travel), steer_per_travel, column));
  }

  // Where each result of a lock goes, by the direction of the turn.
  struct LockOutputs {
    Output ratio, inner_wheel, outer_wheel, kerb, wall, off_tracking, inner, cotangent, error, slip;
  };
  static constexpr LockOutputs kLeftTurn{Output::kRatioLockLeft,      Output::kInnerWheelLeft,
                                         Output::kOuterWheelLeft,     Output::kKerbCircleLeft,
                                         Output::kWallCircleLeft,     Output::kOffTrackingLeft,
                                         Output::kAckermannInnerLeft, Output::kAckermannCotLeft,
                                         Output::kSteeringErrorLeft,  Output::kForcedSlipLeft};
  static constexpr LockOutputs kRightTurn{Output::kRatioLockRight,      Output::kInnerWheelRight,
                                          Output::kOuterWheelRight,     Output::kKerbCircleRight,
                                          Output::kWallCircleRight,     Output::kOffTrackingRight,
                                          Output::kAckermannInnerRight, Output::kAckermannCotRight,
                                          Output::kSteeringErrorRight,  Output::kForcedSlipRight};

  // What wheel angles of any level wait for.
  Missing LinkageMissing() const {
    return front_.level == Level::kUnknown ? front_.missing : Missing{};
  }

  void Locks() {
    Missing rest_missing = LinkageMissing();
    Append(rest_missing, hand_missing_);
    const auto ratio = rest_ ? OverallRatio(*rest_, T(0.0)) : std::nullopt;
    if (ratio) {
      Set(Output::kRatioCentre, *ratio);
    } else {
      Lack({Output::kRatioCentre}, rest_missing);
    }
    // The rack steers to its own side only where the outer joints lie ahead of the axes.
    for (const Way way : kWays) Lock(way);
  }

  // Which turn the rack makes one way: by the wheels there, else by their rate on centre.
  bool TurnsLeft(Way way, const std::optional<Wheels>& wheels) const {
    if (wheels) return Value(wheels->left.steer) + Value(wheels->right.steer) > 0.0;
    return out_.steers_to_own_side.value_or(true) == (way == Way::kLeft);
  }

  void Lock(Way way) {
    Missing missing;
    const auto travel = LockTravel(way, &missing);
    Append(missing, LinkageMissing());
    const T signed_travel = travel.value_or(T(0.0)) * WaySign(way);
    const auto wheels = travel ? WheelsAt(signed_travel) : std::nullopt;
    const bool left_turn = TurnsLeft(way, wheels);
    const LockOutputs& out = left_turn ? kLeftTurn : kRightTurn;
    if (!wheels) {
      if (travel && front_.level == Level::kTurnPlate) missing.push_back("car.front.turn_plate");
      return Lack({out.ratio, out.inner_wheel, out.outer_wheel, out.kerb, out.wall,
                   out.off_tracking, out.inner, out.cotangent, out.error, out.slip},
                  missing);
    }
    Set(left_turn ? out.inner_wheel : out.outer_wheel, wheels->left.steer);
    Set(left_turn ? out.outer_wheel : out.inner_wheel, wheels->right.steer);
    if (const auto ratio = OverallRatio(*wheels, signed_travel)) {
      Set(out.ratio, *ratio);
    } else {
      Lack({out.ratio}, hand_missing_);
    }
    Ackermann(*wheels, out);
    Circle(*wheels, out);
  }

  // Distance of the steering axes at the ground, from the points or as measured.
  std::optional<T> AxisSpacing() const {
    if (f_.car.front.axis_spacing && front_.level != Level::kPoints) {
      return f_.car.front.axis_spacing;
    }
    if (!rest_ || !rest_->left_state || !rest_->right_state) return std::nullopt;
    return rest_->left_state->axis_ground.y() + rest_->right_state->axis_ground.y();
  }

  void Ackermann(const Wheels& wheels, const LockOutputs& out) {
    const auto spacing = AxisSpacing();
    Missing missing;
    if (!f_.car.wheelbase) missing.push_back("car.wheelbase");
    if (!spacing) missing.push_back("car.front.axis_spacing");
    if (!missing.empty()) return Lack({out.inner, out.cotangent, out.error}, missing);
    const turning::Layout<T> layout{*f_.car.wheelbase, *spacing};
    const turning::WheelAngles<T> angles{wheels.left.steer, wheels.right.steer};
    const auto put = [&](Output id, const std::optional<T>& value) {
      if (value) Set(id, *value);
    };
    using turning::AckermannBasis;
    put(out.inner, turning::AckermannShare(AckermannBasis::kSameInner, layout, angles));
    put(out.cotangent, turning::AckermannShare(AckermannBasis::kCotangents, layout, angles));
    put(out.error, turning::SteeringError(layout, angles));
  }

  std::optional<turning::SteeredAxle<T>> SteeredAxle(const Wheels& w, Missing& missing) const {
    if (w.left_state && w.right_state) {
      const Vec3<T>& l = w.left_state->contact;
      const Vec3<T>& r = w.right_state->contact;
      return turning::SteeredAxle<T>{{{l.x(), l.y()}, w.left.steer},
                                     {{r.x(), T(-r.y())}, w.right.steer}};
    }
    const auto& front = f_.car.front;
    if (!front.track) missing.push_back("car.front.track");
    if (!front.axis_spacing) missing.push_back("car.front.axis_spacing");
    if (!front.track || !front.axis_spacing) return std::nullopt;
    const T scrub = (*front.track - *front.axis_spacing) / 2.0;
    return turning::SwingAboutAxes<T>(*front.axis_spacing, scrub, {w.left.steer, w.right.steer});
  }

  void Circle(const Wheels& wheels, const LockOutputs& out) {
    Missing missing;
    const auto axle = SteeredAxle(wheels, missing);
    if (!f_.car.wheelbase) missing.push_back("car.wheelbase");
    if (!missing.empty()) return Lack({out.kerb, out.wall, out.off_tracking, out.slip}, missing);
    const auto turn = turning::FindTurn<T>(*f_.car.wheelbase, *axle);
    if (!turn) return;
    Set(out.off_tracking, turning::OffTracking<T>(*turn));
    using std::abs;
    const turning::WheelAngles<T> slip = turning::ForcedSlip<T>(*turn, *axle);
    Set(out.slip, abs(slip.left - slip.right));
    if (f_.car.front.tyre_width) {
      Set(out.kerb, 2.0 * turning::KerbRadius<T>(*turn, *axle, *f_.car.front.tyre_width));
    } else {
      Lack({out.kerb}, {"car.front.tyre_width"});
    }
    Missing body;
    if (!f_.car.body_width) body.push_back("car.body_width");
    if (!f_.car.front_overhang) body.push_back("car.front_overhang");
    if (!body.empty()) return Lack({out.wall}, body);
    Set(out.wall, 2.0 * turning::WallRadius<T>(*turn, *f_.car.body_width, *f_.car.front_overhang));
  }

  void Standing() {
    using enum Output;
    const auto& left = rest_ ? rest_->left_state : std::optional<linkage::WheelState<T>>{};
    const auto& right = rest_ ? rest_->right_state : left;
    if (!left || !right) {
      const Missing missing = SpaceLacks(front_);
      if (rest_) {
        Set(kToeLeft, -rest_->left.steer);
        Set(kToeRight, rest_->right.steer);
      } else {
        Lack({kToeLeft, kToeRight}, LinkageMissing());
      }
      return Lack({kCamberLeft, kCamberRight, kCasterLeft, kCasterRight, kInclinationLeft,
                   kInclinationRight, kScrubLeft, kScrubRight, kTrailLeft, kTrailRight,
                   kBumpSteerLeft, kBumpSteerRight, kRollSteer, kRollCentre},
                  missing);
    }
    Set(kToeLeft, -left->steer);
    Set(kToeRight, -right->steer);
    Set(kCamberLeft, left->camber);
    Set(kCamberRight, right->camber);
    Set(kCasterLeft, left->caster);
    Set(kCasterRight, right->caster);
    Set(kInclinationLeft, left->inclination);
    Set(kInclinationRight, right->inclination);
    Set(kScrubLeft, left->scrub_radius);
    Set(kScrubRight, right->scrub_radius);
    Set(kTrailLeft, left->mechanical_trail);
    Set(kTrailRight, right->mechanical_trail);
    const linkage::AxleState<T> axle = linkage::AxleOf<T>(*left, *right);
    Set(kBumpSteerLeft, axle.toe_per_jounce[0]);
    Set(kBumpSteerRight, axle.toe_per_jounce[1]);
    Set(kRollSteer, axle.steer_per_roll);
    if (axle.roll_centre) Set(kRollCentre, axle.roll_centre->height);
  }

  void Rods() {
    constexpr std::array<Output, 2> kLength{Output::kTieRodLeft, Output::kTieRodRight};
    constexpr std::array<Check, 2> kThread{Check::kOuterThreadLeft, Check::kOuterThreadRight};
    constexpr std::array<Check, 2> kShort{Check::kRodShortestLeft, Check::kRodShortestRight};
    constexpr std::array<Check, 2> kLong{Check::kRodLongestLeft, Check::kRodLongestRight};
    InnerThread();
    for (const Side side : kSides) {
      const std::size_t i = Index(side);
      const auto& length = front_.tie_rod_length[i];
      const Missing missing = SpaceLacks(front_);
      if (length) {
        Set(kLength[i], *length);
      } else {
        Lack({kLength[i]}, missing);
      }
      OuterThread(CheckOf(kThread[i]), length, missing);
      RodBound(CheckOf(kShort[i]), length, missing, &TieRod<T>::shortest, "tie_rod.shortest", 1.0);
      RodBound(CheckOf(kLong[i]), length, missing, &TieRod<T>::longest, "tie_rod.longest", -1.0);
    }
  }

  // Least thread engaged for a diameter; when it is the usual rule, a little more is wanted.
  void ThreadMargin(Margin<T>& m, const T& engaged, const T& diameter) const {
    const bool own = f_.limits.thread_engagement.has_value();
    const T least = f_.limits.thread_engagement.value_or(T(limits::kLeastThreadDiameters));
    m.limit = least * diameter;
    m.value = engaged - least * diameter;
    if (!own) {
      m.wanted = (limits::kWantedThreadDiameters - limits::kLeastThreadDiameters) * Value(diameter);
    }
  }

  void InnerThread() {
    Margin<T>& m = CheckOf(Check::kInnerThread);
    m.absent = !f_.rack || (!f_.spacer && !f_.rack->thread_engaged);
    if (m.absent) return;
    if (!f_.rack->thread_engaged) m.missing.push_back("rack.thread_engaged");
    if (!f_.rack->thread_diameter) m.missing.push_back("rack.thread_diameter");
    if (f_.spacer && !f_.spacer->thickness) m.missing.push_back("spacer.thickness");
    if (!m.missing.empty()) return;
    const T spacer = f_.spacer ? *f_.spacer->thickness : T(0.0);
    ThreadMargin(m, gear::InnerEngagement<T>(*f_.rack->thread_engaged, spacer),
                 *f_.rack->thread_diameter);
  }

  void OuterThread(Margin<T>& m, const std::optional<T>& length, const Missing& length_missing) {
    m.absent = !f_.tie_rod.has_value();
    if (m.absent) return;
    const TieRod<T>& rod = *f_.tie_rod;
    if (!rod.engaged_at_shortest) m.missing.push_back("tie_rod.engaged_at_shortest");
    if (!rod.shortest) m.missing.push_back("tie_rod.shortest");
    if (!rod.thread_diameter) m.missing.push_back("tie_rod.thread_diameter");
    if (!length) Append(m.missing, length_missing);
    if (!m.missing.empty()) return;
    // No more can be engaged than there is with the joint screwed fully on.
    const T reach = gear::OuterEngagement<T>(*rod.engaged_at_shortest, *rod.shortest, *length);
    const bool full = Value(*length) < Value(*rod.shortest);
    ThreadMargin(m, full ? *rod.engaged_at_shortest : reach, *rod.thread_diameter);
  }

  void RodBound(Margin<T>& m, const std::optional<T>& length, const Missing& length_missing,
                std::optional<T> TieRod<T>::*bound, std::string_view path, double sign) {
    m.absent = !f_.tie_rod.has_value();
    if (m.absent) return;
    const std::optional<T>& limit = (*f_.tie_rod).*bound;
    if (!limit) m.missing.push_back(path);
    if (!length) Append(m.missing, length_missing);
    m.limit = limit;
    m.at_least = sign > 0.0;
    if (limit && length) m.value = sign * (*length - *limit);
  }

  void Pump() {
    CheckOf(Check::kPumpTopSpeed).absent = CheckOf(Check::kPumpIdleSpeed).absent = !f_.pump;
    if (!f_.pump && !f_.pulley) return;  // an unassisted setup waits for nothing
    struct Row {
      Output id;
      const std::optional<T>& engine;
      std::string_view path;
    };
    const Engine<T>& e = f_.car.engine;
    for (const Row& row : {Row{Output::kPumpIdle, e.idle, "car.engine.idle"},
                           Row{Output::kPumpCruise, e.cruise, "car.engine.cruise"},
                           Row{Output::kPumpTop, e.top, "car.engine.top"}}) {
      Missing missing = PumpDriveLacks(f_);
      if (!row.engine) missing.push_back(row.path);
      if (missing.empty()) {
        Set(row.id, PumpSpeedOf<T>(f_, *row.engine));
      } else {
        Lack({row.id}, missing);
      }
    }
    PumpChecks();
  }

  void PumpChecks() {
    PumpCheck(Check::kPumpTopSpeed, Output::kPumpTop, &steerbench::Pump<T>::top_speed,
              "pump.top_speed", -1.0);
    PumpCheck(Check::kPumpIdleSpeed, Output::kPumpIdle, &steerbench::Pump<T>::full_flow_speed,
              "pump.full_flow_speed", 1.0);
  }

  void PumpCheck(Check id, Output speed, std::optional<T> steerbench::Pump<T>::*bound,
                 std::string_view path, double sign) {
    Margin<T>& m = CheckOf(id);
    m.absent = !f_.pump.has_value();
    if (m.absent) return;
    const std::optional<T>& limit = (*f_.pump).*bound;
    const Result<T>& result = out_.result[static_cast<std::size_t>(speed)];
    m.missing = result.missing;
    if (!limit) m.missing.push_back(path);
    m.limit = limit;
    m.at_least = sign > 0.0;
    if (limit && result.value) m.value = sign * (*result.value - *limit);
  }

  // Joint tilts and the rod-arm angle within the travel: looked at centred, at both ends and where
  // the search for the ends looked between, over the wheel travel stated.
  void WithinTravel() {
    Margin<T>& inner = CheckOf(Check::kInnerTilt);
    Margin<T>& outer = CheckOf(Check::kOuterTilt);
    Margin<T>& rod_arm = CheckOf(Check::kRodArm);
    inner.absent = !f_.rack || !f_.rack->inner_joint_limit;
    outer.absent = !f_.tie_rod || !f_.tie_rod->outer_joint_limit;
    rod_arm.absent = front_.level == Level::kTurnPlate;
    if (!inner.absent) inner.limit = *f_.rack->inner_joint_limit;
    if (!outer.absent) outer.limit = *f_.tie_rod->outer_joint_limit;
    inner.at_least = outer.at_least = false;
    rod_arm.limit = f_.limits.rod_arm_angle.value_or(T(limits::kLeastRodArmAngle));
    Missing missing;
    std::vector<T> travels{T(0.0)};
    for (const Way way : kWays) {
      const auto travel = LockTravel(way, &missing);
      if (travel) travels.push_back(*travel * WaySign(way));
    }
    const bool heights = front_.level != Level::kPoints ||
                         (f_.car.front.jounce.has_value() && f_.car.front.rebound.has_value());
    if (!f_.car.front.jounce && !heights) missing.push_back("car.front.jounce");
    if (!f_.car.front.rebound && !heights) missing.push_back("car.front.rebound");
    const Missing linkage = LinkageMissing();
    Append(missing, linkage);
    if (travels.size() < 3 || !heights || !linkage.empty()) {
      inner.missing = outer.missing = rod_arm.missing = missing;
      return;
    }
    std::size_t pose = 0;
    for (const T& travel : travels) LookAt(travel, inner, outer, rod_arm, pose);
    for (std::size_t i = 1; i < travels.size(); ++i) {
      const double end = Value(travels[i]);
      for (int k = 1; k <= kSearchSteps; ++k) {
        const double travel = std::copysign(kFarthestTravel, end) * k / kSearchSteps;
        if (std::abs(travel) >= std::abs(end)) break;
        LookAt(T(travel), inner, outer, rod_arm, pose);
      }
    }
    const Missing spatial{"car.front.left"};
    if (!inner.value) inner.missing = spatial;
    if (!outer.value)
      outer.missing = {
          front_.level == Level::kPoints
              ? std::string_view(f_.arms ? "arms.stud" : "car.front.left.outer_joint_stud")
              : spatial.front()};
  }

  void LookAt(const T& travel, Margin<T>& inner, Margin<T>& outer, Margin<T>& rod_arm,
              std::size_t& pose) {
    std::vector<T> heights{T(0.0)};
    if (front_.level == Level::kPoints) {
      heights.push_back(*f_.car.front.jounce);
      heights.push_back(-*f_.car.front.rebound);
    }
    for (const Side side : kSides) {
      for (const T& jounce : heights) {
        const std::size_t here = pose++;
        if (found_ && std::ranges::find(found_->worst_pose, here) == found_->worst_pose.end())
          continue;
        const auto w = SampleAt<T>(front_, side, travel, jounce);
        if (!w) continue;  // past dead centre: the travel's own limits say so
        if (inner.limit && w->inner_tilt) Keep(0, inner, *inner.limit - *w->inner_tilt, here);
        if (outer.limit && w->outer_tilt) Keep(1, outer, *outer.limit - *w->outer_tilt, here);
        if (!w->rod_arm_angle) continue;
        const T& angle = *w->rod_arm_angle;
        const T off_straight = Value(angle) < M_PI / 2.0 ? angle : T(M_PI - angle);
        Keep(2, rod_arm, off_straight - *rod_arm.limit, here);
      }
    }
  }

  // Keeps the least that is left; with derivatives, that of the pose found without them.
  void Keep(std::size_t check, Margin<T>& m, const T& left, std::size_t pose) {
    const bool worst =
        found_ ? found_->worst_pose[check] == pose : !m.value || Value(left) < Value(*m.value);
    if (!worst) return;
    m.value = left;
    out_.worst_pose[check] = pose;
  }

  const Fitted<T>& f_;
  const Evaluation<double>* found_;
  Solved& solved_;
  Front<T> front_;
  Missing ratio_missing_, hand_missing_;
  std::optional<gear::RackRatio<T>> ratio_;
  std::optional<Wheels> rest_;         // rack centred
  std::optional<HandToRack<T>> hand_;  // unset when the ratio or a column joint is not known
  Evaluation<T> out_;
};

}  // namespace

template <class T>
std::optional<gear::RackRatio<T>> RatioOf(const Fitted<T>& fitted, Missing& missing) {
  if (!fitted.rack) {
    missing.push_back("setup.rack");
    return std::nullopt;
  }
  const Rack<T>& rack = *fitted.rack;
  std::vector<gear::RatioAt<T>> rows;
  for (const RatioRow<T>& row : rack.ratio) {
    if (row.travel && row.travel_per_turn) rows.push_back({*row.travel, *row.travel_per_turn});
  }
  std::ranges::sort(rows, {}, [](const auto& row) { return Value(row.distance); });
  if (!rows.empty() && !gear::FindRowFault(rows)) return gear::TableRatio(rows);
  if (rack.travel_per_turn) return gear::ConstantRatio<T>(*rack.travel_per_turn);
  std::optional<T> travel = rack.travel;
  if (!travel && rack.travel_left && rack.travel_right) {
    travel = *rack.travel_left + *rack.travel_right;
  }
  if (rack.turns && travel) {
    return gear::ConstantRatio<T>(gear::MeasuredTravelPerAngle<T>(*travel, *rack.turns));
  }
  if (rack.pinion_module && rack.pinion_teeth && rack.rack_tooth_angle) {
    return gear::ConstantRatio<T>(gear::PinionTravelPerAngle<T>(
        *rack.pinion_module, *rack.pinion_teeth, *rack.rack_tooth_angle));
  }
  if (!rack.turns) missing.push_back("rack.turns");
  if (!travel) missing.push_back("rack.travel");
  return std::nullopt;
}

template <class T>
std::optional<HandToRack<T>> HandToRackOf(const Fitted<T>& fitted, bool own_side,
                                          Missing& missing) {
  const auto ratio = RatioOf(fitted, missing);
  std::vector<gear::CardanJoint<T>> joints;
  for (const ColumnJoint<T>& j : fitted.car.column.joint) {
    if (!j.angle) missing.push_back("car.column.joint.angle");
    if (!j.phase) missing.push_back("car.column.joint.phase");
    if (j.angle && j.phase) joints.push_back({*j.angle, *j.phase});
  }
  if (!missing.empty()) return std::nullopt;
  return HandToRack<T>{*ratio, std::move(joints), own_side ? 1.0 : -1.0};
}

Evaluation<double> Evaluate(const Fitted<double>& fitted) {
  Solved solved;
  return Evaluate(fitted, solved);
}

Evaluation<double> Evaluate(const Fitted<double>& fitted, Solved& solved) {
  return Evaluator<double>(fitted, nullptr, solved).Run();
}

Evaluation<Jet> Lift(const Fitted<Jet>& fitted, const Evaluation<double>& found, Solved& solved) {
  return Evaluator<Jet>(fitted, &found, solved).Run();
}

template std::optional<gear::RackRatio<double>> RatioOf<double>(const Fitted<double>&, Missing&);
template std::optional<gear::RackRatio<Jet>> RatioOf<Jet>(const Fitted<Jet>&, Missing&);
template std::optional<HandToRack<double>> HandToRackOf<double>(const Fitted<double>&, bool,
                                                                Missing&);
template std::optional<HandToRack<Jet>> HandToRackOf<Jet>(const Fitted<Jet>&, bool, Missing&);

}  // namespace steerbench
