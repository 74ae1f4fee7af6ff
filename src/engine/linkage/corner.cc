#include "engine/linkage/corner.h"

#include <Eigen/LU>
#include <Eigen/SVD>
#include <algorithm>
#include <array>
#include <cmath>
#include <concepts>
#include <limits>
#include <utility>

namespace steerbench::linkage {
namespace {

// Unknowns of a pose: a small rotation (3), then x and y of the wheel centre; its z is the drive.
constexpr int kUnknowns = 5;
template <class T>
using Vec5 = Eigen::Matrix<T, kUnknowns, 1>;
template <class T>
using Mat5 = Eigen::Matrix<T, kUnknowns, kUnknowns>;

constexpr int kMostNewtonSteps = 8;  // per try; a good start takes three or four
constexpr double kSingular = 1e-9;   // |determinant| per reach^3 below which it is singular
constexpr double kNoLength = 1e-6;   // [m] two joints closer than this coincide

// Gauss' elimination with row pivots. Own code: for this size Eigen's takes three times as long,
// and most of a pose's time is spent here.
class Factors {
 public:
  explicit Factors(const Mat5<double>& matrix) : rows_(matrix) {
    for (int i = 0; i < kUnknowns; ++i) order_[static_cast<std::size_t>(i)] = i;
    for (int k = 0; k < kUnknowns; ++k) {
      int pivot = k;
      for (int i = k + 1; i < kUnknowns; ++i) {
        if (std::abs(rows_(i, k)) > std::abs(rows_(pivot, k))) pivot = i;
      }
      if (pivot != k) {
        for (int j = 0; j < kUnknowns; ++j) std::swap(rows_(k, j), rows_(pivot, j));
        std::swap(order_[static_cast<std::size_t>(k)], order_[static_cast<std::size_t>(pivot)]);
        determinant_ = -determinant_;
      }
      determinant_ *= rows_(k, k);
      const double inverse = 1.0 / rows_(k, k);
      for (int i = k + 1; i < kUnknowns; ++i) {
        const double share = rows_(i, k) * inverse;
        rows_(i, k) = share;
        for (int j = k + 1; j < kUnknowns; ++j) rows_(i, j) -= share * rows_(k, j);
      }
    }
  }

  [[nodiscard]] double Determinant() const { return determinant_; }

  // x of matrix x = right.
  [[nodiscard]] Vec5<double> Solve(const Vec5<double>& right) const {
    Vec5<double> x;
    for (int i = 0; i < kUnknowns; ++i) {
      x[i] = right[order_[static_cast<std::size_t>(i)]];
      for (int j = 0; j < i; ++j) x[i] -= rows_(i, j) * x[j];
    }
    for (int i = kUnknowns - 1; i >= 0; --i) {
      for (int j = i + 1; j < kUnknowns; ++j) x[i] -= rows_(i, j) * x[j];
      x[i] /= rows_(i, i);
    }
    return x;
  }

