#include "search/polish.h"

#include <algorithm>
#include <cmath>
#include <exception>
#include <nlopt.hpp>

#include "document/document.h"
#include "model/lift.h"
#include "search/reasons.h"

namespace steerbench::search {
namespace {

constexpr int kMostLooks = 400;   // evaluations of one combination
constexpr double kEnough = 1e-4;  // share of the range to which settings are worth knowing
constexpr double kAllowed = 0.5;  // of a step: nobody feels so much worse (aims.h)

struct Free {
  std::string key;
  Kind kind = Kind::kLength;
  double from = 0.0, to = 0.0;
};

// Whether a combination has what a setting sets.
bool HasWhatItSets(const Fitted<Quantity>& fitted, std::string_view key) {
  if (key == "relief") return fitted.pump.has_value();
  if (key == "control_opening") {
    return fitted.control_valve && fitted.control_valve->principle != ControlPrinciple::kReaction;
  }
  return true;
}

std::vector<Free> FreeSettings(const Document& document, const Fitted<Quantity>& fitted) {
  std::vector<Free> free;
  if (!document.search) return free;
  steerbench::Polish::Visit(
      [&](const FieldInfo& info, const auto& from, const auto& to) {
        if (from && to && from->value < to->value && HasWhatItSets(fitted, info.key)) {
          free.push_back({std::string(info.key), info.kind, from->value, to->value});
        }
      },
      document.search->from, document.search->to);
  return free;
}

template <class S>
std::optional<S>* FieldOf(Adjustments<S>& adjust, std::string_view key) {
  std::optional<S>* found = nullptr;
  Adjustments<S>::Visit(
      [&](const FieldInfo& info, auto& field) {
        if constexpr (std::same_as<std::remove_cvref_t<decltype(field)>, std::optional<S>>) {
          if (info.key == key) found = &field;
        }
      },
      adjust);
  return found;
}

// One combination, looked at with its free settings as shares of their ranges.
class Trial {
 public:
  Trial(const Document& document, const StatedWishes& wishes, const Line& line)
      : wishes_(wishes), line_(line) {
    const Fitted<Quantity> fitted = Fit(document, line.setup);
    free_ = FreeSettings(document, fitted);
    fitted_ = LiftTo<double>(fitted, [](std::size_t, double value) { return value; });
    if (!free_.empty()) arm_length_ = ArmLengthOf(AssembleFront(fitted_));
  }

  // Gain in steps summed over the wishes, and for each wish and limit what must not be positive.
  struct Look {
    double gain = 0.0;
    std::vector<double> loss;
    bool whole = false;
  };
  Look At(const std::vector<double>& x) {
    Set(x, fitted_.adjust);
    const Evaluation<double> e = Evaluate(fitted_);
    const AimValues aims = AimsOf(e);
    Look look;
    look.whole = FirstExceeded(e, true, [](Check) { return true; }) == kKept;
    for (const AimInfo& info : AimInfos()) {
      const std::size_t i = static_cast<std::size_t>(info.id);
      const Wish& wish = wishes_.of[i];
      if (!SourceOf(info.id) || !wish.want || !line_.aims[i]) continue;
      const double before = -Goodness(wish, *line_.aims[i]) / info.step;
      const double after = aims[i] ? -Goodness(wish, *aims[i]) / info.step : before + 1e3;
      look.gain += before - after;
      look.loss.push_back(after - before - kAllowed);
      if (!aims[i]) look.whole = false;
    }
    for (const AimInfo& info : AimInfos()) {
      const Wish& wish = wishes_.of[static_cast<std::size_t>(info.id)];
      const auto& value = search::At(aims, info.id);
      if (!SourceOf(info.id) || (!wish.at_most && !wish.at_least)) continue;
      if (!value) look.whole = false;
      if (value && wish.at_most) look.loss.push_back((*value - *wish.at_most) / info.step);
      if (value && wish.at_least) look.loss.push_back((*wish.at_least - *value) / info.step);
    }
    return look;
  }

  template <class S>
  void Set(const std::vector<double>& x, Adjustments<S>& adjust) const {
    for (std::size_t i = 0; i < free_.size(); ++i) {
      *FieldOf(adjust, free_[i].key) = S(free_[i].from + x[i] * (free_[i].to - free_[i].from));
    }
  }

  // As it is: as set, else as the parts have it; unset where neither is known.
  [[nodiscard]] std::optional<double> Now(const Free& f) {
    if (const auto& set = *FieldOf(fitted_.adjust, f.key)) return set;
    if (f.key == "relief") return fitted_.pump->relief;
    if (f.key == "control_opening") return 1.0;
    if (f.key == "arm_length") return arm_length_;
    return 0.0;  // no shims
  }

