#include "engine/linkage/solve_for.h"

#include <algorithm>
#include <boost/math/special_functions/sign.hpp>
#include <boost/math/tools/minima.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <limits>
#include <vector>

namespace steerbench::linkage {
namespace {

constexpr int kScanIntervals = 24;         // fine against the few bends that such a curve has
constexpr std::uintmax_t kMostSteps = 80;  // of either method; a dozen is usual
constexpr double kSameValue = 1e-10;       // [m] width of a root's bracket
constexpr double kRootShare = 1e-3;        // of the error around a root that may be left at it
constexpr double kLevelStud = 1e-3;        // upward part below which a stud cannot lower a joint
// A least is flat at the bottom: half the digits are all that can be had (Brent 1973, ch. 5).
constexpr int kLeastBits = std::numeric_limits<double>::digits / 2;

using Corners = std::array<Corner<double>, 2>;

template <class T>
Vec3<T> UpwardStud(const Vec3<T>& stud) {
  return Value(stud.z()) < 0.0 ? Vec3<T>(-stud) : stud;
}

// From the steering axis to the outer joint at design position, square to the axis, a unit vector.
template <class T>
std::optional<Vec3<T>> ArmDirection(const Corner<T>& corner) {
  const Solve design = DesignPose(Plain(corner));
  if (design.status != SolveStatus::kConverged) return std::nullopt;
  Corner<T> at_design = corner;
  at_design.tie_rod_length = (corner.tie_rod.outer - corner.tie_rod.inner).norm();
  const WheelState<T> s = StateAt<T>(at_design, design.pose, T(0.0), T(0.0));
  const Vec3<T> from_axis = s.tie_rod_outer - s.axis_point;
  return (from_axis - s.axis_direction * s.axis_direction.dot(from_axis)).normalized();
}

// The steer angles, corner frame, over a grid of wheel travels, rack centred.
std::optional<std::vector<double>> BumpCurve(const Corner<double>& corner,
                                             const LeastBumpSteer& grid) {
  const double step = (grid.rebound + grid.jounce) / (grid.points - 1);
  Solve solve = DesignPose(corner);
  std::vector<double> steer;
  for (int i = 0; i < grid.points && solve.status == SolveStatus::kConverged; ++i) {
    solve = MoveTo(corner, solve.pose, 0.0, i * step - grid.rebound);
    steer.push_back(SteerOf(corner, solve.pose));
  }
  if (solve.status != SolveStatus::kConverged) return std::nullopt;
  return steer;
}

std::optional<WheelState<double>> StateFromDesign(const Corner<double>& corner, double travel) {
  const Solve design = DesignPose(corner);
  if (design.status != SolveStatus::kConverged) return std::nullopt;
  const Solve solve = MoveTo(corner, design.pose, travel, 0.0);
  if (solve.status != SolveStatus::kConverged) return std::nullopt;
  return StateAt<double>(corner, solve.pose, travel, 0.0);
}

std::optional<double> Measure(const Corners& corners, const LeastBumpSteer& least) {
  double sum = 0.0;
  for (const Corner<double>& corner : corners) {
    const auto curve = BumpCurve(corner, least);
    const auto rest = StateFromDesign(corner, 0.0);
    if (!curve || !rest) return std::nullopt;
    double mean = 0.0;
    for (const double steer : *curve) mean += steer / least.points;
    const double about = least.about == LeastBumpSteer::About::kStaticToe ? rest->steer : mean;
    for (const double steer : *curve) sum += (steer - about) * (steer - about);
  }
  return std::sqrt(sum / (2.0 * least.points));
}

std::optional<double> Measure(const Corners& corners, const FigureAt& at) {
  const auto left = StateFromDesign(corners[0], at.travel);
  const auto right = StateFromDesign(corners[1], -at.travel);
  if (!left || !right) return std::nullopt;
  return at.figure(AxleOf<double>(*left, *right));
}

// What the target measures, as a function of the variable.
class Objective {
 public:
  explicit Objective(const SolveForTask& task) : task_(task) {
    for (std::size_t i = 0; i < 2; ++i) {
      const auto rest = StateFromDesign(task.corner[i], 0.0);
      if (rest) toe_in_[i] = -rest->steer;
    }
  }

  std::optional<double> operator()(double value) {
    ++evaluations_;
    Corners corners;
    for (std::size_t i = 0; i < 2; ++i) {
      const auto moved = Adjusted<double>(task_.corner[i], task_.variable, value);
      if (!moved || !toe_in_[i]) return std::nullopt;
      corners[i] = *moved;
      if (!task_.re_set_toe) continue;
      const auto length = TieRodLengthForToe<double>(*moved, *toe_in_[i]);
      if (!length) return std::nullopt;
      corners[i].tie_rod_length = *length;
    }
    return std::visit([&](const auto& t) { return Measure(corners, t); }, task_.target);
  }

  // Distance from the target: RMS, or figure less its value.
  std::optional<double> Error(double value) {
    const auto measured = (*this)(value);
    if (!measured) return std::nullopt;
    const auto* at = std::get_if<FigureAt>(&task_.target);
    return at ? *measured - at->value : *measured;
  }

  [[nodiscard]] int evaluations() const { return evaluations_; }

