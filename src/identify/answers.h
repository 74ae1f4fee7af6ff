// What the variants of a part answer to one question: how probable each answer is from each of
// them, and how much an answer would tell.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "model/identify.h"

namespace steerbench::identify {

// The answer of a row. `field` is the key of the one that is filled in ("yes", "is", "count",
// "length" ...). Yes, words and counts are compared as words: "yes" or "no", the words in lower
// case without blanks at their ends, the number.
struct Answer {
  std::string_view field;
  std::string word;                 // as it is compared; empty where something was measured
  std::string shown;                // the word as written
  std::optional<Quantity> reading;  // what was measured

  [[nodiscard]] bool Measured() const { return reading.has_value(); }
};

// Unset when the row has none. Of several the first (ReadToml refuses them).
[[nodiscard]] std::optional<Answer> AnswerOf(const Trait& row);

// Whether an answer is the one that a variant gives: the same word, or readings no further apart
// than their ± together (the roots of the squares' sum).
[[nodiscard]] bool Agrees(const Answer& a, const Answer& b);

// Why an answer cannot be weighed.
enum class Weight : std::uint8_t {
  kWeighed,
  kNoTrait,   // no variant says what it shows of this
  kOneKind,   // another kind of answer than the variants'
  kExact,     // neither the reading nor the variant states a ±: no chance belongs to a difference
  kOneValue,  // the variants have one value of this and no ±: nothing says how far others lie
};

// The answers that the variants give about one feature. Hypotheses are the variants in their order
// and, behind them, 'none of these'.
//
// Yes or no, words, counts: a variant's own answer comes with 1 - wrong, each other one with an
// equal part of wrong. The answers are those of all variants, for words and counts also
// 'something else'. 'None of these' gives each of them equally.
//
// Measured: with 1 - wrong Gauss' density about the variant's value, its variance the sum of the
// squares of the halved ± of value and reading (± has k = 2); with wrong a broad density, that of
// 'none of these': Cauchy's, its centre and half-width those of the range from the least value less
// its ± to the greatest plus its ±, so that half of it lies within what the variants show.
//
// A variant that does not say what it shows is taken to answer as the others do on the average of
// their priors; an answer then leaves its own probability as it was before looking.
class Answers {
 public:
  // `prior`: of each variant, above zero, of any sum.
  Answers(const Riddle& riddle, std::string_view feature, std::span<const double> prior);

  // Whether an answer can be weighed.
  [[nodiscard]] Weight Weigh(const Answer& answer) const;

  // How probable an answer is from each hypothesis; of a reading the density [1/SI unit]. All above
  // zero. `answer` must be one that can be weighed, 0 < wrong < 1.
  [[nodiscard]] std::vector<double> Likelihood(const Answer& answer, double wrong) const;

  // How much an answer is expected to tell [bit]: the mutual information of hypothesis and answer,
  // for probabilities `now` of the hypotheses (Lindley 1956; MacKay 2003, 8.1). Readings are taken
  // to be as good as ReadingTolerance; unset where that, or everything, is unknown.
  [[nodiscard]] std::optional<double> Information(std::span<const double> now, double wrong) const;

  // The ± that a reading to come is taken to have [SI]: the root mean square of the variants' own.
  // Unset when none of them states one, or nothing is measured.
  [[nodiscard]] std::optional<double> ReadingTolerance() const;

  // The key of the kind of answer; empty when no variant has one.
  [[nodiscard]] std::string_view Field() const { return field_; }
  // Of what is measured; kRatio where nothing is.
  [[nodiscard]] Kind MeasuredKind() const { return kind_; }
  // The variants' words, as written.
  [[nodiscard]] const std::vector<std::string>& Words() const { return shown_; }
  // What each variant shows; unset where it does not say.
  [[nodiscard]] const std::vector<std::optional<Answer>>& Traits() const { return traits_; }

 private:
  class Peaks;
  [[nodiscard]] std::size_t CountOfAnswers() const;
  [[nodiscard]] std::vector<double> OfWord(std::size_t answer, double wrong) const;
  [[nodiscard]] std::vector<double> OfReading(double value, std::optional<double> tolerance,
                                              double wrong) const;
  // Fills in those that do not say, and 'none of these'.
  void Complete(std::vector<double>& likelihood, double none) const;
  [[nodiscard]] double InformationOfReading(std::span<const double> now, double wrong) const;
  [[nodiscard]] double Broad(double value) const;

  std::string_view field_;
  std::vector<std::optional<Answer>> traits_;
  std::vector<double> prior_;
  std::vector<std::string> words_, shown_;  // of yes or no, words and counts
  double centre_ = 0.0, half_width_ = 0.0;  // of the range of what is measured [SI]
  bool measured_ = false;
  Kind kind_ = Kind::kRatio;
};

// The information of one answer about the hypotheses, times its probability [bit]: the sum of
// p L log2(L / f), where f is the sum of p L. Never negative.
[[nodiscard]] double TermOfInformation(std::span<const double> probability,
                                       std::span<const double> likelihood);

// Shannon's entropy of probabilities [bit].
[[nodiscard]] double Entropy(std::span<const double> probability);

}  // namespace steerbench::identify
