#include "document/rename.h"

#include <doctest/doctest.h>

#include <string>

namespace steerbench {
namespace {

const std::string kText =
    "# mine\n"
    "[rack.calm]\ntravel = \"2 mm\"\n\n"
    "[setup.calm]  # as bought\n"
    "rack = \"calm\"\n"
    "[setup.keen]\nrack = \"calm\"\n\n"
    "[search]\nbase = \"calm\"  # now\n";

TEST_CASE("A renamed setup keeps all else, and what refers to it follows") {
  const EditResult r = RenameSetup(kText, "calm", "gentle");
  REQUIRE(r.problems.empty());
  CHECK(r.before == "calm");
  CHECK(r.text ==
        "# mine\n"
        "[rack.calm]\ntravel = \"2 mm\"\n\n"
        "[setup.gentle]  # as bought\n"
        "rack = \"calm\"\n"
        "[setup.keen]\nrack = \"calm\"\n\n"
        "[search]\nbase = \"gentle\"  # now\n");
  CHECK(RenameSetup(r.text, "gentle", "calm").text == kText);
  CHECK(RenameSetup(kText, "keen", "calm 2").text.find("[setup.\"calm 2\"]") != std::string::npos);
  CHECK(RenameSetup(kText, "calm", "calm").text == kText);
}

TEST_CASE("Setups in other layouts are renamed, or refused as they are") {
  const auto renamed = [](std::string_view text) { return RenameSetup(text, "a", "b").text; };
  CHECK(renamed("[setup]\na = { rack = \"r\" }\n") == "[setup]\nb = { rack = \"r\" }\n");
  CHECK(renamed("setup.a.rack = \"r\"\n") == "setup.b.rack = \"r\"\n");
  CHECK(renamed("[ setup . \"a\" ]\nrack = \"r\"\n") == "[ setup . b ]\nrack = \"r\"\n");
  CHECK(renamed("[setup.a.x]\ny = 1\n[setup.a.z]\ny = 1\n") ==
        "[setup.b.x]\ny = 1\n[setup.b.z]\ny = 1\n");
  const EditResult odd = RenameSetup("setup.a.rack = \"r\"\nsetup.a.pump = \"p\"\n", "a", "b");
  CHECK(odd.problems.size() == 1);
}

TEST_CASE("A rename that cannot be says why") {
  for (const auto& name : {std::pair{"none", "x"}, {"calm", ""}, {"calm", "keen"}}) {
    CAPTURE(name.first);
    CHECK(RenameSetup(kText, name.first, name.second).problems.size() == 1);
  }
  CHECK(RenameSetup("format = ", "a", "b").problems.size() == 1);
}

}  // namespace
}  // namespace steerbench
