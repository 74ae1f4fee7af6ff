// What an entry takes: counted by joints, billed when it is not owned, ordered by its facts.
#include "search/pieces.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "document/document.h"
#include "fixtures/bin.h"
#include "fixtures/near.h"

namespace steerbench::search {
namespace {

using fixtures::Plain;

Quantity With(double value, double tolerance, Kind kind) {
  Quantity q = Plain(value, kind);
  q.tolerance = tolerance;
  return q;
}

Face Plug(const std::string& pattern) {
  Face face;
  face.at = Meeting::kCoilPlug;
  face.pattern = pattern;
  return face;
}

// The demo with two control valves, whose plugs differ from the loom's, and a lead between them.
Document TwoValves() {
  Document d = fixtures::Example();
  d.car.face.push_back(Plug("round"));
  ControlValve<Quantity> valve = d.control_valve.front().second;
  valve.face.push_back(Plug("square"));
  valve.price = With(110.0, 10.0, Kind::kMoney);
  d.control_valve = {{"one", valve}, {"two", valve}};
  Adapter<Quantity> lead;
  lead.one = Plug("square");
  lead.other = Plug("round");
  lead.price = With(12.0, 3.0, Kind::kMoney);
  lead.hours = With(1800.0, 600.0, Kind::kTime);
  d.adapter = {{"lead", lead}};
  d.work.clear();
  d.search.emplace();
  d.search->base = "calm";
  return d;
}

// The choice that fits these valves and leaves all else as in the base.
Choice Fitting(const Space& space, const std::string& first, const std::string& second) {
  Choice choice(space.dimension.size(), 0);
  const auto take = [&](std::string_view key, const std::string& name) {
    const auto d = std::ranges::find(space.dimension, key, &Dimension::key);
    REQUIRE(d != space.dimension.end());
    const auto o = std::ranges::find(d->option, name, &Option::name);
    REQUIRE(o != d->option.end());
    choice[static_cast<std::size_t>(d - space.dimension.begin())] =
        static_cast<std::uint32_t>(o - d->option.begin());
  };
  take("control_valve", first);
  take("second_control_valve", second);
  return choice;
}

std::vector<Piece> Taken(const Document& d, const std::string& first, const std::string& second) {
  const Space space = MakeSpace(d);
  const Joints joints(d, space);
  return PiecesOf(d, space, joints, Fitting(space, first, second));
}

std::size_t Count(const std::vector<Piece>& pieces, const std::string& path) {
  const auto found = std::ranges::find_if(pieces, [&](const Piece& p) { return p.Path() == path; });
  return found == pieces.end() ? 0 : found->count;
}

TEST_CASE("An adapter is needed once for one joint, twice for two") {
  const Document d = TwoValves();
  const auto one = Taken(d, "one", ""), two = Taken(d, "one", "two");
  CHECK(Count(one, "adapter.lead") == 1);
  CHECK(Count(two, "adapter.lead") == 2);
  CHECK(CostOf(one).value == 110.0 + 12.0);
  CHECK(CostOf(two).value == 110.0 + 110.0 + 2.0 * 12.0);
  // The search counts the same: its bill of parts and its adapters, one by one.
  const Space space = MakeSpace(d);
  const Joints joints(d, space);
  const Choice choice = Fitting(space, "one", "two");
  Bill bill = space.BillOf(choice);
  for (const std::size_t a : joints.Of(choice).adapters) {
    Add(bill, BillOfPart(d.adapter[a].second, "adapter." + d.adapter[a].first));
  }
  CHECK(bill.cost == CostOf(two).value);
  CHECK(bill.hours == HoursOf(two).value);
}

TEST_CASE("Sums have the ± of their pieces: of different ones in quadrature, of one kind added") {
  const auto two = Taken(TwoValves(), "one", "two");
  CHECK(CostOf(two).half_width == fixtures::Near(std::sqrt(10.0 * 10.0 + 10.0 * 10.0 + 6.0 * 6.0)));
  CHECK(HoursOf(two).half_width == fixtures::Near(2.0 * 600.0));
}

TEST_CASE("What is owned is not billed, a price that is missing is named") {
  Document d = TwoValves();
  d.adapter[0].second.owned = true;
  d.control_valve[0].second.price.reset();
  const auto pieces = Taken(d, "one", "two");
  CHECK(CostOf(pieces).value == 110.0);
  CHECK(CostOf(pieces).missing == std::vector<std::string>{"control_valve.one.price"});
  CHECK(Count(pieces, "adapter.lead") == 2);  // still to be at hand
  CHECK(HoursOf(pieces).missing.empty());
}

TEST_CASE("Facts that the wrong part would differ in are on its line, and what is not stated") {
  Document d = TwoValves();
  Belt<Quantity> belt = d.belt.front().second;
  belt.owned.reset();
  belt.face.clear();
  belt.length = ParseQuantity("1320 mm", Kind::kLength).quantity;
  d.belt.emplace_back("longer", belt);
  const Space space = MakeSpace(d);
  const Joints joints(d, space);
  Choice choice(space.dimension.size(), 0);
  const auto at = std::ranges::find(space.dimension, "belt", &Dimension::key);
  REQUIRE(at != space.dimension.end());
  choice[static_cast<std::size_t>(at - space.dimension.begin())] = 1;
  auto pieces = PiecesOf(d, space, joints, choice);
  REQUIRE(pieces.size() == 1);
  CHECK(pieces[0].facts == std::vector<std::string>{"length 1320 mm"});
  CHECK(pieces[0].ask == std::vector<std::string>{"belt"});  // its profile and ribs
  d.belt.back().second.owned = true;                         // on the shelf, so nobody is asked
  pieces = PiecesOf(d, space, joints, choice);
  CHECK(pieces[0].ask.empty());
  const auto lead = Taken(d, "one", "");
  CHECK(lead.back().facts ==
        std::vector<std::string>{"coil plug: pattern square to pattern round"});
}

}  // namespace
}  // namespace steerbench::search
