#include "engine/evaluate/rack_limits.h"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <functional>

#include "engine/gear/teeth.h"
#include "engine/gear/threads.h"
#include "engine/limits/margin.h"

namespace steerbench {
namespace {

constexpr int kSteps = 24;           // poses of a run: fine enough to bracket every crossing
constexpr double kSlopeStep = 1e-6;  // [m] for the slope of a crossing
constexpr std::uintmax_t kMostTries = 60;

// Something of a wheel that must not fall below zero: distance to a limit, in its own unit.
template <class T>
using Reserve = std::function<std::optional<T>(const Run&, T)>;

// A crossing of one wheel on one run.
template <class T>
struct Crossing {
  T travel{};
  Side wheel = Side::kLeft;
  double jounce = 0.0;
  std::string_view what;
};

// The first travel of a run at which `plain` falls below zero; `lifted` gives its derivatives.
template <class T>
std::optional<T> FirstCrossing(const Run& run, const Reserve<double>& plain,
                               const Reserve<T>& lifted) {
  std::optional<double> before;
  double before_travel = 0.0;
  for (const double s : run.travel) {
    const std::optional<double> value = plain(run, s);
    if (!value) return std::nullopt;
    if (*value < 0.0) {
      if (!before) return T(0.0);  // beyond the limit with the rack centred
      std::uintmax_t tries = kMostTries;
      const auto at = [&](double x) { return plain(run, x).value_or(*value); };
      const auto bracket = boost::math::tools::toms748_solve(
          at, std::min(before_travel, s), std::max(before_travel, s),
          before_travel < s ? *before : *value, before_travel < s ? *value : *before,
          boost::math::tools::eps_tolerance<double>(48), tries);
      const double root = 0.5 * (bracket.first + bracket.second);
      const auto exact = lifted(run, T(root));
      const double inward = root > 0.0 ? root - kSlopeStep : root + kSlopeStep;
      const auto near = plain(run, inward);
      if (!exact || !near) return T(root);
      const double slope = (Value(*exact) - *near) / (root - inward);
      return slope == 0.0 ? T(root) : T(root - *exact / slope);
    }
    before = value;
    before_travel = s;
  }
  return std::nullopt;
}

template <class T>
class Finder {
 public:
  Finder(const Fitted<T>& fitted, const Front<T>& front,
         const std::optional<gear::RackRatio<T>>& ratio, Way way)
      : fitted_(fitted), front_(front), ratio_(ratio), way_(way) {
    if (front.level == Level::kUnknown) return;
    std::vector<double> heights{0.0};
    if (front.level == Level::kPoints) {
      if (fitted.car.front.jounce) heights.push_back(Value(*fitted.car.front.jounce));
      if (fitted.car.front.rebound) heights.push_back(-Value(*fitted.car.front.rebound));
    }
    for (const Side side : kSides) {
      for (const double h : heights) {
        runs_[Index(side)].push_back(RunOf(front, side, WaySign(way) * kFarthestTravel, kSteps, h));
      }
    }
  }

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
        Joint(limit, &WheelSample<double>::inner_tilt, &WheelSample<T>::inner_tilt,
              fitted_.rack ? fitted_.rack->inner_joint_limit : std::nullopt,
              fitted_.rack ? "rack.inner_joint_limit" : "setup.rack", "");
        break;
      case RackEnd::kOuterJoint:
        Joint(limit, &WheelSample<double>::outer_tilt, &WheelSample<T>::outer_tilt,
              fitted_.tie_rod ? fitted_.tie_rod->outer_joint_limit : std::nullopt,
              fitted_.tie_rod ? "tie_rod.outer_joint_limit" : "setup.tie_rod",
              fitted_.arms ? "arms.stud" : "car.front.left.outer_joint_stud");
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
    if (!own && Lacks(limit, rack->travel.has_value(), "rack.travel")) return;
    T travel = own ? *own : T(*rack->travel / 2.0);
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

