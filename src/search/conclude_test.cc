// What a search found, made ready to be read: chances, ranking, polishing, progress kept.
#include "search/conclude.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numeric>

#include "document/document.h"
#include "fixtures/bin.h"
#include "fixtures/near.h"
#include "search/keep.h"
#include "search/polish.h"
#include "search/reasons.h"

namespace steerbench::search {
namespace {

struct Ready {
  Document document;
  Space space = MakeSpace(document);
  StatedWishes wishes = WishesOf(document.search);
  Searcher searcher{document, space, wishes.of, 2};
  explicit Ready(Document d) : document(std::move(d)) {
    while (searcher.Step()) {
    }
  }
  [[nodiscard]] Conclusion Concluded(std::size_t most) const {
    return Conclude(document, space, wishes, searcher, most, 2);
  }
};

const fixtures::BinSize kSize{.racks = 3, .pumps = 4, .pulleys = 4, .valves = 1, .shims = 2};

constexpr std::size_t kKerb = static_cast<std::size_t>(Aim::kKerbEffort);
constexpr std::size_t kRoad = static_cast<std::size_t>(Aim::kRoadEffort);

Line Flat(double kerb, double half, const std::string& input) {
  Line line;
  line.aims[kKerb] = kerb;
  line.half_width[kKerb] = half;
  line.lean[input][kKerb] = half;
  return line;
}

TEST_CASE("The chance that one is better follows the normal law of the difference") {
  const Wish less{Want::kLess, 0.0, {}, {}};
  // Values of the normal distribution function: NIST/SEMATECH e-Handbook of Statistical Methods,
  // 1.3.6.7.1: area from 0 to z = 1.0 is 0.34134, to z = 2.0 0.47725.
  const Line a = Flat(3.0, 0.6, "a"), b = Flat(3.5, 0.8, "b");
  // Standard deviations 0.3 and 0.4 make 0.5 of the difference.
  CHECK(*ChanceBetter(a, b, Aim::kKerbEffort, less) == fixtures::Near(0.84134, 1e-5));
  CHECK(*ChanceBetter(b, a, Aim::kKerbEffort, less) == fixtures::Near(0.15866, 1e-4));
  const Line c = Flat(4.0, 0.8, "b");
  CHECK(*ChanceBetter(a, c, Aim::kKerbEffort, less) == fixtures::Near(0.97725, 1e-5));
  const Wish more{Want::kMore, 0.0, {}, {}};
  CHECK(*ChanceBetter(a, b, Aim::kKerbEffort, more) == fixtures::Near(0.15866, 1e-4));
  // Wished near 4: the heavier one is nearer.
  const Wish near{Want::kNear, 4.0, {}, {}};
  CHECK(*ChanceBetter(a, b, Aim::kKerbEffort, near) == fixtures::Near(0.15866, 1e-4));
  CHECK_FALSE(ChanceBetter(a, b, Aim::kRoadEffort, less));
  CHECK_FALSE(ChanceBetter(a, b, Aim::kKerbEffort, Wish{}));
}

TEST_CASE("A doubt that two share does not blur which is better") {
  const Wish less{Want::kLess, 0.0, {}, {}};
  // The same input moves both alike: the difference is certain, however wide the ± of each.
  const Line a = Flat(3.0, 2.0, "car.front_mass"), b = Flat(3.1, 2.0, "car.front_mass");
  CHECK(*ChanceBetter(a, b, Aim::kKerbEffort, less) == 1.0);
  CHECK(*ChanceBetter(a, a, Aim::kKerbEffort, less) == 0.5);
}

TEST_CASE("Weights decide the order, and what does not matter does not count") {
  Conclusion c;
  c.wishes.of[kKerb].want = Want::kLess;
  c.wishes.of[kRoad].want = Want::kMore;
  for (const auto& [kerb, road] : {std::pair{2.0, 1.0}, {3.0, 4.0}, {2.5, 3.0}}) {
    Line line;
    line.aims[kKerb] = kerb;
    line.aims[kRoad] = road;
    c.lines.push_back(line);
  }
  c.range[kKerb] = {-2.0, -3.0};
  c.range[kRoad] = {4.0, 1.0};
  Weights weights{};
  weights[kKerb] = 1.0;
  CHECK(Rank(c, weights)[0].line == 0);
  CHECK(Rank(c, weights)[2].line == 1);
  CHECK(Rank(c, weights)[0].balance == 0.0);
  CHECK(Rank(c, weights)[2].balance == 1.0);
  weights[kKerb] = 0.0;
  weights[kRoad] = 2.0;
  CHECK(Rank(c, weights)[0].line == 1);
  weights[kKerb] = 2.0;
  const auto both = Rank(c, weights);
  CHECK(both[0].line == 2);  // (0.5 + 1/3) / 2 is the least
  CHECK(both[0].balance == fixtures::Near((0.5 + 1.0 / 3.0) / 2.0));
  CHECK(*both[0].beats_next == 1.0);  // nothing is in doubt
  weights.fill(0.0);
  for (const Ranked& r : Rank(c, weights)) CHECK(r.balance == 0.0);
}

TEST_CASE("A conclusion shows the balanced ones with the same values as the search") {
  const Ready ready(fixtures::Bin(kSize, 7));
  const std::size_t found = ready.searcher.At().entries.size();
  REQUIRE(found > 3);
  const Conclusion c = ready.Concluded(3);
  CHECK(c.lines.size() == 3);
  CHECK(c.not_shown == found - 3);
  for (const Line& line : c.lines) {
    CHECK(line.exceeded.empty());
    const auto entry = std::ranges::find(ready.searcher.At().entries, line.choice, &Entry::choice);
    REQUIRE(entry != ready.searcher.At().entries.end());
    for (std::size_t i = 0; i < kAims; ++i) {
      if (!ready.wishes.of[i].want) continue;
      CHECK(*line.aims[i] == fixtures::Near(*entry->aims[i], 1e-9));
    }
    // The ± is the lean of all inputs in quadrature.
    double sum = 0.0;
    for (const auto& [path, lean] : line.lean) sum += lean[kKerb] * lean[kKerb];
    CHECK(std::sqrt(sum) == fixtures::Near(*line.half_width[kKerb], 1e-9));
  }
}

TEST_CASE("Polishing makes nothing worse and passes no limit") {
  Document document = fixtures::Bin(kSize, 7);
  Quantity low = fixtures::Plain(-0.01, Kind::kLength), high = fixtures::Plain(0.01, Kind::kLength);
  document.search->from.rack_up = low;
  document.search->to.rack_up = high;
  const Ready ready(std::move(document));
  const Conclusion c = ready.Concluded(4);
  std::size_t polished = 0;
  for (const Line& line : c.lines) {
    const auto p = Polish(ready.document, ready.wishes, line);
    if (!p) continue;
    ++polished;
    CHECK(p->line.exceeded.empty());
    double steps = 0.0;
    for (const AimInfo& info : AimInfos()) {
      const Wish& wish = ready.wishes.of[static_cast<std::size_t>(info.id)];
      if (!wish.want) continue;
      const double before = Penalty(wish, info, *At(line.aims, info.id));
      const double after = Penalty(wish, info, *At(p->line.aims, info.id));
      CHECK(after <= before + 1.0);  // half a step, rounded
      steps += before - after;
    }
    CHECK(steps >= 0.0);
    REQUIRE(p->settings.size() == 1);
    CHECK(p->settings[0].after >= low.value);
    CHECK(p->settings[0].after <= high.value);
    CHECK(p->line.setup.adjust.rack_up->value == p->settings[0].after);
    // A tenth of a millimetre.
    CHECK(std::abs(std::remainder(p->settings[0].after, 1e-4)) < 1e-12);
  }
  CHECK(polished > 0);
}

TEST_CASE("Polishing keeps the bounds that are asked for, whatever is wished") {
  Document document = fixtures::Bin(kSize, 7);
  document.search->from.rack_up = fixtures::Plain(-0.01, Kind::kLength);
  document.search->to.rack_up = fixtures::Plain(0.01, Kind::kLength);
  const Ready free{Document(document)};
  const Conclusion before = free.Concluded(4);
  // Bounds just around what each line has now.
  for (const Line& line : before.lines) {
    StatedWishes bound = free.wishes;
    Wish& lock = bound.of[static_cast<std::size_t>(Aim::kLockAngle)];
    Wish& turns = bound.of[static_cast<std::size_t>(Aim::kTurns)];
    lock.at_least = *At(line.aims, Aim::kLockAngle) - 1e-6;
    turns.at_most = *At(line.aims, Aim::kTurns) + 1e-6;
    const auto p = Polish(free.document, bound, line);
    if (!p) continue;
    CHECK(*At(p->line.aims, Aim::kLockAngle) >= *lock.at_least);
    CHECK(*At(p->line.aims, Aim::kTurns) <= *turns.at_most);
  }
}

TEST_CASE("Settings that differ do not cancel their doubts, those that are alike do") {
  Document document = fixtures::Bin(kSize, 7);
  const Space space = MakeSpace(document);
  const Joints joints(document, space);
  const Choice base(space.dimension.size(), 0);
  const auto with = [&](double up) {
    Line line = LineOf(document, space, joints, base);
    Quantity q = fixtures::Plain(up, Kind::kLength);
    q.tolerance = 0.002;
    line.setup.adjust.rack_up = q;
    AddResults(document, line);
    return line;
  };
  const Wish less{Want::kLess, 0.0, {}, {}};
  const Line a = with(0.001), b = with(0.001), c = with(0.0011);
  CHECK(*ChanceBetter(a, b, Aim::kBumpSteer, less) == 0.5);
  const double chance = *ChanceBetter(a, c, Aim::kBumpSteer, less);
  CHECK(chance > 0.3);
  CHECK(chance < 0.7);
  CHECK(chance != 0.5);
}

TEST_CASE("Progress comes back from its text as it was, a damaged one is refused") {
  const Ready ready(fixtures::Bin(kSize, 7));
  const std::string form = WriteJson(ready.document);
  const std::string text = KeepProgress(ready.searcher.At(), form);
  const Kept kept = KeptProgress(text, form, ready.space, ready.wishes.of);
  REQUIRE(kept.progress);
  CHECK(KeepProgress(*kept.progress, form) == text);
  CHECK_FALSE(KeptProgress(text, form + " ", ready.space, ready.wishes.of).progress);
  for (std::size_t cut = 0; cut + 2 < text.size(); cut += 1 + cut / 16) {
    CHECK_FALSE(KeptProgress(text.substr(0, cut), form, ready.space, ready.wishes.of).progress);
  }
  // Bytes changed at random: refused, or at least a progress within the space.
  std::mt19937 random(11);
  for (int i = 0; i < 2000; ++i) {
    std::string bad = text;
    const std::size_t at = std::uniform_int_distribution<std::size_t>(0, bad.size() - 1)(random);
    bad[at] = static_cast<char>(std::uniform_int_distribution<int>(32, 126)(random));
    const Kept k = KeptProgress(bad, form, ready.space, ready.wishes.of);
    if (k.progress) CHECK(Fits(*k.progress, ready.space));
  }
}

}  // namespace
}  // namespace steerbench::search
