#include "engine/evaluate/rack_limits.h"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <initializer_list>
#include <limits>

#include "engine/gear/teeth.h"
#include "engine/gear/threads.h"
#include "engine/limits/margin.h"

namespace steerbench {
namespace {

constexpr double kSlopeStep = 1e-6;  // [m] for the slope of a crossing
constexpr std::uintmax_t kMostTries = 60;
constexpr int kRootBits = 48;
// How far short of a dead centre its derivatives are taken, as a share of the travel.
constexpr double kFoldShare = 1e-3;

// Whether any holds; all are looked at, in order, so that everything missing is noted at once.
bool AnyOf(std::initializer_list<bool> all) {
  return std::ranges::any_of(all, [](bool one) { return one; });
}

template <class T>
class LimitFinder {
 public:
  // `found` holds the limits without derivatives when T carries them, else nothing.
  LimitFinder(const Fitted<T>& fitted, const Front<T>& front,
              const std::optional<HandToRack<T>>& hand, Way way, const TravelEnds<double>* found)
      : fitted_(fitted), front_(front), hand_(hand), way_(way), found_(found) {
    if constexpr (std::same_as<T, double>) MakeRuns();
  }

  [[nodiscard]] bool TooFar() const { return found_ ? found_->wheel_travel_too_far : too_far_; }

  RackLimit<T> Find(RackEnd end) const {
    RackLimit<T> limit;
    limit.end = end;
    switch (end) {
      case RackEnd::kHousingStop:
        HousingStop(limit);
        break;
      case RackEnd::kLastTooth:
        LastTooth(limit);
        break;
      case RackEnd::kInnerJoint:
        InnerJoint(limit);
        break;
      case RackEnd::kOuterJoint:
        OuterJoint(limit);
        break;
      case RackEnd::kDeadCentre:
        DeadCentre(limit);
        break;
      case RackEnd::kTyreTouch:
        TyreTouches(limit);
        break;
      case RackEnd::kTyreObstacle:
        Obstacles(limit);
        break;
      case RackEnd::kColumnCoil:
        ColumnCoil(limit);
        break;
      case RackEnd::kRodArmAngle:
        RodArm(limit);
        break;
    }
    return limit;
  }

 private:
  void MakeRuns() {
    if (front_.level == Level::kUnknown) return;
    std::vector<double> heights{0.0};
    if (front_.level == Level::kPoints) {
      if (fitted_.car.front.jounce) heights.push_back(*fitted_.car.front.jounce);
      if (fitted_.car.front.rebound) heights.push_back(-*fitted_.car.front.rebound);
    }
    for (const Side side : kSides) {
      for (const double h : heights) {
        runs_[Index(side)].push_back(
            RunOf(front_, side, WaySign(way_) * kFarthestTravel, kSearchSteps, h));
        too_far_ |= h != 0.0 && runs_[Index(side)].back().travel.empty();
      }
    }
  }

  bool Lacks(RackLimit<T>& limit, bool known, std::string_view path) const {
    if (!known) limit.missing.push_back(path);
    return !known;
  }

  void HousingStop(RackLimit<T>& limit) const {
    const auto& rack = fitted_.rack;
    if (Lacks(limit, rack.has_value(), "setup.rack")) return;
    if (fitted_.adjust.stops == Stops::kRemoved) {
      limit.absent = true;
      return;
    }
    const auto& own = way_ == Way::kLeft ? rack->travel_left : rack->travel_right;
    const auto& other = way_ == Way::kLeft ? rack->travel_right : rack->travel_left;
    if (!own && Lacks(limit, rack->travel.has_value(), "rack.travel")) return;
    T travel = own ? *own : other ? T(*rack->travel - *other) : T(*rack->travel / 2.0);
    if (fitted_.spacer) {
      const auto& spacer = *fitted_.spacer;
      bool known = !Lacks(limit, rack->stop_face.has_value(), "rack.stop_face");
      known &= !Lacks(limit, spacer.thickness.has_value(), "spacer.thickness");
      const bool joint = rack->stop_face == StopFace::kInnerJoint;
      known &=
          !(joint && Lacks(limit, spacer.strikes_housing.has_value(), "spacer.strikes_housing"));
      if (!known) return;
      const gear::Striker striker = !joint                    ? gear::Striker::kRack
                                    : *spacer.strikes_housing ? gear::Striker::kSpacer
                                                              : gear::Striker::kInnerJoint;
      travel += gear::SpacerTravelGain<T>(*spacer.thickness, striker);
    }
    limit.travel = travel;
  }

