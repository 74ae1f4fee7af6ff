#include "engine/evaluate/front.h"

#include <algorithm>
#include <cmath>

namespace steerbench {
namespace {

using linkage::AxisKind;
using linkage::Corner;
using linkage::PlanCorner;
using linkage::SolveStatus;

// Collects the fields that a level needs and lacks.
class Needs {
 public:
  template <class V>
  const V& operator()(const std::optional<V>& field, std::string_view path) {
    static const V kNothing{};
    if (field) return *field;
    missing_.push_back(path);
    return kNothing;
  }
  bool complete() const { return missing_.empty(); }
  const Missing& missing() const { return missing_; }

 private:
  Missing missing_;
};

// Share of one step of a run (some millimetres) to which the end of the reach is found.
constexpr double kFinestReach = 1e-4;

template <class T>
bool IsEmpty(const CornerPoints<T>& points) {
  bool empty = true;
  CornerPoints<T>::Visit([&](const FieldInfo&, const auto& field) { empty &= !field.has_value(); },
                         points);
  return empty;
}

template <class T>
T OrZero(const std::optional<T>& x) {
  return x.value_or(T(0.0));
}

// A point in the corner frame: y outboard. The right corner's own points are given in car axes,
// so their y is turned round; mirrored ones are the left corner's already.
template <class T>
Vec3<T> InCorner(const Point<T>& p, double y_sign) {
  return {p[0], p[1] * y_sign, p[2]};
}

// Field paths of one corner, for messages: which of them is missing.
struct CornerPaths {
  std::string_view upper_pivot_front, upper_pivot_rear, upper_ball_joint, lower_pivot_front,
      lower_pivot_rear, lower_ball_joint, strut_top, strut_lower, link_1_inner, link_1_outer,
      link_2_inner, link_2_outer, link_3_inner, link_3_outer, link_4_inner, link_4_outer,
      tie_rod_inner, tie_rod_outer, wheel_centre, toe, camber, stud;
};
#define STEERBENCH_CORNER_PATHS(side)                                                             \
  {                                                                                               \
    "car.front." side ".upper_pivot_front", "car.front." side ".upper_pivot_rear",                \
        "car.front." side ".upper_ball_joint", "car.front." side ".lower_pivot_front",            \
        "car.front." side ".lower_pivot_rear", "car.front." side ".lower_ball_joint",             \
        "car.front." side ".strut_top", "car.front." side ".strut_lower",                         \
        "car.front." side ".link_1_inner", "car.front." side ".link_1_outer",                     \
        "car.front." side ".link_2_inner", "car.front." side ".link_2_outer",                     \
        "car.front." side ".link_3_inner", "car.front." side ".link_3_outer",                     \
        "car.front." side ".link_4_inner", "car.front." side ".link_4_outer",                     \
        "car.front." side ".tie_rod_inner", "car.front." side ".tie_rod_outer",                   \
        "car.front." side ".wheel_centre", "car.front." side ".toe", "car.front." side ".camber", \
        "car.front." side ".outer_joint_stud"                                                     \
  }
constexpr std::array<CornerPaths, 2> kPaths{CornerPaths STEERBENCH_CORNER_PATHS("left"),
                                            CornerPaths STEERBENCH_CORNER_PATHS("right")};
#undef STEERBENCH_CORNER_PATHS

template <class T>
struct PointsReader {
  Needs& need;
  double y_sign;
  Vec3<T> operator()(const std::optional<Point<T>>& p, std::string_view path) const {
    return InCorner<T>(need(p, path), y_sign);
  }
};

template <class T>
void AddCarriers(Corner<T>& c, const CornerPoints<T>& p, Suspension kind, const CornerPaths& path,
                 const PointsReader<T>& read) {
  if (kind == Suspension::kFiveLink) {
    c.axis = AxisKind::kVirtual;
    c.links = {{read(p.link_1_inner, path.link_1_inner), read(p.link_1_outer, path.link_1_outer)},
               {read(p.link_2_inner, path.link_2_inner), read(p.link_2_outer, path.link_2_outer)},
               {read(p.link_3_inner, path.link_3_inner), read(p.link_3_outer, path.link_3_outer)},
               {read(p.link_4_inner, path.link_4_inner), read(p.link_4_outer, path.link_4_outer)}};
    return;
  }
  c.lower_joint = read(p.lower_ball_joint, path.lower_ball_joint);
  c.links = {{read(p.lower_pivot_front, path.lower_pivot_front), c.lower_joint},
             {read(p.lower_pivot_rear, path.lower_pivot_rear), c.lower_joint}};
  if (kind == Suspension::kStrut) {
    c.axis = AxisKind::kStrut;
    c.strut_top = read(p.strut_top, path.strut_top);
    c.strut_lower = read(p.strut_lower, path.strut_lower);
    return;
  }
  c.axis = AxisKind::kBallJoints;
  c.upper_joint = read(p.upper_ball_joint, path.upper_ball_joint);
  c.links.push_back({read(p.upper_pivot_front, path.upper_pivot_front), c.upper_joint});
  c.links.push_back({read(p.upper_pivot_rear, path.upper_pivot_rear), c.upper_joint});
}

// The stud's direction, upward, whichever way it was given.
template <class T>
std::optional<Vec3<T>> Stud(const std::optional<Point<T>>& direction, double y_sign) {
  if (!direction) return std::nullopt;
  const Vec3<T> v = InCorner<T>(*direction, y_sign);
  if (Value(v.squaredNorm()) == 0.0) return std::nullopt;
  const Vec3<T> unit = v.normalized();
  return Value(unit.z()) < 0.0 ? Vec3<T>(-unit) : unit;
}

// Inner joint to inner joint as the points were measured.
template <class T>
T MeasuredSpan(const Fitted<T>& f) {
  const auto& left = f.car.front.left.tie_rod_inner;
  const auto& right = f.car.front.right.tie_rod_inner;
  if (!left) return T(0.0);
  return right ? T((*left)[1] - (*right)[1]) : T((*left)[1] * 2.0);
}

// The steering axis where two joints fix it, from its lower one; none where links alone make it.
template <class T>
std::optional<Vec3<T>> AxisOf(const Corner<T>& c) {
  const bool strut = c.axis == AxisKind::kStrut;
  if (c.axis == AxisKind::kVirtual) return std::nullopt;
  const Vec3<T> axis = (strut ? c.strut_top : c.upper_joint) - c.lower_joint;
  if (Value(axis.squaredNorm()) == 0.0) return std::nullopt;
  return axis.normalized();
}

// From that axis to the outer joint, square to the axis.
template <class T>
std::optional<Vec3<T>> ArmOf(const Corner<T>& c) {
  const std::optional<Vec3<T>> axis = AxisOf(c);
  if (!axis) return std::nullopt;
  const Vec3<T> reach = c.tie_rod.outer - c.lower_joint;
  return Vec3<T>(reach - *axis * reach.dot(*axis));
}

// The outer joint moved along the arm until it is this long.
template <class T>
void MakeArm(Corner<T>& c, const T& length, Needs& need) {
  const std::optional<Vec3<T>> arm = ArmOf(c);
  if (!arm) {
    need(std::optional<T>{}, "car.front.left.upper_ball_joint");
    return;
  }
  if (Value(arm->squaredNorm()) == 0.0) return;
  c.tie_rod.outer += *arm * T(length / arm->norm() - 1.0);
}

// Outer joint and its stud, with the arms and the shim of the setup. Arms are described for the
// left side, whose y is outboard already; a right corner with points of its own wants its own arm.
template <class T>
void OuterJoint(Corner<T>& c, const Fitted<T>& f, const CornerPoints<T>& p, const CornerPaths& path,
                const PointsReader<T>& read, Needs& need) {
  const bool own_right = read.y_sign < 0.0;
  if (!f.arms) {
    c.tie_rod.outer = read(p.tie_rod_outer, path.tie_rod_outer);
    c.stud = Stud<T>(p.outer_joint_stud, read.y_sign);
  } else if (own_right) {
    c.tie_rod.outer = read(f.arms->outer_joint_right, "arms.outer_joint_right");
    c.stud = Stud<T>(f.arms->stud_right, read.y_sign);
  } else {
    c.tie_rod.outer = read(f.arms->outer_joint, "arms.outer_joint");
    c.stud = Stud<T>(f.arms->stud, read.y_sign);
  }
  if (f.adjust.arm_length && need.complete()) MakeArm(c, *f.adjust.arm_length, need);
  if (!f.adjust.outer_shim) return;
  const std::string_view arms_stud = own_right ? "arms.stud_right" : "arms.stud";
  const Vec3<T> stud = need(c.stud, f.arms ? arms_stud : path.stud);
  c.tie_rod.outer -= stud * *f.adjust.outer_shim;
}

// Tie rod with the parts and shims of the setup, rack centred, upright at design position.
template <class T>
void AddTieRod(Corner<T>& c, const Fitted<T>& f, const CornerPoints<T>& p, const CornerPaths& path,
               const PointsReader<T>& read, Needs& need) {
  c.rack_axis = Vec3<T>::UnitY();
  c.tie_rod.inner = read(p.tie_rod_inner, path.tie_rod_inner);
  if (f.rack) {
    // Half of what this rack is wider goes to each side, so that one off centre stays so.
    if (f.rack->joint_span) c.tie_rod.inner.y() += (*f.rack->joint_span - MeasuredSpan(f)) / 2.0;
    c.tie_rod.inner.x() += OrZero(f.rack->mount_forward);
    c.tie_rod.inner.z() += OrZero(f.rack->mount_up);
  }
  c.tie_rod.inner.x() += OrZero(f.adjust.rack_forward);
  c.tie_rod.inner.z() += OrZero(f.adjust.rack_up);
  if (f.spacer) c.tie_rod.inner.y() += need(f.spacer->thickness, "spacer.thickness");

  OuterJoint(c, f, p, path, read, need);
}

template <class T>
std::optional<T> ToeAsked(const Fitted<T>& f, Needs& need) {
  using std::asin;
  if (f.adjust.toe) return f.adjust.toe;
  if (!f.adjust.toe_length) return std::nullopt;
  const T rim = need(f.car.front.rim_diameter, "car.front.rim_diameter");
  if (!need.complete()) return std::nullopt;
  const T share = *f.adjust.toe_length / rim;
  if (!(Value(share) > -1.0 && Value(share) < 1.0)) {
    need(std::optional<T>{}, "setup.toe_length");
    return std::nullopt;
  }
  return asin(share);
}

template <class T>
const std::optional<T>& RodLengthAsked(const Adjustments<T>& adjust, Side side) {
  return side == Side::kLeft ? adjust.tie_rod_left : adjust.tie_rod_right;
}

// The corner of one side, or what it lacks.
template <class T>
std::optional<Corner<T>> AssembleCorner(const Fitted<T>& f, Side side, Needs& need,
                                        std::vector<Assumption>& assumed) {
  using std::cos;
  const FrontAxle<T>& front = f.car.front;
  const bool mirrored = side == Side::kRight && IsEmpty(front.right);
  const CornerPoints<T>& p = side == Side::kLeft || mirrored ? front.left : front.right;
  const CornerPaths& path = kPaths[mirrored ? 0 : Index(side)];
  const PointsReader<T> read{need, mirrored ? 1.0 : SideSign(side)};
  const Suspension kind = need(front.suspension, "car.front.suspension");
  Corner<T> c;
  AddCarriers<T>(c, p, kind, path, read);
  AddTieRod<T>(c, f, p, path, read, need);
  c.wheel_centre = read(p.wheel_centre, path.wheel_centre);
  const T toe = need(p.toe, path.toe);
  const T camber = need(p.camber, path.camber);
  const std::optional<T> toe_asked = ToeAsked(f, need);
  if (!need.complete()) return std::nullopt;
  c.spin_axis = linkage::SpinAxis<T>(toe, camber);
  c.loaded_radius = c.wheel_centre.z() / cos(camber);
  if (const auto& length = RodLengthAsked(f.adjust, side)) {
    c.tie_rod_length = *length;
    return c;
  }
  if (mirrored) Note(assumed, Assumption::kMirrored);
  if (!toe_asked) Note(assumed, Assumption::kToeAsMeasured);
  const auto length = linkage::TieRodLengthForToe<T>(c, toe_asked.value_or(toe));
  // Zero marks a rod that cannot be set; AssembleFront reports it.
  c.tie_rod_length = length.value_or(T(0.0));
  return c;
}

// Whether the right corner is the image of the left one in every figure.
template <class T>
bool IsLeftAgain(const Fitted<T>& f) {
  return IsEmpty(f.car.front.right) && !f.adjust.tie_rod_left && !f.adjust.tie_rod_right;
}

template <class T>
bool AssemblePoints(const Fitted<T>& f, Front<T>& front) {
  Needs need;
  for (const Side side : kSides) {
    const std::size_t i = Index(side);
    if (side == Side::kRight && front.tie_rod_length[0] && IsLeftAgain(f)) {
      Note(front.assumed, Assumption::kMirrored);
      front.corner[i] = front.corner[0];
      front.plain[i] = front.plain[0];
      front.rest[i] = front.rest[0];
      front.tie_rod_length[i] = front.tie_rod_length[0];
      continue;
    }
    const auto corner = AssembleCorner<T>(f, side, need, front.assumed);
    if (!corner) continue;
    front.corner[i] = *corner;
    front.plain[i] = linkage::Plain(*corner);
    linkage::Solve design = linkage::DesignPose(front.plain[i]);
    if (design.status == SolveStatus::kConverged && front.plain[i].tie_rod_length > 0.0) {
      design = linkage::MoveTo(front.plain[i], design.pose, 0.0, 0.0);
    }
    front.rest[i] = design;
    if (design.status != SolveStatus::kConverged || front.plain[i].tie_rod_length <= 0.0) {
      Note(front.trouble, Trouble::kDoesNotClose);
    }
    front.tie_rod_length[i] = corner->tie_rod_length;
  }
  front.missing = need.missing();
  if (!need.complete() || !front.trouble.empty()) return false;
  front.mirrored = front.plain[0] == front.plain[1];
  if constexpr (!std::same_as<T, double>) {
    for (const std::size_t i : {0, 1}) front.varies[i] = linkage::Varies(front.corner[i]);
  }
  if (f.rack && !f.rack->joint_span) Note(front.assumed, Assumption::kRackLikeMeasured);
  if (f.rack && (!f.rack->mount_forward || !f.rack->mount_up)) {
    Note(front.assumed, Assumption::kMountedAlike);
  }
  front.level = Level::kPoints;
  return true;
}

template <class T>
bool AssemblePlan(const Fitted<T>& f, Front<T>& front) {
  Needs need;
  const FrontAxle<T>& axle = f.car.front;
  PlanCorner<T> c;
  if (!axle.plan.axis_spacing) Note(front.assumed, Assumption::kAxesUpright);
  const auto& spacing = axle.plan.axis_spacing ? axle.plan.axis_spacing : axle.axis_spacing;
  c.half_spacing = need(spacing, "car.front.axis_spacing") / 2.0;
  c.arm_length = f.adjust.arm_length ? *f.adjust.arm_length
                 : f.arms            ? need(f.arms->arm_length, "arms.arm_length")
                                     : need(axle.plan.arm_length, "car.front.plan.arm_length");
  c.arm_angle = f.arms ? need(f.arms->arm_angle, "arms.arm_angle")
                       : need(axle.plan.arm_angle, "car.front.plan.arm_angle");
  c.arm_ahead = need(axle.plan.arm, "car.front.plan.arm") == ArmDirection::kAhead;
  c.rack_offset =
      need(axle.plan.rack_offset, "car.front.plan.rack_offset") + OrZero(f.adjust.rack_forward);
  const bool span_of_rack = f.rack && f.rack->joint_span;
  const auto& span = span_of_rack ? f.rack->joint_span : axle.plan.joint_span;
  c.inner_joint = need(span, "car.front.plan.joint_span") / 2.0;
  if (f.rack) c.rack_offset += OrZero(f.rack->mount_forward);
  if (f.spacer) c.inner_joint += need(f.spacer->thickness, "spacer.thickness");
  const std::optional<T> toe = ToeAsked(f, need);
  const bool both_lengths = f.adjust.tie_rod_left && f.adjust.tie_rod_right;
  if (!toe && !both_lengths) need(std::optional<T>{}, "setup.toe");
  front.missing = need.missing();
  if (!need.complete()) return false;
  for (const Side side : kSides) {
    const std::size_t i = Index(side);
    const auto& length = RodLengthAsked(f.adjust, side);
    front.plan[i] = c;
    front.plan[i].tie_rod_length = length ? *length : linkage::TieRodLengthForToe<T>(c, *toe);
    front.tie_rod_length[i] = front.plan[i].tie_rod_length;
  }
  front.level = Level::kPlanView;
  return true;
}

// Turn-plate readings hold for the linkage with which they were taken, so for no other arms,
// spacers or rack position.
template <class T>
bool HoldsPlate(const Fitted<T>& f) {
  const bool other_rack =
      f.rack && (f.rack->joint_span || f.rack->mount_forward || f.rack->mount_up);
  return !other_rack && !f.arms && !f.spacer && !f.adjust.rack_forward && !f.adjust.rack_up &&
         !f.adjust.outer_shim && !f.adjust.arm_length;
}

template <class T>
bool AssemblePlate(const Fitted<T>& f, Front<T>& front) {
  const FrontAxle<T>& axle = f.car.front;
  if (!HoldsPlate(f)) return false;
  std::vector<TurnPlateRow<T>> rows = axle.turn_plate;
  std::erase_if(rows, [](const auto& r) { return !r.travel || !r.left || !r.right; });
  std::ranges::sort(rows, {}, [](const auto& r) { return Value(*r.travel); });
  std::vector<T> travel, left, right;
  for (const TurnPlateRow<T>& row : rows) {
    travel.push_back(*row.travel);
    left.push_back(*row.left);
    right.push_back(*row.right);
  }
  const auto left_plate = linkage::FitTurnPlate<T>(travel, left);
  const auto right_plate = linkage::FitTurnPlate<T>(travel, right);
  if (!left_plate || !right_plate) return false;
  front.plate = {*left_plate, *right_plate};
  front.level = Level::kTurnPlate;
  Note(front.assumed, Assumption::kPlateForThisRack);
  return true;
}

template <class T>
bool Touched(const PlanView<T>& plan) {
  return plan.arm_length || plan.arm_angle || plan.rack_offset || plan.arm;
}

// Corner travel and vehicle travel differ in sign on the right; so do the steer angles.
template <class T, class State>
WheelSample<T> InVehicle(const State& s, Side side) {
  WheelSample<T> w;
  w.steer = s.steer * SideSign(side);
  w.steer_per_travel = s.steer_per_travel;
  return w;
}

template <class T>
WheelSample<T> SampleOf(const linkage::WheelState<T>& s, Side side) {
  WheelSample<T> w = InVehicle<T>(s, side);
  w.rod_arm_angle = s.rod_arm_angle;
  w.inner_tilt = s.inner_tilt;
  w.outer_tilt = s.outer_tilt;
  return w;
}

template <class T>
std::tuple<Side, double, double> KeyOf(const Front<T>& front, Side side, double travel,
                                       double jounce) {
  return {front.mirrored ? Side::kLeft : side, travel, jounce};
}

// What is known of a pose; null when nothing is.
template <class T>
KnownPoses::Known* KnownAt(const Front<T>& front, Side side, double travel, double jounce) {
  if (front.known == nullptr) return nullptr;
  const auto found = front.known->at.find(KeyOf(front, side, travel, jounce));
  return found == front.known->at.end() ? nullptr : &found->second;
}

// One of a known pose's states, looked at the first time it is asked for.
template <class State, class Look>
State Kept(KnownPoses::Known* known, std::optional<State> KnownPoses::Known::*state,
           const Look& look) {
  if (known == nullptr) return look();
  std::optional<State>& kept = known->*state;
  if (!kept) kept = look();
  return *kept;
}

// A known pose near a drive, or that at rest.
template <class T>
const linkage::Pose& NearKnown(const Front<T>& front, Side side, double travel, double jounce) {
  const linkage::Pose* near = &front.rest[Index(side)].pose;
  if (front.known == nullptr) return *near;
  const auto key = KeyOf(front, side, travel, jounce);
  double least = std::abs(travel) + std::abs(jounce);
  const auto look = [&](const auto& entry) {
    const auto& [of, s, h] = entry.first;
    const double far = std::abs(s - travel) + std::abs(h - jounce);
    if (of != std::get<0>(key) || far >= least) return;
    least = far;
    near = &entry.second.solve.pose;
  };
  // At each travel there are a few poses, one for each wheel travel.
  constexpr int kNeighbours = 3;
  const auto& at = front.known->at;
  auto after = at.lower_bound(key);
  auto before = after;
  for (int i = 0; i < kNeighbours && after != at.end(); ++i) look(*after++);
  for (int i = 0; i < kNeighbours && before != at.begin(); ++i) look(*--before);
  return *near;
}

linkage::WheelState<linkage::AlongTravel> StateAlong(const Front<Jet>& front, Side side,
                                                     const linkage::Pose& pose, double travel,
                                                     double jounce) {
  return Kept(KnownAt(front, side, travel, jounce), &KnownPoses::Known::along,
              [&] { return linkage::StateAlong(front.plain[Index(side)], pose, travel, jounce); });
}

template <class T>
linkage::WheelState<T> StateSeen(const Front<T>& front, Side side, const linkage::Pose& pose,
                                 const T& travel, const T& jounce) {
  if constexpr (std::same_as<T, double>) {
    return PlainStateAt<T>(front, side, pose, travel, jounce);
  } else {
    // Most inputs of a car bear on neither the corner nor where it stands.
    if (!front.varies[Index(side)] && !linkage::Varies(jounce)) {
      if (!linkage::Varies(travel)) {
        return linkage::AsConstants(PlainStateAt<T>(front, side, pose, travel.a, jounce.a));
      }
      return linkage::Along(StateAlong(front, side, pose, travel.a, jounce.a), travel);
    }
    return linkage::StateAt<T>(front.corner[Index(side)], pose, travel, jounce);
  }
}

// The last pose short of dead centre, where angles run away fastest.
void AddLast(Run& run, const Front<double>& front, Side side, const linkage::Pose& pose) {
  const double travel = *run.dead_centre;
  if (travel == run.travel.back()) return;
  const auto state = linkage::StateAt<double>(front.corner[Index(side)], pose,
                                              travel * SideSign(side), run.jounce);
  run.travel.push_back(travel);
  run.seen.push_back({SampleOf<double>(state, side), state});
  run.pose.push_back(pose);
}

template <class T>
std::optional<SeenWheel<T>> PlanarSeen(const PlanCorner<T>& corner, Side side, const T& travel) {
  const auto s = linkage::StateAt<T>(corner, travel * SideSign(side));
  if (!s) return std::nullopt;
  SeenWheel<T> seen{InVehicle<T>(*s, side), {}};
  seen.sample.rod_arm_angle = s->rod_arm_angle;
  seen.sample.inner_tilt = s->inner_tilt;
  return seen;
}

// Both wheels' tables are in the vehicle frame already.
template <class T>
std::optional<SeenWheel<T>> PlateSeen(const linkage::TurnPlate<T>& plate, const T& travel) {
  const auto s = linkage::StateAt<T>(plate, travel);
  if (!s) return std::nullopt;
  return SeenWheel<T>{{s->steer, s->steer_per_travel, {}, {}, {}}, {}};
}

}  // namespace

std::string_view Describe(Trouble trouble) {
  using enum Trouble;
  switch (trouble) {
    case kDoesNotClose:
      return "the linkage does not close with these parts and adjustments: check the points (y is "
             "negative on the right), the tie-rod lengths and the arms";
    case kWheelTravelTooFar:
      return "the linkage does not reach the wheel travel stated (jounce, rebound): limits there "
             "are not known";
    case kPlateForOtherParts:
      return "the turn-plate readings do not hold with this rack, arms, spacer or shims: the "
             "linkage must be known from points or from above";
    case kDeadCentreLeft:
      return "rack to the left: dead centre comes before any stop that is known, so no lock is "
             "given "
             "(state the rack and its travel)";
    case kDeadCentreRight:
      return "rack to the right: dead centre comes before any stop that is known, so no lock is "
             "given "
             "(state the rack and its travel)";
  }
  return "";
}

// The best level of which everything is known. When there is none, `missing` is what the level
// lacks that was begun and is nearest to complete.
template <class T>
Front<T> AssembleFront(const Fitted<T>& fitted, KnownPoses* known) {
  Front<T> front;
  front.known = known;
  const FrontAxle<T>& axle = fitted.car.front;
  const bool plates = !axle.turn_plate.empty();
  std::optional<Missing> points, plan;
  const bool points_begun = !IsEmpty(axle.left) || !IsEmpty(axle.right);
  front.begun = points_begun || Touched(axle.plan);
  if (points_begun) {
    const bool whole = AssemblePoints(fitted, front);
    if (whole && plates) Note(front.assumed, Assumption::kPlateNotUsed);
    if (whole || !front.trouble.empty()) return front;
    points = front.missing;
    front.assumed.clear();
  }
  if (Touched(axle.plan)) {
    const bool whole = AssemblePlan(fitted, front);
    plan = front.missing;
    front.missing = points.value_or(Missing{});
    if (whole && plates) Note(front.assumed, Assumption::kPlateNotUsed);
    if (whole) return front;
  }
  if (AssemblePlate(fitted, front)) {
    front.missing = points ? *points : plan.value_or(Missing{});
    return front;
  }
  if (plates && !HoldsPlate(fitted)) Note(front.trouble, Trouble::kPlateForOtherParts);
  const bool points_nearest = points && (!plan || points->size() <= plan->size());
  front.missing = points_nearest ? *points : plan ? *plan : Missing{"car.front.turn_plate"};
  return front;
}

// Where the cubic through the last four of poses at even steps goes on to; unset with fewer.
std::optional<linkage::Pose> NextPose(const std::vector<linkage::Pose>& poses) {
  constexpr std::array kShares{4.0, -6.0, 4.0, -1.0};  // of the last, the one before it ...
  if (poses.size() < kShares.size()) return std::nullopt;
  linkage::Pose next = poses.back();
  next.rotation.coeffs().setZero();
  next.centre.setZero();
  for (std::size_t i = 0; i < kShares.size(); ++i) {
    const linkage::Pose& pose = poses[poses.size() - 1 - i];
    next.rotation.coeffs() += kShares[i] * pose.rotation.coeffs();
    next.centre += kShares[i] * pose.centre;
  }
  next.rotation.normalize();
  return next;
}

Run RunOf(const Front<double>& front, Side side, double end, int steps, double jounce) {
  Run run;
  run.jounce = jounce;
  const bool spatial = front.level == Level::kPoints;
  const auto most = static_cast<std::size_t>(steps) + 2;
  run.travel.reserve(most);
  run.seen.reserve(most);
  if (spatial) run.pose.reserve(most);
  std::optional<linkage::Pose> from;
  double previous = 0.0;
  for (int k = 0; k <= steps; ++k) {
    const double s = end * k / steps;
    linkage::Solve solve;
    const auto guess = NextPose(run.pose);
    const auto seen =
        SeeWheel<double>(front, side, s, jounce, from, &solve, guess ? &*guess : nullptr);
    if (!seen) {
      if (spatial && k > 0) {
        run.dead_centre = previous + solve.reached * (s - previous);
        AddLast(run, front, side, solve.pose);
      }
      return run;
    }
    run.travel.push_back(s);
    run.seen.push_back(*seen);
    if (spatial) run.pose.push_back(solve.pose);
    if (spatial) from = solve.pose;
    previous = s;
  }
  return run;
}

std::optional<linkage::Pose> NearestPose(const Run& run, double travel) {
  if (run.pose.empty()) return std::nullopt;
  // Newton's method starts badly at dead centre itself, where its equations are near singular.
  const std::size_t usable = run.pose.size() - (run.dead_centre && run.pose.size() > 1 ? 1 : 0);
  std::size_t nearest = 0;
  for (std::size_t i = 1; i < usable; ++i) {
    if (std::abs(run.travel[i] - travel) < std::abs(run.travel[nearest] - travel)) nearest = i;
  }
  return run.pose[nearest];
}

template <class T>
linkage::Solve PoseAt(const Front<T>& front, Side side, double travel, double jounce,
                      const linkage::Pose* from, const linkage::Pose* guess) {
  if (const auto* known = KnownAt(front, side, travel, jounce)) return known->solve;
  const auto move = [&](const linkage::Pose& start, const linkage::Pose* begin) {
    return linkage::MoveTo(front.plain[Index(side)], start, travel, jounce, kFinestReach, begin);
  };
  linkage::Solve fresh = move(from ? *from : NearKnown(front, side, travel, jounce), guess);
  // A known pose may lie near dead centre, where it is hard to start.
  if (!from && fresh.status != SolveStatus::kConverged) {
    fresh = move(front.rest[Index(side)].pose, nullptr);
  }
  // How far a solve came that did not arrive depends on where it began.
  if (front.known != nullptr && fresh.status == SolveStatus::kConverged) {
    front.known->at.emplace(KeyOf(front, side, travel, jounce), KnownPoses::Known{fresh, {}, {}});
  }
  return fresh;
}

template <class T>
linkage::WheelState<double> PlainStateAt(const Front<T>& front, Side side,
                                         const linkage::Pose& pose, double travel, double jounce) {
  return Kept(KnownAt(front, side, travel, jounce), &KnownPoses::Known::state, [&] {
    return linkage::StateAt<double>(front.plain[Index(side)], pose, travel, jounce);
  });
}

template <class T>
std::optional<SeenWheel<T>> SeeWheel(const Front<T>& front, Side side, T travel, T jounce,
                                     const std::optional<linkage::Pose>& from, linkage::Solve* at,
                                     const linkage::Pose* guess) {
  const std::size_t i = Index(side);
  switch (front.level) {
    case Level::kPoints: {
      const T corner_travel = travel * SideSign(side);
      const linkage::Solve solve =
          PoseAt(front, side, Value(corner_travel), Value(jounce), from ? &*from : nullptr, guess);
      if (at != nullptr) *at = solve;
      if (solve.status != SolveStatus::kConverged) return std::nullopt;
      auto state = StateSeen<T>(front, side, solve.pose, corner_travel, jounce);
      WheelSample<T> sample = SampleOf<T>(state, side);
      return SeenWheel<T>{std::move(sample), std::move(state)};
    }
    case Level::kPlanView:
      return PlanarSeen<T>(front.plan[i], side, travel);
    case Level::kTurnPlate:
      return PlateSeen<T>(front.plate[i], travel);
    case Level::kUnknown:
      break;
  }
  return std::nullopt;
}

template <class T>
std::optional<WheelSample<T>> SampleAt(const Front<T>& front, Side side, const T& travel,
                                       const T& jounce) {
  if constexpr (std::same_as<T, double>) {
    const bool spatial = front.level == Level::kPoints;
    const auto* known = spatial ? KnownAt(front, side, travel * SideSign(side), jounce) : nullptr;
    if (known != nullptr && known->state) return SampleOf<double>(*known->state, side);
  }
  const auto seen = SeeWheel<T>(front, side, travel, jounce);
  return seen ? std::optional(seen->sample) : std::nullopt;
}

std::optional<double> ArmLengthOf(const Front<double>& front) {
  if (front.level == Level::kPlanView) return front.plan[0].arm_length;
  if (front.level != Level::kPoints) return std::nullopt;
  const std::optional<Vec3<double>> arm = ArmOf(front.corner[0]);
  return arm ? std::optional(arm->norm()) : std::nullopt;
}

#define STEERBENCH_INSTANTIATE(T)                                                                \
  template Front<T> AssembleFront<T>(const Fitted<T>&, KnownPoses*);                             \
  template std::optional<SeenWheel<T>> SeeWheel<T>(const Front<T>&, Side, T, T,                  \
                                                   const std::optional<linkage::Pose>&,          \
                                                   linkage::Solve*, const linkage::Pose*);       \
  template std::optional<WheelSample<T>> SampleAt<T>(const Front<T>&, Side, const T&, const T&); \
  template linkage::Solve PoseAt<T>(const Front<T>&, Side, double, double, const linkage::Pose*, \
                                    const linkage::Pose*);                                       \
  template linkage::WheelState<double> PlainStateAt<T>(const Front<T>&, Side,                    \
                                                       const linkage::Pose&, double, double)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench
