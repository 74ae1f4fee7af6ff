#include "engine/evaluate/stance.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/turning/ackermann.h"

namespace steerbench {
namespace {

using linkage::AxisKind;
using linkage::Corner;
using linkage::Solve;
using linkage::SolveStatus;

constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();

constexpr std::string_view kRackClipped =
    "the linkage ends before this rack travel: tie rod and arm are straight";
constexpr std::string_view kWheelClipped = "the linkage does not reach this wheel travel";
constexpr std::string_view kPastReadings = "there are no turn-plate readings this far";

// From a wheel's corner frame to the vehicle frame and back.
Vec3<double> InCar(const Vec3<double>& p, Side side) {
  return {p.x(), p.y() * SideSign(side), p.z()};
}

// Names of the links' points, in the order in which front.cc adds them to a corner.
struct LinkNames {
  std::string_view inner, outer, kind;
};
constexpr std::array<LinkNames, 4> kWishbones{{{"lower_pivot_front", "lower_ball_joint", "arm"},
                                               {"lower_pivot_rear", "lower_ball_joint", "arm"},
                                               {"upper_pivot_front", "upper_ball_joint", "arm"},
                                               {"upper_pivot_rear", "upper_ball_joint", "arm"}}};
constexpr std::array<LinkNames, 4> kLinks{{{"link_1_inner", "link_1_outer", "link"},
                                           {"link_2_inner", "link_2_outer", "link"},
                                           {"link_3_inner", "link_3_outer", "link"},
                                           {"link_4_inner", "link_4_outer", "link"}}};

// One wheel of a linkage known in space, at a solved pose.
class SpatialWheel {
 public:
  SpatialWheel(const Corner<double>& corner, const Solve& solve, Side side, double travel,
               double jounce)
      : c_(corner), pose_(solve.pose), side_(side) {
    const auto state = linkage::StateAt<double>(corner, pose_, travel * SideSign(side), jounce);
    w_.state = state;
    w_.jounce = jounce;
    w_.sample = {state.steer * SideSign(side), state.steer_per_travel, state.rod_arm_angle,
                 state.inner_tilt, state.outer_tilt};
    w_.contact = InCar(state.contact, side);
    w_.spin = InCar(state.spin_axis, side);
  }

  WheelStance Draw() {
    Carriers();
    Add("tie_rod_inner", pose_.tie_rod_inner);
    AddMoved("tie_rod_outer", c_.tie_rod.outer);
    Join("tie_rod_inner", "tie_rod_outer", "tie_rod");
    Add("wheel_centre", pose_.centre);
    Axis();
    return std::move(w_);
  }

 private:
  void Add(std::string_view name, const Vec3<double>& at) {
    const auto same = std::ranges::find(w_.points, name, &StancePoint::name);
    if (same == w_.points.end()) w_.points.push_back({name, InCar(at, side_)});
  }
  // A point of the upright, given at design position.
  Vec3<double> Moved(const Vec3<double>& p) const {
    return pose_.centre + pose_.rotation * (p - c_.wheel_centre);
  }
  void AddMoved(std::string_view name, const Vec3<double>& p) { Add(name, Moved(p)); }
  void Join(std::string_view from, std::string_view to, std::string_view kind) {
    w_.links.push_back({from, to, kind});
  }

  void Carriers() {
    const auto& names = c_.axis == AxisKind::kVirtual ? kLinks : kWishbones;
    for (std::size_t i = 0; i < c_.links.size(); ++i) {
      Add(names[i].inner, c_.links[i].inner);
      AddMoved(names[i].outer, c_.links[i].outer);
      Join(names[i].inner, names[i].outer, names[i].kind);
    }
    if (c_.axis != AxisKind::kStrut) return;
    Add("strut_top", c_.strut_top);
    AddMoved("strut_lower", c_.strut_lower);
    Join("strut_top", "strut_lower", "strut");
  }

  // The steering axis between the heights of its joints, and what hangs on it.
  void Axis() {
    const Vec3<double>& p = w_.state->axis_point;
    const Vec3<double>& along = w_.state->axis_direction;
    const auto at_height = [&](double z) -> Vec3<double> {
      return p + along * ((z - p.z()) / along.z());
    };
    const auto foot = [&](const Vec3<double>& of) -> Vec3<double> {
      return p + along * along.dot(of - p);
    };
    double low = 0.0, high = 0.0;
    Ends(low, high);
    Add("axis_lower", at_height(low));
    Add("axis_upper", at_height(high));
    Add("axis_ground", w_.state->axis_ground);
    Join("axis_lower", "axis_upper", "axis");
    Add("axis_at_arm", foot(Moved(c_.tie_rod.outer)));
    Join("axis_at_arm", "tie_rod_outer", "steering_arm");
    Add("axis_at_wheel", foot(pose_.centre));
    Join("axis_at_wheel", "wheel_centre", "spindle");
  }

  void Ends(double& low, double& high) const {
    low = Moved(c_.links.front().outer).z();
    high = c_.axis == AxisKind::kStrut ? c_.strut_top.z() : low;
    for (const linkage::Link<double>& link : c_.links) {
      const double z = Moved(link.outer).z();
      low = std::min(low, z);
      high = std::max(high, z);
    }
  }

  const Corner<double>& c_;
  const linkage::Pose& pose_;
  Side side_;
  WheelStance w_;
};

// Both wheels of a linkage in space. The rack joins them, so both stop where the first one does.
void StandInSpace(const Front<double>& front, const StanceDrive& drive, Stance& out) {
  std::array<Solve, 2> raised, turned;
  std::array<double, 2> jounce = drive.jounce;
  double share = 1.0;
  for (const Side side : kSides) {
    const std::size_t i = Index(side);
    const auto move = [&](const linkage::Pose& from, double travel) {
      return linkage::MoveTo(front.plain[i], from, travel * SideSign(side), jounce[i],
                             linkage::kFinestStep);
    };
    raised[i] = move(front.rest[i].pose, 0.0);
    if (raised[i].status != SolveStatus::kConverged) {
      out.clipped = kWheelClipped;
      jounce[i] *= raised[i].reached;
    }
    turned[i] = move(raised[i].pose, drive.travel);
    if (turned[i].status == SolveStatus::kConverged) continue;
    if (out.clipped.empty()) out.clipped = kRackClipped;
    share = std::min(share, turned[i].reached);
  }
  out.travel = drive.travel * share;
  for (const Side side : kSides) {
    const std::size_t i = Index(side);
    if (share < 1.0) {
      turned[i] =
          linkage::MoveTo(front.plain[i], raised[i].pose, out.travel * SideSign(side), jounce[i]);
    }
    out.wheel[i] = SpatialWheel(front.plain[i], turned[i], side, out.travel, jounce[i]).Draw();
  }
}

// One wheel of a linkage seen from above: steering axis, arm and tie rod; see plan_view.h.
WheelStance DrawFlat(const linkage::PlanCorner<double>& c, const SeenWheel<double>& seen, Side side,
                     double travel) {
  WheelStance w;
  w.sample = seen.sample;
  const auto add = [&](std::string_view name, double x, double y) {
    w.points.push_back({name, {x, y * SideSign(side), kUnknown}});
  };
  const double steer = seen.sample.steer * SideSign(side);
  const double along = c.arm_ahead ? c.arm_length : -c.arm_length;
  const double angle = c.arm_ahead ? steer - c.arm_angle : steer + c.arm_angle;
  add("tie_rod_inner", c.rack_offset, c.inner_joint + travel * SideSign(side));
  add("tie_rod_outer", along * std::cos(angle), c.half_spacing + along * std::sin(angle));
  add("axis_at_arm", 0.0, c.half_spacing);
  w.links = {{"tie_rod_inner", "tie_rod_outer", "tie_rod"},
             {"axis_at_arm", "tie_rod_outer", "steering_arm"}};
  return w;
}

// How far the rack goes before a linkage known from above, or its readings, end.
double FlatEnd(const Front<double>& front, double travel) {
  double share = 1.0;
  for (const Side side : kSides) {
    const std::size_t i = Index(side);
    double low = 0.0, high = 0.0;
    if (front.level == Level::kTurnPlate) {
      low = front.plate[i].curve.x.front();
      high = front.plate[i].curve.x.back();
    } else if (const auto dead = linkage::DeadCentreTravel(front.plan[i])) {
      // Just short of it, since at dead centre itself the wheel has no rate.
      constexpr double kShort = 1.0 - 1e-6;
      const double a = dead->inboard * SideSign(side) * kShort;
      const double b = dead->outboard * SideSign(side) * kShort;
      low = std::min(a, b);
      high = std::max(a, b);
    }
    const double within = std::clamp(travel, low, high);
    if (within != travel) share = std::min(share, within / travel);
  }
  return travel * share;
}

void StandFlat(const Front<double>& front, const StanceDrive& drive, Stance& out) {
  out.travel = FlatEnd(front, drive.travel);
  if (out.travel != drive.travel) {
    out.clipped = front.level == Level::kTurnPlate ? kPastReadings : kRackClipped;
  }
  for (const Side side : kSides) {
    const auto seen = SeeWheel<double>(front, side, out.travel, 0.0);
    if (!seen) {
      out.clipped = kPastReadings;
      continue;
    }
    WheelStance& w = out.wheel[Index(side)].emplace();
    w.sample = seen->sample;
    if (front.level == Level::kPlanView) {
      w = DrawFlat(front.plan[Index(side)], *seen, side, out.travel);
    }
  }
}

// Where the tyres stand, from the points or from track and axis spacing.
std::optional<turning::SteeredAxle<double>> SteeredAxle(const Fitted<double>& f, Stance& out) {
  WheelStance& left = *out.wheel[0];
  WheelStance& right = *out.wheel[1];
  const auto& front = f.car.front;
  if (!left.contact || !right.contact) {
    if (!front.track) out.missing.push_back("car.front.track");
    if (!front.axis_spacing) out.missing.push_back("car.front.axis_spacing");
    if (!front.track || !front.axis_spacing) return std::nullopt;
    const auto axle = turning::SwingAboutAxes<double>(*front.axis_spacing,
                                                      (*front.track - *front.axis_spacing) / 2.0,
                                                      {left.sample.steer, right.sample.steer});
    left.contact = Vec3<double>(axle.left.contact.x, axle.left.contact.y, kUnknown);
    right.contact = Vec3<double>(axle.right.contact.x, axle.right.contact.y, kUnknown);
    return axle;
  }
  return turning::SteeredAxle<double>{
      {{left.contact->x(), left.contact->y()}, left.sample.steer},
      {{right.contact->x(), right.contact->y()}, right.sample.steer}};
}

std::optional<double> AxisSpacing(const Fitted<double>& f, const Front<double>& front) {
  if (front.level != Level::kPoints) return f.car.front.axis_spacing;
  double spacing = 0.0;
  for (const Side side : kSides) {
    const auto rest = SeeWheel<double>(front, side, 0.0, 0.0);
    if (!rest || !rest->state) return std::nullopt;
    spacing += rest->state->axis_ground.y();
  }
  return spacing;
}

void AddCircle(const Fitted<double>& f, Stance& out) {
  const auto axle = SteeredAxle(f, out);
  if (!f.car.wheelbase) out.missing.push_back("car.wheelbase");
  if (!axle || !f.car.wheelbase) return;
  const auto turn = turning::FindTurn<double>(*f.car.wheelbase, *axle);
  if (!turn) return;
  StanceCircle& c = out.circle.emplace();
  c.centre = {-*f.car.wheelbase, turn->centre};
  c.paths = turning::WheelPaths<double>(*turn, *axle, f.car.rear_track.value_or(kUnknown));
  if (f.car.front.tyre_width) {
    c.kerb = 2.0 * turning::KerbRadius<double>(*turn, *axle, *f.car.front.tyre_width);
  } else {
    out.missing.push_back("car.front.tyre_width");
  }
  if (f.car.body_width && f.car.front_overhang) {
    c.wall = 2.0 * turning::WallRadius<double>(*turn, *f.car.body_width, *f.car.front_overhang);
  } else {
    if (!f.car.body_width) out.missing.push_back("car.body_width");
    if (!f.car.front_overhang) out.missing.push_back("car.front_overhang");
  }
}

void AddAckermann(const Fitted<double>& f, const Front<double>& front, Stance& out) {
  const auto spacing = AxisSpacing(f, front);
  if (!spacing || !f.car.wheelbase) return;  // AddCircle has said so
  out.ackermann = turning::AckermannShare<double>(
      turning::AckermannBasis::kSameInner, {*f.car.wheelbase, *spacing},
      {out.wheel[0]->sample.steer, out.wheel[1]->sample.steer});
}

}  // namespace

Stance StanceAt(const Fitted<double>& fitted, const Front<double>& front,
                const StanceDrive& drive) {
  Stance out;
  out.level = front.level;
  out.travel = drive.travel;
  if (front.level == Level::kUnknown) {
    out.missing = front.missing;
    return out;
  }
  if (front.level == Level::kPoints) {
    StandInSpace(front, drive, out);
  } else {
    StandFlat(front, drive, out);
  }
  if (!out.wheel[0] || !out.wheel[1]) return out;
  AddCircle(fitted, out);
  AddAckermann(fitted, front, out);
  return out;
}

}  // namespace steerbench
