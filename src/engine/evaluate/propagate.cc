#include "engine/evaluate/propagate.h"

#include <algorithm>
#include <cmath>

#include "engine/evaluate/make_figure.h"
#include "engine/evaluate/seeded.h"

namespace steerbench {
namespace {

using Gradient = std::vector<double>;  // to every input, in order

// Derivatives of everything that has a value, gathered pass by pass.
struct Gradients {
  std::array<Gradient, kOutputs> result;
  std::array<std::vector<Gradient>, 2> end, end_margin;
  std::array<Gradient, kChecks> check;
  std::vector<Gradient> control_torque;

  // An empty gradient for each travel limit: a document may have no input at all, and so no pass.
  explicit Gradients(const Evaluation<double>& e) : control_torque(e.control_torque.size()) {
    for (std::size_t way = 0; way < 2; ++way) {
      end[way].resize(e.ends[way].limit.size());
      end_margin[way].resize(e.ends[way].limit.size());
    }
  }

  void Add(const Evaluation<Jet>& e, std::size_t inputs) {
    for (std::size_t i = 0; i < kOutputs; ++i)
      AppendDerivatives(result[i], e.result[i].value, inputs);
    for (std::size_t i = 0; i < kChecks; ++i) AppendDerivatives(check[i], e.check[i].value, inputs);
    for (std::size_t i = 0; i < control_torque.size(); ++i) {
      AppendDerivatives(control_torque[i], e.control_torque[i], inputs);
    }
    for (std::size_t way = 0; way < 2; ++way) {
      for (std::size_t i = 0; i < end[way].size(); ++i) {
        AppendDerivatives(end[way][i], e.ends[way].limit[i].travel, inputs);
        AppendDerivatives(end_margin[way][i], e.end_margin[way][i].value, inputs);
      }
    }
  }
};

std::vector<std::string> Paths(const Fitted<Quantity>& fitted, const Missing& missing) {
  std::vector<std::string> paths;
  for (const std::string_view path : missing) Note(paths, FullPath(fitted, path));
  return paths;
}

class Propagator {
 public:
  explicit Propagator(const Fitted<Quantity>& fitted)
      : fitted_(fitted),
        plain_(Evaluate(LiftTo<double>(fitted, [](std::size_t, double value) { return value; }),
                        solved_)),
        gradients_(plain_) {
    out_.inputs = Inputs(fitted);
    const std::size_t count = out_.inputs.size();
    ForEachSeeded(fitted, count, [&](const Fitted<Jet>& seeded, std::size_t) {
      gradients_.Add(Lift(seeded, plain_, solved_), count);
    });
  }

  Propagated Run() {
    out_.level = plain_.level;
    out_.assumed = plain_.assumed;
    out_.breakdown = plain_.breakdown;
    out_.notes = plain_.notes;
    out_.control_trouble = plain_.control_trouble;
    for (std::size_t i = 0; i < plain_.control_torque.size(); ++i) {
      out_.control_torque.push_back(
          FigureOf(plain_.control_torque[i], gradients_.control_torque[i]));
    }
    out_.plate_row = plain_.plate_row;
    out_.trouble = plain_.trouble;
    out_.steers_to_own_side = plain_.steers_to_own_side;
    for (std::size_t i = 0; i < kOutputs; ++i) {
      out_.result[i] = {FigureOf(plain_.result[i].value, gradients_.result[i]),
                        Paths(fitted_, plain_.result[i].missing), plain_.result[i].failed};
    }
    for (std::size_t i = 0; i < kChecks; ++i) {
      out_.check[i] = MarginOf(plain_.check[i], gradients_.check[i]);
    }
    for (std::size_t way = 0; way < 2; ++way) Ends(way);
    return std::move(out_);
  }

 private:
  std::optional<Figure> FigureOf(const std::optional<double>& value,
                                 const Gradient& gradient) const {
    if (!value) return std::nullopt;
    return MakeFigure(*value, gradient, out_.inputs);
  }

