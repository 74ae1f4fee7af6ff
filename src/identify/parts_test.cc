// In what the parts of the variants differ.
#include "identify/parts.h"

#include <doctest/doctest.h>

#include "fixtures/riddles.h"

namespace steerbench::identify {
namespace {

Quantity Length(const char* written, double value, std::optional<double> tolerance = {}) {
  Quantity q = riddles::Of(Kind::kLength, value, tolerance);
  q.written = written;
  return q;
}

Document TwoRacks() {
  Document document;
  Rack<Quantity> slow, quick;
  slow.travel = Length("142 ± 2 mm", 0.142, 0.002);
  quick.travel = Length("144 ± 2 mm", 0.144, 0.002);
  slow.joint_span = Length("630 mm", 0.630);
  quick.joint_span = Length("642 mm", 0.642);
  slow.piston_bore = Length("42 mm", 0.042);
  slow.stop_face = StopFace::kInnerJoint;
  slow.price = riddles::Of(Kind::kMoney, 10.0);
  quick.price = riddles::Of(Kind::kMoney, 20.0);
  slow.title = "this";
  quick.title = "that";
  Face port;
  port.at = Meeting::kRackPressurePort;
  port.seat = "flare";
  slow.face = {port};
  port.seat = "O-ring";
  quick.face = {port};
  document.rack = {{"slow", slow}, {"quick", quick}};
  return document;
}

TEST_CASE("what lies within ±, is stated by one only, or is of the offer, is no difference") {
  const std::vector<std::string> parts{"slow", "quick", "none of the document"};
  const auto found = Differences(TwoRacks(), "rack", parts);
  REQUIRE(found.size() == 2);
  CHECK(found[0].field == "rack pressure port: seat");
  CHECK(found[0].value[0] == std::pair<std::string, std::string>("slow", "flare"));
  CHECK(found[0].value[1] == std::pair<std::string, std::string>("quick", "O-ring"));
  CHECK(found[1].field == "joint_span");
  CHECK(found[1].value[1].second == "642 mm");
}

TEST_CASE("one part alone, or another table, differs in nothing") {
  const std::vector<std::string> one{"slow"}, both{"slow", "quick"};
  CHECK(Differences(TwoRacks(), "rack", one).empty());
  CHECK(Differences(TwoRacks(), "pump", both).empty());
}

}  // namespace
}  // namespace steerbench::identify
