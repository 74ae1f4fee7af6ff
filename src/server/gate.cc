#include "server/gate.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <vector>

#include "quantity/trimmed.h"
#include "server/target.h"

namespace steerbench::server {
namespace {

// The parts of a header's list, without blanks around them.
std::vector<std::string_view> Split(std::string_view list, char at) {
  std::vector<std::string_view> parts;
  for (;;) {
    const std::size_t end = std::min(list.find(at), list.size());
    parts.push_back(Trimmed(list.substr(0, end)));
    if (end == list.size()) return parts;
    list.remove_prefix(end + 1);
  }
}

// The header's only value; empty when it is missing. Twice is refused.
std::string One(const Knock& knock, const char* name) {
  const auto [first, last] = knock.headers.equal_range(name);
  if (first == last) return {};
  if (std::next(first) != last) {
    Refuse(400, "header", fmt::format("the header {} is given twice", name));
  }
  return std::string(Trimmed(first->second));
}

std::string CheckHost(const Knock& knock) {
  const std::string host = Lower(One(knock, "host"));
  const std::string local =
      knock.local.find(':') == std::string::npos ? knock.local : "[" + knock.local + "]";
  const std::array<std::string, 4> names{"localhost", "127.0.0.1", "[::1]", Lower(local)};
  constexpr int kUsualPort = 80;
  const bool known = std::ranges::any_of(names, [&](const std::string& name) {
    return host == fmt::format("{}:{}", name, knock.port) ||
           (host == name && knock.port == kUsualPort);
  });
  if (!known || host.empty()) {
    Refuse(421, "host", "this server answers under its own address only");
  }
  return host;
}

void CheckOrigin(const Knock& knock, const std::string& host) {
  const std::string origin = One(knock, "origin");
  const bool foreign_origin = !origin.empty() && Lower(origin) != "http://" + host;
  const std::string site = Lower(One(knock, "sec-fetch-site"));
  const bool own_site = site.empty() || site == "same-origin" || site == "none";
  // The page itself may be reached by a link from anywhere; what it asks for then is its own.
  const bool page = knock.method == "GET" && !knock.path.starts_with("/api/");
  if (foreign_origin || (!own_site && !page)) {
    Refuse(403, "origin", "requests of other sites are not answered");
  }
}

void CheckBody(const Knock& knock) {
  const std::string length = One(knock, "content-length");
  const std::string transfer = Lower(One(knock, "transfer-encoding"));
  if (knock.method != "POST") {
    if ((!length.empty() && length != "0") || !transfer.empty()) {
      Refuse(400, "body", fmt::format("a {} request has no body here", knock.method));
    }
    return;
  }
  const std::string media = Lower(One(knock, "content-type"));
  const auto type = Split(media, ';');
  const bool utf8 = std::all_of(type.begin() + 1, type.end(), [](std::string_view p) {
    return p == "charset=utf-8" || p == "charset=\"utf-8\"";
  });
  if (type.front() != "application/json" || !utf8) {
    Refuse(415, "type", "send JSON in UTF-8: Content-Type: application/json");
  }
  if (const std::string coded = Lower(One(knock, "content-encoding"));
      !coded.empty() && coded != "identity") {
    Refuse(415, "encoding", "send the body as it is, not compressed");
  }
  if (length.empty() && transfer.empty()) {
    Refuse(411, "length", "say how long the body is: Content-Length");
  }
  const bool digits = length.find_first_not_of("0123456789") == std::string::npos;
  const bool both = !length.empty() && !transfer.empty();
  if (both || !digits || (!transfer.empty() && transfer != "chunked")) {
    Refuse(400, "length", "the length of the body is not clear");
  }
}

}  // namespace

bool IsLoopback(std::string_view address) {
  constexpr std::string_view kMapped = "::ffff:";
  if (address.starts_with(kMapped)) address.remove_prefix(kMapped.size());
  return address.starts_with("127.") || address == "::1";
}

void CheckHead(const Knock& knock) {
  const std::string host = CheckHost(knock);
  CheckOrigin(knock, host);
  CheckBody(knock);
  if (knock.headers.contains("range")) Refuse(416, "range", "answers are sent whole");
}

std::string CookieOf(const Knock& knock, std::string_view name) {
  const auto [first, last] = knock.headers.equal_range("cookie");
  for (auto header = first; header != last; ++header) {
    for (const std::string_view pair : Split(header->second, ';')) {
      const std::size_t equals = pair.find('=');
      if (equals != std::string_view::npos && pair.substr(0, equals) == name) {
        return std::string(pair.substr(equals + 1));
      }
    }
  }
  return {};
}

bool TakesGzip(const Knock& knock) {
  const auto found = knock.headers.find("accept-encoding");
  if (found == knock.headers.end()) return false;
  for (const std::string_view one : Split(found->second, ',')) {
    const auto parts = Split(one, ';');
    if (Lower(parts.front()) != "gzip") continue;
    const bool never = parts.size() > 1 && (parts[1] == "q=0" || parts[1] == "q=0.0" ||
                                            parts[1] == "q=0.00" || parts[1] == "q=0.000");
    return !never;
  }
  return false;
}

}  // namespace steerbench::server
