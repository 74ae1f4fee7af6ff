// What a request must look like before any handler sees it: from whom, to which host, in which
// form. Pure functions on the request's head.
#pragma once

#include <map>
#include <string>
#include <string_view>

#include "server/message.h"

namespace steerbench::server {

// The head of a request and the connection on which it came.
struct Knock {
  std::string method, path;
  std::multimap<std::string, std::string> headers;  // names in lower case
  std::string peer;                                 // address of who asks
  std::string local;                                // address at which it arrived
  int port = 0;                                     // likewise
};

// "127.0.0.1" and all that is this machine itself.
[[nodiscard]] bool IsLoopback(std::string_view address);

// Throws Refused when the request is none for this server:
// - Host missing, doubled or of another name: a foreign name that was made to resolve to this
//   machine (DNS rebinding) sends its own. Taken are localhost and the address of the connection,
//   with its port.
// - sent by a page of another site, as Origin and Sec-Fetch-Site (Fetch Metadata) tell.
// - a POST of anything but JSON (which a page of another site cannot send unasked), with a content
//   encoding, or whose length is not told in just one way; another method with a body.
void CheckHead(const Knock& knock);

// The value of a cookie; empty when there is none.
[[nodiscard]] std::string CookieOf(const Knock& knock, std::string_view name);

// Whether the client takes gzip (Accept-Encoding lists it, and not with q=0).
[[nodiscard]] bool TakesGzip(const Knock& knock);

}  // namespace steerbench::server