 private:
  Eigen::Matrix<double, kUnknowns, kUnknowns, Eigen::RowMajor> rows_;
  std::array<int, kUnknowns> order_{};
  double determinant_ = 1.0;
};

// The closure equations at one pose: errors [m], their derivatives to the unknowns, to the wheel
// centre's height and to the rack travel.
template <class T>
struct Closure {
  Vec5<T> error;
  Mat5<T> by_pose;
  Vec5<T> by_height, by_travel;
};

// One row for a link of length `length` from `inner` to the upright point at `arm` from the wheel
// centre: (|d|^2 - L^2) / 2L, whose gradient is the unit vector along the link.
template <class T>
void AddLink(Closure<T>& c, int row, const Vec3<T>& centre, const Vec3<T>& arm,
             const Vec3<T>& inner, const T& length) {
  const Vec3<T> d = centre + arm - inner;
  const Vec3<T> along = d / length;
  c.error[row] = (d.dot(d) - length * length) / (2.0 * length);
  c.by_pose.row(row).template head<3>() = arm.cross(along).transpose();
  c.by_pose.row(row).template tail<2>() = along.template head<2>().transpose();
  c.by_height[row] = along.z();
}

// Two directions square to a unit vector and to each other.
template <class T>
std::array<Vec3<T>, 2> Square(const Vec3<T>& axis) {
  // Any fixed direction not along the strut will do; struts stand upright, so x is square enough.
  const Vec3<T> ahead(T(1.0), T(0.0), T(0.0));
  const Vec3<T> e1 = axis.cross(ahead).normalized();
  return {e1, axis.cross(e1)};
}

// Two rows for a strut: the top mount stays on the sliding line, which turns with the upright.
template <class T>
void AddStrut(Closure<T>& c, int row, const Corner<T>& corner, const Mat3<T>& rotation,
              const Vec3<T>& centre) {
  const Vec3<T> axis = (corner.strut_top - corner.strut_lower).normalized();
  for (const Vec3<T>& e : Square(axis)) {
    const Vec3<T> turned = rotation * e;
    const Vec3<T> reach = corner.strut_top - centre;
    c.error[row] = turned.dot(reach) - e.dot(corner.strut_top - corner.wheel_centre);
    c.by_pose.row(row).template head<3>() = turned.cross(reach).transpose();
    c.by_pose.row(row).template tail<2>() = -turned.template head<2>().transpose();
    c.by_height[row] = -turned.z();
    ++row;
  }
}

template <class T>
Closure<T> Close(const Corner<T>& corner, const Mat3<T>& rotation, const Vec3<T>& centre,
                 const Vec3<T>& tie_rod_inner, const T& tie_rod_length) {
  Closure<T> c;
  c.by_travel.setZero();
  int row = 0;
  for (const Link<T>& link : corner.links) {
    const Vec3<T> arm = rotation * (link.outer - corner.wheel_centre);
    AddLink<T>(c, row++, centre, arm, link.inner, (link.outer - link.inner).norm());
  }
  if (corner.axis == AxisKind::kStrut) {
    AddStrut<T>(c, row, corner, rotation, centre);
    row += 2;
  }
  const Vec3<T> arm = rotation * (corner.tie_rod.outer - corner.wheel_centre);
  AddLink<T>(c, row, centre, arm, tie_rod_inner, tie_rod_length);
  c.by_travel[row] = -(centre + arm - tie_rod_inner).dot(corner.rack_axis) / tie_rod_length;
  return c;
}

// A rotation by a small rotation vector [rad].
Eigen::Quaterniond Turn(const Vec3<double>& rotation_vector) {
  const double angle = rotation_vector.norm();
  if (angle == 0.0) return Eigen::Quaterniond::Identity();
  return Eigen::Quaterniond(Eigen::AngleAxisd(angle, rotation_vector / angle));
}

// One drive: where the inner joint is, how long the tie rod, how high the wheel centre.
struct Drive {
  Vec3<double> tie_rod_inner;
  double tie_rod_length;
  double height;
};

struct Attempt {
  bool good = false;
  Pose pose;
  double residual = 0.0;
  int iterations = 0;
};

// Newton's method at one drive, begun at `guess`, on the branch of a neighbouring pose.
Attempt SolveAt(const Corner<double>& corner, const Pose& from, const Drive& drive,
                const Pose& guess) {
  Attempt a;
  a.pose = guess;
  a.pose.orientation = from.orientation;
  a.pose.centre.z() = drive.height;
  a.pose.tie_rod_inner = drive.tie_rod_inner;
  a.pose.tie_rod_length = drive.tie_rod_length;
  double determinant = from.orientation;
  double before = std::numeric_limits<double>::infinity();
  for (; a.iterations <= kMostNewtonSteps; ++a.iterations) {
    const Closure<double> c =
        Close<double>(corner, a.pose.rotation.toRotationMatrix(), a.pose.centre,
                      drive.tie_rod_inner, drive.tie_rod_length);
    a.residual = c.error.lpNorm<Eigen::Infinity>();
    // Newton's method on its way in at least halves the error; one that wanders is stopped early.
    if (!(a.residual < before)) return a;
    before = a.iterations == 0 ? before : 0.5 * a.residual;
    if (a.residual < kClosureTolerance) {
      const double turned = (a.pose.rotation * from.rotation.conjugate()).vec().norm();
      a.good = turned <= std::sin(kLargestTurn / 2.0) && determinant * from.orientation > 0.0;
      return a;
    }
    const Factors factors(c.by_pose);
    determinant = factors.Determinant();
    const Vec5<double> step = -factors.Solve(c.error);
    a.pose.rotation = (Turn(step.head<3>()) * a.pose.rotation).normalized();
    a.pose.centre.head<2>() += step.tail<2>();
  }
  return a;
}

Drive Between(const Drive& a, const Drive& b, double share) {
  return {a.tie_rod_inner + share * (b.tie_rod_inner - a.tie_rod_inner),
          a.tie_rod_length + share * (b.tie_rod_length - a.tie_rod_length),
          a.height + share * (b.height - a.height)};
}

// The pose in T at a solved pose: one Newton step in T, which by the implicit function theorem
// gives the exact first derivatives and leaves the values where they were.
template <class T>
struct Lifted {
  Mat3<T> rotation;
  Vec3<T> centre, tie_rod_inner;
  Mat5<double> inverse;  // of the closure equations' derivative to the pose
};

template <class T>
Mat3<T> Skew(const Vec3<T>& v) {
  Mat3<T> m;
  m << T(0.0), -v.z(), v.y(), v.z(), T(0.0), -v.x(), -v.y(), v.x(), T(0.0);
  return m;
}

template <class T>
Lifted<T> Lift(const Corner<T>& corner, const Pose& pose, const T& travel, const T& jounce) {
  Lifted<T> l;
  const Mat3<T> rotation = pose.rotation.toRotationMatrix().template cast<T>();
  Vec3<T> centre = pose.centre.template cast<T>();
  centre.z() = corner.wheel_centre.z() + jounce;
  l.tie_rod_inner = corner.tie_rod.inner + corner.rack_axis * travel;
  const Closure<T> c = Close<T>(corner, rotation, centre, l.tie_rod_inner, corner.tie_rod_length);
  const Factors factors(Values(c.by_pose));
  for (int i = 0; i < kUnknowns; ++i) l.inverse.col(i) = factors.Solve(Vec5<double>::Unit(i));
  const Vec5<T> step = -(l.inverse * c.error);
  l.rotation = rotation + Skew<T>(step.template head<3>()) * rotation;
  l.centre = centre;
  l.centre.template head<2>() += step.template tail<2>();
  return l;
}

// Rate of the pose with one drive: J x' = -r', again with one correcting step in T.
template <class T>
Vec5<T> RateOf(const Mat5<double>& inverse, const Closure<T>& c, const Vec5<T>& by_drive) {
  const Vec5<T> x = (-(inverse * Values(by_drive))).eval().template cast<T>();
  return x - inverse * (c.by_pose * x + by_drive);
}

// Angle between two vectors, 0..pi. Exactly parallel vectors give no derivatives, for there the
// angle has a kink.
template <class T>
T AngleBetween(const Vec3<T>& a, const Vec3<T>& b) {
  using std::atan2;
  using std::sqrt;
  const T square = a.cross(b).squaredNorm();
  if (Value(square) == 0.0) return T(Value(a.dot(b)) < 0.0 ? M_PI : 0.0);
  return atan2(sqrt(square), a.dot(b));
}

// A point and the upward direction of the steering axis.
template <class T>
struct Axis {
  Vec3<T> point, direction;
};

template <class T>
Axis<T> SteeringAxis(const Corner<T>& corner, const Lifted<T>& l, const Rate<T>& per_travel) {
  const auto at = [&](const Vec3<T>& p) -> Vec3<T> {
    return l.centre + l.rotation * (p - corner.wheel_centre);
  };
  Axis<T> axis;
  switch (corner.axis) {
    case AxisKind::kBallJoints:
      axis.point = at(corner.lower_joint);
      axis.direction = at(corner.upper_joint) - axis.point;
      break;
    case AxisKind::kStrut:
      axis.point = at(corner.lower_joint);
      axis.direction = corner.strut_top - axis.point;
      break;
    case AxisKind::kVirtual: {
      const Vec3<T>& w = per_travel.angular;
      axis.point = l.centre + w.cross(per_travel.centre) / w.squaredNorm();
      axis.direction = Value(w.z()) < 0.0 ? Vec3<T>(-w) : w;
      break;
    }
  }
  axis.direction.normalize();
  return axis;
}

// Lowest point of a thin disc: direction from its centre, and the rate of that direction.
template <class T>
Vec3<T> Down(const Vec3<T>& spin) {
  using std::sqrt;
  const T n = sqrt(1.0 - spin.z() * spin.z());
  return (spin * spin.z() - Vec3<T>::UnitZ()) / n;
}
template <class T>
Vec3<T> DownRate(const Vec3<T>& spin, const Vec3<T>& spin_rate) {
  const T n2 = 1.0 - spin.z() * spin.z();
  using std::sqrt;
  const Vec3<T> numerator = spin_rate * spin.z() + spin * spin_rate.z();
  return numerator / sqrt(n2) + Down<T>(spin) * (spin.z() * spin_rate.z() / n2);
}

template <class T>
void AddAxis(WheelState<T>& s, const Axis<T>& axis) {
  using std::atan2;
  const Vec3<T>& u = axis.direction;
  s.axis_point = axis.point;
  s.axis_direction = u;
  s.caster = atan2(-u.x(), u.z());
  s.inclination = atan2(-u.y(), u.z());
  s.axis_ground = axis.point + u * ((s.contact.z() - axis.point.z()) / u.z());
  const Vec3<T> heading = s.spin_axis.cross(Vec3<T>::UnitZ()).normalized();
  const Vec3<T> offset = s.contact - s.axis_ground;
  s.scrub_radius = offset.dot(Vec3<T>::UnitZ().cross(heading));
  s.mechanical_trail = -offset.dot(heading);
}

template <class T>
void AddTieRod(WheelState<T>& s, const Corner<T>& corner, const Lifted<T>& l) {
  using std::abs;
  using std::asin;
  using std::tan;
  s.tie_rod_inner = l.tie_rod_inner;
  s.tie_rod_outer = l.centre + l.rotation * (corner.tie_rod.outer - corner.wheel_centre);
  const Vec3<T> rod = (s.tie_rod_outer - s.tie_rod_inner).normalized();
  const Vec3<T>& u = s.axis_direction;
  const auto across = [&u](const Vec3<T>& v) -> Vec3<T> { return v - u * u.dot(v); };
  s.rod_arm_angle = AngleBetween<T>(across(s.tie_rod_outer - s.axis_point), across(-rod));
  s.inner_tilt = AngleBetween<T>(corner.rack_axis, rod);
  s.side_load_share = tan(s.inner_tilt);
  if (corner.stud) s.outer_tilt = abs(asin(rod.dot(l.rotation * *corner.stud)));
}

template <class T>
void AddRates(WheelState<T>& s, const Corner<T>& corner) {
  const Vec3<T>& w = s.spin_axis;
  const T level2 = w.x() * w.x() + w.y() * w.y();
  const auto steer_rate = [&](const Vec3<T>& rate) -> T {
    return (rate.y() * w.x() - rate.x() * w.y()) / level2;
  };
  const auto spin_rate = [&](const Rate<T>& rate) -> Vec3<T> { return rate.angular.cross(w); };
  const auto contact_rate = [&](const Rate<T>& rate) -> Vec3<T> {
    return rate.centre + DownRate<T>(w, spin_rate(rate)) * corner.loaded_radius;
  };
  using std::sqrt;
  s.steer_per_travel = steer_rate(spin_rate(s.per_travel));
  s.steer_per_jounce = steer_rate(spin_rate(s.per_jounce));
  s.camber_per_jounce = -spin_rate(s.per_jounce).z() / sqrt(1.0 - w.z() * w.z());
  s.contact_per_travel = contact_rate(s.per_travel);
  s.contact_per_jounce = contact_rate(s.per_jounce);
}

// Whether a number, or any of several, carries a derivative that is not zero.
bool Varies(const Vec3<Jet>& v) {
  return linkage::Varies(v.x()) || linkage::Varies(v.y()) || linkage::Varies(v.z());
}
bool Varies(const Link<Jet>& link) { return Varies(link.inner) || Varies(link.outer); }

// The values of a corner in another scalar.
template <class To, class From>
Corner<To> In(const Corner<From>& corner) {
  const auto vector = [](const Vec3<From>& v) -> Vec3<To> { return Values(v).template cast<To>(); };
  Corner<To> c;
  c.axis = corner.axis;
  for (const Link<From>& link : corner.links) {
    c.links.push_back({vector(link.inner), vector(link.outer)});
  }
  c.strut_top = vector(corner.strut_top);
  c.strut_lower = vector(corner.strut_lower);
  c.lower_joint = vector(corner.lower_joint);
  c.upper_joint = vector(corner.upper_joint);
  c.tie_rod = {vector(corner.tie_rod.inner), vector(corner.tie_rod.outer)};
  c.tie_rod_length = To(Value(corner.tie_rod_length));
  c.rack_axis = vector(corner.rack_axis);
  c.wheel_centre = vector(corner.wheel_centre);
  c.spin_axis = vector(corner.spin_axis);
  c.loaded_radius = To(Value(corner.loaded_radius));
  if (corner.stud) c.stud = vector(*corner.stud);
  return c;
}

// A state made of another's numbers, one by one.
template <class From, class Make>
WheelState<Jet> Each(const WheelState<From>& s, const Make& make) {
  const auto vector = [&](const Vec3<From>& v) -> Vec3<Jet> {
    return {make(v.x()), make(v.y()), make(v.z())};
  };
  const auto rate = [&](const Rate<From>& r) {
    return Rate<Jet>{vector(r.angular), vector(r.centre)};
  };
  WheelState<Jet> c;
  c.steer = make(s.steer);
  c.camber = make(s.camber);
  c.camber_front_view = make(s.camber_front_view);
  c.caster = make(s.caster);
  c.inclination = make(s.inclination);
  c.scrub_radius = make(s.scrub_radius);
  c.mechanical_trail = make(s.mechanical_trail);
  c.rod_arm_angle = make(s.rod_arm_angle);
  c.inner_tilt = make(s.inner_tilt);
  if (s.outer_tilt) c.outer_tilt = make(*s.outer_tilt);
  c.side_load_share = make(s.side_load_share);
  c.centre = vector(s.centre);
  c.spin_axis = vector(s.spin_axis);
  c.contact = vector(s.contact);
  c.axis_point = vector(s.axis_point);
  c.axis_direction = vector(s.axis_direction);
  c.axis_ground = vector(s.axis_ground);
  c.tie_rod_inner = vector(s.tie_rod_inner);
  c.tie_rod_outer = vector(s.tie_rod_outer);
  c.per_travel = rate(s.per_travel);
  c.per_jounce = rate(s.per_jounce);
  c.steer_per_travel = make(s.steer_per_travel);
  c.steer_per_jounce = make(s.steer_per_jounce);
  c.camber_per_jounce = make(s.camber_per_jounce);
  c.contact_per_travel = vector(s.contact_per_travel);
  c.contact_per_jounce = vector(s.contact_per_jounce);
  return c;
}

}  // namespace

bool Varies(const Jet& x) { return (x.v.array() != 0.0).any(); }

bool Varies(const Corner<Jet>& c) {
  return std::ranges::any_of(c.links, [](const Link<Jet>& l) { return Varies(l); }) ||
         Varies(c.strut_top) || Varies(c.strut_lower) || Varies(c.lower_joint) ||
         Varies(c.upper_joint) || Varies(c.tie_rod) || Varies(c.tie_rod_length) ||
         Varies(c.rack_axis) || Varies(c.wheel_centre) || Varies(c.spin_axis) ||
         Varies(c.loaded_radius) || (c.stud && Varies(*c.stud));
}

WheelState<Jet> AsConstants(const WheelState<double>& state) {
  return Each(state, [](double x) { return Jet(x); });
}

WheelState<Jet> Along(const WheelState<AlongTravel>& state, const Jet& travel) {
  return Each(state, [&](const AlongTravel& x) { return Jet(x.a, x.v[0] * travel.v); });
}

template <class T>
Vec3<T> SpinAxis(T toe_in, T camber) {
  using std::cos;
  using std::sin;
  return {cos(camber) * sin(toe_in), cos(camber) * cos(toe_in), -sin(camber)};
}

template <class T>
Corner<double> Plain(const Corner<T>& corner) {
  return In<double>(corner);
}

WheelState<AlongTravel> StateAlong(const Corner<double>& corner, const Pose& pose, double travel,
                                   double jounce) {
  return StateAt<AlongTravel>(In<AlongTravel>(corner), pose, AlongTravel(travel, 0),
                              AlongTravel(jounce));
}

Solve DesignPose(const Corner<double>& corner) {
  Solve solve;
  solve.status = SolveStatus::kBadGeometry;
  Pose& pose = solve.pose;
  pose.centre = corner.wheel_centre;
  pose.tie_rod_inner = corner.tie_rod.inner;
  pose.tie_rod_length = (corner.tie_rod.outer - corner.tie_rod.inner).norm();
  const std::size_t expected = corner.axis == AxisKind::kStrut ? 2 : 4;
  const bool short_link = std::ranges::any_of(corner.links, [](const Link<double>& link) {
    return (link.outer - link.inner).norm() < kNoLength;
  });
  if (corner.links.size() != expected || short_link || pose.tie_rod_length < kNoLength)
    return solve;
  if (corner.axis == AxisKind::kStrut &&
      (corner.strut_top - corner.strut_lower).head<2>().norm() + kNoLength >
          (corner.strut_top - corner.strut_lower).norm()) {
    return solve;
  }
  const Closure<double> c = Close<double>(corner, Mat3<double>::Identity(), pose.centre,
                                          pose.tie_rod_inner, pose.tie_rod_length);
  const double determinant = c.by_pose.determinant();
  const double reach = (corner.tie_rod.outer - corner.wheel_centre).norm();
  if (!(std::abs(determinant) > kSingular * reach * reach * reach)) return solve;
  pose.orientation = determinant > 0.0 ? 1.0 : -1.0;
  solve.status = SolveStatus::kConverged;
  solve.reached = 1.0;
  solve.residual = c.error.lpNorm<Eigen::Infinity>();
  return solve;
}

Solve MoveTo(const Corner<double>& corner, const Pose& from, double travel, double jounce,
             double finest, const Pose* guess) {
  const Drive start{from.tie_rod_inner, from.tie_rod_length, from.centre.z()};
  const Drive target{corner.tie_rod.inner + corner.rack_axis * travel, corner.tie_rod_length,
                     corner.wheel_centre.z() + jounce};
  Solve solve;
  solve.pose = from;
  solve.status = SolveStatus::kDeadCentre;
  // The nearest share that failed, and from how far: worth another try from a quarter of that.
  double failed = 2.0, distance = 0.0;
  double step = 1.0;
  while (step >= finest) {
    const double share = std::min(1.0, solve.reached + step);
    const Drive drive = share == 1.0 ? target : Between(start, target, share);
    const Pose& begin = guess != nullptr ? *std::exchange(guess, nullptr) : solve.pose;
    const Attempt attempt = SolveAt(corner, solve.pose, drive, begin);
    solve.iterations += attempt.iterations;
    if (!attempt.good) {
      failed = share;
      distance = share - solve.reached;
      step = 0.5 * distance;
      continue;
    }
    solve.pose = attempt.pose;
    solve.residual = attempt.residual;
    solve.reached = share;
    if (share == 1.0) {
      solve.status = SolveStatus::kConverged;
      break;
    }
    if (share >= failed) failed = 2.0;
    const double gap = failed - share;
    step = std::min(2.0 * step, gap <= 0.25 * distance ? gap : 0.5 * gap);
  }
  return solve;
}

template <class T>
WheelState<T> StateAt(const Corner<T>& corner, const Pose& pose, T travel, T jounce) {
  using std::asin;
  using std::atan2;
  if constexpr (std::same_as<T, Jet>) {
    // Most inputs of a car bear on neither the corner nor the travel: then there is nothing to
    // carry.
    if (!Varies(corner) && !Varies(travel) && !Varies(jounce)) {
      return AsConstants(StateAt<double>(Plain(corner), pose, travel.a, jounce.a));
    }
  }
  const Lifted<T> l = Lift<T>(corner, pose, travel, jounce);
  const Closure<T> c =
      Close<T>(corner, l.rotation, l.centre, l.tie_rod_inner, corner.tie_rod_length);
  const auto rate = [&](const Vec5<T>& by_drive, double height) -> Rate<T> {
    const Vec5<T> x = RateOf<T>(l.inverse, c, by_drive);
    return {x.template head<3>(), Vec3<T>(x[3], x[4], T(height))};
  };
  WheelState<T> s;
  s.per_travel = rate(c.by_travel, 0.0);
  s.per_jounce = rate(c.by_height, 1.0);
  s.centre = l.centre;
  s.spin_axis = l.rotation * corner.spin_axis;
  s.steer = atan2(-s.spin_axis.x(), s.spin_axis.y());
  s.camber = -asin(s.spin_axis.z());
  s.camber_front_view = atan2(-s.spin_axis.z(), s.spin_axis.y());
  s.contact = s.centre + Down<T>(s.spin_axis) * corner.loaded_radius;
  AddAxis<T>(s, SteeringAxis<T>(corner, l, s.per_travel));
  AddTieRod<T>(s, corner, l);
  AddRates<T>(s, corner);
  return s;
}

template <class T>
T SteerAt(const Corner<T>& corner, const Pose& pose, T travel, T jounce) {
  using std::atan2;
  const Vec3<T> spin = Lift<T>(corner, pose, travel, jounce).rotation * corner.spin_axis;
  return atan2(-spin.x(), spin.y());
}

double SteerOf(const Corner<double>& corner, const Pose& pose) {
  const Vec3<double> spin = pose.rotation * corner.spin_axis;
  return std::atan2(-spin.x(), spin.y());
}

double SmallestSingularValue(const Corner<double>& corner, const Pose& pose) {
  Mat5<double> jacobian = Close<double>(corner, pose.rotation.toRotationMatrix(), pose.centre,
                                        pose.tie_rod_inner, pose.tie_rod_length)
                              .by_pose;
  const double reach = (corner.tie_rod.outer - corner.wheel_centre).norm();
  jacobian.leftCols<3>() /= reach;
  return Eigen::JacobiSVD<Mat5<double>>(jacobian).singularValues()[kUnknowns - 1];
}

template <class T>
std::optional<T> TieRodLengthForToe(const Corner<T>& corner, T toe_in) {
  Corner<double> plain = Plain(corner);
  Solve solve = DesignPose(plain);
  if (solve.status != SolveStatus::kConverged) return std::nullopt;
  plain.tie_rod_length = solve.pose.tie_rod_length;
  constexpr int kMostSteps = 20;
  constexpr double kToeTolerance = 1e-13;  // [rad]
  for (int i = 0; i < kMostSteps; ++i) {
    const WheelState<double> s = StateAt<double>(plain, solve.pose, 0.0, 0.0);
    const Vec3<double> rod = (s.tie_rod_outer - s.tie_rod_inner).normalized();
    // Lengthening the rod moves the outer joint as moving the inner joint along the rod does.
    const double steer_per_length = s.steer_per_travel / rod.dot(plain.rack_axis);
    const double error = s.steer + Value(toe_in);
    if (!std::isfinite(steer_per_length) || steer_per_length == 0.0) return std::nullopt;
    if (std::abs(error) < kToeTolerance) {
      Corner<T> held = corner;
      held.tie_rod_length = T(plain.tie_rod_length);
      const WheelState<T> lifted = StateAt<T>(held, solve.pose, T(0.0), T(0.0));
      return T(plain.tie_rod_length) - (lifted.steer + toe_in) / steer_per_length;
    }
    plain.tie_rod_length -= error / steer_per_length;
    solve = MoveTo(plain, solve.pose, 0.0, 0.0);
    if (solve.status != SolveStatus::kConverged) return std::nullopt;
  }
  return std::nullopt;
}

template <class T>
Rate<T> SteeredAlone(AxisKind axis, const WheelState<T>& s) {
  if (axis == AxisKind::kVirtual) return s.per_travel;
  // The lower joint can move along its arm's arc alone, whichever drive moves it.
  const Vec3<T> arm = s.axis_point - s.centre;
  const Vec3<T> by_travel = s.per_travel.centre + s.per_travel.angular.cross(arm);
  const Vec3<T> by_jounce = s.per_jounce.centre + s.per_jounce.angular.cross(arm);
  const T back = by_travel.dot(by_jounce) / by_jounce.squaredNorm();
  return {s.per_travel.angular - back * s.per_jounce.angular,
          s.per_travel.centre - back * s.per_jounce.centre};
}

#define STEERBENCH_INSTANTIATE(T)                                         \
  template Vec3<T> SpinAxis<T>(T, T);                                     \
  template Rate<T> SteeredAlone<T>(AxisKind, const WheelState<T>&);       \
  template Corner<double> Plain<T>(const Corner<T>&);                     \
  template T SteerAt<T>(const Corner<T>&, const Pose&, T, T);             \
  template WheelState<T> StateAt<T>(const Corner<T>&, const Pose&, T, T); \
  template std::optional<T> TieRodLengthForToe<T>(const Corner<T>&, T)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::linkage
