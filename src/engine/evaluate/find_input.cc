#include "engine/evaluate/find_input.h"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <limits>

#include "engine/evaluate/make_figure.h"
#include "engine/evaluate/seeded.h"

namespace steerbench {
namespace {

// A result that changes by less than this share of itself does not change: its solves leave less.
constexpr double kSame = 1e-6;
constexpr std::uintmax_t kMostTrials = 100;
constexpr int kBits = 45;

class InputFinder {
 public:
  InputFinder(const Fitted<Quantity>& fitted, const FindTask& task) : fitted_(fitted), task_(task) {
    out_.inputs = Inputs(fitted);
    for (const Input& input : out_.inputs) sought_.push_back(input.path == task.path);
  }

  FoundInput Run() {
    if (!(task_.least < task_.most) || !std::isfinite(task_.most - task_.least)) return out_;
    const auto first = std::ranges::find(sought_, true);
    if (first == sought_.end()) return Ended(FindStatus::kNoSuchInput);
    out_.before = out_.inputs[static_cast<std::size_t>(first - sought_.begin())].quantity.value;
    out_.result_before = ResultAt(out_.before);
    LookUp();
    if (out_.unknown == place_.size()) return Ended(FindStatus::kNotKnown);
    const double size =
        std::max({std::abs(out_.lowest), std::abs(out_.highest), std::abs(task_.seen.value)});
    if (out_.highest - out_.lowest <= kSame * size) return Ended(FindStatus::kNoEffect);
    CloseIn(kSame * (out_.highest - out_.lowest));
    if (out_.values.empty()) return Ended(FindStatus::kNone);
    if (out_.values.size() > 1) return Ended(FindStatus::kSeveral);
    return Ended(Doubt(out_.values.front()));
  }

 private:
  FoundInput Ended(FindStatus status) {
    out_.status = status;
    return std::move(out_);
  }

  // Gives each input's value where the one sought is x.
  [[nodiscard]] auto With(double x) const {
    return [this, x](std::size_t i, double value) { return sought_[i] ? x : value; };
  }
  [[nodiscard]] Fitted<double> CarAt(double x) const { return LiftTo<double>(fitted_, With(x)); }
  [[nodiscard]] std::optional<double> Of(const Evaluation<double>& e) const {
    return e[task_.seen.of];
  }
  [[nodiscard]] std::optional<double> ResultAt(double x) const { return Of(Evaluate(CarAt(x))); }

  // The range, place by place; what is missing is told by the last place without a result.
  void LookUp() {
    const bool by_ratio = task_.least > 0.0;
    for (int k = 0; k <= kFindSteps; ++k) {
      const double share = static_cast<double>(k) / kFindSteps;
      const double x = by_ratio ? task_.least * std::pow(task_.most / task_.least, share)
                                : task_.least + (task_.most - task_.least) * share;
      const Evaluation<double> e = Evaluate(CarAt(x));
      place_.push_back({x, Of(e)});
      if (Of(e)) continue;
      ++out_.unknown;
      Lack(e.result[static_cast<std::size_t>(task_.seen.of)].missing);
    }
    double off = std::numeric_limits<double>::infinity();
    out_.lowest = off;
    out_.highest = -off;
    for (const Place& p : place_) {
      if (!p.result) continue;
      out_.lowest = std::min(out_.lowest, *p.result);
      out_.highest = std::max(out_.highest, *p.result);
      const double here = std::abs(*p.result - task_.seen.value);
      if (here < off) out_.nearest = p.x;
      off = std::min(off, here);
    }
  }

  void Lack(const Missing& missing) {
    out_.missing.clear();
    for (const std::string_view path : missing) Note(out_.missing, FullPath(fitted_, path));
  }

  // Every solution; `close`: how near the result must come, else the sign changed in a jump.
  void CloseIn(double close) {
    for (std::size_t k = 0; k < place_.size(); ++k) {
      const Place& p = place_[k];
      if (p.result == task_.seen.value) out_.values.push_back(p.x);
      if (k == 0 || !p.result || !place_[k - 1].result) continue;
      const double before = *place_[k - 1].result - task_.seen.value;
      const double here = *p.result - task_.seen.value;
      if (before * here >= 0.0) continue;
      const double x = Root(place_[k - 1].x, p.x, before, here);
      const auto result = ResultAt(x);
      if (result && std::abs(*result - task_.seen.value) <= close) out_.values.push_back(x);
    }
  }

  // Where no result can be had inside the bracket, its end stands for it: no solution comes of it.
  [[nodiscard]] double Root(double a, double b, double at_a, double at_b) const {
    const auto off = [&](double x) {
      const auto result = ResultAt(x);
      return result ? *result - task_.seen.value : at_b;
    };
    std::uintmax_t trials = kMostTrials;
    const auto [low, high] = boost::math::tools::toms748_solve(
        off, a, b, at_a, at_b, boost::math::tools::eps_tolerance<double>(kBits), trials);
    return 0.5 * (low + high);
  }

  // The ± of a solution, by the derivatives there.
  FindStatus Doubt(double x) {
    Solved solved;
    const Evaluation<double> plain = Evaluate(CarAt(x), solved);
    std::vector<double> gradient;
    const std::size_t inputs = out_.inputs.size();
    ForEachSeeded(
        fitted_, inputs,
        [&](const Fitted<Jet>& seeded, std::size_t) {
          AppendDerivatives(gradient, Lift(seeded, plain, solved)[task_.seen.of], inputs);
        },
        With(x));
    for (std::size_t i = 0; i < inputs; ++i) {
      if (sought_[i]) out_.sensitivity += gradient[i];
    }
    if (out_.sensitivity == 0.0 || !std::isfinite(out_.sensitivity)) return FindStatus::kNoEffect;
    for (std::size_t i = 0; i < inputs; ++i) {
      gradient[i] = sought_[i] ? 0.0 : -gradient[i] / out_.sensitivity;
    }
    Figure figure = MakeFigure(x, gradient, out_.inputs);
    out_.by_measurement = std::abs(task_.seen.tolerance.value_or(0.0) / out_.sensitivity);
    figure.tolerance = std::hypot(figure.tolerance, out_.by_measurement);
    figure.too_narrow |= !task_.seen.tolerance;
    out_.figure = std::move(figure);
    return FindStatus::kFound;
  }

  struct Place {
    double x;
    std::optional<double> result;
  };

  const Fitted<Quantity>& fitted_;
  const FindTask& task_;
  FoundInput out_;
  std::vector<bool> sought_;
  std::vector<Place> place_;
};

}  // namespace

FoundInput FindInput(const Fitted<Quantity>& fitted, const FindTask& task) {
  return InputFinder(fitted, task).Run();
}

}  // namespace steerbench
