#include "store/history.h"

#include <doctest/doctest.h>
#include <sqlite3.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "store/file.h"
#include "store/kept_file.h"

namespace steerbench {
namespace {

// An empty directory of its own, gone at the end.
class Here {
 public:
  Here() {
    std::string made = (std::filesystem::temp_directory_path() / "steerbench-XXXXXX").string();
    REQUIRE(mkdtemp(made.data()) != nullptr);
    path_ = made;
  }
  ~Here() { std::filesystem::remove_all(path_); }
  Here(const Here&) = delete;
  Here& operator=(const Here&) = delete;
  [[nodiscard]] std::string operator/(const std::string& name) const {
    return (path_ / name).string();
  }

 private:
  std::filesystem::path path_;
};

void Write(const std::string& path, const std::string& text) {
  std::ofstream(path, std::ios::binary) << text;
}
std::string Read(const std::string& path) { return ReadFile(path, 1 << 20).text; }

const Stamp kMe{"2026-01-02T03:04:05Z", "me"};
constexpr std::size_t kMost = 1 << 20;

TEST_CASE("a history keeps every state, over a restart too") {
  const Here here;
  const std::string odd("b\0\xff\n", 4);
  {
    History history(here / "h");
    CHECK_FALSE(history.Head());
    CHECK(history.Add("a", "first", kMe).id == 1);
    CHECK(history.Add(odd, "second", kMe).id == 2);
    CHECK(history.Add("", "emptied", kMe).id == 3);
    CHECK(history.Name(2, "good one"));
    CHECK_FALSE(history.Name(9, "none"));
    history.SetWritten(2);
  }
  const History history(here / "h");
  REQUIRE(history.Head());
  CHECK(history.Head()->id == 3);
  CHECK(history.Head()->what == "emptied");
  CHECK(history.Head()->when == kMe.when);
  CHECK(history.Head()->client == "me");
  CHECK(history.Text(1) == "a");
  CHECK(history.Text(2) == odd);
  CHECK(history.Text(3).empty());
  CHECK(history.Find(2)->name == "good one");
  CHECK_FALSE(history.Find(4));
  CHECK_THROWS_AS((void)history.Text(4), HistoryFailed);
  CHECK(history.Written() == 2);
  CHECK(history.All().size() == 3);
  CHECK(history.All().front().id == 3);
}

TEST_CASE("undo and redo walk along the edits, and only add states") {
  const Here here;
  History history(here / "h");
  CHECK_FALSE(history.Undo(kMe));
  history.Add("a", "open", kMe);
  CHECK_FALSE(history.Undo(kMe));
  history.Add("b", "to b", kMe);
  history.Add("c", "to c", kMe);
  const auto text = [&] { return history.Text(history.Head()->id); };
  CHECK_FALSE(history.Redo(kMe));
  REQUIRE(history.Undo(kMe));
  CHECK(text() == "b");
  CHECK(history.Head()->step == "to b");
  CHECK(history.Head()->what == "undone: to c");
  REQUIRE(history.Undo(kMe));
  CHECK(text() == "a");
  CHECK_FALSE(history.Undo(kMe));
  REQUIRE(history.Redo(kMe));
  CHECK(text() == "b");
  REQUIRE(history.Redo(kMe));
  CHECK(text() == "c");
  CHECK_FALSE(history.Redo(kMe));
  REQUIRE(history.Undo(kMe));
  CHECK(text() == "b");
  SUBCASE("an edit ends what can be done again") {
    history.Add("d", "to d", kMe);
    CHECK_FALSE(history.Redo(kMe));
    REQUIRE(history.Undo(kMe));
    CHECK(text() == "b");
  }
  SUBCASE("going back to an earlier state can be undone itself") {
    REQUIRE(history.Restore(3, kMe));
    CHECK(text() == "c");
    CHECK(history.Head()->what == "back to revision 3");
    REQUIRE(history.Undo(kMe));
    CHECK(text() == "b");
    CHECK_FALSE(history.Restore(99, kMe));
  }
  CHECK(history.Head()->id == static_cast<std::int64_t>(history.All().size()));
}

TEST_CASE("old states without a name are forgotten") {
  const Here here;
  History history(here / "h");
  history.Add("named", "open", kMe);
  history.Name(1, "keep me");
  history.Add("written", "edit", kMe);
  history.SetWritten(2);
  for (std::int64_t i = 0; i < kMostRevisions; ++i) history.Add("x", "edit", kMe);
  const auto all = history.All();
  CHECK(all.size() == kMostRevisions + 2);
  CHECK(history.Text(1) == "named");
  CHECK(history.Text(2) == "written");
  history.SetWritten(3);
  history.Add("y", "edit", kMe);
  CHECK_FALSE(history.Find(2));
  CHECK_FALSE(history.Find(3)->undo);  // what it pointed at is gone
}

TEST_CASE("a history is held by one program, and nothing else is taken for one") {
  const Here here;
  const History history(here / "h");
  CHECK_THROWS_WITH_AS(History(here / "h"), doctest::Contains("served already"), HistoryFailed);
  Write(here / "text", "this is a long enough text that is no database at all\n");
  CHECK_THROWS_WITH_AS(History(here / "text"), doctest::Contains("not a history"), HistoryFailed);
  CHECK_THROWS_AS(History(here / "no/such/place"), HistoryFailed);
}

TEST_CASE("a file is kept in step with its history") {
  const Here here;
  const std::string path = here / "car.toml";
  Write(path, "one");
  {
    KeptFile file(path, kMost, kMe);
    CHECK(file.Text() == "one");
    CHECK(file.Head().id == 1);
    CHECK_FALSE(file.TakeOver(kMe, true));
    file.Change("two", "edit", kMe);
    CHECK(Read(path) == "two");
    CHECK(file.Undo(kMe));
    CHECK(Read(path) == "one");
    CHECK(file.Redo(kMe));
    CHECK(Read(path) == "two");
    CHECK_FALSE(file.Redo(kMe));
    CHECK(file.Restore(1, kMe));
    CHECK(Read(path) == "one");
    CHECK(file.Trouble().empty());
  }
  const KeptFile again(path, kMost, kMe);
  CHECK(again.Head().id == 5);
}

TEST_CASE("what others do to the file is taken over, never written over") {
  const Here here;
  const std::string path = here / "car.toml";
  Write(path, "one");
  {
    KeptFile file(path, kMost, kMe);
    file.Change("two", "edit", kMe);
    Write(path, "by an editor");
    CHECK(file.TakeOver(kMe));
    CHECK(file.Text() == "by an editor");
    CHECK(file.Head().what == "changed outside");
    CHECK(file.Undo(kMe));
    CHECK(Read(path) == "two");
    file.Change("three", "edit", kMe);
  }
  // Also while nobody looks, and even when it is an earlier state of the file.
  Write(path, "two");
  {
    KeptFile file(path, kMost, kMe);
    CHECK(file.Text() == "two");
    CHECK(file.Head().what == "changed outside");
  }
  std::filesystem::remove(path);
  CHECK_THROWS_AS(KeptFile(path, kMost, kMe), HistoryFailed);
}

TEST_CASE("a program that died before it wrote the file is made good") {
  const Here here;
  const std::string path = here / "car.toml";
  Write(path, "one");
  { const KeptFile file(path, kMost, kMe); }
  // As if killed between the history and the file.
  { History(path + ".history").Add("two", "edit", kMe); }
  KeptFile file(path, kMost, kMe);
  CHECK(file.Text() == "two");
  CHECK(file.Head().id == 2);
  CHECK(Read(path) == "two");
}

TEST_CASE("killed twice: after the file was written, then before it was") {
  const Here here;
  const std::string path = here / "car.toml";
  Write(path, "one");
  { const KeptFile file(path, kMost, kMe); }
  { History(path + ".history").Add("two", "edit", kMe); }
  Write(path, "two");
  { const KeptFile file(path, kMost, kMe); }
  { History(path + ".history").Add("three", "edit", kMe); }
  const KeptFile file(path, kMost, kMe);
  CHECK(file.Text() == "three");
  CHECK(file.Head().id == 3);
}

TEST_CASE("a file that goes missing is written again, one that cannot be read stops changes") {
  const Here here;
  const std::string path = here / "car.toml";
  Write(path, "one");
  KeptFile file(path, kMost, kMe);
  std::filesystem::remove(path);
  CHECK_FALSE(file.TakeOver(kMe));
  CHECK(Read(path) == "one");
  Write(path, std::string(kMost + 1, 'x'));
  CHECK_THROWS_AS(file.TakeOver(kMe), HistoryFailed);
}

TEST_CASE("a file that cannot be written is told of, and written when it can be") {
  const Here here;
  std::filesystem::create_directory(here / "d");
  const std::string path = here / "d/car.toml";
  Write(path, "one");
  KeptFile file(path, kMost, kMe);
  // A directory in its place: the history can still be written, the file cannot.
  std::filesystem::rename(path, here / "aside");
  std::filesystem::create_directory(path);
  file.Change("two", "edit", kMe);
  CHECK(file.Text() == "two");
  CHECK_FALSE(file.Trouble().empty());
  std::filesystem::remove(path);
  std::filesystem::rename(here / "aside", path);
  CHECK_FALSE(file.TakeOver(kMe));
  CHECK(file.Trouble().empty());
  CHECK(Read(path) == "two");
}

TEST_CASE("what cannot be noted as written is made all the same, and said") {
  const Here here;
  const std::string path = here / "car.toml";
  Write(path, "a");
  { const KeptFile file(path, kMost, kMe); }
  const auto run = [&](const char* sql) {
    sqlite3* database = nullptr;
    REQUIRE(sqlite3_open((path + ".history").c_str(), &database) == SQLITE_OK);
    CHECK(sqlite3_exec(database, sql, nullptr, nullptr, nullptr) == SQLITE_OK);
    sqlite3_close(database);
  };
  run("CREATE TRIGGER no BEFORE UPDATE ON file BEGIN SELECT RAISE(ABORT, 'not now'); END");
  {
    KeptFile file(path, kMost, kMe);
    CHECK_NOTHROW(file.Change("b", "to b", kMe));
    CHECK(file.Head().id == 2);
    CHECK(file.Text() == "b");
    CHECK(Read(path) == "b");
    CHECK(file.Trouble().find("not now") != std::string::npos);
    Write(path, "c");
    CHECK(file.TakeOver(kMe));
    CHECK(file.Head().id == 3);
    CHECK_FALSE(file.Trouble().empty());
    CHECK_FALSE(file.TakeOver(kMe));
    CHECK_FALSE(file.Trouble().empty());
  }
  run("DROP TRIGGER no");
  const KeptFile again(path, kMost, kMe);
  CHECK(again.Trouble().empty());
  CHECK(again.Past().Written() == 3);
}

}  // namespace
}  // namespace steerbench
