#include "search/conclude.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "document/document.h"
#include "search/parallel.h"

namespace steerbench::search {
namespace {

constexpr double kCoverage = 2.0;  // a ± is so many standard deviations (docs/conventions.md)

// Probability that a normal deviate is below x standard deviations.
double NormalBelow(double x) { return 0.5 * std::erfc(-x / std::numbers::sqrt2); }

// Chance that a difference is above zero.
double ChanceAbove(double middle, double half_width) {
  if (half_width > 0.0) return NormalBelow(middle * kCoverage / half_width);
  if (middle == 0.0) return 0.5;
  return middle > 0.0 ? 1.0 : 0.0;
}

// Sign that turns a gain in value into a gain in what is wished, at a value.
double GainSign(const Wish& wish, double value) {
  switch (*wish.want) {
    case Want::kMore:
      return 1.0;
    case Want::kLess:
      return -1.0;
    case Want::kNear:
      return value > wish.near ? -1.0 : 1.0;
  }
  return 0.0;
}

// Whose doubt an input is, so that two lines share it or not. A setting of two lines is the same
// only when it is set alike.
std::string SourceOfDoubt(const Input& input) {
  if (!input.path.starts_with("setup.")) return input.path;
  return fmt::format("{} = {}", input.path, input.quantity.value);
}

// The figure that an aim's value is taken from, and the sign that makes it a magnitude.
void AddFigure(const Propagated& results, Aim aim, Line& line) {
  const auto source = SourceOf(aim);
  const auto& value = At(line.aims, aim);
  if (!source || !value) return;
  const std::size_t i = static_cast<std::size_t>(aim);
  for (const Output id : {source->left, source->right, Output::kKerbTorque}) {
    const auto& figure = results[id].figure;
    if (!figure || std::abs(figure->value) != *value) continue;
    line.half_width[i] = figure->tolerance;
    const double sign = figure->value < 0.0 ? -1.0 : 1.0;
    for (const Contribution& c : figure->from) {
      if (c.half_width == 0.0) continue;
      line.lean[SourceOfDoubt(results.inputs[c.input])][i] =
          std::copysign(c.half_width, sign * c.sensitivity);
    }
    return;
  }
}

// The ± of prices and hours, each a doubt of its own.
void AddPieces(Line& line) {
  const auto add = [&](Aim aim, const Piece& piece, std::string_view key,
                       const std::optional<Quantity>& q) {
    if (!q || !q->tolerance) return;
    line.lean[fmt::format("{}.{}", piece.Path(), key)][static_cast<std::size_t>(aim)] =
        static_cast<double>(piece.count) * *q->tolerance;
  };
  for (const Piece& piece : line.pieces) {
    if (!piece.owned) add(Aim::kCost, piece, "price", piece.price);
    add(Aim::kHours, piece, "hours", piece.hours);
  }
  const auto put = [&](Aim aim, double half_width) {
    if (!At(line.aims, aim) || half_width == 0.0) return;  // stated without a ±
    line.half_width[static_cast<std::size_t>(aim)] = half_width;
  };
  put(Aim::kCost, CostOf(line.pieces).half_width);
  put(Aim::kHours, HoursOf(line.pieces).half_width);
}

void NoteLimit(Line& line, std::string_view label, const PropagatedMargin& m,
               limits::Status status) {
  using enum limits::Status;
  if (m.absent) return;
  if (status == kExceeded) line.exceeded.emplace_back(label);
  if (status == kClose) line.close.emplace_back(label);
  if (status == kUnknown) line.unknown.emplace_back(label);
  if (!m.margin || m.out_of_sight) return;
  const double chance = ChanceAbove(m.margin->value, m.margin->tolerance);
  if (line.weakest_chance && *line.weakest_chance <= chance) return;
  line.weakest = label;
  line.weakest_chance = chance;
}

void AddLimits(const Propagated& results, Line& line) {
  for (const CheckInfo& info : Checks()) {
    const PropagatedMargin& m = results.check[static_cast<std::size_t>(info.id)];
    NoteLimit(line, info.label, m, m.status);
  }
  for (const auto& ends : results.ends) {
    for (const PropagatedEnd& e : ends) {
      if (e.end == RackEnd::kHousingStop) continue;
      NoteLimit(line, RackEnds()[static_cast<std::size_t>(e.end)].label, e.margin, e.margin.status);
    }
  }
  for (auto* list : {&line.exceeded, &line.close, &line.unknown}) {
    std::ranges::sort(*list);
    list->erase(std::unique(list->begin(), list->end()), list->end());
  }
}

void AddChanges(const Space& space, Line& line) {
  for (std::size_t d = 0; d < space.dimension.size(); ++d) {
    if (line.choice[d] == 0) continue;
    const Dimension& dimension = space.dimension[d];
    const Option& option = dimension.option[line.choice[d]];
    if (option.works.empty()) {
      line.changes.push_back({dimension.key, dimension.option.front().name, option.name});
    }
    for (const std::size_t w : option.works) {
      line.changes.push_back({dimension.key, "", space.work[w].name});
    }
  }
}

// Best and worst of each wish over all lines.
std::array<Range, kAims> RangesOf(const Conclusion& outcome) {
  std::array<Range, kAims> ranges{};
  for (std::size_t i = 0; i < kAims; ++i) {
    const Wish& wish = outcome.wishes.of[i];
    bool first = true;
    for (const Line& line : outcome.lines) {
      if (!wish.want || !line.aims[i]) continue;
      const double g = Goodness(wish, *line.aims[i]);
      ranges[i] =
          first ? Range{g, g} : Range{std::max(ranges[i].best, g), std::min(ranges[i].worst, g)};
      first = false;
    }
  }
  return ranges;
}

// How much the balance of a line moves per value of an aim.
double BalanceRate(const Conclusion& outcome, const std::array<Range, kAims>& ranges,
                   const Weights& weights, const Line& line, std::size_t i) {
  if (!outcome.wishes.of[i].want || !line.aims[i] || ranges[i].Width() <= 0.0) return 0.0;
  return -weights[i] * GainSign(outcome.wishes.of[i], *line.aims[i]) / ranges[i].Width();
}

// Half width of the difference of two lines' sums of `rate` times aims.
template <class Rate>
double HalfWidthOfDifference(const Line& a, const Line& b, Rate&& rate) {
  std::map<std::string_view, double> moved;
  for (const Line* line : {&a, &b}) {
    const double sign = line == &a ? 1.0 : -1.0;
    for (const auto& [path, lean] : line->lean) {
      for (std::size_t i = 0; i < kAims; ++i) moved[path] += sign * rate(*line, i) * lean[i];
    }
  }
  double sum = 0.0;
  for (const auto& [path, m] : moved) sum += m * m;
  return std::sqrt(sum);
}

}  // namespace

void AddResults(const Document& document, Line& line) {
  const Fitted<Quantity> fitted = Fit(document, line.setup);
  const Propagated results = Propagate(fitted);
  line.needs = fit::NeedsOf(fitted, results, {}, document.belt);
  line.aims = AimsOf(results);
  Put(line.aims, line.bill);
  line.half_width = {};
  line.lean.clear();
  for (const AimInfo& info : AimInfos()) AddFigure(results, info.id, line);
  AddPieces(line);
  for (auto* list : {&line.exceeded, &line.close, &line.unknown}) list->clear();
  line.weakest_chance.reset();
  AddLimits(results, line);
}

Line LineOf(const Document& document, const Space& space, const Joints& joints,
            const Choice& choice) {
  Line line;
  line.choice = choice;
  line.setup = space.SetupOf(choice);
  AddChanges(space, line);
  line.bill = space.BillOf(choice);
  const Together together = joints.Of(choice);
  line.faces_unknown = together.unknown;
  for (const std::size_t a : together.adapters) {
    const std::string& name = document.adapter[a].first;
    if (std::ranges::find(line.adapters, name) == line.adapters.end()) {
      line.adapters.push_back(name);
    }
    Add(line.bill, BillOfPart(document.adapter[a].second, "adapter." + document.adapter[a].first));
  }
  line.pieces = PiecesOf(document, space, joints, choice);
  AddResults(document, line);
  return line;
}

Conclusion Conclude(const Document& document, const Space& space, const StatedWishes& wishes,
                    const Searcher& searcher, std::size_t most, int threads) {
  Conclusion outcome;
  outcome.base_name = space.base_name;
  outcome.wishes = wishes;
  outcome.combinations = space.Count();
  outcome.looked_at = searcher.At().looked_at;
  outcome.left_out = searcher.LeftOutSoFar();
  outcome.step_width = searcher.At().StepWidth();
  const Joints joints(document, space);
  outcome.base = LineOf(document, space, joints, Choice(space.dimension.size(), 0));
  // A search that was stopped may still find one that keeps all.
  if (searcher.At().entries.empty() && searcher.At().looked_at >= space.Count()) {
    outcome.nearest = NearestMiss(document, space, wishes.of, threads);
    if (outcome.nearest) {
      outcome.nearest_line = LineOf(document, space, joints, outcome.nearest->choice);
    }
  }
  // Ranked once on their values alone, so that only those shown need their ±.
  for (const Entry& e : searcher.At().entries) {
    outcome.lines.emplace_back();
    outcome.lines.back().choice = e.choice;
    outcome.lines.back().aims = e.aims;
    outcome.lines.back().alike = e.alike;
  }
  outcome.range = RangesOf(outcome);
  std::vector<Line> kept;
  for (const Ranked& r : Rank(outcome, EvenWeights())) {
    if (kept.size() < most) kept.push_back(std::move(outcome.lines[r.line]));
  }
  outcome.not_shown = outcome.lines.size() - kept.size();
  ParallelFor(threads, kept.size(), [&](std::size_t, std::size_t i) {
    const std::uint64_t same = kept[i].alike;
    kept[i] = LineOf(document, space, joints, Choice(kept[i].choice));
    kept[i].alike = same;
  });
  outcome.lines = std::move(kept);
  return outcome;
}

std::optional<double> ChanceBetter(const Line& a, const Line& b, Aim aim, const Wish& wish) {
  const auto &of_a = At(a.aims, aim), &of_b = At(b.aims, aim);
  if (!wish.want || !of_a || !of_b) return std::nullopt;
  const double middle = Goodness(wish, *of_a) - Goodness(wish, *of_b);
  const auto rate = [&](const Line& line, std::size_t i) {
    return i == static_cast<std::size_t>(aim) ? GainSign(wish, *At(line.aims, aim)) : 0.0;
  };
  return ChanceAbove(middle, HalfWidthOfDifference(a, b, rate));
}

Weights EvenWeights() {
  Weights weights;
  weights.fill(1.0);
  return weights;
}

std::vector<Ranked> Rank(const Conclusion& outcome, const Weights& weights) {
  const auto& ranges = outcome.range;
  double all = 0.0;
  for (std::size_t i = 0; i < kAims; ++i) {
    if (outcome.wishes.of[i].want) all += weights[i];
  }
  std::vector<Ranked> ranked;
  for (std::size_t l = 0; l < outcome.lines.size(); ++l) {
    double sum = 0.0;
    for (std::size_t i = 0; i < kAims; ++i) {
      const auto& value = outcome.lines[l].aims[i];
      if (!outcome.wishes.of[i].want || !value || ranges[i].Width() <= 0.0) continue;
      const double below = ranges[i].best - Goodness(outcome.wishes.of[i], *value);
      sum += weights[i] * below / ranges[i].Width();
    }
    ranked.push_back({l, all > 0.0 ? sum / all : 0.0, {}});
  }
  std::ranges::stable_sort(ranked, std::ranges::less{}, &Ranked::balance);
  for (std::size_t r = 0; r + 1 < ranked.size(); ++r) {
    const Line &a = outcome.lines[ranked[r].line], &b = outcome.lines[ranked[r + 1].line];
    const auto rate = [&](const Line& line, std::size_t i) {
      return all > 0.0 ? BalanceRate(outcome, ranges, weights, line, i) / all : 0.0;
    };
    ranked[r].beats_next =
        ChanceAbove(ranked[r + 1].balance - ranked[r].balance, HalfWidthOfDifference(a, b, rate));
  }
  return ranked;
}

}  // namespace steerbench::search
