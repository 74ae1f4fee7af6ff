#include "identify/answers.h"

#include <algorithm>
#include <array>
#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <cctype>
#include <cmath>
#include <limits>
#include <numbers>

#include "quantity/apart.h"
#include "quantity/trimmed.h"

namespace steerbench::identify {
namespace {

constexpr double kCoverage = 2.0;  // of a ±, docs/conventions.md

std::string Compared(std::string_view text) {
  std::string word(Trimmed(text));
  std::ranges::transform(word, word.begin(),
                         [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  // Spellings of one word on both sides of the Atlantic, as part of a longer word too.
  constexpr std::array<std::pair<std::string_view, std::string_view>, 2> kSpelt{
      {{"gray", "grey"}, {"aluminum", "aluminium"}}};
  for (const auto& [one, other] : kSpelt) {
    for (std::size_t at = 0; (at = word.find(one, at)) != std::string::npos; at += other.size()) {
      word.replace(at, one.size(), other);
    }
  }
  return word;
}

double Gauss(double x, double mean, double sigma) {
  const double z = (x - mean) / sigma;
  return std::exp(-0.5 * z * z) / (sigma * std::sqrt(2.0 * std::numbers::pi));
}

double Tolerance(const Answer& a) { return a.reading->tolerance.value_or(0.0); }

}  // namespace

std::optional<Answer> AnswerOf(const Trait& row) {
  std::optional<Answer> answer;
  Trait::Visit(
      [&answer](const FieldInfo& info, const auto& field) {
        using Field = std::remove_cvref_t<decltype(field)>;
        if (answer || info.key == "feature") return;
        if constexpr (std::is_same_v<Field, std::optional<bool>>) {
          if (field) answer = {info.key, *field ? "yes" : "no", *field ? "yes" : "no", {}};
        } else if constexpr (std::is_same_v<Field, std::string>) {
          if (!field.empty()) answer = {info.key, Compared(field), field, {}};
        } else if (field && field->kind == Kind::kCount) {
          const std::string number = std::to_string(std::llround(field->value));
          answer = {info.key, number, number, {}};
        } else if (field) {
          answer = {info.key, {}, {}, *field};
        }
      },
      row);
  return answer;
}

bool Agrees(const Answer& a, const Answer& b) {
  if (a.field != b.field) return false;
  if (!a.Measured()) return a.word == b.word;
  return !FurtherApart(*a.reading, *b.reading);
}

double TermOfInformation(std::span<const double> probability, std::span<const double> likelihood) {
  double f = 0.0;
  for (std::size_t i = 0; i < probability.size(); ++i) f += probability[i] * likelihood[i];
  double sum = 0.0;
  for (std::size_t i = 0; i < probability.size(); ++i) {
    const double joint = probability[i] * likelihood[i];
    if (joint > 0.0) sum += joint * std::log2(likelihood[i] / f);
  }
  return std::max(sum, 0.0);  // below zero by rounding only (Gibbs' inequality)
}

double Entropy(std::span<const double> probability) {
  double sum = 0.0;
  for (const double p : probability) {
    if (p > 0.0) sum -= p * std::log2(p);
  }
  return sum;
}

Answers::Answers(const Riddle& riddle, std::string_view feature, std::span<const double> prior)
    : prior_(prior.begin(), prior.end()) {
  double least = 0.0, greatest = 0.0;
  for (const Variant& variant : riddle.variant) {
    const auto row = std::ranges::find(variant.trait, feature, &Trait::feature);
    auto trait = row == variant.trait.end() ? std::nullopt : AnswerOf(*row);
    if (trait && !field_.empty() && trait->field != field_) trait.reset();
    if (trait && trait->Measured()) {
      const double low = trait->reading->value - Tolerance(*trait);
      const double high = trait->reading->value + Tolerance(*trait);
      least = measured_ ? std::min(least, low) : low;
      greatest = measured_ ? std::max(greatest, high) : high;
      measured_ = true;
      kind_ = trait->reading->kind;
    } else if (trait && std::ranges::find(words_, trait->word) == words_.end()) {
      words_.push_back(trait->word);
      shown_.push_back(trait->shown);
    }
    if (trait) field_ = trait->field;
    traits_.push_back(std::move(trait));
  }
  if (field_ == "yes") words_ = shown_ = {"yes", "no"};
  centre_ = 0.5 * (least + greatest);
  half_width_ = 0.5 * (greatest - least);
}

std::size_t Answers::CountOfAnswers() const { return words_.size() + (field_ == "yes" ? 0 : 1); }

Weight Answers::Weigh(const Answer& answer) const {
  if (field_.empty()) return Weight::kNoTrait;
  if (answer.field != field_) return Weight::kOneKind;
  if (!measured_) return Weight::kWeighed;
  if (half_width_ <= 0.0) return Weight::kOneValue;
  const bool exact = std::ranges::any_of(
      traits_, [](const auto& trait) { return trait && Tolerance(*trait) <= 0.0; });
  return exact && Tolerance(answer) <= 0.0 ? Weight::kExact : Weight::kWeighed;
}

double Answers::Broad(double value) const {
  const double z = (value - centre_) / half_width_;
  return 1.0 / (std::numbers::pi * half_width_ * (1.0 + z * z));
}

void Answers::Complete(std::vector<double>& likelihood, double none) const {
  double sum = 0.0, weights = 0.0;
  for (std::size_t i = 0; i < traits_.size(); ++i) {
    if (!traits_[i]) continue;
    sum += prior_[i] * likelihood[i];
    weights += prior_[i];
  }
  for (std::size_t i = 0; i < traits_.size(); ++i) {
    if (!traits_[i]) likelihood[i] = sum / weights;
  }
  likelihood.push_back(none);
}

std::vector<double> Answers::OfWord(std::size_t answer, double wrong) const {
  const auto count = static_cast<double>(CountOfAnswers());
  std::vector<double> likelihood(traits_.size());
  for (std::size_t i = 0; i < traits_.size(); ++i) {
    if (!traits_[i]) continue;
    const bool own = answer < words_.size() && words_[answer] == traits_[i]->word;
    likelihood[i] = own ? 1.0 - wrong : wrong / (count - 1.0);
  }
  Complete(likelihood, 1.0 / count);
  return likelihood;
}

std::vector<double> Answers::OfReading(double value, std::optional<double> tolerance,
                                       double wrong) const {
  const double broad = Broad(value);
  std::vector<double> likelihood(traits_.size());
  for (std::size_t i = 0; i < traits_.size(); ++i) {
    if (!traits_[i]) continue;
    const double sigma = std::hypot(Tolerance(*traits_[i]), tolerance.value_or(0.0)) / kCoverage;
    likelihood[i] = (1.0 - wrong) * Gauss(value, traits_[i]->reading->value, sigma) + wrong * broad;
  }
  Complete(likelihood, broad);
  return likelihood;
}

std::vector<double> Answers::Likelihood(const Answer& answer, double wrong) const {
  if (answer.Measured()) return OfReading(answer.reading->value, answer.reading->tolerance, wrong);
  const auto word = std::ranges::find(words_, answer.word);
  return OfWord(static_cast<std::size_t>(word - words_.begin()), wrong);
}

std::optional<double> Answers::ReadingTolerance() const {
  double squares = 0.0;
  int count = 0;
  for (const auto& trait : traits_) {
    if (!trait || !trait->Measured() || Tolerance(*trait) <= 0.0) continue;
    squares += Tolerance(*trait) * Tolerance(*trait);
    ++count;
  }
  if (count == 0) return std::nullopt;
  return std::sqrt(squares / count);
}

// Gauss' peaks of the variants, those alike as one, and all else that a reading's term needs.
class Answers::Peaks {
 public:
  Peaks(const Answers& a, std::span<const double> now, double wrong, double tolerance)
      : wrong_(wrong), none_(now.back()) {
    for (std::size_t i = 0; i < a.traits_.size(); ++i) {
      const auto& trait = a.traits_[i];
      if (!trait) {
        unsaid_ += now[i];
        continue;
      }
      said_ += now[i];
      prior_ += a.prior_[i];
      const double mean = trait->reading->value;
      const double sigma = std::hypot(Tolerance(*trait), tolerance) / kCoverage;
      const auto same = std::ranges::find_if(
          peak_, [&](const Peak& p) { return p.mean == mean && p.sigma == sigma; });
      Peak& peak = same == peak_.end() ? peak_.emplace_back(Peak{mean, sigma}) : *same;
      peak.now += now[i];
      peak.prior += a.prior_[i];
    }
  }

  // Places between which the density is smooth, from low to high.
  [[nodiscard]] std::vector<double> Breaks() const {
    constexpr std::array kAt{-8.0, -4.0, -2.0, -1.0, 0.0, 1.0, 2.0, 4.0, 8.0};
    constexpr double kNearest = 0.25;  // of the narrowest sigma: what lies closer is one place
    std::vector<double> all;
    double narrowest = peak_.front().sigma;
    for (const Peak& p : peak_) {
      narrowest = std::min(narrowest, p.sigma);
      for (const double k : kAt) all.push_back(p.mean + k * p.sigma);
    }
    std::ranges::sort(all);
    std::vector<double> kept;
    for (const double y : all) {
      if (kept.empty() || y - kept.back() > kNearest * narrowest) kept.push_back(y);
    }
    return kept;
  }

  // Only the peaks that can be felt between two places are looked at by Term there.
  void Between(double low, double high) {
    constexpr double kFelt = 12.0;  // sigma: exp(-72) of the peak is left
    near_.clear();
    far_ = said_;
    for (const Peak& p : peak_) {
      if (low > p.mean + kFelt * p.sigma || high < p.mean - kFelt * p.sigma) continue;
      near_.push_back(p);
      far_ -= p.now;
    }
    far_ = std::max(far_, 0.0);
  }

  // TermOfInformation at a reading, of all hypotheses, those without a peak there taken together.
  [[nodiscard]] double Term(double y, double broad) {
    const double floor = wrong_ * broad;
    double unsaid = floor, f = none_ * broad + far_ * floor;
    for (Peak& p : near_) {
      const double peak = (1.0 - wrong_) * Gauss(y, p.mean, p.sigma);
      p.likelihood = peak + floor;
      f += p.now * p.likelihood;
      unsaid += p.prior / prior_ * peak;
    }
    f += unsaid_ * unsaid;
    double sum = 0.0;
    const auto add = [&](double now, double likelihood) {
      if (now * likelihood > 0.0) sum += now * likelihood * std::log2(likelihood / f);
    };
    for (const Peak& p : near_) add(p.now, p.likelihood);
    add(far_, floor);
    add(none_, broad);
    add(unsaid_, unsaid);
    return std::max(sum, 0.0);  // below zero by rounding only (Gibbs' inequality)
  }

 private:
  struct Peak {
    double mean, sigma;
    double now = 0.0, prior = 0.0, likelihood = 0.0;
  };
  double wrong_, none_;
  double said_ = 0.0, unsaid_ = 0.0, prior_ = 0.0, far_ = 0.0;
  std::vector<Peak> peak_, near_;
};

// By y = centre + half-width · tan(π (q - 1/2)) the broad density becomes 1 on 0 < q < 1. What is
// left are Gauss' peaks, at whose multiples of sigma the integral is broken.
double Answers::InformationOfReading(std::span<const double> now, double wrong) const {
  constexpr unsigned kDepth = 4;
  constexpr double kRelative = 1e-9;
  // Of one piece [bit]: of some hundred pieces still less than what counts as telling nothing.
  constexpr double kEnough = 1e-9;
  using Rule = boost::math::quadrature::gauss_kronrod<double, 15>;
  Peaks peaks(*this, now, wrong, *ReadingTolerance());
  const auto term = [&](double q) {
    const double y = centre_ + half_width_ * std::tan(std::numbers::pi * (q - 0.5));
    if (!std::isfinite(y)) return 0.0;
    const double broad = Broad(y);
    return peaks.Term(y, broad) / broad;
  };
  const auto share = [&](double y) {
    return 0.5 + std::atan((y - centre_) / half_width_) / std::numbers::pi;
  };
  constexpr double kInfinity = std::numeric_limits<double>::infinity();
  std::vector<double> breaks{-kInfinity};
  for (const double y : peaks.Breaks()) breaks.push_back(y);
  breaks.push_back(kInfinity);
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < breaks.size(); ++i) {
    const double from = share(breaks[i]), to = share(breaks[i + 1]);
    if (to <= from) continue;
    peaks.Between(breaks[i], breaks[i + 1]);
    double error = 0.0;
    double piece = Rule::integrate(term, from, to, 0, kRelative, &error);
    if (error > kEnough) piece = Rule::integrate(term, from, to, kDepth, kRelative);
    sum += piece;
  }
  return sum;
}

std::optional<double> Answers::Information(std::span<const double> now, double wrong) const {
  if (field_.empty()) return 0.0;
  if (measured_) {
    if (half_width_ <= 0.0 || !ReadingTolerance()) return std::nullopt;
    return InformationOfReading(now, wrong);
  }
  double sum = 0.0;
  for (std::size_t answer = 0; answer < CountOfAnswers(); ++answer) {
    sum += TermOfInformation(now, OfWord(answer, wrong));
  }
  return sum;
}

}  // namespace steerbench::identify
