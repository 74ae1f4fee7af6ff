// A search against looking at every combination whole, one after another.
#include "search/search.h"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <array>
#include <map>
#include <set>

#include "document/document.h"
#include "fixtures/bin.h"
#include "fixtures/near.h"
#include "fixtures/slower.h"
#include "search/joints.h"
#include "search/lowered.h"
#include "search/polish.h"
#include "search/reasons.h"

namespace steerbench::search {
namespace {

std::vector<Choice> Every(const Space& space) {
  std::vector<Choice> all{Choice{}};
  for (const Dimension& d : space.dimension) {
    std::vector<Choice> more;
    for (const Choice& c : all) {
      for (std::uint32_t o = 0; o < d.option.size(); ++o) {
        more.push_back(c);
        more.back().push_back(o);
      }
    }
    all = std::move(more);
  }
  return all;
}

// One combination evaluated whole: nothing of the search's own parts.
struct Judged {
  AimValues aims;
  bool exceeded = false;
};
Judged Judge(const Document& document, const Space& space, const Joints& joints,
             const Choice& choice) {
  Judged judged;
  const Together together = joints.Of(choice);
  judged.exceeded = !together.fits || !space.Possible(choice) || !space.Complete(choice);
  Bill bill = space.BillOf(choice);
  for (const std::size_t a : together.adapters) {
    Add(bill, BillOfPart(document.adapter[a].second, "adapter." + document.adapter[a].first));
  }
  const Evaluation<double> e = Evaluate(fixtures::PlainOf(Fit(document, space.SetupOf(choice))));
  judged.aims = AimsOf(e);
  Put(judged.aims, bill);
  for (const Margin<double>& m : e.check) {
    judged.exceeded |= !m.absent && m.value && *m.value < 0.0;
  }
  for (const Way way : kWays) {
    for (std::size_t i = 0; i < e.ends[Index(way)].limit.size(); ++i) {
      judged.exceeded |= EndExceeded(e, way, i);
    }
  }
  return judged;
}

// Whether a judged combination is what the wishes ask for, and its score.
std::optional<Score> ScoreOf(const Judged& judged, const Wishes& wishes) {
  if (judged.exceeded) return std::nullopt;
  Score score;
  for (std::size_t i = 0; i < kAims; ++i) {
    const Wish& w = wishes[i];
    if (!w.want && !w.at_most && !w.at_least) continue;
    const auto& value = judged.aims[i];
    if (!value || (w.at_most && *value > *w.at_most) || (w.at_least && *value < *w.at_least)) {
      return std::nullopt;
    }
    if (w.want) score.push_back(Penalty(w, AimInfos()[i], *value));
  }
  return score;
}

Progress Searched(const Document& document, const Space& space, const Wishes& wishes, int threads) {
  Searcher searcher(document, space, wishes, threads);
  while (searcher.Step()) {
  }
  CHECK(searcher.Share() == fixtures::Near(1.0));
  return searcher.At();
}

// A bin in which most kinds of part are kept, so that it is looked through whole in no time.
Document SmallBin(unsigned seed) {
  std::mt19937 random(seed);
  const auto pick = [&](std::size_t least, std::size_t most) {
    return std::uniform_int_distribution<std::size_t>(least, most)(random);
  };
  Document document = fixtures::Bin({.racks = pick(2, 4),
                                     .spacers = pick(1, 2),
                                     .tie_rods = 1,
                                     .arms = 1,
                                     .pumps = pick(2, 4),
                                     .pulleys = pick(1, 4),
                                     .belts = 1,
                                     .fluids = 1,
                                     .valves = pick(1, 2),
                                     .shims = pick(0, 2),
                                     .jobs = pick(0, 2)},
                                    seed);
  Keep::Visit(
      [&](const FieldInfo&, auto& keep) { keep = std::bernoulli_distribution(0.65)(random); },
      document.search->keep);
  for (auto& [name, rack] : document.rack) {
    if (!IsAssisted(rack) && std::bernoulli_distribution(0.5)(random)) rack.assisted = false;
  }
  return document;
}

constexpr unsigned kSmallBins = fixtures::kSlower > 1 ? 75 : 6000;
constexpr unsigned kFacedBins = fixtures::kSlower > 1 ? 20 : 60;
constexpr unsigned kLargeBins = 20 / fixtures::kSlower;
constexpr int kMostStops = fixtures::kSlower > 1 ? 2 : 8;
constexpr double kSmall = 16.0;  // combinations of a bin; larger ones drawn are passed over

// What is wished, drawn as well: two to five aims, some with bounds.
Wishes SomeWishes(unsigned seed) {
  std::mt19937 random(seed * 7919 + 1);
  Wishes wishes = WishesOf(std::nullopt).of;
  const auto coin = [&](double p) { return std::bernoulli_distribution(p)(random); };
  if (coin(0.5)) wishes[static_cast<std::size_t>(Aim::kRoadEffort)] = {Want::kNear, 4.0, {}, {}};
  if (coin(0.3)) wishes[static_cast<std::size_t>(Aim::kCatchUp)].want = Want::kMore;
  if (coin(0.3)) wishes[static_cast<std::size_t>(Aim::kLostEffort)].want = Want::kLess;
  if (coin(0.3)) wishes[static_cast<std::size_t>(Aim::kCentreFeel)].want = Want::kMore;
  if (coin(0.3)) wishes[static_cast<std::size_t>(Aim::kCost)].at_most = 500.0;
  if (coin(0.5)) wishes[static_cast<std::size_t>(Aim::kHours)].want.reset();
  if (coin(0.3)) wishes[static_cast<std::size_t>(Aim::kLasting)].want = Want::kLess;
  return wishes;
}

TEST_CASE("A search finds exactly what looking at every combination whole finds") {
  std::size_t bins = 0, found = 0, looked = 0, with_jobs = 0;
  for (unsigned seed = 1; seed <= kSmallBins; ++seed) {
    CAPTURE(seed);
    const Document document = SmallBin(seed);
    const Space space = MakeSpace(document);
    if (space.Count() > kSmall) continue;
    ++bins;
    with_jobs += std::ranges::any_of(document.work, [](const auto& work) {
      const auto& a = work.second.adjust;
      return a.relief || a.cooling || a.control_opening || a.wiring || a.control_powered;
    });
    const Wishes wishes = SomeWishes(seed);
    std::vector<Choice> feasible;
    std::vector<Score> scores;
    std::map<Choice, AimValues> aims;
    const Joints joints(document, space);
    for (const Choice& choice : Every(space)) {
      const Judged judged = Judge(document, space, joints, choice);
      ++looked;
      const auto score = ScoreOf(judged, wishes);
      if (!score) continue;
      feasible.push_back(choice);
      scores.push_back(*score);
      aims[choice] = judged.aims;
    }
    std::set<Score> best;
    for (const std::size_t i : Unbeaten(scores)) best.insert(scores[i]);
    const Progress searched = Searched(document, space, wishes, 1);
    std::set<Score> got;
    std::uint64_t alike = 0;
    for (const Entry& e : searched.entries) {
      got.insert(e.score);
      alike += e.alike;
      REQUIRE(aims.contains(e.choice));  // it passes every limit
      for (std::size_t i = 0; i < kAims; ++i) {
        if (!wishes[i].want) continue;
        // To the bit; prices and hours are added up in another order.
        const double answer = *e.aims[i], want = *aims[e.choice][i];
        const Aim aim = AimInfos()[i].id;
        if (aim == Aim::kCost || aim == Aim::kHours) {
          CHECK(answer == fixtures::Near(want, 1e-14));
        } else {
          CHECK(answer == want);
        }
      }
    }
    CHECK(got == best);
    CHECK(got.size() == searched.entries.size());
    // Every combination is accounted for.
    std::uint64_t left_out = 0;
    for (const std::uint64_t n : searched.left_out) left_out += n;
    CHECK(left_out + alike + searched.entries.size() == Every(space).size());
    found += best.size();
  }
  CHECK(bins > kSmallBins / 4);
  CHECK(found > kSmallBins / 6);
  CHECK(looked > 2 * bins);
  CHECK(with_jobs > bins / 4);
}

TEST_CASE("What the parts of a look leave out, a whole look leaves out as well") {
  // Thousands of combinations from random bins: none that a whole evaluation lets pass may be lost
  // unless something kept beats it.
  const Wishes wishes = WishesOf(std::nullopt).of;
  std::size_t passed = 0;
  for (unsigned seed = 100; seed < 100 + kLargeBins; ++seed) {
    CAPTURE(seed);
    const Document document = fixtures::Bin({.racks = 3,
                                             .spacers = 2,
                                             .tie_rods = 2,
                                             .arms = 2,
                                             .pumps = 4,
                                             .pulleys = 4,
                                             .belts = 2,
                                             .fluids = 1,
                                             .valves = 2,
                                             .shims = 1,
                                             .jobs = 2},
                                            seed);
    const Space space = MakeSpace(document);
    const Progress searched = Searched(document, space, wishes, 2);
    const Joints joints(document, space);
    std::mt19937 random(seed);
    for (int i = 0; i < 250; ++i) {
      Choice choice;
      for (const Dimension& d : space.dimension) {
        choice.push_back(std::uniform_int_distribution<std::uint32_t>(
            0, static_cast<std::uint32_t>(d.option.size() - 1))(random));
      }
      const auto score = ScoreOf(Judge(document, space, joints, choice), wishes);
      if (!score) continue;
      ++passed;
      CHECK(std::ranges::any_of(searched.entries, [&](const Entry& e) {
        const Order o = CompareScores(e.score, *score);
        return o == Order::kSame || o == Order::kFirstBetter;
      }));
    }
  }
  CHECK(passed > 2 * kLargeBins);
}

void CheckSame(const Progress& a, const Progress& b) {
  REQUIRE(a.entries.size() == b.entries.size());
  for (std::size_t i = 0; i < a.entries.size(); ++i) {
    CHECK(a.entries[i].choice == b.entries[i].choice);
    CHECK(a.entries[i].alike == b.entries[i].alike);
    CHECK(a.entries[i].aims == b.entries[i].aims);
  }
  CHECK(a.left_out == b.left_out);
  CHECK(a.looked_at == b.looked_at);
}

const fixtures::BinSize kMiddling{.racks = 3,
                                  .spacers = 3,
                                  .tie_rods = 2,
                                  .arms = 2,
                                  .pumps = 4,
                                  .pulleys = fixtures::kSlower > 1 ? 2 : 4,
                                  .belts = fixtures::kSlower > 1 ? 1 : 2,
                                  .fluids = fixtures::kSlower > 1 ? 1 : 2,
                                  .valves = 2,
                                  .shims = 1,
                                  .jobs = 1};

TEST_CASE("The number of threads changes nothing, to the bit") {
  const Document document = fixtures::Bin(kMiddling, 3);
  const Space space = MakeSpace(document);
  const Wishes wishes = WishesOf(document.search).of;
  const Progress one = Searched(document, space, wishes, 1);
  CHECK(one.entries.size() > 5);
  for (const int threads : {2, 7}) CheckSame(one, Searched(document, space, wishes, threads));
}

TEST_CASE("A search that was stopped goes on where it was") {
  const Document document = fixtures::Bin(kMiddling, 3);
  const Space space = MakeSpace(document);
  const Wishes wishes = WishesOf(document.search).of;
  const Progress whole = Searched(document, space, wishes, 2);
  for (int steps = 1; steps < kMostStops; ++steps) {
    Searcher first(document, space, wishes, 2);
    for (int i = 0; i < steps; ++i) REQUIRE(first.Step());
    Searcher second(document, space, wishes, 1);
    second.Continue(first.At());
    while (second.Step()) {
    }
    CheckSame(whole, second.At());
  }
}

TEST_CASE("A choice as plain numbers is its setup, lifted") {
  const Document document = fixtures::Bin(kMiddling, 5);
  const Space space = MakeSpace(document);
  const Lowered lowered(document, space);
  std::mt19937 random(5);
  for (int i = 0; i < 50; ++i) {
    Choice choice;
    for (const Dimension& d : space.dimension) {
      choice.push_back(std::uniform_int_distribution<std::uint32_t>(
          0, static_cast<std::uint32_t>(d.option.size() - 1))(random));
    }
    const Fitted<double> lifted = fixtures::PlainOf(Fit(document, space.SetupOf(choice)));
    const Evaluation<double> a = Evaluate(lifted), b = Evaluate(lowered.Of(choice));
    for (std::size_t k = 0; k < kOutputs; ++k) CHECK(a.result[k].value == b.result[k].value);
    for (std::size_t k = 0; k < kChecks; ++k) CHECK(a.check[k].value == b.check[k].value);
  }
}

// A face at one of a few places with one of a few sizes, or one that says nothing of its size.
Face SomeFace(std::mt19937& random) {
  constexpr std::array kAt{Meeting::kPinion, Meeting::kBelt, Meeting::kCoilPlug,
                           Meeting::kControlPort};
  const auto pick = [&](std::size_t n) {
    return std::uniform_int_distribution<std::size_t>(0, n - 1)(random);
  };
  Face face;
  face.at = kAt[pick(kAt.size())];
  const std::size_t splines = pick(4);
  if (splines > 0)
    face.splines = fixtures::Plain(30.0 + static_cast<double>(splines), Kind::kCount);
  return face;
}

// The demo's parts with faces drawn anew, and adapters among which some cure, some in pairs.
Document Faced(unsigned seed) {
  std::mt19937 random(seed);
  const auto face_of = [&](auto& part) {
    part.face.clear();
    for (int i = 0; i < 2; ++i) {
      const Face face = SomeFace(random);
      if (std::ranges::find(part.face, face.at, &Face::at) == part.face.end()) {
        part.face.push_back(face);
      }
    }
  };
  Document d = fixtures::Bin(
      {.racks = 2, .spacers = 1, .arms = 1, .pumps = 2, .pulleys = 2, .valves = 2, .shims = 0},
      seed);
  face_of(d.car);
  for (auto& [name, part] : d.rack) face_of(part);
  for (auto& [name, part] : d.arms) face_of(part);
  for (auto& [name, part] : d.pump) face_of(part);
  for (auto& [name, part] : d.pulley) face_of(part);
  for (auto& [name, part] : d.control_valve) face_of(part);
  d.adapter.clear();
  for (int i = 0; i < 5; ++i) {
    Adapter<Quantity> adapter;
    adapter.one = SomeFace(random);
    adapter.other = SomeFace(random);
    adapter.other.at = adapter.one.at;
    adapter.price = fixtures::Plain(10.0 * i, Kind::kMoney);
    d.adapter.emplace_back(fmt::format("adapter-{}", i), adapter);
  }
  d.search->keep.fluid = d.search->keep.tie_rod = d.search->keep.belt = true;
  return d;
}

TEST_CASE("Pairs looked up say what the faces of a whole setup say") {
  std::size_t cured = 0, twice = 0, chained = 0, differing = 0, unknown = 0;
  for (unsigned seed = 1; seed <= kFacedBins; ++seed) {
    CAPTURE(seed);
    const Document document = Faced(seed);
    const Space space = MakeSpace(document);
    const Joints joints(document, space);
    std::mt19937 random(seed);
    for (int i = 0; i < 40; ++i) {
      Choice choice;
      for (const Dimension& d : space.dimension) {
        choice.push_back(std::uniform_int_distribution<std::uint32_t>(
            0, static_cast<std::uint32_t>(d.option.size() - 1))(random));
      }
      const fit::SetupFit whole =
          fit::FitOf(Fit(document, space.SetupOf(choice)), document.adapter);
      const Together together = joints.Of(choice);
      CHECK(together.fits == (whole.verdict != fit::Verdict::kDiffers));
      // Of what does not go together nobody asks what else is unknown.
      if (together.fits) {
        CHECK(together.unknown == (whole.verdict == fit::Verdict::kUnknown));
      }
      // One adapter for each joint that wants it, whoever else wants it too.
      std::vector<std::size_t> adapters;
      for (const fit::Joint& joint : whole.joints) {
        fit::AddAdapters(joint, adapters);
        chained += !joint.cures.empty() && joint.cures.front().then;
      }
      std::ranges::sort(adapters);
      CHECK(together.adapters == adapters);
      differing += !together.fits;
      unknown += together.fits && together.unknown;
      cured += !adapters.empty();
      twice += std::ranges::adjacent_find(adapters) != adapters.end();
    }
  }
  // All of it came up.
  for (const std::size_t count : {cured, twice, chained, differing, unknown}) CHECK(count > 10);
}

TEST_CASE("With few entries kept, each left out is within a wide step of one that is kept") {
  const Document document = fixtures::Bin(kMiddling, 3);
  const Space space = MakeSpace(document);
  const Wishes wishes = WishesOf(document.search).of;
  const Progress all = Searched(document, space, wishes, 2);
  constexpr std::size_t kFew = 4;
  REQUIRE(all.entries.size() > kFew);
  CHECK(all.doublings == 0);
  const auto few = [&](int threads) {
    Searcher searcher(document, space, wishes, threads, kFew);
    while (searcher.Step()) {
    }
    return searcher.At();
  };
  const Progress kept = few(1);
  CheckSame(kept, few(3));
  CHECK(kept.entries.size() <= kFew);
  REQUIRE(kept.doublings > 0);
  const auto wide = [&](const Entry& e) {
    Score score;
    for (std::size_t i = 0; i < kAims; ++i) {
      if (wishes[i].want) {
        score.push_back(
            std::floor(Penalty(wishes[i], AimInfos()[i], *e.aims[i]) / kept.StepWidth()));
      }
    }
    return score;
  };
  for (const Entry& e : all.entries) {
    CHECK(std::ranges::any_of(kept.entries, [&](const Entry& k) {
      const Order o = CompareScores(wide(k), wide(e));
      return o == Order::kSame || o == Order::kFirstBetter;
    }));
  }
  std::uint64_t count = kept.entries.size();
  for (const Entry& e : kept.entries) count += e.alike;
  for (const std::uint64_t n : kept.left_out) count += n;
  CHECK(static_cast<double>(count) == space.Count());
}

TEST_CASE("From a car without assistance: what goes with an assisted rack comes with it") {
  const Document document = fixtures::Bin({.belts = 2, .fluids = 2}, 3, "works");
  const Space space = MakeSpace(document);
  REQUIRE(space.base.pump.empty());
  const Progress searched = Searched(document, space, WishesOf(std::nullopt).of, 2);
  CHECK(searched.left_out[kIncomplete] > 0);
  const auto named = [&](const Choice& choice) {
    const Setup<Quantity> setup = space.SetupOf(choice);
    return std::array{!setup.pump.empty(), !setup.fluid.empty(), !setup.pulley.empty(),
                      !setup.belt.empty()};
  };
  std::size_t assisted = 0;
  for (const Entry& e : searched.entries) {
    const Setup<Quantity> setup = space.SetupOf(e.choice);
    if (std::ranges::find(space.assisted, setup.rack) == space.assisted.end()) continue;
    ++assisted;
    CHECK(named(e.choice) == std::array{true, true, true, true});
  }
  CHECK(assisted > 0);
  // Each combination either has all of it or is made to, and then lacks nothing more.
  for (std::size_t d = 0; d < space.dimension.size(); ++d) {
    Choice choice(space.dimension.size(), 0);
    choice[d] = 1;
    const Choice whole = space.Completed(choice);
    CHECK(space.Complete(whole));
    CHECK((space.Complete(choice) == (whole == choice)));
  }
}

TEST_CASE("A pump is left out beside a manual rack, and all that belongs to it") {
  Document document = fixtures::Bin({.belts = 1, .fluids = 1}, 3, "calm");
  for (auto& [name, rack] : document.rack) {
    if (name == "works") rack.assisted = false;
  }
  document.belt.emplace_back("blank", Belt<Quantity>{});  // as in a new document: no part yet
  const Space space = MakeSpace(document);
  REQUIRE(space.manual == std::vector<std::string>{"works"});
  const Progress searched = Searched(document, space, WishesOf(std::nullopt).of, 2);
  std::size_t manual = 0;
  for (const Entry& e : searched.entries) {
    const Setup<Quantity> setup = space.SetupOf(e.choice);
    CHECK(setup.belt != "blank");
    const bool bare = setup.pump.empty() && setup.fluid.empty() && setup.pulley.empty() &&
                      setup.belt.empty() && setup.control_valve.empty();
    CHECK(bare == (setup.rack == "works"));
    manual += bare ? 1 : 0;
  }
  CHECK(manual > 0);
  CHECK(manual < searched.entries.size());
}

TEST_CASE("Jobs that set one field exclude each other, others combine") {
  Document document = fixtures::Bin({.shims = 0}, 1);
  const auto add = [&](const std::string& name, auto set) {
    Work<Quantity> work;
    set(work.adjust);
    work.hours = fixtures::Plain(3600.0, Kind::kTime);
    document.work.emplace_back(name, work);
  };
  const auto length = [](double mm) { return fixtures::Plain(mm / 1000.0, Kind::kLength); };
  add("up-1", [&](auto& a) { a.rack_up = length(1); });
  add("up-2", [&](auto& a) { a.rack_up = length(2); });
  add("forward", [&](auto& a) { a.rack_forward = length(3); });
  add("relief", [](auto& a) { a.relief = fixtures::Plain(9e6, Kind::kPressureGauge); });
  const Space space = MakeSpace(document);
  std::vector<std::size_t> sizes;
  std::vector<Facet> facets;
  for (const Dimension& d : space.dimension) {
    if (d.key != "work") continue;
    sizes.push_back(d.option.size());
    facets.push_back(d.facet);
  }
  CHECK(sizes == std::vector<std::size_t>{3, 2, 2});
  CHECK(facets == std::vector<Facet>{Facet::kLinkage, Facet::kLinkage, Facet::kAssist});
}

TEST_CASE("A job that sets toe takes the place of every other way to say it") {
  Document document = fixtures::Bin({.shims = 0}, 1);  // the base states toe as a length
  const auto toe = [&](const std::string& name, auto set) {
    Work<Quantity> work;
    set(work.adjust);
    document.work.emplace_back(name, work);
  };
  toe("angle", [](auto& a) { a.toe = fixtures::Plain(0.002, Kind::kAngle); });
  toe("rod", [](auto& a) { a.tie_rod_left = fixtures::Plain(0.35, Kind::kLength); });
  const Space space = MakeSpace(document);
  const auto works = std::ranges::find(space.dimension, "work", &Dimension::key);
  REQUIRE(works != space.dimension.end());
  CHECK(works->option.size() == 3);  // neither, or one of them
  Choice choice(space.dimension.size(), 0);
  const Lowered lowered(document, space);
  for (std::uint32_t o = 1; o < 3; ++o) {
    choice[static_cast<std::size_t>(works - space.dimension.begin())] = o;
    const auto setup = space.SetupOf(choice).adjust;
    const auto plain = lowered.Of(choice).adjust;
    CHECK(setup.toe.has_value() + setup.toe_length.has_value() + setup.tie_rod_left.has_value() ==
          1);
    CHECK(plain.toe.has_value() == setup.toe.has_value());
    CHECK_FALSE(plain.toe_length);
  }
}

TEST_CASE("Prices and hours that are not known leave a combination out and say so") {
  Document document = fixtures::Bin({}, 1);
  for (auto& [name, pump] : document.pump) pump.hours.reset();
  const Space space = MakeSpace(document);
  Wishes wishes;
  wishes[static_cast<std::size_t>(Aim::kHours)].want = Want::kLess;
  Searcher searcher(document, space, wishes, 1);
  while (searcher.Step()) {
  }
  const auto left_out = searcher.LeftOutSoFar();
  CHECK(std::ranges::any_of(left_out,
                            [](const LeftOut& l) { return l.reason == "not known: hours"; }));
}

TEST_CASE("Of scores the unbeaten are those that no other beats") {
  rc::check([](const std::vector<std::array<int, 3>>& drawn) {
    std::vector<Score> scores;
    for (const auto& d : drawn) {
      scores.push_back({static_cast<double>(d[0] % 5), static_cast<double>(d[1] % 5),
                        static_cast<double>(d[2] % 5)});
    }
    std::vector<std::size_t> plain;
    for (std::size_t i = 0; i < scores.size(); ++i) {
      bool beaten = false;
      for (std::size_t k = 0; k < scores.size(); ++k) {
        bool no_worse = true, better = false;
        for (std::size_t a = 0; a < 3; ++a) {
          no_worse &= scores[k][a] <= scores[i][a];
          better |= scores[k][a] < scores[i][a];
        }
        beaten |= no_worse && (better || k < i);
      }
      if (!beaten) plain.push_back(i);
    }
    RC_ASSERT(Unbeaten(scores) == plain);
  });
}

}  // namespace
}  // namespace steerbench::search