  // Where the settings are now, or the middle of what they may be.
  [[nodiscard]] std::vector<double> Start() {
    std::vector<double> x;
    for (const Free& f : free_) {
      const auto now = Now(f);
      x.push_back(now ? std::clamp((*now - f.from) / (f.to - f.from), 0.0, 1.0) : 0.5);
    }
    return x;
  }

  // To a tenth of a millimetre, a bar, or a percent.
  [[nodiscard]] std::vector<double> Rounded(std::vector<double> x) const {
    constexpr double kLength = 1e-4, kPressure = 1e5, kShare = 1e-2;  // [m], [Pa], [1]
    for (std::size_t i = 0; i < x.size(); ++i) {
      const Free& f = free_[i];
      const double step = f.kind == Kind::kLength  ? kLength
                          : f.kind == Kind::kShare ? kShare
                                                   : kPressure;
      const double value = std::round((f.from + x[i] * (f.to - f.from)) / step) * step;
      x[i] = std::clamp((value - f.from) / (f.to - f.from), 0.0, 1.0);
    }
    return x;
  }

  [[nodiscard]] const std::vector<Free>& Settings() const { return free_; }

 private:
  const StatedWishes& wishes_;
  const Line& line_;
  std::vector<Free> free_;
  Fitted<double> fitted_;
  std::optional<double> arm_length_;  // before it is set [m]
};

}  // namespace

std::optional<Polished> Polish(const Document& document, const StatedWishes& wishes,
                               const Line& line) {
  Trial trial(document, wishes, line);
  const std::size_t n = trial.Settings().size();
  if (n == 0) return std::nullopt;
  std::vector<double> x = trial.Start(), best;
  std::vector<std::optional<double>> before;
  for (const Free& f : trial.Settings()) before.push_back(trial.Now(f));
  double best_gain = 0.0;
  nlopt::opt opt(nlopt::LN_COBYLA, static_cast<unsigned>(n));
  opt.set_lower_bounds(0.0);
  opt.set_upper_bounds(1.0);
  opt.set_maxeval(kMostLooks);
  opt.set_xtol_abs(kEnough);
  // The worst loss stands for all: none may be positive.
  struct Shared {
    Trial& trial;
    std::vector<double>& best;
    double& best_gain;
  } shared{trial, best, best_gain};
  opt.set_min_objective(
      [](const std::vector<double>& at, std::vector<double>&, void* data) {
        auto& s = *static_cast<Shared*>(data);
        const Trial::Look look = s.trial.At(at);
        const bool better = look.whole && look.gain > s.best_gain &&
                            std::ranges::all_of(look.loss, [](double l) { return l <= 0.0; });
        if (better) {
          s.best = at;
          s.best_gain = look.gain;
        }
        return -look.gain;
      },
      &shared);
  opt.add_inequality_constraint(
      [](const std::vector<double>& at, std::vector<double>&, void* data) {
        const Trial::Look look = static_cast<Shared*>(data)->trial.At(at);
        double worst = look.whole ? -1.0 : 1.0;
        for (const double l : look.loss) worst = std::max(worst, l);
        return worst;
      },
      &shared, kEnough);
  double value = 0.0;
  try {
    opt.optimize(x, value);
  } catch (const std::exception&) {
    // As near as it gets, or NLopt gave up: the best seen counts.
  }
  // Nobody sets finer than this; the rounded settings must still keep what the exact ones keep.
  if (!best.empty()) {
    const std::vector<double> round = trial.Rounded(best);
    const Trial::Look look = trial.At(round);
    const bool good =
        look.whole && std::ranges::all_of(look.loss, [](double l) { return l <= 0.0; });
    if (good) {
      best = round;
      best_gain = look.gain;
    }
  }
  // Less than a step in all is nothing that one would feel.
  if (best.empty() || best_gain < 1.0) return std::nullopt;
  Polished polished{{}, line};
  for (std::size_t i = 0; i < n; ++i) {
    const Free& f = trial.Settings()[i];
    std::optional<Quantity>& field = *FieldOf(polished.line.setup.adjust, f.key);
    Setting setting{f.key, f.kind, {}, f.from + best[i] * (f.to - f.from), false};
    setting.before = before[i];
    setting.at_bound = best[i] <= kEnough || best[i] >= 1.0 - kEnough;
    Quantity set;  // its ± stays: that of measuring what was set
    set.value = setting.after;
    set.kind = f.kind;
    if (field) set.tolerance = field->tolerance;
    field = set;
    polished.settings.push_back(std::move(setting));
  }
  AddResults(document, polished.line);
  return polished;
}

}  // namespace steerbench::search
