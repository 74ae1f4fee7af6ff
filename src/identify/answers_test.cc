// How probable answers are and what they tell, against published figures and closed forms.
#include "identify/answers.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <cmath>
#include <limits>
#include <numeric>

#include "fixtures/near.h"
#include "fixtures/riddles.h"
#include "fixtures/slower.h"

namespace steerbench::identify {
namespace {

using riddles::Dice;

constexpr double kHardlyEver = 1e-13;  // a rate of wrong answers that does not show in the digits

Riddle Pair(Trait a, Trait b) {
  Riddle r;
  r.variant = {riddles::Named("a", {std::move(a)}), riddles::Named("b", {std::move(b)})};
  return r;
}

double InformationOfYes(double p, double wrong) {
  const Riddle r = Pair(riddles::Yes("x", true), riddles::Yes("x", false));
  const std::vector<double> prior{p, 1.0 - p};
  const std::vector<double> now{p, 1.0 - p, 0.0};
  return *Answers(r, "x", prior).Information(now, wrong);
}

TEST_CASE("a yes-or-no look is a binary symmetric channel") {
  // MacKay, Information Theory, Inference, and Learning Algorithms (2003), 9.3 and 9.4: f = 0.15,
  // input (0.9, 0.1): 0.15 bit; input (1/2, 1/2): 0.39 bit. Figures from memory.
  CHECK(InformationOfYes(0.1, 0.15) == fixtures::Near(0.15, 0.03));
  CHECK(InformationOfYes(0.5, 0.15) == fixtures::Near(0.39, 0.005));
  // Shannon's capacity of the channel at f = 0.1, 0.531 bit, in many lecture notes.
  CHECK(InformationOfYes(0.5, 0.1) == fixtures::Near(0.531, 1e-3));
  // Its closed form, 1 - H2(f).
  for (const double f : {0.01, 0.15, 0.3, 0.5}) {
    const double h2 = -f * std::log2(f) - (1.0 - f) * std::log2(1.0 - f);
    CHECK(InformationOfYes(0.5, f) == fixtures::Near(1.0 - h2, 1e-12));
  }
}

// Twelve balls, one of them odd, heavy or light; `on` of them lie in each pan.
double InformationOfWeighing(int on) {
  constexpr int kBalls = 12;
  Riddle r;
  for (int ball = 0; ball < kBalls; ++ball) {
    for (const bool heavy : {true, false}) {
      const bool left = ball < on, right = !left && ball < 2 * on;
      const char* side = left == right ? "balanced" : left == heavy ? "left" : "right";
      r.variant.push_back(riddles::Named("ball", {riddles::Is("pans", side)}));
    }
  }
  const std::vector<double> prior(r.variant.size(), 1.0);
  std::vector<double> now(r.variant.size(), 1.0 / static_cast<double>(r.variant.size()));
  now.push_back(0.0);
  return *Answers(r, "pans", prior).Information(now, kHardlyEver);
}

TEST_CASE("the weighing problem") {
  // MacKay (2003), 4.1: four against four tells log2 3 = 1.58 bit, the most; six against six one
  // bit. From memory; both follow from the counts of the outcomes.
  CHECK(InformationOfWeighing(4) == fixtures::Near(std::log2(3.0), 1e-9));
  CHECK(InformationOfWeighing(6) == fixtures::Near(1.0, 1e-9));
  for (const int on : {1, 2, 3, 5, 6}) {
    CHECK(InformationOfWeighing(on) < InformationOfWeighing(4));
  }
}

// Two values of equal chance, the scatter of value and reading together `sigma`.
double InformationOfReading(double low, double high, double sigma, double wrong) {
  const double tolerance = sigma * std::sqrt(2.0);
  const Riddle r =
      Pair(riddles::Length("x", low, tolerance), riddles::Length("x", high, tolerance));
  const std::vector<double> prior{1.0, 1.0}, now{0.5, 0.5, 0.0};
  return *Answers(r, "x", prior).Information(now, wrong);
}

TEST_CASE("a reading is a Gaussian channel of two inputs") {
  // Richardson, Shokrollahi, Urbanke, IEEE Trans. Inf. Theory 47 (2001) 619: the channel with
  // inputs -1 and 1 carries half a bit at sigma = 0.979. From memory.
  CHECK(InformationOfReading(-1.0, 1.0, 0.979, kHardlyEver) == fixtures::Near(0.5, 5e-4));
  // The same in another unit and place.
  CHECK(InformationOfReading(0.149, 0.151, 0.979e-3, kHardlyEver) == fixtures::Near(0.5, 5e-4));
  // Far apart each reading settles it; with gross errors at a rate of w it does not. Where the
  // broad density is small beside the peaks what is left is 1 - w.
  CHECK(InformationOfReading(-1.0, 1.0, 1e-4, kHardlyEver) == fixtures::Near(1.0, 1e-9));
  CHECK(InformationOfReading(-1.0, 1.0, 1e-4, 0.1) == fixtures::Near(0.9, 2e-3));
  // Small differences: (apart / sigma)^2 / (8 ln 2), the first term in the signal (Cover, Thomas,
  // Elements of Information Theory, 9.1, whose log2(1 + P/N) / 2 begins so for every input).
  CHECK(InformationOfReading(-0.01, 0.01, 1.0, kHardlyEver) ==
        fixtures::Near(0.02 * 0.02 / (8.0 * std::log(2.0)), 1e-3));
}

TEST_CASE("the probabilities of all answers make one") {
  Dice dice(1);
  for (int i = 0; i < 20; ++i) {
    const Riddle r = riddles::DrawRiddle(dice);
    std::vector<double> prior;
    for (const Variant& v : r.variant) prior.push_back(v.prior->value);
    for (const Feature& f : r.feature) {
      const Answers a(r, f.name, prior);
      if (a.Field().empty()) continue;
      std::vector<double> sum(prior.size() + 1, 0.0);
      if (const auto tolerance = a.ReadingTolerance()) {
        for (std::size_t h = 0; h < sum.size(); ++h) {
          const auto density = [&](double x) {
            const Trait row = riddles::Length(f.name, x, tolerance);
            return a.Likelihood(*AnswerOf(row), f.wrong->value)[h];
          };
          // Apart at places among the peaks.
          const double inf = std::numeric_limits<double>::infinity();
          std::vector<double> cuts{-inf};
          for (double x = 0.13; x < 0.1705; x += 0.001) cuts.push_back(x);
          cuts.push_back(inf);
          for (std::size_t c = 0; c + 1 < cuts.size(); ++c) {
            sum[h] += boost::math::quadrature::gauss_kronrod<double, 31>::integrate(
                density, cuts[c], cuts[c + 1], 10, 1e-8);
          }
        }
      } else {
        std::vector<std::string> words = a.Words();
        if (a.Field() != "yes") words.push_back("99");
        for (const std::string& word : words) {
          Trait row = riddles::Is(f.name, word);
          if (a.Field() == "yes") row = riddles::Yes(f.name, word == "yes");
          if (a.Field() == "count") {
            row = {};
            row.count = riddles::Of(Kind::kCount, std::stod(word));
          }
          const auto likelihood = a.Likelihood(*AnswerOf(row), f.wrong->value);
          for (std::size_t h = 0; h < sum.size(); ++h) sum[h] += likelihood[h];
        }
      }
      for (const double s : sum) CHECK(s == fixtures::Near(1.0, 1e-6));
    }
  }
}

TEST_CASE("information is the entropy that answers take away, on the average of many cars") {
  Dice dice(7);
  Riddle r = riddles::DrawRiddle(dice);
  std::vector<double> prior;
  for (const Variant& v : r.variant) prior.push_back(v.prior->value);
  const Identified before = Identify(r);
  for (std::size_t f = 0; f < r.feature.size(); ++f) {
    const Answers a(r, r.feature[f].name, prior);
    if (a.Field().empty()) continue;
    const auto bits = a.Information(before.prior, r.feature[f].wrong->value);
    REQUIRE(bits);
    CHECK(*bits >= 0.0);
    CHECK(*bits <= before.entropy);
    constexpr int kCars = 4000 / fixtures::kSlower;
    double sum = 0.0, squares = 0.0;
    for (int i = 0; i < kCars; ++i) {
      r.seen = {*riddles::DrawAnswer(dice, r, f, dice.Of(before.prior))};
      const double told = before.entropy - Identify(r).entropy;
      sum += told;
      squares += told * told;
    }
    const double mean = sum / kCars;
    const double off = std::sqrt((squares / kCars - mean * mean) / kCars);
    CHECK(std::abs(mean - *bits) <= 4.0 * off + 1e-12);
  }
}

TEST_CASE("information of a reading is the sum over all hypotheses, one by one") {
  // Peaks apart, near each other, alike, very narrow; variants that do not say.
  std::vector<std::vector<std::pair<double, double>>> drawn{
      {{0.1, 1e-3}, {0.2, 1e-3}, {0.3, 2e-3}},
      {{0.1, 1e-3}, {0.1, 1e-3}, {0.1002, 1e-3}, {0.1003, 4e-3}},
      {{0.1, 1e-6}, {0.9, 1e-6}, {0.10001, 1e-3}}};
  std::vector<double> wrongs{0.01, 0.3};
  if (fixtures::kSlower > 1) {
    drawn.resize(1);
    wrongs.resize(1);
  }
  for (const auto& values : drawn) {
    for (const double wrong : wrongs) {
      Riddle r;
      std::vector<double> prior, now;
      for (const auto& [value, tolerance] : values) {
        r.variant.push_back(riddles::Named("v", {riddles::Length("x", value, tolerance)}));
      }
      r.variant.push_back(riddles::Named("silent", {}));
      for (std::size_t i = 0; i < r.variant.size(); ++i) {
        prior.push_back(1.0 + static_cast<double>(i));
        now.push_back(0.05 + 0.05 * static_cast<double>(i));
      }
      now.push_back(1.0 - std::accumulate(now.begin(), now.end(), 0.0));
      REQUIRE(now.back() > 0.0);
      const Answers a(r, "x", prior);
      const auto term = [&](double y) {
        const Trait row = riddles::Length("x", y, a.ReadingTolerance());
        return TermOfInformation(now, a.Likelihood(*AnswerOf(row), wrong));
      };
      std::vector<double> cuts{-std::numeric_limits<double>::infinity(), -10.0, 0.0, 1.0, 10.0,
                               std::numeric_limits<double>::infinity()};
      for (const auto& [value, tolerance] : values) {
        for (int k = -20; k <= 20; ++k) cuts.push_back(value + 0.5 * k * tolerance);
      }
      std::ranges::sort(cuts);
      double sum = 0.0;
      for (std::size_t c = 0; c + 1 < cuts.size(); ++c) {
        if (cuts[c + 1] <= cuts[c]) continue;
        sum += boost::math::quadrature::gauss_kronrod<double, 31>::integrate(term, cuts[c],
                                                                             cuts[c + 1], 8, 1e-8);
      }
      CHECK(*a.Information(now, wrong) == fixtures::Near(sum, 1e-6));
    }
  }
}

TEST_CASE("what cannot be weighed says why") {
  const auto weigh = [](const Riddle& r, const Trait& row) {
    const std::vector<double> prior(r.variant.size(), 1.0);
    return Answers(r, row.feature, prior).Weigh(*AnswerOf(row));
  };
  const auto exact = riddles::Length("x", 0.1, {});
  CHECK(weigh(Pair(exact, riddles::Length("x", 0.2, {})), riddles::Length("x", 0.1, {})) ==
        Weight::kExact);
  CHECK(weigh(Pair(exact, riddles::Length("x", 0.2, {})), riddles::Length("x", 0.1, 1e-3)) ==
        Weight::kWeighed);
  CHECK(weigh(Pair(exact, exact), riddles::Length("x", 0.1, 1e-3)) == Weight::kOneValue);
  CHECK(weigh(Pair(exact, exact), riddles::Yes("x", true)) == Weight::kOneKind);
  CHECK(weigh(Pair(exact, exact), riddles::Yes("y", true)) == Weight::kNoTrait);
}

TEST_CASE("words are compared without case and blanks") {
  CHECK(Agrees(*AnswerOf(riddles::Is("x", " Green ")), *AnswerOf(riddles::Is("x", "green"))));
  CHECK_FALSE(Agrees(*AnswerOf(riddles::Is("x", "greener")), *AnswerOf(riddles::Is("x", "green"))));
  CHECK_FALSE(AnswerOf(Trait{}));
  // One colour, one metal, as they are spelt on either side of the Atlantic.
  CHECK(Agrees(*AnswerOf(riddles::Is("x", "Dark Gray")), *AnswerOf(riddles::Is("x", "dark grey"))));
  CHECK(Agrees(*AnswerOf(riddles::Is("x", "Aluminum")), *AnswerOf(riddles::Is("x", "aluminium"))));
  CHECK_FALSE(Agrees(*AnswerOf(riddles::Is("x", "grey")), *AnswerOf(riddles::Is("x", "green"))));
}

TEST_CASE("a number written in another unit is the same number") {
  const auto length = [](const char* text) {
    Trait t;
    t.feature = "x";
    t.length = ParseQuantity(text, Kind::kLength).quantity;
    REQUIRE(t.length);
    return *AnswerOf(t);
  };
  // 1 in is 25.4 mm exactly: NIST SP 811.
  CHECK(Agrees(length("7/10 in"), length("17.78 mm")));
  CHECK(Agrees(length("1.1 in"), length("2.794 cm")));
  CHECK_FALSE(Agrees(length("1 in"), length("25.41 mm")));
}

}  // namespace
}  // namespace steerbench::identify
