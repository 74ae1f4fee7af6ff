#include "store/file.h"

#include <doctest/doctest.h>
#include <sys/stat.h>

#include <cstdlib>
#include <filesystem>

namespace steerbench {
namespace {

constexpr std::size_t kMost = 1 << 20;

// A folder of its own, gone with the test.
struct Folder {
  std::filesystem::path path;
  Folder() {
    std::string name = (std::filesystem::temp_directory_path() / "steerbench-test-XXXXXX").string();
    path = mkdtemp(name.data());
  }
  ~Folder() { std::filesystem::remove_all(path); }
  std::string operator/(const char* name) const { return (path / name).string(); }
  std::size_t count() const {
    std::size_t n = 0;
    for ([[maybe_unused]] const auto& e : std::filesystem::directory_iterator(path)) ++n;
    return n;
  }
};

}  // namespace

TEST_CASE("What is written is read back") {
  const Folder folder;
  const std::string text("a\0b\xff\n", 5);
  CHECK(WriteFileAtomically(folder / "x", text) == "");
  CHECK(ReadFile(folder / "x", kMost).text == text);
  CHECK(folder.count() == 1);
}

TEST_CASE("A file keeps its permissions and its link") {
  const Folder folder;
  REQUIRE(WriteFileAtomically(folder / "x", "old") == "");
  REQUIRE(chmod((folder / "x").c_str(), 0600) == 0);
  std::filesystem::create_symlink("x", folder.path / "link");
  CHECK(WriteFileAtomically(folder / "link", "new") == "");
  CHECK(ReadFile(folder / "x", kMost).text == "new");
  CHECK(std::filesystem::is_symlink(folder.path / "link"));
  struct stat now {};
  REQUIRE(stat((folder / "x").c_str(), &now) == 0);
  CHECK((now.st_mode & 0777) == 0600);
}

TEST_CASE("Nothing is overwritten unless asked, and nothing is left behind") {
  const Folder folder;
  REQUIRE(WriteFileAtomically(folder / "x", "old", false) == "");
  CHECK(WriteFileAtomically(folder / "x", "new", false).find("exists") != std::string::npos);
  CHECK(ReadFile(folder / "x", kMost).text == "old");
  CHECK(folder.count() == 1);
}

TEST_CASE("What cannot be read or written is said by name") {
  const Folder folder;
  CHECK(ReadFile(folder / "none", kMost).error.find("none") != std::string::npos);
  CHECK(ReadFile(folder.path.string(), kMost).error.find("directory") != std::string::npos);
  CHECK(WriteFileAtomically(folder / "no/x", "new") != "");
  CHECK(WriteFileAtomically(folder.path.string(), "new").find("regular") != std::string::npos);
}

TEST_CASE("A file over the bound is refused") {
  const Folder folder;
  REQUIRE(WriteFileAtomically(folder / "x", std::string(kMost + 1, 'x')) == "");
  const FileText file = ReadFile(folder / "x", kMost);
  CHECK(file.error.find("larger") != std::string::npos);
  CHECK(file.text.empty());
  REQUIRE(WriteFileAtomically(folder / "x", std::string(kMost, 'x')) == "");
  CHECK(ReadFile(folder / "x", kMost).text.size() == kMost);
}

}  // namespace steerbench