  void LastTooth(RackLimit<T>& limit) const {
    const auto& rack = fitted_.rack;
    if (Lacks(limit, rack.has_value(), "setup.rack")) return;
    bool known = !Lacks(limit, rack->toothed_length.has_value(), "rack.toothed_length");
    known &= !Lacks(limit, rack->tooth_offset.has_value(), "rack.tooth_offset");
    known &= !Lacks(limit, rack->tooth_contact.has_value(), "rack.tooth_contact");
    if (!known) return;
    const T reserve = fitted_.limits.tooth_reserve.value_or(T(limits::kLeastToothReserve));
    const auto each = gear::ToothTravel<T>(
        {*rack->toothed_length, *rack->tooth_offset, *rack->tooth_contact, reserve});
    limit.travel = way_ == Way::kLeft ? each.left : each.right;
  }

  bool LacksFront(RackLimit<T>& limit, const Missing& missing) const {
    if (front_.level != Level::kUnknown) return false;
    Append(limit.missing, missing);
    return true;
  }

  // As LacksFront, and turn-plate readings know nothing of rods and joints.
  bool LacksRods(RackLimit<T>& limit) const {
    if (LacksFront(limit, SpaceLacks(front_))) return true;
    return Lacks(limit, front_.level != Level::kTurnPlate, "car.front.left");
  }

  // Which runs of which wheel a limit is looked for on.
  struct Where {
    std::optional<Side> wheel;  // unset: both
    bool any_height = true;     // else at design height only
  };

  // Searches the travel at which `left`, what is left of something in its own unit, falls below
  // zero, over the runs asked for; the nearest counts. With derivatives: moves the limit found by
  // what is left there over its slope. True when the limit is (now) this one.
  template <class Left>
  bool Search(RackLimit<T>& limit, const Left& left, const Where& where = {}) const {
    if constexpr (std::same_as<T, double>) {
      bool taken = false;
      for (const Side side : kSides) {
        if (where.wheel && *where.wheel != side) continue;
        for (const Run& run : runs_[Index(side)]) {
          if (where.any_height || run.jounce == 0.0) taken |= SearchRun(limit, left, side, run);
        }
      }
      return taken;
    } else {
      return Lift(limit, left, where);
    }
  }

  template <class Left>
  bool SearchRun(RackLimit<double>& limit, const Left& left, Side side, const Run& run) const {
    double before = 0.0;
    for (std::size_t k = 0; k < run.travel.size(); ++k) {
      const std::optional<double> now = left(run.seen[k], side);
      if (!now) return false;
      if (*now < 0.0) {
        const double root = k == 0 ? 0.0 : Root(left, side, run, k, before, *now);
        return Take(limit, root, side, run, [&](double s) { return LeftAt(left, side, run, s); });
      }
      before = *now;
    }
    return false;
  }

  template <class Left>
  std::optional<double> LeftAt(const Left& left, Side side, const Run& run, double s) const {
    const auto seen = SeeWheel<double>(front_, side, s, run.jounce, NearestPose(run, s));
    return seen ? left(*seen, side) : std::nullopt;
  }

  template <class Left>
  double Root(const Left& left, Side side, const Run& run, std::size_t k, double before,
              double now) const {
    // Over the distance from centre, not the signed travel: so both ways run the same arithmetic.
    const double sign = WaySign(way_);
    std::uintmax_t tries = kMostTries;
    const auto at = [&](double d) { return LeftAt(left, side, run, sign * d).value_or(now); };
    const auto bracket = boost::math::tools::toms748_solve(
        at, sign * run.travel[k - 1], sign * run.travel[k], before, now,
        boost::math::tools::eps_tolerance<double>(kRootBits), tries);
    return sign * 0.5 * (bracket.first + bracket.second);
  }

  // Keeps the nearer limit; true when this is it.
  template <class At>
  bool Take(RackLimit<double>& limit, double travel, Side side, const Run& run,
            const At& at) const {
    const double distance = travel * WaySign(way_);
    if (limit.travel && *limit.travel <= distance) return false;
    limit.travel = distance;
    limit.wheel = side;
    limit.jounce = run.jounce;
    const auto before = at(travel - kSlopeStep);
    const auto behind = at(travel + kSlopeStep);
    // Beyond the limit with the rack centred: the travel is none, whatever the inputs' last digit.
    limit.slope =
        travel != 0.0 && before && behind ? (*behind - *before) / (2.0 * kSlopeStep) : 0.0;
    limit.lifted_at = travel;
    limit.pose.reset();
    linkage::Solve solve;
    if (SeeWheel<double>(front_, side, travel, run.jounce, NearestPose(run, travel), &solve) &&
        front_.level == Level::kPoints) {
      limit.pose = solve.pose;
    }
    return true;
  }