 private:
  const SolveForTask& task_;
  std::array<std::optional<double>, 2> toe_in_;
  int evaluations_ = 0;
};

struct Sample {
  double value;
  std::optional<double> error;
};

std::vector<Sample> Scan(Objective& objective, double least, double most) {
  std::vector<Sample> samples;
  for (int i = 0; i <= kScanIntervals; ++i) {
    const double value = i == kScanIntervals ? most : least + (most - least) * i / kScanIntervals;
    samples.push_back({value, objective.Error(value)});
  }
  return samples;
}

// Least square of the error near the best sample, or nothing when no sample has one.
std::optional<double> Least(Objective& objective, const std::vector<Sample>& samples) {
  // Where the linkage does not reach, worse than any angle squared can be.
  constexpr double kNoLinkage = 1e6;
  const auto square = [](const std::optional<double>& e) { return e ? *e * *e : kNoLinkage; };
  std::size_t best = 0;
  for (std::size_t i = 1; i < samples.size(); ++i) {
    if (square(samples[i].error) < square(samples[best].error)) best = i;
  }
  if (!samples[best].error) return std::nullopt;
  const double low = samples[best == 0 ? 0 : best - 1].value;
  const double high = samples[std::min(best + 1, samples.size() - 1)].value;
  std::uintmax_t steps = kMostSteps;
  const auto [value, error2] = boost::math::tools::brent_find_minima(
      [&](double v) { return square(objective.Error(v)); }, low, high, kLeastBits, steps);
  return error2 < square(samples[best].error) ? value : samples[best].value;
}

// The root nearest to zero between samples of unlike sign.
std::optional<double> Root(Objective& objective, const std::vector<Sample>& samples) {
  std::optional<std::size_t> nearest;
  const auto from_zero = [&](std::size_t i) {
    return std::max(0.0, std::max(samples[i].value, -samples[i + 1].value));
  };
  for (std::size_t i = 0; i + 1 < samples.size(); ++i) {
    const auto &a = samples[i].error, &b = samples[i + 1].error;
    // By their signs, for a product of small figures comes out as zero.
    if (!a || !b || boost::math::sign(*a) * boost::math::sign(*b) > 0) continue;
    if (!nearest || from_zero(i) < from_zero(*nearest)) nearest = i;
  }
  if (!nearest) return std::nullopt;
  const Sample &a = samples[*nearest], &b = samples[*nearest + 1];
  std::uintmax_t steps = kMostSteps;
  const auto lost = std::numeric_limits<double>::quiet_NaN();
  const auto [low, high] = boost::math::tools::toms748_solve(
      [&](double v) { return objective.Error(v).value_or(lost); }, a.value, b.value, *a.error,
      *b.error, [](double x, double y) { return std::abs(y - x) < kSameValue; }, steps);
  const double middle = low + (high - low) / 2.0;
  // A figure that jumps from one sign to the other has no root there.
  const double left = std::abs(objective.Error(middle).value_or(lost));
  if (!(left < kRootShare * std::max(std::abs(*a.error), std::abs(*b.error)))) return std::nullopt;
  return middle;
}

bool MakesSense(const SolveForTask& task) {
  if (!(task.least < task.most) || !std::isfinite(task.most - task.least)) return false;
  if (const auto* at = std::get_if<FigureAt>(&task.target)) return at->figure != nullptr;
  const auto& bump = std::get<LeastBumpSteer>(task.target);
  return bump.points >= 2 && bump.rebound >= 0.0 && bump.jounce >= 0.0 &&
         bump.rebound + bump.jounce > 0.0;
}

}  // namespace

template <class T>
std::optional<Corner<T>> Adjusted(const Corner<T>& corner, DesignVariable variable,
                                  const T& value) {
  Corner<T> c = corner;
  switch (variable) {
    case DesignVariable::kRackUp:
      c.tie_rod.inner.z() += value;
      break;
    case DesignVariable::kRackForward:
      c.tie_rod.inner.x() += value;
      break;
    case DesignVariable::kOuterShim:
      if (!c.stud || std::abs(Value(c.stud->z())) < kLevelStud) return std::nullopt;
      c.tie_rod.outer -= UpwardStud<T>(*c.stud) * value;
      break;
    case DesignVariable::kArmLength: {
      const auto arm = ArmDirection<T>(corner);
      if (!arm) return std::nullopt;
      c.tie_rod.outer += *arm * value;
      break;
    }
    case DesignVariable::kSpacer:
      c.tie_rod.inner += c.rack_axis * value;
      c.tie_rod_length -= value;
      break;
  }
  return c;
}

Solution SolveFor(const SolveForTask& task) {
  Solution s;
  s.target = task.target;
  s.status = SolveForStatus::kBadTask;
  if (!MakesSense(task)) return s;
  Objective objective(task);
  const auto* at = std::get_if<FigureAt>(&task.target);
  const std::vector<Sample> samples = Scan(objective, task.least, task.most);
  const auto root = at ? Root(objective, samples) : std::nullopt;
  const auto value = root ? root : Least(objective, samples);
  // Zero is the linkage as it stands, whether or not the bounds hold it.
  s.before = objective(0.0);
  s.status = SolveForStatus::kNoLinkage;
  if (value) {
    s.value = *value;
    s.after = objective(*value).value_or(0.0);
    s.residual = at ? s.after - at->value : s.after;
    s.bound_binds = s.value == task.least || s.value == task.most;
    s.status = at && !root     ? SolveForStatus::kNotReached
               : root          ? SolveForStatus::kReached
               : s.bound_binds ? SolveForStatus::kAtBound
                               : SolveForStatus::kReached;
  }
  s.evaluations = objective.evaluations();
  return s;
}

template std::optional<Corner<double>> Adjusted<double>(const Corner<double>&, DesignVariable,
                                                        const double&);
template std::optional<Corner<Jet>> Adjusted<Jet>(const Corner<Jet>&, DesignVariable, const Jet&);

}  // namespace steerbench::linkage