  // The nearest crossing over both wheels and all wheel travels.
  template <class MakePlain, class MakeLifted>
  void Nearest(RackLimit<T>& limit, MakePlain plain, MakeLifted lifted) const {
    for (const Side side : kSides) {
      for (const Run& run : runs_[Index(side)]) {
        const auto s = FirstCrossing<T>(run, plain(side), lifted(side));
        if (!s) continue;
        Take(limit, *s * WaySign(way_), side, run.jounce);
      }
    }
    limit.out_of_sight = !limit.travel;
  }

  bool LacksFront(RackLimit<T>& limit) const {
    if (front_.level != Level::kUnknown) return false;
    limit.missing.insert(limit.missing.end(), front_.missing.begin(), front_.missing.end());
    return true;
  }

  // A quantity of the wheel sample that must stay below `most`.
  template <class MemberPlain, class MemberLifted>
  void Joint(RackLimit<T>& limit, MemberPlain plain, MemberLifted lifted,
             const std::optional<T>& most, std::string_view most_path,
             std::string_view stud_path) const {
    if (LacksFront(limit) | Lacks(limit, most.has_value(), most_path)) return;
    if (front_.level == Level::kTurnPlate) {
      limit.missing.push_back("car.front.suspension");
      return;
    }
    if (!stud_path.empty()) {
      const auto rest = SampleAt(front_, Side::kLeft, runs_[0].front(), 0.0);
      if (Lacks(limit, rest && ((*rest).*plain).has_value(), stud_path)) return;
    }
    const double value = Value(*most);
    Nearest(
        limit,
        [&](Side side) -> Reserve<double> {
          return [this, side, plain, value](const Run& run, double s) -> std::optional<double> {
            const auto w = SampleAt(front_, side, run, s);
            if (!w || !((*w).*plain)) return std::nullopt;
            return value - *((*w).*plain);
          };
        },
        [&](Side side) -> Reserve<T> {
          return [this, side, lifted, &most](const Run& run, T s) -> std::optional<T> {
            const auto w = LiftedSampleAt<T>(front_, side, run, s);
            if (!w || !((*w).*lifted)) return std::nullopt;
            return T(*most - *((*w).*lifted));
          };
        });
  }

  void DeadCentre(RackLimit<T>& limit) const {
    if (LacksFront(limit)) return;
    if (front_.level == Level::kTurnPlate) {
      limit.missing.push_back("car.front.suspension");
      return;
    }
    for (const Side side : kSides) {
      if (front_.level == Level::kPlanView) {
        const auto dead = linkage::DeadCentreTravel<T>(front_.plan[Index(side)]);
        if (!dead) continue;
        const bool outboard = (side == Side::kLeft) == (way_ == Way::kLeft);
        Take(limit, outboard ? dead->outboard : T(-dead->inboard), side, 0.0);
        continue;
      }
      for (const Run& run : runs_[Index(side)]) {
        if (run.dead_centre) Take(limit, DeadTravel(side, run), side, run.jounce);
      }
    }
    limit.out_of_sight = !limit.travel || Value(*limit.travel) > kFarthestTravel;
    if (limit.out_of_sight) limit.travel.reset();
  }

  // Keeps the nearer one; true when this is it.
  bool Take(RackLimit<T>& limit, T travel, Side side, double jounce) const {
    if (limit.travel && Value(*limit.travel) <= Value(travel)) return false;
    limit.travel = travel;
    limit.wheel = side;
    limit.jounce = jounce;
    return true;
  }

  // Where the branch ends, with its derivatives. There the pose has no derivatives of its own, but
  // the squared sine of the rod-arm angle falls to zero in proportion to the travel left, so its
  // derivatives a little way before, over its slope, are those of the end.
  T DeadTravel(Side side, const Run& run) const {
    const double dead = *run.dead_centre;
    const double shy = dead * (1.0 - kFoldShare);
    const auto w = LiftedSampleAt<T>(front_, side, run, T(shy));
    const auto inner = SampleAt(front_, side, run, shy - dead * kFoldShare);
    if (!w || !w->rod_arm_angle || !inner || !inner->rod_arm_angle) return T(std::abs(dead));
    using std::sin;
    const T now = sin(*w->rod_arm_angle) * sin(*w->rod_arm_angle);
    const double before = std::pow(std::sin(*inner->rod_arm_angle), 2);
    const double slope = (Value(now) - before) / (dead * kFoldShare);
    if (!(std::abs(slope) > 0.0)) return T(std::abs(dead));
    const T moved = -(now - Value(now)) / slope;
    return (dead + moved) * WaySign(way_);
  }
  static constexpr double kFoldShare = 1e-3;

