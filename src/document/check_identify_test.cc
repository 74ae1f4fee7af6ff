// What is said of slips in a riddle.
#include <doctest/doctest.h>

#include <string>

#include "document/document.h"
#include "fixtures/near.h"

namespace steerbench {
namespace {

constexpr std::string_view kRiddle = R"(format = 1
[rack.slow]
[rack.quick]

[identify.rack]
fills = "rack"
none = "5 %"

[[identify.rack.feature]]
name = "tag"
wrong = "10 %"

[[identify.rack.feature]]
name = "ribs"

[[identify.rack.variant]]
name = "slow"
part = "slow"
trait = [{ feature = "tag", is = "green" }, { feature = "ribs", count = 2 }]

[[identify.rack.variant]]
name = "quick"
part = "quick"
trait = [{ feature = "tag", is = "blue" }, { feature = "ribs", count = 3 }]

[[identify.rack.seen]]
feature = "tag"
is = "green"
wrong = "30 %"
)";

// The only problem after one text is put in the place of another.
Problem After(std::string_view from, std::string_view to) {
  std::string text(kRiddle);
  const std::size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  text.replace(at, from.size(), to);
  const ReadResult read = ReadToml(text);
  REQUIRE(read.problems.size() == 1);
  return read.problems[0];
}

bool Says(const Problem& problem, std::string_view part) {
  return problem.message.find(part) != std::string::npos;
}

TEST_CASE("a riddle reads, also in the JSON form") {
  const ReadResult read = ReadToml(kRiddle);
  REQUIRE(read.problems.empty());
  const Riddle& riddle = read.document.identify.at(0).second;
  CHECK(riddle.variant.at(1).trait.at(1).count->value == 3.0);
  CHECK(riddle.seen.at(0).wrong->value == fixtures::Near(0.3));
  CHECK(ReadJson(WriteJson(read.document)).problems.empty());
  CHECK(ReadToml(WriteToml(read.document)).problems.empty());
}

TEST_CASE("names that do not exist, with the nearest") {
  Problem p = After("feature = \"tag\"\nis", "feature = \"tga\"\nis");
  CHECK(p.field == "identify.rack.seen[0].feature");
  CHECK(p.line == 27);
  CHECK(p.column == 11);
  CHECK(Says(p, "did you mean 'tag'?"));
  p = After("part = \"quick\"", "part = \"quikc\"");
  CHECK(p.field == "identify.rack.variant[1].part");
  CHECK(Says(p, "did you mean 'quick'?"));
  p = After("fills = \"rack\"", "fills = \"rakc\"");
  CHECK(p.field == "identify.rack.fills");
  CHECK(Says(p, "did you mean 'rack'?"));
}

TEST_CASE("one answer, of one kind") {
  Problem p = After("is = \"green\"\nwrong", "is = \"green\"\nyes = true\nwrong");
  CHECK(Says(p, "one answer, but this has yes, is"));
  p = After("feature = \"ribs\", count = 3", "feature = \"ribs\", yes = true");
  CHECK(p.field == "identify.rack.variant[1].trait[1].yes");
  CHECK(Says(p, "answered by 'count' elsewhere"));
  CHECK(Says(p, "first on line 19"));
  // A row that is being written has none yet; it does not count.
  std::string text(kRiddle);
  text.replace(text.rfind("is = \"green\"\nwrong"), 12, "");
  CHECK(ReadToml(text).problems.empty());
}

TEST_CASE("a trait once a variant, a name once a list") {
  CHECK(Says(After("{ feature = \"ribs\", count = 3 }",
                   "{ feature = \"ribs\", count = 3 }, { feature = \"ribs\", count = 4 }"),
             "two traits of this feature"));
  CHECK(Says(After("name = \"quick\"", "name = \"slow\""), "two rows of variant"));
  CHECK(Says(After("name = \"ribs\"", "name = \"ribs\"\n[[identify.rack.feature]]\nname = \"tag\""),
             "two rows of feature"));
}

TEST_CASE("more rows than anybody looks at are refused") {
  const auto with = [](std::size_t more) {
    std::string text(kRiddle);
    for (std::size_t i = 0; i < more; ++i) {
      text += "[[identify.rack.variant]]\nname = \"v" + std::to_string(i) + "\"\n";
    }
    return ReadToml(text).problems;
  };
  CHECK(with(kMostVariants - 2).empty());
  REQUIRE(with(kMostVariants - 1).size() == 1);
  CHECK(Says(with(kMostVariants - 1)[0], "at most 50"));
}

TEST_CASE("shares that leave nothing to be told") {
  CHECK(Says(After("wrong = \"10 %\"", "wrong = \"60 %\""), "less than 50 %"));
  CHECK(Says(After("wrong = \"30 %\"", "wrong = \"50 %\""), "less than 50 %"));
  CHECK(Says(After("none = \"5 %\"", "none = \"100 %\""), "less than 100 %"));
  CHECK(ReadToml(std::string(kRiddle) + "# wrong\n").problems.empty());
}

}  // namespace
}  // namespace steerbench
