// Probabilities, contradictions, questions and orders of whole riddles.
#include "identify/identify.h"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "fixtures/near.h"
#include "fixtures/riddles.h"

namespace steerbench::identify {
namespace {

using riddles::Dice;

TEST_CASE("a test of 95 % and an illness of one in a hundred") {
  // MacKay (2003), example 2.3: a test that is right in 95 % of the cases, an illness of 1 %: after
  // a positive test it is there with a probability of 0.16. From memory.
  Riddle r;
  r.none = riddles::Of(Kind::kShare, 0.0);
  r.feature = {riddles::Asked("test", 0.05)};
  r.variant = {riddles::Named("ill", {riddles::Yes("test", true)}, 1.0),
               riddles::Named("well", {riddles::Yes("test", false)}, 99.0)};
  r.seen = {riddles::Saw(riddles::Yes("test", true))};
  const Identified found = Identify(r);
  CHECK(found.probability[0] == fixtures::Near(0.16, 0.01));
  CHECK(found.probability[0] == fixtures::Near(0.95 / (0.95 + 0.05 * 99.0), 1e-12));
  CHECK(found.probability[2] == 0.0);
}

TEST_CASE("three doors") {
  // MacKay (2003), exercise 3.8: behind one of three doors is a prize; the player takes the first,
  // the host, who knows, opens the third, and it is behind the second with 2/3. From memory. Which
  // door the host would open, where he has a choice, splits the first into two of half the chance.
  Riddle r;
  r.none = riddles::Of(Kind::kShare, 0.0);
  r.feature = {riddles::Asked("opened", 1e-12)};
  r.variant = {riddles::Named("first, host opens the second", {riddles::Is("opened", "2")}, 0.5),
               riddles::Named("first, host opens the third", {riddles::Is("opened", "3")}, 0.5),
               riddles::Named("second", {riddles::Is("opened", "3")}),
               riddles::Named("third", {riddles::Is("opened", "2")})};
  r.seen = {riddles::Saw(riddles::Is("opened", "3"))};
  const Identified found = Identify(r);
  CHECK(found.probability[2] == fixtures::Near(2.0 / 3.0, 1e-9));
  CHECK(found.probability[0] + found.probability[1] == fixtures::Near(1.0 / 3.0, 1e-9));
}

TEST_CASE("two readings of one scatter: odds by the closed form") {
  // The logarithm of the odds of two Gaussians of one sigma is (b - a)(2 x - a - b) / (2 sigma^2).
  constexpr double kA = 0.150, kB = 0.153, kReading = 0.1518, kOwn = 0.002, kTape = 0.0015;
  Riddle r;
  r.none = riddles::Of(Kind::kShare, 0.0);
  r.feature = {riddles::Asked("travel", 1e-14)};
  r.variant = {riddles::Named("a", {riddles::Length("travel", kA, kOwn)}),
               riddles::Named("b", {riddles::Length("travel", kB, kOwn)})};
  r.seen = {riddles::Saw(riddles::Length("travel", kReading, kTape))};
  const Identified found = Identify(r);
  const double variance = 0.25 * (kOwn * kOwn + kTape * kTape);
  const double odds = (kB - kA) * (2.0 * kReading - kA - kB) / (2.0 * variance);
  CHECK(std::log(found.probability[1] / found.probability[0]) == fixtures::Near(odds, 1e-9));
}

// A riddle with some answers, one look at a feature at most.
Riddle Drawn(std::uint64_t seed) {
  Dice dice(seed);
  Riddle r = riddles::DrawRiddle(dice);
  const std::size_t truth = dice.Below(r.variant.size() + 1);
  for (std::size_t f = 0; f < r.feature.size(); ++f) {
    if (dice.Chance(0.5)) continue;
    if (const auto seen = riddles::DrawAnswer(dice, r, f, truth, 3.0)) r.seen.push_back(*seen);
  }
  return r;
}

TEST_CASE("properties of any riddle") {
  rc::check("probabilities make one, information is never negative, the order of looks is nothing",
            [](std::uint32_t seed) {
              Riddle r = Drawn(seed);
              const Identified found = Identify(r);
              RC_ASSERT(std::abs(std::accumulate(found.probability.begin(), found.probability.end(),
                                                 0.0) -
                                 1.0) < 1e-12);
              for (const double p : found.probability) RC_ASSERT(p >= 0.0 && p <= 1.0);
              for (const Question& q : found.questions) {
                RC_ASSERT(q.bits && *q.bits >= 0.0 && *q.bits <= found.entropy + 1e-9);
              }
              double reached = 0.0;
              for (const std::size_t i : found.left) reached += found.probability[i];
              RC_ASSERT(reached >= found.sure - 1e-12);
              std::ranges::reverse(r.seen);
              RC_ASSERT(Identify(r).probability == found.probability);
            });
  rc::check("nothing seen, nothing learnt", [](std::uint32_t seed) {
    Dice dice(seed);
    const Identified found = Identify(riddles::DrawRiddle(dice));
    for (std::size_t i = 0; i < found.prior.size(); ++i) {
      RC_ASSERT(std::abs(found.probability[i] - found.prior[i]) < 1e-12);
    }
  });
  rc::check(
      "a look at what a variant does not say leaves that variant among the variants as it was",
      [](std::uint32_t seed) {
        Riddle r = Drawn(seed);
        r.seen.resize(std::min<std::size_t>(r.seen.size(), 1));
        RC_PRE(!r.seen.empty());
        const Identified found = Identify(r);
        const double known = 1.0 - found.probability.back();
        const double before = 1.0 - found.prior.back();
        for (std::size_t i = 0; i < r.variant.size(); ++i) {
          const auto& traits = r.variant[i].trait;
          if (std::ranges::find(traits, r.seen[0].feature, &Trait::feature) != traits.end()) {
            continue;
          }
          RC_ASSERT(std::abs(found.probability[i] / known - found.prior[i] / before) < 1e-9);
        }
      });
}

// Two racks, told apart by a tag, by ribs and by their travel.
Riddle TwoRacks() {
  Riddle r;
  r.none = riddles::Of(Kind::kShare, 0.02);
  r.feature = {riddles::Asked("tag", 0.1, 2.0), riddles::Asked("ribs", 0.02, 1.0),
               riddles::Asked("travel", 0.05, 15.0), riddles::Asked("paint", 0.02)};
  r.variant = {riddles::Named("slow", {riddles::Is("tag", "green"), riddles::Yes("ribs", true),
                                       riddles::Length("travel", 0.150, 0.002),
                                       riddles::Is("paint", "black")}),
               riddles::Named("quick", {riddles::Is("tag", "blue"), riddles::Yes("ribs", false),
                                        riddles::Length("travel", 0.144, 0.002),
                                        riddles::Is("paint", "grey")})};
  r.variant[0].order = {{"seal kit", "A"}, {"boots", "B"}, {"bush", "22 mm"}};
  r.variant[1].order = {{"seal kit", "C"}, {"boots", "B"}};
  return r;
}

TEST_CASE("what to look at: bits per minute, and apart what has no effort") {
  const Identified found = Identify(TwoRacks());
  REQUIRE(found.questions.size() == 4);
  CHECK(found.questions[0].feature == 1);  // a minute for a sure look
  CHECK(found.questions[1].feature == 0);
  CHECK(found.questions[2].feature == 2);
  CHECK(found.questions[3].feature == 3);  // its effort is not known
  CHECK_FALSE(found.questions[3].per_minute);
  CHECK(found.questions[2].reading_tolerance == fixtures::Near(0.002));
}

TEST_CASE("contradictions are named") {
  Riddle r = TwoRacks();
  r.seen = {riddles::Saw(riddles::Is("tag", "blue")), riddles::Saw(riddles::Yes("ribs", true)),
            riddles::Saw(riddles::Length("travel", 0.1505, 0.001)),
            riddles::Saw(riddles::Is("paint", "red")), riddles::Saw(riddles::Yes("ribs", false))};
  const Identified found = Identify(r);
  using Kind = Contradiction::Kind;
  REQUIRE(found.contradictions.size() == 4);
  CHECK(found.contradictions[0].kind == Kind::kAgainstLikeliest);  // the tag is blue
  CHECK(found.contradictions[0].evidence == 0);
  CHECK(found.contradictions[0].expected->word == "green");
  CHECK(found.contradictions[1].kind == Kind::kAgainstAll);  // red paint
  CHECK(found.contradictions[1].evidence == 3);
  CHECK(found.contradictions[2].evidence == 4);  // no ribs
  CHECK(found.contradictions[3].kind == Kind::kTwoAnswers);
  CHECK(found.contradictions[3].other == 4);
  CHECK_FALSE(found.Settled());
  CHECK(found.Disputed());
  r.seen.pop_back();
  CHECK_FALSE(Identify(r).Disputed());
}

TEST_CASE("what may be ordered") {
  Riddle r = TwoRacks();
  Identified found = Identify(r);
  REQUIRE(found.needs.size() == 3);
  CHECK_FALSE(found.needs[0].same);  // seal kits differ
  CHECK(found.needs[1].same);        // boots do not
  CHECK_FALSE(found.needs[2].same);  // one does not say which bush
  CHECK(found.needs[2].which[1].second.empty());
  r.seen = {riddles::Saw(riddles::Is("tag", "green")), riddles::Saw(riddles::Yes("ribs", true)),
            riddles::Saw(riddles::Is("paint", "black"))};
  found = Identify(r);
  REQUIRE(found.Settled());
  CHECK(found.Likeliest() == 0);
  CHECK(std::ranges::all_of(found.needs, &Need::same));
}

TEST_CASE("a car that fits nothing is none of these") {
  Riddle r = TwoRacks();
  r.seen = {riddles::Saw(riddles::Is("tag", "red")),
            riddles::Saw(riddles::Length("travel", 0.170, 0.001)),
            riddles::Saw(riddles::Is("paint", "red"))};
  const Identified found = Identify(r);
  CHECK(found.Likeliest() == found.None());
  CHECK(found.MayBeNone());
  CHECK_FALSE(found.Settled());
}

TEST_CASE("what is assumed is said") {
  Riddle r = TwoRacks();
  r.none.reset();
  r.feature[0].wrong.reset();
  r.seen = {riddles::Saw(riddles::Is("tag", "green"))};
  const Identified found = Identify(r);
  CHECK(found.none_assumed);
  CHECK(found.seen[0].wrong.assumed);
  CHECK(found.seen[0].wrong.value == kAssumedWrong);
  r.seen[0].wrong = riddles::Of(Kind::kShare, 0.3);
  CHECK_FALSE(Identify(r).seen[0].wrong.assumed);
}

}  // namespace
}  // namespace steerbench::identify