  void RodArm(RackLimit<T>& limit) const {
    if (LacksFront(limit)) return;
    if (front_.level == Level::kTurnPlate) {
      limit.missing.push_back("car.front.suspension");
      return;
    }
    const T least = fitted_.limits.rod_arm_angle.value_or(T(limits::kLeastRodArmAngle));
    const double value = Value(least);
    Nearest(
        limit,
        [&](Side side) -> Reserve<double> {
          return [this, side, value](const Run& run, double s) -> std::optional<double> {
            const auto w = SampleAt(front_, side, run, s);
            if (!w || !w->rod_arm_angle) return std::nullopt;
            return std::min(*w->rod_arm_angle, M_PI - *w->rod_arm_angle) - value;
          };
        },
        [&](Side side) -> Reserve<T> {
          return [this, side, least](const Run& run, T s) -> std::optional<T> {
            const auto w = LiftedSampleAt<T>(front_, side, run, s);
            if (!w || !w->rod_arm_angle) return std::nullopt;
            const T& angle = *w->rod_arm_angle;
            return T((Value(angle) < M_PI / 2.0 ? angle : T(M_PI - angle)) - least);
          };
        });
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
    if (limit.absent || LacksFront(limit)) return;
    for (const Side side : kSides) {
      const Run& level = runs_[Index(side)].front();
      for (const bool left : {true, false}) {
        const auto& angle = TouchAngle(side, left);
        if (!angle) continue;
        const double sign = left ? 1.0 : -1.0;
        const auto s = FirstCrossing<T>(
            level,
            [&](const Run& run, double x) -> std::optional<double> {
              const auto w = SampleAt(front_, side, run, x);
              if (!w) return std::nullopt;
              return Value(*angle) - sign * w->steer;
            },
            [&](const Run& run, T x) -> std::optional<T> {
              const auto w = LiftedSampleAt<T>(front_, side, run, x);
              if (!w) return std::nullopt;
              return T(*angle - sign * w->steer);
            });
        if (s) Take(limit, *s * WaySign(way_), side, 0.0);
      }
    }
    limit.out_of_sight = !limit.travel;
  }

  // Distance of a point to the tyre, taken as a square-shouldered cylinder, which errs on the safe
  // side at the shoulders.
  template <class U>
  static U TyreDistance(const linkage::WheelState<U>& s, const Vec3<U>& point, const U& radius,
                        const U& width) {
    using std::abs;
    using std::sqrt;
    const Vec3<U> from = point - s.centre;
    const U axial = from.dot(s.spin_axis);
    const U side = abs(axial) - width / 2.0;
    const U tread = sqrt(from.squaredNorm() - axial * axial) - radius;
    if (Value(side) > 0.0 && Value(tread) > 0.0) return sqrt(side * side + tread * tread);
    return Value(side) > Value(tread) ? side : tread;
  }

  template <class U, class Corners>
  std::optional<linkage::WheelState<U>> StateOn(const Corners& corners, Side side, const Run& run,
                                                U travel) const {
    const linkage::Solve solve = linkage::MoveTo(front_.plain[Index(side)], run.pose.front(),
                                                 Value(travel) * SideSign(side), run.jounce);
    if (solve.status != linkage::SolveStatus::kConverged) return std::nullopt;
    return linkage::StateAt<U>(corners[Index(side)], solve.pose, travel * SideSign(side),
                               U(run.jounce));
  }