  PropagatedMargin MarginOf(const Margin<double>& m, const Gradient& gradient) const {
    PropagatedMargin p;
    p.margin = FigureOf(m.value, gradient);
    p.absent = m.absent;
    p.out_of_sight = m.out_of_sight;
    p.circumstance = m.circumstance;
    p.wanted = m.wanted;
    p.limit = m.limit;
    p.at_least = m.at_least;
    p.missing = Paths(fitted_, m.missing);
    if (p.margin) p.status = MarginStatus(m, p.margin->tolerance);
    return p;
  }

  void Ends(std::size_t way) {
    const TravelEnds<double>& ends = plain_.ends[way];
    for (std::size_t i = 0; i < ends.limit.size(); ++i) {
      const RackLimit<double>& limit = ends.limit[i];
      PropagatedEnd e;
      e.end = limit.end;
      e.travel = FigureOf(limit.travel, gradients_.end[way][i]);
      e.wheel = limit.wheel;
      e.jounce = limit.jounce;
      e.obstacle = limit.obstacle;
      e.binds = ends.binding == i;
      e.margin = MarginOf(plain_.end_margin[way][i], gradients_.end_margin[way][i]);
      e.margin.status = EndStatus(e, ends.stop_state);
      out_.ends[way].push_back(std::move(e));
    }
  }

  const Fitted<Quantity>& fitted_;
  Solved solved_;
  Evaluation<double> plain_;
  Gradients gradients_;
  Propagated out_;
};

}  // namespace

void AppendDerivatives(std::vector<double>& gradient, const std::optional<Jet>& x,
                       std::size_t inputs) {
  gradient.reserve(inputs);
  const auto count =
      static_cast<std::ptrdiff_t>(std::min<std::size_t>(kJetWidth, inputs - gradient.size()));
  if (x) {
    gradient.insert(gradient.end(), x->v.data(), x->v.data() + count);
  } else {
    gradient.insert(gradient.end(), static_cast<std::size_t>(count), 0.0);
  }
}

Figure MakeFigure(double value, const std::vector<double>& gradient,
                  const std::vector<Input>& inputs) {
  Figure figure;
  figure.value = value;
  double variance = 0.0;
  figure.from.reserve(gradient.size() - std::ranges::count(gradient, 0.0));
  for (std::size_t i = 0; i < gradient.size(); ++i) {
    if (gradient[i] == 0.0) continue;
    const Quantity& q = inputs[i].quantity;
    const double half = std::abs(gradient[i]) * q.tolerance.value_or(0.0);
    figure.from.push_back({i, gradient[i], half});
    variance += half * half;
    figure.assumed |= q.origin == Origin::kTypical || q.origin == Origin::kGuess;
    figure.too_narrow |= !q.tolerance.has_value();
  }
  figure.tolerance = std::sqrt(variance);
  std::ranges::sort(figure.from, [](const Contribution& a, const Contribution& b) {
    return a.half_width != b.half_width ? a.half_width > b.half_width : a.input < b.input;
  });
  return figure;
}

Propagated Propagate(const Fitted<Quantity>& fitted) { return Propagator(fitted).Run(); }

limits::Status MarginStatus(const Margin<double>& margin, double tolerance) {
  if (!margin.value) return limits::Status::kUnknown;
  const bool unsure = margin.may_be_less || !margin.missing.empty();
  if (unsure && *margin.value >= 0.0) return limits::Status::kUnknown;
  return limits::StatusOf(*margin.value, tolerance, margin.wanted);
}

limits::Status EndStatus(const PropagatedEnd& end, StopState stop) {
  if (end.margin.out_of_sight) return limits::Status::kHolds;
  if (!end.travel) return limits::Status::kUnknown;
  if (end.end == RackEnd::kHousingStop) return limits::Status::kHolds;
  if (stop == StopState::kRemoved && end.binds) return limits::Status::kExceeded;
  if (!end.margin.margin) return limits::Status::kUnknown;
  const bool may_come_sooner = !end.margin.missing.empty();
  if (may_come_sooner && end.margin.margin->value >= 0.0) return limits::Status::kUnknown;
  return limits::StatusOf(end.margin.margin->value, end.margin.margin->tolerance);
}

}  // namespace steerbench
