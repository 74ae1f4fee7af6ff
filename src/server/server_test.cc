#include <doctest/doctest.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <atomic>
#include <boost/asio/error.hpp>
#include <chrono>
#include <set>
#include <stdexcept>
#include <thread>

#include "server/assets.h"
#include "server/events.h"
#include "server/hands.h"
#include "server/jobs.h"
#include "server/pairing.h"
#include "server/qr.h"
#include "server/target.h"
#include "server/wire.h"

namespace steerbench::server {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;

// A clock that is set by hand and numbers that are known.
struct Fakes {
  std::chrono::steady_clock::time_point now{};
  std::uint64_t drawn = 41;
  Pairing Make() {
    return Pairing(
        true, [this] { return now; }, [this] { return ++drawn; });
  }
};

TEST_CASE("secrets are the same or not") {
  CHECK(SameSecret("abc", "abc"));
  CHECK(SameSecret("", ""));
  for (const auto& [a, b] :
       {std::pair{"abc", "abd"}, {"abc", "ab"}, {"", "a"}, {"a", ""}, {"aa", "a"}}) {
    CHECK_FALSE(SameSecret(a, b));
  }
}

TEST_CASE("the right code gives a token of its own each time") {
  Fakes fakes;
  Pairing pairing = fakes.Make();
  CHECK(pairing.Code() == "00000042");
  const auto one = pairing.Try("192.0.2.9", "00000042"), two = pairing.Try("192.0.2.9", "00000042");
  CHECK(one.token.size() == 32);
  CHECK(one.token != two.token);
  CHECK(pairing.Knows(one.token));
  CHECK(pairing.Knows(two.token));
  CHECK_FALSE(pairing.Knows(""));
  CHECK_FALSE(pairing.Knows(one.token + "0"));
}

TEST_CASE("codes are as likely as each other: what does not divide evenly is drawn again") {
  std::vector<std::uint64_t> drawn{UINT64_MAX, UINT64_MAX - 5, 7};
  const Pairing pairing(true, std::chrono::steady_clock::now, [&] {
    const std::uint64_t next = drawn.front();
    drawn.erase(drawn.begin());
    return next;
  });
  CHECK(pairing.Code() == "00000007");
}

TEST_CASE("wrong codes lock for a while, which doubles") {
  Fakes fakes;
  Pairing pairing = fakes.Make();
  for (const seconds wait : {Pairing::kFirstWait, 2 * Pairing::kFirstWait}) {
    for (int i = 1; i < Pairing::kTries; ++i)
      CHECK(pairing.Try("192.0.2.9", "1").wait == seconds(0));
    CHECK(pairing.Try("192.0.2.9", "1").wait == wait);
    CHECK(pairing.Try("192.0.2.9", "00000042").token.empty());  // not even the right one
    fakes.now += wait - seconds(1);
    CHECK(pairing.Try("192.0.2.9", "00000042").wait == seconds(1));
    fakes.now += seconds(1);
  }
  CHECK_FALSE(pairing.Try("192.0.2.9", "00000042").token.empty());
  for (int i = 1; i < Pairing::kTries; ++i) CHECK(pairing.Try("192.0.2.9", "1").wait == seconds(0));
  CHECK(pairing.Try("192.0.2.9", "1").wait == Pairing::kFirstWait);
}

TEST_CASE(
    "the wait of one peer has a ceiling, and is forgotten an hour after its last wrong code") {
  Fakes fakes;
  Pairing pairing = fakes.Make();
  const auto lock = [&] {
    for (int i = 1; i < Pairing::kTries; ++i) (void)pairing.Try("192.0.2.9", "1");
    const seconds wait = pairing.Try("192.0.2.9", "1").wait;
    fakes.now += wait;
    return wait;
  };
  for (int i = 0; i < 10; ++i) CHECK(lock() <= Pairing::kLongestWait);
  CHECK(lock() == Pairing::kLongestWait);
  fakes.now += Pairing::kForgotten;
  CHECK(lock() == Pairing::kFirstWait);
}

TEST_CASE("strangers lock themselves out, but nobody else") {
  Fakes fakes;
  Pairing pairing = fakes.Make();
  for (int peer = 0; peer < 300; ++peer) {
    for (int i = 0; i < Pairing::kTries; ++i) (void)pairing.Try(std::to_string(peer), "1");
    CHECK(pairing.Try(std::to_string(peer), "00000042").wait == Pairing::kFirstWait);
  }
  CHECK(pairing.Try("owner", "1").wait == seconds(0));  // mistyped
  CHECK_FALSE(pairing.Try("owner", "00000042").token.empty());
}

TEST_CASE("peers that were locked share so many wrong codes a minute") {
  Fakes fakes;
  Pairing pairing = fakes.Make();
  constexpr int kPeers = 200;
  const auto try_all = [&] {
    int looked_at = 0;
    for (int peer = 0; peer < kPeers; ++peer) {
      looked_at += pairing.Try(std::to_string(peer), "1").wait.count() == 0 ? 1 : 0;
    }
    return looked_at;
  };
  for (int i = 0; i < Pairing::kTries; ++i) (void)try_all();
  fakes.now += Pairing::kFirstWait;
  // The last one that is looked at is told to wait as well.
  CHECK(try_all() == Pairing::kTriesOfAll - 1);
  CHECK(try_all() == 0);
  fakes.now += Pairing::kMinute;
  CHECK(try_all() == Pairing::kTriesOfAll - 1);
}

TEST_CASE("beyond so many peers newcomers share one count") {
  Fakes fakes;
  Pairing pairing = fakes.Make();
  for (std::size_t i = 0; i < Pairing::kMostPeers; ++i) (void)pairing.Try(std::to_string(i), "1");
  for (int i = 1; i < Pairing::kTries; ++i) {
    CHECK(pairing.Try("new " + std::to_string(i), "1").wait == seconds(0));
  }
  CHECK(pairing.Try("new", "1").wait == Pairing::kFirstWait);
  CHECK(pairing.Try("newer", "1").wait == Pairing::kFirstWait);
  CHECK(pairing.Try("0", "1").wait == seconds(0));
}

TEST_CASE("helpers are never more than there are to spare, and come back") {
  Hands hands(3);
  {
    const Hands::Taken two(hands, 2), more(hands, 5), none(hands, 1);
    CHECK(two.Count() == 2);
    CHECK(more.Count() == 1);
    CHECK(none.Count() == 0);
  }
  const Hands::Taken all(hands, 9);
  CHECK(all.Count() == 3);
  Hands single(-1);
  CHECK(Hands::Taken(single, 4).Count() == 0);
  CHECK(Hands::Taken(hands, -1).Count() == 0);
}

// Two ends of a connection.
struct Ends {
  std::array<int, 2> socket{-1, -1};
  Ends() { REQUIRE(socketpair(AF_UNIX, SOCK_STREAM, 0, socket.data()) == 0); }
  ~Ends() {
    for (const int s : socket) close(s);
  }
  void Say(std::string_view text) { REQUIRE(write(socket[1], text.data(), text.size()) > 0); }
};

TEST_CASE("a peer that sends a byte now and then is waited for so long in all") {
  Ends ends;
  const std::atomic<bool> ending{false};
  Wire wire(ends.socket[0], ending, {milliseconds(1000), milliseconds(100)});
  std::atomic<bool> done{false};
  std::thread drip([&] {
    while (!done) {
      ends.Say("x");
      std::this_thread::sleep_for(milliseconds(10));
    }
  });
  CHECK(wire.AwaitRequest(seconds(20)));
  wire.BeginRequest();
  const auto began = std::chrono::steady_clock::now();
  int read = 0;
  boost::system::error_code error;
  for (char c = 0; wire.read_some(boost::asio::buffer(&c, 1), error) == 1; ++read) CHECK(c == 'x');
  CHECK(error == boost::asio::error::timed_out);
  CHECK(read > 1);
  CHECK(std::chrono::steady_clock::now() - began < seconds(10));
  done = true;
  drip.join();
  ends.Say("x");
  CHECK(wire.AwaitRequest(seconds(20)));
  wire.BeginRequest();  // another request has its own time
  char c = 0;
  CHECK(wire.read_some(boost::asio::buffer(&c, 1), error) == 1);
}

TEST_CASE("a silent peer is waited for so long at one go, and one that left not at all") {
  Ends ends;
  const std::atomic<bool> ending{false};
  Wire wire(ends.socket[0], ending, {milliseconds(30), milliseconds(1000)});
  CHECK_FALSE(wire.AwaitRequest(milliseconds(10)));
  boost::system::error_code error;
  char c = 0;
  CHECK(wire.read_some(boost::asio::buffer(&c, 1), error) == 0);
  CHECK(error == boost::asio::error::timed_out);
  CHECK(wire.IsThere());
  const std::array<boost::asio::const_buffer, 3> pieces{
      boost::asio::buffer("a", 1), boost::asio::const_buffer(), boost::asio::buffer("bc", 2)};
  CHECK(wire.write_some(pieces, error) == 3);
  CHECK_FALSE(error);
  std::array<char, 8> got{};
  CHECK(read(ends.socket[1], got.data(), got.size()) == 3);
  CHECK(std::string(got.data()) == "abc");
  shutdown(ends.socket[1], SHUT_RDWR);
  CHECK_FALSE(wire.IsThere());
  CHECK(wire.write_some(pieces, error) == 0);
  CHECK(error == boost::asio::error::broken_pipe);
  CHECK(wire.read_some(boost::asio::buffer(&c, 1), error) == 0);
  CHECK(error == boost::asio::error::eof);
}

TEST_CASE("targets are taken apart as the standards say") {
  CHECK(PathOf("/api/turn?setup=calm") == "/api/turn");
  CHECK(PathOf("/a%20b%2Fc+d") == "/a b/c+d");
  CHECK(PathOf("/%2e%2e/%zz%4") == "/../%zz%4");
  CHECK(PathOf("").empty());
  CHECK(QueryOf("/x").empty());
  CHECK(QueryOf("/x?").empty());
  const auto query = QueryOf("/x?a=1%20mm&b&c=+&a=2&&=d&e=f=g?&%61b=%C2%B1");
  CHECK(query == std::map<std::string, std::string>{
                     {"a", "1 mm"}, {"b", ""}, {"c", " "}, {"", "d"}, {"e", "f=g?"}, {"ab", "±"}});
}

TEST_CASE("listeners hear what is told after they joined") {
  Events events;
  events.Tell({"early", 1});
  auto place = events.Join();
  CHECK(events.Wait(place, milliseconds(0)).empty());
  events.Tell({"a", 1});
  events.Tell({"b", 2});
  const auto heard = events.Wait(place, milliseconds(0));
  REQUIRE(heard.size() == 2);
  CHECK(heard[0].type == "a");
  CHECK(heard[1].type == "b");
  CHECK(events.Wait(place, milliseconds(0)).empty());
  for (std::size_t i = 0; i < Events::kKept + 5; ++i) events.Tell({"many", i});
  const auto many = events.Wait(place, milliseconds(0));
  REQUIRE(many.size() == Events::kKept);
  CHECK(many.back().data == Events::kKept + 4);
}

TEST_CASE("waiting ends with an event from another thread, or when all is closed") {
  Events events;
  auto place = events.Join();
  std::thread teller([&] { events.Tell({"now", 1}); });
  CHECK(events.Wait(place, seconds(20)).size() == 1);
  teller.join();
  std::thread closer([&] { events.Close(); });
  CHECK(events.Wait(place, seconds(20)).empty());
  closer.join();
  CHECK(events.Closed());
}

TEST_CASE("events are written as the stream wants them") {
  CHECK(StreamText({"ping", Json::object()}) == "event: ping\ndata: {}\n\n");
  CHECK(StreamText({"revision", {{"a", "x\ny"}}, "3"}) ==
        "id: 3\nevent: revision\ndata: {\"a\":\"x\\ny\"}\n\n");
}

JobReport Ended(const Jobs& jobs, std::uint64_t id) {
  for (;;) {
    const auto report = jobs.Look(id);
    REQUIRE(report);
    if (report->state != JobState::kRunning) return *report;
    std::this_thread::sleep_for(milliseconds(1));
  }
}

TEST_CASE("jobs end as done, failed or stopped") {
  std::atomic<int> told{0};
  Jobs jobs([&](std::uint64_t, const JobReport&) { ++told; });
  const auto done = jobs.Start([](const Jobs::Tell& tell) {
    for (int i = 0; i <= 1000; ++i) tell(i / 1000.0);
    return std::string("{}");
  });
  CHECK(Ended(jobs, *done).result == "{}");
  CHECK(Ended(jobs, *done).progress == 1.0);
  const auto failed =
      jobs.Start([](const Jobs::Tell&) -> std::string { throw std::runtime_error("it broke"); });
  CHECK(Ended(jobs, *failed).state == JobState::kFailed);
  CHECK(Ended(jobs, *failed).error == "it broke");
  const auto endless = [](const Jobs::Tell& tell) -> std::string {
    for (;;) tell(0.5);
  };
  const auto one = jobs.Start(endless), two = jobs.Start(endless);
  CHECK_FALSE(jobs.Start(endless));
  CHECK(jobs.Stop(*one));
  CHECK(Ended(jobs, *one).state == JobState::kStopped);
  CHECK(jobs.Look(*two)->state == JobState::kRunning);
  CHECK_FALSE(jobs.Stop(99));
  CHECK_FALSE(jobs.Look(99));
  CHECK(told > 3);
  CHECK(told < 150);
  // The second one is stopped when all of it goes.
}

TEST_CASE("ended jobs are forgotten in time") {
  Jobs jobs([](std::uint64_t, const JobReport&) {});
  std::optional<std::uint64_t> first, id;
  for (std::size_t i = 0; i < Jobs::kKept + 3; ++i) {
    do {
      id = jobs.Start([](const Jobs::Tell&) { return std::string("{}"); });
    } while (!id);
    Ended(jobs, *id);
    if (!first) first = id;
  }
  CHECK_FALSE(jobs.Look(*first));
  CHECK(jobs.Look(*id));
}

TEST_CASE("gzip there and back") {
  for (const std::string& text : {std::string(), std::string("a"), std::string(1'000'000, 'x')}) {
    CHECK(Unzipped(Zipped(text)) == text);
  }
  CHECK_THROWS_AS((void)Unzipped("no gzip"), std::runtime_error);
  const std::string whole = Zipped(std::string(1000, 'x'));
  CHECK_THROWS_AS((void)Unzipped(whole.substr(0, whole.size() / 2)), std::runtime_error);
}

TEST_CASE("media types go by the name") {
  CHECK(MediaType("/index.html") == "text/html; charset=utf-8");
  CHECK(MediaType("/assets/a.js") == "text/javascript; charset=utf-8");
  CHECK(MediaType("/odd") == "application/octet-stream");
}

TEST_CASE("a QR code is a square picture, and none when the text is too long") {
  const std::string svg = QrSvg("http://192.0.2.7:8080/#code=12345678");
  CHECK(svg.starts_with("<svg"));
  CHECK(svg.find("viewBox=\"0 0 37 37\"") != std::string::npos);  // 29 modules and 2 x 4 of margin
  const std::string lines = QrLines("x");
  CHECK(std::count(lines.begin(), lines.end(), '\n') == 15);  // 21 modules and 8, two a line
  CHECK(QrSvg(std::string(5000, 'x')).empty());
}

}  // namespace
}  // namespace steerbench::server
