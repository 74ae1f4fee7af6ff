#include "identify/identify.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

namespace steerbench::identify {
namespace {

constexpr double kSecondsInMinute = 60.0;
constexpr double kTellsNothing = 1e-6;  // [bit], below what is shown

Share ShareOf(const std::optional<Quantity>& stated, double assumed) {
  return stated ? Share{stated->value, false} : Share{assumed, true};
}

const Feature* FeatureOf(const Riddle& riddle, const std::string& name) {
  const auto found = std::ranges::find(riddle.feature, name, &Feature::name);
  return found == riddle.feature.end() ? nullptr : &*found;
}

std::vector<double> Priors(const Riddle& riddle, double none) {
  std::vector<double> prior;
  for (const Variant& v : riddle.variant) prior.push_back(v.prior ? v.prior->value : 1.0);
  const double sum = std::accumulate(prior.begin(), prior.end(), 0.0);
  for (double& p : prior) p *= (1.0 - none) / sum;
  prior.push_back(none);
  return prior;
}

Evidence Weighed(const Riddle& riddle, std::size_t row, const Answers& answers) {
  const Sighting& seen = riddle.seen[row];
  const Feature* feature = FeatureOf(riddle, seen.feature);
  Evidence e;
  e.row = row;
  e.feature = seen.feature;
  e.answer = AnswerOf(seen);
  e.wrong = ShareOf(seen.wrong ? seen.wrong
                    : feature  ? feature->wrong
                               : std::nullopt,
                    kAssumedWrong);
  if (!e.answer) return e;
  e.weight = answers.Weigh(*e.answer);
  e.exact = e.answer->Measured() && !e.answer->reading->tolerance;
  if (e.weight != Weight::kWeighed) return e;
  e.likelihood = answers.Likelihood(*e.answer, e.wrong.value);
  for (std::size_t i = 0; i < answers.Traits().size(); ++i) {
    const auto& trait = answers.Traits()[i];
    if (trait && Agrees(*trait, *e.answer)) e.agrees.push_back(i);
  }
  return e;
}

// Bayes' theorem in logarithms, which many looks cannot drive out of range. They are summed in the
// order of their size, so that the order of the rows makes no difference, not even of rounding.
std::vector<double> Posterior(const std::vector<double>& prior, const std::vector<Evidence>& seen) {
  std::vector<double> logs(prior.size());
  for (std::size_t i = 0; i < prior.size(); ++i) {
    std::vector<double> terms{std::log(prior[i])};
    for (const Evidence& e : seen) {
      if (e.Counts()) terms.push_back(std::log(e.likelihood[i]));
    }
    std::ranges::sort(terms);
    logs[i] = std::accumulate(terms.begin(), terms.end(), 0.0);
  }
  const double most = *std::ranges::max_element(logs);
  // Looks so far out that all likelihoods vanish tell nothing.
  if (!std::isfinite(most)) return prior;
  double sum = 0.0;
  for (double& x : logs) sum += x = std::exp(x - most);
  for (double& x : logs) x /= sum;
  return logs;
}

// The likeliest hypotheses that together reach `sure`; of equal ones the first written.
std::vector<std::size_t> Left(const std::vector<double>& probability, double sure) {
  std::vector<std::size_t> order(probability.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::ranges::stable_sort(order, std::greater<>(), [&](std::size_t i) { return probability[i]; });
  double sum = 0.0;
  std::size_t count = 0;
  while (count < order.size() && sum < sure) sum += probability[order[count++]];
  order.resize(count);
  return order;
}

using AnswersOf = std::map<std::string, Answers, std::less<>>;

std::vector<Contradiction> Contradictions(const Identified& found, const AnswersOf& answers,
                                          std::size_t likeliest) {
  using Kind = Contradiction::Kind;
  std::vector<Contradiction> all;
  for (std::size_t i = 0; i < found.seen.size(); ++i) {
    const Evidence& e = found.seen[i];
    if (!e.Counts()) continue;
    const auto& trait = answers.at(e.feature).Traits()[likeliest];
    if (e.agrees.empty()) {
      all.push_back({Kind::kAgainstAll, i, 0, {}});
    } else if (trait && !Agrees(*trait, *e.answer)) {
      all.push_back({Kind::kAgainstLikeliest, i, 0, trait});
    }
    for (std::size_t j = 0; j < i; ++j) {
      const Evidence& f = found.seen[j];
      if (f.feature == e.feature && f.answer && !Agrees(*f.answer, *e.answer)) {
        all.push_back({Kind::kTwoAnswers, j, i, {}});
      }
    }
  }
  return all;
}

// Ranks of questions, the lower before the higher.
int Rank(const Question& q) { return q.per_minute ? 0 : q.bits ? 1 : 2; }

std::vector<Question> Questions(const Riddle& riddle, const Identified& found,
                                const AnswersOf& answers) {
  std::vector<Question> questions;
  for (std::size_t i = 0; i < riddle.feature.size(); ++i) {
    const Feature& feature = riddle.feature[i];
    const bool looked = std::ranges::any_of(found.seen, [&](const Evidence& e) {
      return e.feature == feature.name && e.answer.has_value();
    });
    if (looked) continue;
    const Answers& a = answers.at(feature.name);
    Question q;
    q.feature = i;
    q.wrong = ShareOf(feature.wrong, kAssumedWrong);
    q.bits = a.Information(found.probability, q.wrong.value);
    if (q.bits && *q.bits < kTellsNothing) continue;
    if (q.bits && feature.effort) {
      q.per_minute = *q.bits / (feature.effort->value / kSecondsInMinute);
    }
    q.field = a.Field();
    q.kind = a.MeasuredKind();
    q.words = a.Words();
    q.reading_tolerance = a.ReadingTolerance();
    questions.push_back(std::move(q));
  }
  std::ranges::stable_sort(questions, [](const Question& a, const Question& b) {
    if (Rank(a) != Rank(b)) return Rank(a) < Rank(b);
    return a.per_minute ? *a.per_minute > *b.per_minute : a.bits && *a.bits > *b.bits;
  });
  return questions;
}

std::vector<Need> Needs(const Riddle& riddle, const Identified& found) {
  std::vector<Need> needs;
  for (const std::size_t i : found.left) {
    if (i == found.None()) continue;
    for (const Purchase& p : riddle.variant[i].order) {
      if (std::ranges::find(needs, p.thing, &Need::thing) == needs.end()) {
        needs.push_back({p.thing, {}, true});
      }
    }
  }
  for (Need& need : needs) {
    for (const std::size_t i : found.left) {
      if (i == found.None()) continue;
      const auto& order = riddle.variant[i].order;
      const auto stated = std::ranges::find(order, need.thing, &Purchase::thing);
      need.which.emplace_back(i, stated == order.end() ? "" : stated->which);
      const std::string& which = need.which.back().second;
      need.same = need.same && !which.empty() && which == need.which.front().second;
    }
  }
  return needs;
}

}  // namespace

bool Identified::MayBeNone() const { return std::ranges::find(left, None()) != left.end(); }

bool Identified::Disputed() const {
  return std::ranges::find(contradictions, Contradiction::Kind::kTwoAnswers,
                           &Contradiction::kind) != contradictions.end();
}

Identified Identify(const Riddle& riddle, double sure) {
  const Share none = ShareOf(riddle.none, kAssumedNone);
  Identified found;
  found.prior = Priors(riddle, none.value);
  found.none_assumed = none.assumed;
  found.sure = sure;
  const std::span<const double> variants(found.prior.data(), riddle.variant.size());
  AnswersOf answers;
  const auto add = [&](const std::string& name) {
    if (!answers.contains(name)) answers.emplace(name, Answers(riddle, name, variants));
  };
  for (const Feature& feature : riddle.feature) add(feature.name);
  for (std::size_t row = 0; row < riddle.seen.size(); ++row) {
    add(riddle.seen[row].feature);
    found.seen.push_back(Weighed(riddle, row, answers.at(riddle.seen[row].feature)));
  }
  found.probability = Posterior(found.prior, found.seen);
  found.entropy = Entropy(found.probability);
  found.left = Left(found.probability, sure);
  const auto likeliest = std::max_element(found.probability.begin(), found.probability.end() - 1);
  found.contradictions = Contradictions(
      found, answers, static_cast<std::size_t>(likeliest - found.probability.begin()));
  found.questions = Questions(riddle, found, answers);
  found.needs = Needs(riddle, found);
  return found;
}

}  // namespace steerbench::identify