  // A wheel travel looked at, as the car states it.
  T WheelTravel(double jounce) const {
    if (jounce > 0.0) return *fitted_.car.front.jounce;
    return jounce < 0.0 ? T(-*fitted_.car.front.rebound) : T(0.0);
  }

  // The limit as found, as far as it needs no derivatives; null when there is none.
  const RackLimit<double>* Found(RackEnd end) const {
    const auto found = std::ranges::find(found_->limit, end, &RackLimit<double>::end);
    return found == found_->limit.end() ? nullptr : &*found;
  }

  template <class Left>
  bool Lift(RackLimit<T>& limit, const Left& left, const Where& where) const {
    const RackLimit<double>* found = Found(limit.end);
    if (found == nullptr || !found->travel || (where.wheel && *where.wheel != *found->wheel)) {
      return false;
    }
    limit.wheel = found->wheel;
    limit.jounce = found->jounce;
    limit.travel = T(*found->travel);
    const auto seen = SeeWheel<T>(front_, *found->wheel, T(found->lifted_at),
                                  WheelTravel(found->jounce), found->pose);
    const auto here = seen ? left(*seen, *found->wheel) : std::nullopt;
    // Only the derivatives of what is left count: its value is zero, or that short of a fold.
    if (here && found->slope != 0.0) {
      *limit.travel -= (*here - Value(*here)) / found->slope * WaySign(way_);
    }
    return true;
  }

  // Without the wheel travel a limit is known at design height only; it may come sooner.
  void LacksHeights(RackLimit<T>& limit) const {
    if (front_.level != Level::kPoints) return;
    Lacks(limit, fitted_.car.front.jounce.has_value(), "car.front.jounce");
    Lacks(limit, fitted_.car.front.rebound.has_value(), "car.front.rebound");
    if (TooFar())
      limit.missing.insert(limit.missing.end(), {"car.front.jounce", "car.front.rebound"});
  }

  void OutOfSight(RackLimit<T>& limit) const {
    limit.out_of_sight = !limit.travel && limit.missing.empty();
  }

  void InnerJoint(RackLimit<T>& limit) const {
    if (AnyOf({LacksRods(limit), Lacks(limit, fitted_.rack && fitted_.rack->inner_joint_limit,
                                       fitted_.rack ? "rack.inner_joint_limit" : "setup.rack")})) {
      return;
    }
    const T most = *fitted_.rack->inner_joint_limit;
    Search(limit, [most](const SeenWheel<T>& w, Side) -> std::optional<T> {
      return T(most - *w.sample.inner_tilt);
    });
    LacksHeights(limit);
    OutOfSight(limit);
  }

  void OuterJoint(RackLimit<T>& limit) const {
    if (AnyOf({LacksFront(limit, SpaceLacks(front_)),
               Lacks(limit, fitted_.tie_rod && fitted_.tie_rod->outer_joint_limit,
                     fitted_.tie_rod ? "tie_rod.outer_joint_limit" : "setup.tie_rod"),
               Lacks(limit, front_.level == Level::kPoints, "car.front.left")})) {
      return;
    }
    if (Lacks(limit, front_.corner[0].stud && front_.corner[1].stud,
              fitted_.arms ? "arms.stud" : "car.front.left.outer_joint_stud")) {
      return;
    }
    const T most = *fitted_.tie_rod->outer_joint_limit;
    Search(limit, [most](const SeenWheel<T>& w, Side) -> std::optional<T> {
      return T(most - *w.sample.outer_tilt);
    });
    LacksHeights(limit);
    OutOfSight(limit);
  }

  void RodArm(RackLimit<T>& limit) const {
    if (LacksRods(limit)) return;
    const T least = fitted_.limits.rod_arm_angle.value_or(T(limits::kLeastRodArmAngle));
    Search(limit, [least](const SeenWheel<T>& w, Side) -> std::optional<T> {
      const T& angle = *w.sample.rod_arm_angle;
      return T((Value(angle) < M_PI / 2.0 ? angle : T(M_PI - angle)) - least);
    });
    LacksHeights(limit);
    OutOfSight(limit);
  }

