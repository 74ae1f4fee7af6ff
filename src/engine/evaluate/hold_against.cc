#include "engine/evaluate/hold_against.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <cmath>
#include <limits>

namespace steerbench {
namespace {

using Matrix = Eigen::MatrixXd;
using Vector = Eigen::VectorXd;

constexpr double kNoDifference = 1e-9;   // share of a reading that is rounding
constexpr double kLeastDiagonal = 1e-9;  // share that keeps a covariance definite
constexpr double kMostTimes = 10.0;      // its own ±, past which a straight line says nothing,
constexpr double kMostShare = 0.5;       // unless it explains all by no more of itself
constexpr double kBearsOn = 1e-3;        // share of its ± by which a counted number must move

// Derivatives of one figure to all inputs.
Vector SlopesOf(const Figure& figure, std::size_t inputs) {
  Vector slopes = Vector::Zero(static_cast<Eigen::Index>(inputs));
  for (const Contribution& c : figure.from) {
    slopes[static_cast<Eigen::Index>(c.input)] = c.sensitivity;
  }
  return slopes;
}

Compared Compare(const Seen& seen, const std::optional<Figure>& computed) {
  Compared c{seen, computed};
  if (!computed) return c;
  c.difference = seen.value - computed->value;
  c.tolerance = std::hypot(seen.tolerance.value_or(0.0), computed->tolerance);
  c.agrees = std::abs(c.difference) <= c.tolerance + kNoDifference * std::abs(seen.value);
  return c;
}

// Greatest rᵀ C⁻¹ r, with C at 95 %, of so many differences that agree.
double MostMisfit(Eigen::Index count) {
  if (count == 0) return 0.0;
  const double coverage = std::erf(kCoverageFactor / std::sqrt(2.0));
  const boost::math::chi_squared distribution(static_cast<double>(count));
  return boost::math::quantile(distribution, coverage) / (kCoverageFactor * kCoverageFactor);
}

// The readings that are known and have a ± on some side.
class Adjustment {
 public:
  Adjustment(const Propagated& results, const std::vector<Compared>& compared)
      : results_(results), squares_(static_cast<Eigen::Index>(results.inputs.size())) {
    for (Eigen::Index i = 0; i < squares_.size(); ++i) {
      const Quantity& q = results.inputs[static_cast<std::size_t>(i)].quantity;
      squares_[i] = std::pow(q.tolerance.value_or(0.0), 2);
    }
    std::vector<const Compared*> counted;
    for (const Compared& c : compared) {
      if (c.computed && c.tolerance > 0.0) counted.push_back(&c);
    }
    const auto n = static_cast<Eigen::Index>(counted.size());
    slopes_.resize(n, squares_.size());
    differences_.resize(n);
    Vector readings(n);
    for (Eigen::Index j = 0; j < n; ++j) {
      const Compared& c = *counted[static_cast<std::size_t>(j)];
      slopes_.row(j) = SlopesOf(*c.computed, results.inputs.size());
      differences_[j] = c.difference;
      readings[j] = std::pow(c.seen.tolerance.value_or(0.0), 2);
    }
    covariance_ = slopes_ * squares_.asDiagonal() * slopes_.transpose();
    covariance_.diagonal() += readings;
    covariance_.diagonal() *= 1.0 + kLeastDiagonal;
  }

  [[nodiscard]] bool Empty() const { return differences_.size() == 0; }
  [[nodiscard]] bool Agree() const {
    return differences_.dot(Inverse(covariance_, differences_)) <= MostMisfit(differences_.size());
  }

  [[nodiscard]] std::vector<Suspect> Suspects() const {
    std::vector<Suspect> suspects;
    for (Eigen::Index i = 0; i < squares_.size(); ++i) {
      if (const auto suspect = SuspectAt(i)) suspects.push_back(*suspect);
    }
    std::ranges::stable_sort(suspects, {}, [](const Suspect& s) {
      return std::pair{!s.explains, s.explains ? s.times : s.left};
    });
    return suspects;
  }

