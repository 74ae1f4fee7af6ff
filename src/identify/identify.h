// Which variant of a part is on the car? Bayes' theorem over the variants and 'none of these', from
// what was seen in any order; what to look at next; what contradicts; what may be ordered.
// Method, range and sources: docs/methods/identify.md.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "identify/answers.h"

namespace steerbench::identify {

// What is taken where the document does not say, and shown as assumed. Both are round numbers
// without a source, on the side of doubt.
inline constexpr double kAssumedWrong = 0.05;  // one look in twenty
inline constexpr double kAssumedNone = 0.05;   // one car in twenty has something else

// From which probability a variant counts as found, when nobody says otherwise: the confidence
// that a ± has.
inline constexpr double kUsuallySure = 0.95;

// A share that may have been assumed.
struct Share {
  double value = 0.0;
  bool assumed = false;
};

// One row of what was seen, and how it counts. A row is taken as independent of the others.
struct Evidence {
  std::size_t row = 0;  // of Riddle::seen
  std::string feature;
  std::optional<Answer> answer;  // unset: the row has none and does not count
  Share wrong;
  Weight weight = Weight::kNoTrait;
  bool exact = false;               // a reading without ±, taken as exact
  std::vector<double> likelihood;   // of each hypothesis; empty when it cannot be weighed
  std::vector<std::size_t> agrees;  // the variants whose answer it is

  [[nodiscard]] bool Counts() const { return !likelihood.empty(); }
};

struct Contradiction {
  enum class Kind : std::uint8_t {
    kAgainstLikeliest,  // the likeliest variant shows something else
    kAgainstAll,        // every variant shows something else
    kTwoAnswers         // two rows about one feature disagree
  };
  Kind kind = Kind::kAgainstAll;
  std::size_t evidence = 0, other = 0;  // indices of `seen`; `other` of kTwoAnswers only
  std::optional<Answer> expected;       // of kAgainstLikeliest
};

// A feature that was not looked at yet.
struct Question {
  std::size_t feature = 0;  // of Riddle::feature
  Share wrong;
  std::optional<double> bits;        // expected; unset when it cannot be told
  std::optional<double> per_minute;  // [bit/min]; unset without bits or effort
  std::string_view field;            // key of the kind of answer; empty when no variant has one
  Kind kind = Kind::kRatio;          // of what is measured
  std::vector<std::string> words;    // the variants' answers, of words and counts
  std::optional<double> reading_tolerance;  // [SI] that a reading was taken to have
};

// A thing to be ordered, over the variants that may be on the car.
struct Need {
  std::string thing;
  std::vector<std::pair<std::size_t, std::string>> which;  // variant; empty text: it does not say
  bool same = false;
};

struct Identified {
  std::vector<double> prior, probability;  // of the variants in their order, then of none of them
  bool none_assumed = false;
  double sure = kUsuallySure;
  double entropy = 0.0;  // what is not known yet [bit]
  std::vector<Evidence> seen;
  std::vector<Contradiction> contradictions;
  // The best first: those whose effort is known by bits per minute, then those whose effort is not
  // known by bits, then those of which nothing can be told. What tells nothing is left out.
  std::vector<Question> questions;
  // The likeliest hypotheses that together reach `sure`, the likeliest first. The index behind the
  // variants is 'none of these'.
  std::vector<std::size_t> left;
  std::vector<Need> needs;  // of the variants among `left`

  [[nodiscard]] std::size_t None() const { return probability.size() - 1; }
  [[nodiscard]] std::size_t Likeliest() const { return left.front(); }
  // One variant is as sure as asked for.
  [[nodiscard]] bool Settled() const { return left.size() == 1 && left.front() != None(); }
  // 'None of these' is as likely as to be reckoned with: nothing is safe to order.
  [[nodiscard]] bool MayBeNone() const;
  // Two rows about one feature disagree, so that one of them is wrong: nothing is safe to order.
  [[nodiscard]] bool Disputed() const;
};

// `riddle` as ReadToml lets it pass, with one variant at least; 0 < sure < 1.
[[nodiscard]] Identified Identify(const Riddle& riddle, double sure = kUsuallySure);

}  // namespace steerbench::identify