  void DeadCentre(RackLimit<T>& limit) const {
    if (LacksRods(limit)) return;
    if (front_.level == Level::kPlanView) {
      PlanDeadCentre(limit);
    } else {
      SpatialDeadCentre(limit);
    }
    LacksHeights(limit);
    OutOfSight(limit);
  }

  void PlanDeadCentre(RackLimit<T>& limit) const {
    for (const Side side : kSides) {
      const auto dead = linkage::DeadCentreTravel<T>(front_.plan[Index(side)]);
      if (!dead) continue;
      const bool outboard = (side == Side::kLeft) == (way_ == Way::kLeft);
      const T travel = outboard ? dead->outboard : T(-dead->inboard);
      if (Value(travel) > kFarthestTravel) continue;
      if (limit.travel && Value(*limit.travel) <= Value(travel)) continue;
      limit.travel = travel;
      limit.wheel = side;
    }
  }

  // Where the branch ends. There the pose has no derivatives of its own, but the squared sine of
  // the rod-arm angle falls to zero in proportion to the travel left, so its derivatives a little
  // way before, over its slope, are those of the end.
  void SpatialDeadCentre(RackLimit<T>& limit) const {
    using std::sin;
    const auto left = [](const SeenWheel<T>& w, Side) -> std::optional<T> {
      const T sine = sin(*w.sample.rod_arm_angle);
      return T(sine * sine);
    };
    if constexpr (std::same_as<T, double>) {
      for (const Side side : kSides) {
        for (const Run& run : runs_[Index(side)]) {
          if (!run.dead_centre) continue;
          const double shy = *run.dead_centre * (1.0 - kFoldShare);
          if (!Take(limit, shy, side, run, [&](double s) { return LeftAt(left, side, run, s); })) {
            continue;
          }
          limit.travel = *run.dead_centre * WaySign(way_);
        }
      }
    } else {
      Lift(limit, left, {});
    }
  }

  // Measured steer angle of one wheel at which its tyre touches, in this direction of turn.
  const std::optional<T>& TouchAngle(Side wheel, bool turned_left) const {
    const TyreTouch<T>& touch = fitted_.car.front.tyre_touch;
    if (wheel == Side::kLeft) return turned_left ? touch.left_wheel_left : touch.left_wheel_right;
    return turned_left ? touch.right_wheel_left : touch.right_wheel_right;
  }

  void TyreTouches(RackLimit<T>& limit) const {
    const TyreTouch<T>& t = fitted_.car.front.tyre_touch;
    limit.absent =
        !t.left_wheel_left && !t.left_wheel_right && !t.right_wheel_left && !t.right_wheel_right;
    if (limit.absent || LacksFront(limit, front_.missing)) return;
    // The nearer of what is left to touching in a left and in a right turn.
    const auto left = [this](const SeenWheel<T>& w, Side side) -> std::optional<T> {
      std::optional<T> least;
      for (const bool to_left : {true, false}) {
        const auto& angle = TouchAngle(side, to_left);
        if (!angle) continue;
        const T rest = *angle - (to_left ? 1.0 : -1.0) * w.sample.steer;
        if (!least || Value(rest) < Value(*least)) least = rest;
      }
      return least;
    };
    Search(limit, left, {std::nullopt, false});
    OutOfSight(limit);
  }

  // Distance of a point to the tyre, taken as a square-shouldered cylinder, which errs on the safe
  // side at the shoulders.
  static T TyreDistance(const linkage::WheelState<T>& s, const Vec3<T>& point, const T& radius,
                        const T& width) {
    using std::abs;
    using std::sqrt;
    const Vec3<T> from = point - s.centre;
    const T axial = from.dot(s.spin_axis);
    const T side = abs(axial) - width / 2.0;
    const T tread = sqrt(from.squaredNorm() - axial * axial) - radius;
    if (Value(side) > 0.0 && Value(tread) > 0.0) return sqrt(side * side + tread * tread);
    return Value(side) > Value(tread) ? side : tread;
  }

