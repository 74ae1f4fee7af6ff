#include "document/changes.h"

#include <doctest/doctest.h>

#include "document/document.h"

namespace steerbench {
namespace {

using Paths = std::vector<std::string>;

constexpr std::string_view kText = R"(format = 1

# The car.
[car]
wheelbase = "2.5 m" # taped

[[car.front.obstacle]]
name = "rail"
gap = "10 mm"

# The brake hose.
[[car.front.obstacle]]
name = "hose"

[rack.quick]
travel = "144 mm"

# Its ratio.
[[rack.quick.ratio]]
travel = "0 mm"
travel_per_turn = "50 mm/turn"

[[rack.quick.ratio]]
travel = "60 mm"
travel_per_turn = "45 mm/turn"

[rack.slow]
travel = "140 mm"

# The one to try.
[setup.try]
rack = "quick"
)";

std::string With(std::string_view path, std::string_view value) {
  const EditResult edit = EditToml(kText, path, value);
  REQUIRE(edit.problems.empty());
  return edit.text;
}

TEST_CASE("changed fields are named by their paths") {
  CHECK(ChangedPaths(kText, kText).empty());
  CHECK(ChangedPaths(kText, With("car.wheelbase", "2.6 m")) == Paths{"car.wheelbase"});
  CHECK(ChangedPaths(kText, With("car.wheelbase", "")) == Paths{"car.wheelbase"});
  CHECK(ChangedPaths(kText, With("car.rear_track", "1.4 m")) == Paths{"car.rear_track"});
  CHECK(ChangedPaths(kText, With("rack.new.travel", "1 mm")) == Paths{"rack.new.travel"});
  CHECK(ChangedPaths(kText, With("car.front.obstacle[1].gap", "5 mm")) ==
        Paths{"car.front.obstacle[1].gap"});
  CHECK(ChangedPaths("a = 1\n[b]\n", "[b]\nc = 2\n") == Paths{"a", "b.c"});
  CHECK(ChangedPaths("[b]\n", "") == Paths{"b"});
  CHECK(ChangedPaths("a = \"x\"", "[a]\nb = 1\n") == Paths{"a"});
}

TEST_CASE("comments and layout are no change, a text that is no TOML is all change") {
  CHECK(ChangedPaths("a = 1\nb = 2\n", "# so\nb   =  2\na = 1").empty());
  CHECK(ChangedPaths("a = 1", "a = ") == Paths{""});
  CHECK(ChangedPaths("[", "[").empty());
  CHECK(PathsMeet("", "car.wheelbase"));
}

TEST_CASE("paths meet where one holds the other") {
  CHECK(PathsMeet("car.front", "car.front"));
  CHECK(PathsMeet("car.front", "car.front.toe"));
  CHECK(PathsMeet("car.front.obstacle[0]", "car.front.obstacle"));
  CHECK_FALSE(PathsMeet("car.front", "car.fronts"));
  CHECK_FALSE(PathsMeet("car.front.toe", "car.front.tyre"));
}

TEST_CASE("a value is given as a user would type it") {
  CHECK(ValueAt(kText, "car.wheelbase") == "2.5 m");
  CHECK(ValueAt(kText, "format") == "1");
  CHECK(ValueAt("a = { value = \"8 mm\" }", "a") == "{ value = \"8 mm\" }");
  CHECK_FALSE(ValueAt(kText, "car"));
  CHECK_FALSE(ValueAt(kText, "car.none"));
  CHECK_FALSE(ValueAt(kText, ".."));
  CHECK_FALSE(ValueAt("[", "a"));
}

TEST_CASE("a part goes with all its sections and the comments right above them") {
  CHECK(With("rack.slow", "") ==
        std::string(kText).erase(kText.find("[rack.slow]"),
                                 kText.find("# The one") - kText.find("[rack.slow]")));
  // One that a setup uses does not go.
  CHECK_FALSE(EditToml(kText, "rack.quick", "").problems.empty());
  const std::string without = EditToml(With("setup.try", ""), "rack.quick", "").text;
  CHECK(without.find("quick") == std::string::npos);
  CHECK(without.find("# Its ratio") == std::string::npos);
  CHECK(without.find("# The one") == std::string::npos);
  CHECK(without.find("# The brake hose.\n[[car.front.obstacle]]") != std::string::npos);
  CHECK(without.find("[rack.slow]\ntravel = \"140 mm\"\n") != std::string::npos);
}

TEST_CASE("an item of a list goes and the next ones move up") {
  const std::string first = With("car.front.obstacle[0]", "");
  CHECK(first.find("rail") == std::string::npos);
  CHECK(first.find("# The brake hose.\n[[car.front.obstacle]]\nname = \"hose\"") !=
        std::string::npos);
  const std::string last = With("car.front.obstacle[1]", "");
  CHECK(last.find("hose") == std::string::npos);
  CHECK(last.find("rail") != std::string::npos);
  CHECK(With("rack.quick.ratio[1]", "").find("60 mm") == std::string::npos);
  CHECK(With("rack.quick.ratio", "").find("ratio") == std::string::npos);
  CHECK(With("car.front.obstacle[7]", "") == kText);
}

TEST_CASE("parts and items written in one line go as well") {
  const std::string_view text =
      "format = 1\nrack = { a = { travel = \"1 mm\" }, b = { travel = \"2 mm\" } }\n"
      "[car.front]\nobstacle = [{ name = \"x\" }, { name = \"y\" }]\n";
  CHECK(EditToml(text, "rack.a", "").text.find("rack = { b = { travel = \"2 mm\" } }") !=
        std::string::npos);
  CHECK(EditToml(text, "rack.b", "").text.find("rack = { a = { travel = \"1 mm\" } }") !=
        std::string::npos);
  CHECK(EditToml(text, "car.front.obstacle[0]", "").text.find("[{ name = \"y\" }]") !=
        std::string::npos);
  CHECK(EditToml(text, "car.front.obstacle[1]", "").text.find("[{ name = \"x\" }]") !=
        std::string::npos);
}

}  // namespace
}  // namespace steerbench