  void Obstacles(RackLimit<T>& limit) const {
    const FrontAxle<T>& axle = fitted_.car.front;
    limit.absent = axle.obstacle.empty();
    if (limit.absent || LacksFront(limit)) return;
    if (Lacks(limit, front_.level == Level::kPoints, "car.front.suspension") |
        Lacks(limit, axle.tyre_radius.has_value(), "car.front.tyre_radius") |
        Lacks(limit, axle.tyre_width.has_value(), "car.front.tyre_width")) {
      return;
    }
    for (std::size_t i = 0; i < axle.obstacle.size(); ++i) {
      const Obstacle<T>& o = axle.obstacle[i];
      if (Lacks(limit, o.at.has_value(), "car.front.obstacle") ||
          Lacks(limit, o.gap.has_value(), "car.front.obstacle")) {
        continue;
      }
      const auto reserve = [&]<class U>(const auto& corners, Side side, const Run& run,
                                        U s) -> std::optional<U> {
        const auto state = StateOn<U>(corners, side, run, s);
        if (!state) return std::nullopt;
        const auto take = [](const T& x) -> U {
          if constexpr (std::same_as<U, T>) {
            return x;
          } else {
            return Value(x);
          }
        };
        const Vec3<U> point(take((*o.at)[0]), take((*o.at)[1]) * SideSign(side), take((*o.at)[2]));
        return TyreDistance<U>(*state, point, take(*axle.tyre_radius), take(*axle.tyre_width)) -
               take(*o.gap);
      };
      // A point belongs to the wheel on its own side of the car.
      const Side own = Value((*o.at)[1]) >= 0.0 ? Side::kLeft : Side::kRight;
      for (const Run& run : runs_[Index(own)]) {
        if (run.pose.empty()) continue;
        const auto s = FirstCrossing<T>(
            run,
            [&](const Run& r, double x) {
              return reserve.template operator()<double>(front_.plain, own, r, x);
            },
            [&](const Run& r, T x) {
              return reserve.template operator()<T>(front_.corner, own, r, x);
            });
        if (s && Take(limit, *s * WaySign(way_), own, run.jounce)) limit.obstacle = i;
      }
    }
    limit.out_of_sight = !limit.travel && limit.missing.empty();
  }

  void ColumnCoil(RackLimit<T>& limit) const {
    limit.absent = !fitted_.car.column.coil_turns;
    if (limit.absent) return;
    if (Lacks(limit, ratio_.has_value(), fitted_.rack ? "rack.turns" : "setup.rack")) return;
    limit.travel = gear::RackTravel<T>(*ratio_, *fitted_.car.column.coil_turns / 2.0);
  }

  const Fitted<T>& fitted_;
  const Front<T>& front_;
  const std::optional<gear::RackRatio<T>>& ratio_;
  Way way_;
  std::array<std::vector<Run>, 2> runs_;
};

}  // namespace

template <class T>
TravelEnds<T> FindTravelEnds(const Fitted<T>& fitted, const Front<T>& front,
                             const std::optional<gear::RackRatio<T>>& ratio, Way way) {
  const Finder<T> finder(fitted, front, ratio, way);
  TravelEnds<T> travel;
  for (const RackEnd end : kAllRackEnds) travel.limit.push_back(finder.Find(end));
  travel.stop = travel.limit.front().travel;
  std::ranges::stable_sort(travel.limit, {}, [](const RackLimit<T>& l) {
    return l.travel ? Value(*l.travel) : std::numeric_limits<double>::infinity();
  });
  for (std::size_t i = 0; i < travel.limit.size() && travel.limit[i].travel; ++i) {
    if (!EndsTravel(travel.limit[i].end)) continue;
    travel.binding = i;
    break;
  }
  return travel;
}

template TravelEnds<double> FindTravelEnds<double>(const Fitted<double>&, const Front<double>&,
                                                   const std::optional<gear::RackRatio<double>>&,
                                                   Way);
template TravelEnds<Jet> FindTravelEnds<Jet>(const Fitted<Jet>&, const Front<Jet>&,
                                             const std::optional<gear::RackRatio<Jet>>&, Way);

}  // namespace steerbench
