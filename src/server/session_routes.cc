// Who may come in: what a page needs to know of the server, and pairing over the local network.
#include <fmt/format.h>

#include "server/qr.h"
#include "server/routes.h"

namespace steerbench::server {

Response GetSession(Workbench& bench, const Request& request) {
  const SharedState s = bench.session.Now();
  return AnswerOf(Json{{"title", request.paired ? Json(s->document.title) : Json(nullptr)},
                       {"version", bench.version},
                       {"lan", bench.pairing.On()},
                       {"paired", request.paired},
                       {"client_is_loopback", request.loopback},
                       {"addresses", request.loopback ? Json(bench.lan) : Json::array()}});
}

Response PostPair(Workbench& bench, const Request& request) {
  const std::string code = TextOf(ObjectOf(request), "code");
  if (!bench.pairing.On()) Refuse(404, "pair", "this server needs no pairing");
  const Pairing::Tried tried = bench.pairing.Try(request.peer, code);
  if (tried.token.empty()) {
    Refusal r{403, "code", "this is not the code that the terminal shows", "code"};
    if (tried.wait.count() > 0) {
      r.status = 429;
      r.code = "locked";
      r.message = fmt::format("too many wrong codes: wait {} s", tried.wait.count());
    }
    throw Refused{std::move(r)};
  }
  Response response = AnswerOf(Json{{"paired", true}});
  constexpr int kWeek = 7 * 24 * 3600;  // [s]; the server forgets all when it ends
  response.headers.emplace_back("Set-Cookie",
                                fmt::format("{}={}; Path=/; Max-Age={}; HttpOnly; SameSite=Strict",
                                            bench.Cookie(), tried.token, kWeek));
  return response;
}

Response GetQr(Workbench& bench, const Request& request) {
  if (bench.lan.empty()) Refuse(404, "lan", "the server is not open to the network");
  if (!request.loopback) Refuse(403, "loopback", "the code is shown on the machine itself only");
  const double at = NumberIn(request, "address").value_or(0.0);
  if (at < 0.0 || at >= static_cast<double>(bench.lan.size())) {
    Refuse(404, "parameter", "there is no such address; they count from 0", "address");
  }
  Response response;
  response.type = "image/svg+xml";
  response.body = QrSvg(bench.PairingAddress(bench.lan[static_cast<std::size_t>(at)]));
  return response;
}

}  // namespace steerbench::server
