#include "server/gate.h"

#include <doctest/doctest.h>

namespace steerbench::server {
namespace {

Knock Good(std::string method = "GET") {
  Knock knock{std::move(method), "/api/document", {}, "127.0.0.1", "127.0.0.1", 8080};
  knock.headers = {{"host", "127.0.0.1:8080"}};
  if (knock.method != "GET") {
    knock.headers.emplace("content-type", "application/json");
    knock.headers.emplace("content-length", "2");
  }
  return knock;
}

Knock With(Knock knock, const std::string& name, const std::string& value) {
  knock.headers.erase(name);
  knock.headers.emplace(name, value);
  return knock;
}

// The status with which a head is refused; 0 when it is not.
int StatusOf(const Knock& knock) {
  try {
    CheckHead(knock);
    return 0;
  } catch (const Refused& refused) {
    return refused.refusal.status;
  }
}

TEST_CASE("heads that are as they should be pass") {
  CHECK(StatusOf(Good()) == 0);
  CHECK(StatusOf(Good("POST")) == 0);
  CHECK(StatusOf(With(Good(), "host", "localhost:8080")) == 0);
  CHECK(StatusOf(With(Good("POST"), "origin", "http://127.0.0.1:8080")) == 0);
  Knock usual = Good();
  usual.port = 80;
  CHECK(StatusOf(With(usual, "host", "localhost")) == 0);
}

TEST_CASE("on the network the host is the address at which it arrived") {
  Knock phone = With(Good(), "host", "192.0.2.7:8080");
  CHECK(StatusOf(phone) == 421);
  phone.local = "192.0.2.7";
  CHECK(StatusOf(phone) == 0);
  phone.local = "2001:db8::7";
  CHECK(StatusOf(With(phone, "host", "[2001:db8::7]:8080")) == 0);
  CHECK(StatusOf(With(phone, "host", "2001:db8::7:8080")) == 421);
}

TEST_CASE("foreign hosts and sites are refused") {
  for (const char* host :
       {"", "evil.example:8080", "127.0.0.1", "127.0.0.1:80", "localhost.:8080"}) {
    CHECK(StatusOf(With(Good(), "host", host)) == 421);
  }
  Knock twice = Good();
  twice.headers.emplace("host", "127.0.0.1:8080");
  CHECK(StatusOf(twice) == 400);
  for (const char* origin : {"null", "http://evil.example", "https://127.0.0.1:8080"}) {
    CHECK(StatusOf(With(Good(), "origin", origin)) == 403);
  }
  CHECK(StatusOf(With(Good(), "sec-fetch-site", "cross-site")) == 403);
  Knock page = With(Good(), "sec-fetch-site", "cross-site");
  page.path = "/";
  CHECK(StatusOf(page) == 0);
}

TEST_CASE("bodies are JSON, as they are, of a length told in one way") {
  CHECK(StatusOf(With(Good("POST"), "content-type", "text/plain")) == 415);
  CHECK(StatusOf(With(Good("POST"), "content-type", "application/json; charset=utf-8")) == 0);
  CHECK(StatusOf(With(Good("POST"), "content-encoding", "gzip")) == 415);
  Knock none = Good("POST");
  none.headers.erase("content-length");
  CHECK(StatusOf(none) == 411);
  CHECK(StatusOf(With(none, "transfer-encoding", "chunked")) == 0);
  CHECK(StatusOf(With(none, "transfer-encoding", "gzip, chunked")) == 400);
  CHECK(StatusOf(With(Good("POST"), "transfer-encoding", "chunked")) == 400);
  CHECK(StatusOf(With(Good("POST"), "content-length", "0x2")) == 400);
  CHECK(StatusOf(With(Good(), "content-length", "2")) == 400);
  CHECK(StatusOf(With(Good(), "range", "bytes=0-1")) == 416);
}

TEST_CASE("cookies and encodings are found in their lists") {
  const Knock knock = With(Good(), "cookie", "a=1; steerbench=secret ;b=2");
  CHECK(CookieOf(knock, "steerbench") == "secret");
  CHECK(CookieOf(knock, "a") == "1");
  CHECK(CookieOf(knock, "steer").empty());
  CHECK(CookieOf(Good(), "a").empty());
  CHECK(TakesGzip(With(Good(), "accept-encoding", "br;q=1.0, GZIP;q=0.5")));
  CHECK_FALSE(TakesGzip(With(Good(), "accept-encoding", "gzip;q=0, br")));
  CHECK_FALSE(TakesGzip(With(Good(), "accept-encoding", "*")));
  CHECK_FALSE(TakesGzip(Good()));
}

TEST_CASE("this machine is known by its addresses") {
  for (const char* own : {"127.0.0.1", "127.1.2.3", "::1", "::ffff:127.0.0.1"}) {
    CHECK(IsLoopback(own));
  }
  for (const char* other : {"", "192.0.2.7", "::ffff:192.0.2.7", "::2", "128.0.0.1"}) {
    CHECK_FALSE(IsLoopback(other));
  }
}

}  // namespace
}  // namespace steerbench::server