  void Obstacles(RackLimit<T>& limit) const {
    const FrontAxle<T>& axle = fitted_.car.front;
    limit.absent = axle.obstacle.empty();
    if (limit.absent || LacksFront(limit, SpaceLacks(front_))) return;
    if (AnyOf({Lacks(limit, front_.level == Level::kPoints, "car.front.left"),
               Lacks(limit, axle.tyre_radius.has_value(), "car.front.tyre_radius"),
               Lacks(limit, axle.tyre_width.has_value(), "car.front.tyre_width")})) {
      return;
    }
    for (std::size_t i = 0; i < axle.obstacle.size(); ++i) {
      const Obstacle<T>& o = axle.obstacle[i];
      if (AnyOf({Lacks(limit, o.at.has_value(), "car.front.obstacle.at"),
                 Lacks(limit, o.gap.has_value(), "car.front.obstacle.gap")})) {
        continue;
      }
      if (found_ != nullptr && Found(limit.end)->obstacle != i) continue;
      // A point belongs to the wheel on its own side of the car.
      const Side own = Value((*o.at)[1]) >= 0.0 ? Side::kLeft : Side::kRight;
      const Vec3<T> point((*o.at)[0], (*o.at)[1] * SideSign(own), (*o.at)[2]);
      const auto left = [&](const SeenWheel<T>& w, Side) -> std::optional<T> {
        return T(TyreDistance(*w.state, point, *axle.tyre_radius, *axle.tyre_width) - *o.gap);
      };
      if (Search(limit, left, {own, true})) limit.obstacle = i;
    }
    LacksHeights(limit);
    OutOfSight(limit);
  }

  void ColumnCoil(RackLimit<T>& limit) const {
    limit.absent = !fitted_.car.column.coil_turns;
    if (limit.absent) return;
    if (Lacks(limit, hand_.has_value(), fitted_.rack ? "rack.turns" : "setup.rack")) return;
    // The coil turns with the hand wheel: the same half each way.
    const T wound = *fitted_.car.column.coil_turns / 2.0;
    limit.travel = WaySign(way_) * hand_->Travel(T(wound * (hand_->turn * WaySign(way_))));
  }

  const Fitted<T>& fitted_;
  const Front<T>& front_;
  const std::optional<HandToRack<T>>& hand_;
  Way way_;
  const TravelEnds<double>* found_;
  std::array<std::vector<Run>, 2> runs_;
  bool too_far_ = false;  // a wheel travel that the linkage does not reach
};

// Nearest first, unknown ones last. With derivatives: in the order found without them, for the
// last digit may differ.
template <class T>
void Sort(std::vector<RackLimit<T>>& limits, const TravelEnds<double>* found) {
  const auto rank = [found](const RackLimit<T>& l) {
    if (found == nullptr) {
      return l.travel ? Value(*l.travel) : std::numeric_limits<double>::infinity();
    }
    const auto at = std::ranges::find(found->limit, l.end, &RackLimit<double>::end);
    return static_cast<double>(at - found->limit.begin());
  };
  std::ranges::stable_sort(limits, {}, rank);
}

template <class T>
TravelEnds<T> Ends(const Fitted<T>& fitted, const Front<T>& front,
                   const std::optional<HandToRack<T>>& hand, Way way,
                   const TravelEnds<double>* found) {
  const LimitFinder<T> finder(fitted, front, hand, way, found);
  TravelEnds<T> ends;
  for (const RackEnd end : kAllRackEnds) ends.limit.push_back(finder.Find(end));
  const RackLimit<T>& stop = ends.limit.front();
  ends.stop = stop.travel;
  ends.stop_state = stop.travel   ? StopState::kKnown
                    : stop.absent ? StopState::kRemoved
                                  : StopState::kUnknown;
  ends.wheel_travel_too_far = finder.TooFar();
  Sort(ends.limit, found);
  for (std::size_t i = 0; i < ends.limit.size() && ends.limit[i].travel; ++i) {
    if (!EndsTravel(ends.limit[i].end)) continue;
    ends.binding = i;
    break;
  }
  return ends;
}

}  // namespace

TravelEnds<double> FindTravelEnds(const Fitted<double>& fitted, const Front<double>& front,
                                  const std::optional<HandToRack<double>>& hand, Way way) {
  return Ends<double>(fitted, front, hand, way, nullptr);
}

TravelEnds<Jet> LiftTravelEnds(const Fitted<Jet>& fitted, const Front<Jet>& front,
                               const std::optional<HandToRack<Jet>>& hand, Way way,
                               const TravelEnds<double>& found) {
  return Ends<Jet>(fitted, front, hand, way, &found);
}

}  // namespace steerbench
