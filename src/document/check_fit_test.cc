// What is said of slips in faces and adapters.
#include <doctest/doctest.h>

#include <string>

#include "document/document.h"

namespace steerbench {
namespace {

constexpr std::string_view kFaces = R"(format = 1
[[car.face]]
at = "pinion"
splines = 36

[[rack.quick.face]]
at = "pinion"
splines = 40

[[rack.quick.face]]
at = "rack mount"
pattern = "two saddles"

[adapter.coupling]
one = { at = "pinion", splines = 36 }
other = { at = "pinion", splines = 40 }
)";

std::string With(std::string_view from, std::string_view to) {
  std::string text(kFaces);
  const std::size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  text.replace(at, from.size(), to);
  return text;
}

// The only problem after one text is put in the place of another.
Problem After(std::string_view from, std::string_view to) {
  const ReadResult read = ReadToml(With(from, to));
  REQUIRE(read.problems.size() == 1);
  return read.problems[0];
}

bool Says(const Problem& problem, std::string_view part) {
  return problem.message.find(part) != std::string::npos;
}

TEST_CASE("faces and adapters read") {
  const ReadResult read = ReadToml(kFaces);
  REQUIRE(read.problems.empty());
  CHECK(read.document.car.face.at(0).at == Meeting::kPinion);
  CHECK(read.document.rack.at(0).second.face.at(1).pattern == "two saddles");
  CHECK(read.document.adapter.at(0).second.other.splines->value == 40.0);
  CHECK(ReadToml(With("other = { at = \"pinion\", ", "other = { ")).problems.empty());
}

TEST_CASE("a face says where it is, unless it is being written") {
  const Problem problem = After("at = \"rack mount\"\n", "");
  CHECK(problem.line == 10);
  CHECK(problem.column == 1);
  CHECK(problem.field == "rack.quick.face[1]");
  CHECK(Says(problem, "e.g. at = \"pinion\""));
  CHECK(After("at = \"pinion\"\nsplines = 36", "splines = 36").field == "car.face[0]");
  CHECK(EditToml(kFaces, "rack.quick.face[1].at", "").problems.empty());
  const ReadResult neither =
      ReadToml("format = 1\n[adapter.x]\none = { splines = 3 }\nother = { splines = 4 }\n");
  REQUIRE(neither.problems.size() == 1);
  CHECK(neither.problems[0].field == "adapter.x.one");
  CHECK(neither.problems[0].line == 3);
}

TEST_CASE("a part has one face at a place") {
  const Problem problem = After("at = \"rack mount\"", "at = \"pinion\"");
  CHECK(problem.line == 11);
  CHECK(problem.column == 6);
  CHECK(problem.field == "rack.quick.face[1].at");
  CHECK(Says(problem, "a second face at the pinion"));
  CHECK(Says(problem, "line 7"));
}

TEST_CASE("an adapter joins two faces at one place") {
  const Problem problem = After("other = { at = \"pinion\"", "other = { at = \"rack mount\"");
  CHECK(problem.line == 16);
  CHECK(problem.column == 16);
  CHECK(problem.field == "adapter.coupling.other.at");
  CHECK(Says(problem, "its other side is at the pinion"));
}

}  // namespace
}  // namespace steerbench