  // A figure with the readings counted, when they bear on it.
  [[nodiscard]] std::optional<Counted> Count(std::size_t of, double value, double tolerance,
                                             const Vector& slopes) const {
    const Vector shared = slopes_ * (squares_.array() * slopes.array()).matrix();
    if (shared.isZero(0.0) || tolerance <= 0.0) return std::nullopt;
    const Vector weights = Inverse(covariance_, shared);
    const double left = tolerance * tolerance - weights.dot(shared);
    Counted c{of, value + weights.dot(differences_), std::sqrt(std::max(left, 0.0))};
    const bool bears = tolerance - c.tolerance > kBearsOn * tolerance;
    return bears ? std::optional(c) : std::nullopt;
  }
  [[nodiscard]] std::optional<Counted> CountInput(std::size_t i) const {
    const Quantity& q = results_.inputs[i].quantity;
    const auto n = static_cast<Eigen::Index>(i);
    return Count(i, q.value, q.tolerance.value_or(0.0), Vector::Unit(squares_.size(), n));
  }

 private:
  static Vector Inverse(const Matrix& covariance, const Vector& right) {
    return covariance.ldlt().solve(right);
  }

  [[nodiscard]] std::optional<Suspect> SuspectAt(Eigen::Index i) const {
    const Vector slope = slopes_.col(i);
    if (slope.isZero(0.0)) return std::nullopt;
    Matrix others = covariance_ - squares_[i] * slope * slope.transpose();
    others.diagonal() += kLeastDiagonal * covariance_.diagonal();
    const Vector weights = Inverse(others, slope);
    const double told = weights.dot(slope);
    const double off = weights.dot(differences_) / told;
    const Input& input = results_.inputs[static_cast<std::size_t>(i)];
    const Quantity& q = input.quantity;
    if (!Allows(input.range, q.value + off)) return std::nullopt;
    if (squares_[i] == 0.0 && std::abs(off) > std::abs(q.value)) return std::nullopt;
    const Vector left = differences_ - off * slope;
    Suspect s;
    s.input = static_cast<std::size_t>(i);
    s.value = q.value + off;
    s.tolerance = 1.0 / std::sqrt(told);
    s.left = left.dot(Inverse(others, left));
    s.times = squares_[i] > 0.0 ? std::abs(off) / std::sqrt(squares_[i])
                                : std::numeric_limits<double>::infinity();
    if (!IsFinite(s.value, s.tolerance, s.left)) return std::nullopt;
    s.explains = differences_.size() == 1 || s.left <= MostMisfit(differences_.size() - 1);
    const bool near = s.explains && std::abs(off) <= kMostShare * std::abs(q.value);
    if (squares_[i] > 0.0 && s.times > kMostTimes && !near) return std::nullopt;
    return s;
  }

  const Propagated& results_;
  Vector squares_;  // of the inputs' ±
  Matrix slopes_, covariance_;
  Vector differences_;
};

}  // namespace

std::vector<Seen> SeenIn(const SeenOnCar<Quantity>& seen) {
  std::vector<Seen> list;
  SeenOnCar<Quantity>::Visit(
      [&](const FieldInfo& info, const std::optional<Quantity>& reading) {
        if (!reading) return;
        const auto of = std::ranges::find(Outputs(), info.key, &OutputInfo::key);
        const bool right = of->id == Output::kInnerWheelRight || of->id == Output::kOuterWheelRight;
        list.push_back({of->id, right ? -reading->value : reading->value, reading->tolerance});
      },
      seen);
  return list;
}

bool IsReading(Output of) {
  bool is = false;
  const SeenOnCar<Quantity> none;
  SeenOnCar<Quantity>::Visit(
      [&](const FieldInfo& info, const auto&) { is = is || info.key == InfoOf(of).key; }, none);
  return is;
}

HeldAgainst HoldAgainst(const Propagated& results, std::span<const Seen> seen) {
  HeldAgainst held;
  for (const Seen& s : seen) held.compared.push_back(Compare(s, results[s.of].figure));
  const Adjustment adjustment(results, held.compared);
  const bool each =
      std::ranges::all_of(held.compared, [](const Compared& c) { return !c.computed || c.agrees; });
  held.agree = each && adjustment.Agree();
  if (adjustment.Empty()) return held;
  if (!held.agree) {
    held.suspects = adjustment.Suspects();
    return held;
  }
  for (std::size_t i = 0; i < results.inputs.size(); ++i) {
    if (const auto counted = adjustment.CountInput(i)) held.inputs.push_back(*counted);
  }
  for (const OutputInfo& info : Outputs()) {
    const auto& figure = results[info.id].figure;
    if (!figure) continue;
    const auto counted =
        adjustment.Count(static_cast<std::size_t>(info.id), figure->value, figure->tolerance,
                         SlopesOf(*figure, results.inputs.size()));
    if (counted) held.results.push_back(*counted);
  }
  return held;
}

}  // namespace steerbench
