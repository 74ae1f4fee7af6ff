// What comes nearest where nothing keeps all, against looking at every combination whole.
#include "search/nearest.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "document/document.h"
#include "fixtures/bin.h"
#include "fixtures/near.h"
#include "fixtures/slower.h"
#include "search/joints.h"
#include "search/search.h"

namespace steerbench::search {
namespace {

constexpr std::size_t kKerb = static_cast<std::size_t>(Aim::kKerbEffort);
constexpr std::size_t kCost = static_cast<std::size_t>(Aim::kCost);

// One rack and one pump, several pulleys and shims: all in one facet each, some hundred choices.
Document SmallBin(unsigned seed) {
  Document d = fixtures::Bin({.racks = 2, .spacers = 1, .arms = 1, .pumps = 2, .pulleys = 3}, seed);
  return d;
}

TEST_CASE("A bound that nothing keeps is missed alone, by what the lightest misses it") {
  const Document d = SmallBin(3);
  const Space space = MakeSpace(d);
  // Without the bound: what there is, and the lightest of it.
  Wishes wishes;
  wishes[kKerb].want = Want::kLess;
  Searcher searcher(d, space, wishes, 2);
  while (searcher.Step()) {
  }
  REQUIRE(searcher.At().entries.size() == 1);
  const double lightest = *searcher.At().entries[0].aims[kKerb];
  wishes[kKerb].at_most = lightest / 2.0;
  const auto nearest = NearestMiss(d, space, wishes, 2);
  REQUIRE(nearest);
  CHECK(nearest->of_all == (space.Count() <= 2000));
  REQUIRE(nearest->misses.size() == 1);
  CHECK(nearest->misses[0].reason == kFirstAtMost + kKerb);
  CHECK(*nearest->misses[0].by == fixtures::Near(lightest / 2.0));
}

TEST_CASE("The faces that differ are named, of the combination that misses nothing else") {
  Document d = SmallBin(3);
  d.work.clear();
  Wishes wishes;
  wishes[kCost].want = Want::kLess;
  // Nothing here fits the car's pinion, and no adapter cures it.
  d.adapter.clear();
  const Face splined = d.car.face.front();
  REQUIRE(splined.at == Meeting::kPinion);
  for (auto& [name, rack] : d.rack) {
    rack.face = {splined};
    rack.face[0].splines->value += 4.0;
  }
  d.search->keep.pump = true;
  d.search->keep.pulley = true;
  d.search->keep.control_valve = true;
  d.search->keep.second_control_valve = true;
  d.search->base = "calm";
  const Space space = MakeSpace(d);
  const auto nearest = NearestMiss(d, space, wishes, 1);
  REQUIRE(nearest);
  CHECK(nearest->of_all);
  const auto faces = std::ranges::find(nearest->misses, kFaces, &Miss::reason);
  REQUIRE(faces != nearest->misses.end());
  CHECK(faces->what == std::vector<std::string>{"pinion: car, rack.slow"});
}

TEST_CASE("Any number of threads names the same") {
  const Document d = fixtures::Bin(
      fixtures::kSlower > 1 ? fixtures::BinSize{.racks = 2, .spacers = 1, .pulleys = 1, .shims = 0}
                            : fixtures::BinSize{},
      7);
  const Space space = MakeSpace(d);
  Wishes wishes = WishesOf(std::nullopt).of;
  wishes[kKerb].at_most = 0.1;
  const auto one = NearestMiss(d, space, wishes, 1), many = NearestMiss(d, space, wishes, 5);
  REQUIRE(one);
  REQUIRE(many);
  CHECK(one->choice == many->choice);
  CHECK(one->misses.size() == many->misses.size());
}

}  // namespace
}  // namespace steerbench::search
