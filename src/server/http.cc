#include "server/http.h"

#include <arpa/inet.h>
#include <fmt/format.h>
#include <ifaddrs.h>
#include <net/if.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <boost/asio/write.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/http.hpp>
#include <charconv>
#include <chrono>
#include <cstdio>
#include <limits>

#include "server/assets.h"
#include "server/gate.h"
#include "server/listener.h"
#include "server/target.h"

namespace steerbench::server {
namespace {

namespace http = boost::beast::http;
using boost::system::error_code;
using std::chrono::milliseconds;
using std::chrono::seconds;

constexpr seconds kKeepAlive{5};  // for the next request of a connection
constexpr int kMostStreams = 256;
constexpr seconds kPing{15};
constexpr milliseconds kBeat{1000};  // how soon a stream looks whether somebody is still there
constexpr std::uint32_t kMostHead = 16u << 10;
constexpr std::size_t kMostBuffered = 128u << 10;  // of what was read and not taken yet
constexpr std::size_t kMostFraming = 1u << 20;     // of a body sent in pieces: what is not the body
constexpr std::size_t kDiscarded = 64u << 20;      // of a body that is too long, to say so politely
constexpr std::size_t kWorthZipping = 16u << 10;

constexpr std::array<std::pair<std::string_view, std::string_view>, 7> kSecurityHeaders{{
    {"Content-Security-Policy",
     "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
     "connect-src 'self'; font-src 'self'; manifest-src 'self'; base-uri 'none'; "
     "form-action 'none'; frame-ancestors 'none'"},
    {"X-Content-Type-Options", "nosniff"},
    {"X-Frame-Options", "DENY"},
    {"Referrer-Policy", "no-referrer"},
    {"Cross-Origin-Opener-Policy", "same-origin"},
    {"Cross-Origin-Resource-Policy", "same-origin"},
    {"Permissions-Policy", "camera=(), geolocation=(), microphone=()"},
}};

constexpr std::string_view kNoPage =
    "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>steerbench</title>"
    "<p>This steerbench was built without the workbench (STEERBENCH_WEB). The API is under "
    "<code>/api/</code>.</p></html>\n";

std::string_view View(boost::beast::string_view text) { return {text.data(), text.size()}; }
boost::beast::string_view View(std::string_view text) { return {text.data(), text.size()}; }

// Whether what went wrong is the request itself, and not the connection.
bool IsMalformed(const error_code& error) {
  return error.category() == http::make_error_code(http::error::end_of_stream).category() &&
         error != http::error::end_of_stream && error != http::error::partial_message;
}

Refusal TooSlow() { return {408, "slow", "the request did not come whole in time", {}}; }

Response NoStore(Response response) {
  response.headers.emplace_back("Cache-Control", "no-store");
  return response;
}

Response Packed(Response response, bool gzip) {
  if (!gzip || response.body.size() < kWorthZipping) return response;
  response.headers.emplace_back("Content-Encoding", "gzip");
  response.headers.emplace_back("Vary", "Accept-Encoding");
  response.body = Zipped(response.body);
  return response;
}

// A file of the page. Names with a hash in them never change what they hold.
Response AnswerOf(const Asset& asset, const Knock& knock) {
  Response response;
  response.type = MediaType(asset.path);
  const std::string tag = fmt::format("\"{}\"", asset.tag);
  const bool hashed = asset.path.starts_with("/assets/");
  response.headers = {
      {"ETag", tag},
      {"Cache-Control", hashed ? "public, max-age=31536000, immutable" : "no-cache"},
      {"Vary", "Accept-Encoding"}};
  const auto known = knock.headers.find("if-none-match");
  if (known != knock.headers.end() && known->second == tag) {
    response.status = 304;
  } else if (TakesGzip(knock)) {
    response.headers.emplace_back("Content-Encoding", "gzip");
    response.body = asset.gzip;
  } else {
    response.body = Unzipped(asset.gzip);
  }
  return response;
}

Response Page(const Knock& knock) {
  if (knock.method != "GET") Refuse(405, "method", "this address takes GET only");
  if (const Asset* asset = FindAsset(knock.path)) return AnswerOf(*asset, knock);
  if (knock.path != "/" || !Assets().empty()) Refuse(404, "route", "there is no such address");
  Response response;
  response.type = "text/html; charset=utf-8";
  response.headers = {{"Cache-Control", "no-cache"}};
  response.body = kNoPage;
  return response;
}

// One request on its connection, from its head on.
class Exchange {
 public:
  Exchange(Wire& wire, boost::beast::flat_buffer& buffer) : wire_(wire), buffer_(buffer) {
    parser_.header_limit(kMostHead);
    parser_.body_limit(std::numeric_limits<std::uint64_t>::max());  // bounded as it is read
  }

  // Reads the head; false when there is none to answer to.
  [[nodiscard]] bool ReadHead() {
    error_code error;
    http::read_header(wire_, buffer_, parser_, error);
    keep_alive_ = Head().keep_alive();
    const bool old = Head().version() < 11;
    const bool framed = Head().find(http::field::transfer_encoding) != Head().end();
    if (!error && !(old && framed)) return true;
    if (error == boost::asio::error::timed_out && wire_.Received() > 0) {
      Send(NoStore(server::AnswerOf(TooSlow())), true);
    } else if (!error || IsMalformed(error)) {
      const bool large =
          error == http::error::header_limit || error == http::error::buffer_overflow;
      Send(NoStore(server::AnswerOf(Refusal{
               large ? 431 : 400, "http", "this is no request that the server understands", {}})),
           true);
    }
    return false;
  }

  [[nodiscard]] std::string_view Method() const { return View(Head().method_string()); }
  [[nodiscard]] bool HeadOnly() const { return Method() == "HEAD"; }
  // In origin form. Source of the other one: RFC 9112, section 3.2.2.
  [[nodiscard]] std::string_view Target() const {
    const std::string_view target = View(Head().target());
    const std::string whole = fmt::format("http://{}", View(Head()[http::field::host]));
    const bool absolute = target.starts_with(whole + "/");
    return absolute ? target.substr(whole.size()) : target;
  }
  [[nodiscard]] bool BodyRead() const { return parser_.is_done(); }

  Knock KnockOf(const End& peer, const End& local) const {
    Knock knock{std::string(HeadOnly() ? "GET" : Method()),
                PathOf(Target()),
                {},
                peer.address,
                local.address,
                local.port};
    for (const auto& field : Head()) {
      knock.headers.emplace(Lower(View(field.name_string())), View(field.value()));
    }
    return knock;
  }

  // Reads a body up to a bound; beyond it on to the end or kDiscarded, but keeps nothing.
  struct Body {
    std::string text;
    bool too_long = false, too_slow = false;
  };
  Body ReadBody(std::size_t most) {
    Body body;
    std::array<char, 16384> piece;
    std::size_t read = 0;
    while (!parser_.is_done() && !failed_) {
      auto& into = parser_.get().body();
      into.data = piece.data();
      into.size = piece.size();
      error_code error;
      http::read(wire_, buffer_, parser_, error);
      const std::size_t size = piece.size() - into.size;
      read += size;
      body.too_long |= read > most;
      if (!body.too_long) body.text.append(piece.data(), size);
      body.too_slow = error == boost::asio::error::timed_out;
      const bool no_end = wire_.Received() > kDiscarded || wire_.Received() > read + kMostFraming;
      failed_ = (error && error != http::error::need_buffer) || no_end;
    }
    return body;
  }

  // A peer that waits to be told that its body is wanted is told.
  void WantBody() {
    if (!WaitsForWord()) return;
    waited_for_ = false;
    error_code error;
    constexpr std::string_view kGoOn = "HTTP/1.1 100 Continue\r\n\r\n";
    boost::asio::write(wire_, boost::asio::buffer(kGoOn), error);
  }

  // What is sent already is read, else the peer's side would break before it has the answer.
  void DiscardBody() {
    if (!WaitsForWord()) (void)ReadBody(0);
  }

  // Answers; whether the connection can go on. `close` ends it in any case.
  bool Send(const Response& response, bool close) {
    http::response<http::span_body<const char>> out;
    const bool keep = SetHead(out, response, close);
    out.body() = {response.body.data(), response.body.size()};
    if (response.status != 304) out.content_length(response.body.size());
    http::response_serializer<http::span_body<const char>> serializer(out);
    error_code error;
    if (HeadOnly()) {
      http::write_header(wire_, serializer, error);
    } else {
      http::write(wire_, serializer, error);
    }
    return !error && keep;
  }

  // Begins an answer whose length is not known yet; false when it cannot. HTTP/1.0 knows no pieces:
  // there the end of the connection is that of the answer.
  [[nodiscard]] bool BeginPieces(const Response& response) {
    http::response<http::empty_body> out;
    SetHead(out, response, true);
    out.chunked(InPieces());
    http::response_serializer<http::empty_body> serializer(out);
    error_code error;
    http::write_header(wire_, serializer, error);
    return !error;
  }
  [[nodiscard]] bool SendPiece(std::string_view text) {
    error_code error;
    const auto bytes = boost::asio::buffer(text);
    if (InPieces()) {
      boost::asio::write(wire_, http::make_chunk(bytes), error);
    } else {
      boost::asio::write(wire_, bytes, error);
    }
    return !error;
  }
  void EndPieces() {
    error_code error;
    if (InPieces()) boost::asio::write(wire_, http::make_chunk_last(), error);
  }
  [[nodiscard]] bool SomebodyIsThere() { return wire_.IsThere(); }

 private:
  [[nodiscard]] const http::request<http::buffer_body>& Head() const { return parser_.get(); }

  [[nodiscard]] bool InPieces() const { return Head().version() >= 11; }

  [[nodiscard]] bool WaitsForWord() {
    return waited_for_ && !parser_.is_done() && Head().version() >= 11 &&
           boost::beast::iequals(Head()[http::field::expect], "100-continue");
  }

  template <class Out>
  bool SetHead(Out& out, const Response& response, bool close) const {
    const bool keep = keep_alive_ && !close;
    out.version(Head().version() == 10 ? 10 : 11);
    out.result(static_cast<unsigned>(response.status));
    for (const auto& [name, value] : kSecurityHeaders) out.set(View(name), View(value));
    out.set(http::field::content_type, response.type);
    for (const auto& [name, value] : response.headers) out.set(name, value);
    out.keep_alive(keep);
    return keep;
  }

  Wire& wire_;
  boost::beast::flat_buffer& buffer_;
  http::request_parser<http::buffer_body> parser_;
  bool keep_alive_ = false;  // as the head says; what follows a body in pieces may not change it
  bool waited_for_ = true;   // a peer that asked whether to send its body has no word yet
  bool failed_ = false;      // the body cannot be read on
};

}  // namespace

class HttpServer::Impl {
 public:
  explicit Impl(Workbench& bench)
      : bench_(bench), listener_([this](Wire& wire, const End& peer, const End& local) {
          Converse(wire, peer, local);
        }) {}

  int Bind(int port, bool lan) { return bench_.port = listener_.Bind(port, lan); }
  void Run() { listener_.Run(); }
  void Stop() {
    bench_.events.Close();
    listener_.Stop();
  }

 private:
  void Converse(Wire& wire, const End& peer, const End& local) {
    boost::beast::flat_buffer buffer(kMostBuffered);
    while (!listener_.Ending() && (buffer.size() > 0 || wire.AwaitRequest(kKeepAlive))) {
      wire.BeginRequest();
      Exchange exchange(wire, buffer);
      if (!exchange.ReadHead() || !Serve(exchange, peer, local)) return;
    }
  }

  // Answers one request; whether the connection can go on.
  bool Serve(Exchange& exchange, const End& peer, const End& local) {
    bool clear = false;  // the head says what it should, so that the connection can go on
    try {
      const Knock knock = exchange.KnockOf(peer, local);
      CheckMethod(exchange.Method());
      CheckHead(knock);
      clear = true;
      if (!knock.path.starts_with("/api/")) return exchange.Send(Page(knock), false);
      Request request = RequestOf(exchange, knock);
      constexpr std::string_view kStream = "/api/events";
      if (request.path == kStream && request.method == "GET") {
        CheckPaired(request, false);
        return Stream(exchange, knock);
      }
      const Route& route = RouteOf(request);
      CheckPaired(request, route.open);
      exchange.WantBody();
      Exchange::Body body = exchange.ReadBody(route.most_body);
      if (body.too_long) {
        Refuse(413, "size", fmt::format("at most {} KiB here", route.most_body >> 10));
      }
      if (body.too_slow) throw Refused{TooSlow()};
      if (!exchange.BodyRead()) Refuse(400, "body", "the body ends before its length");
      request.body = std::move(body.text);
      return exchange.Send(NoStore(Packed(Answer(route, bench_, request), TakesGzip(knock))),
                           false);
    } catch (const Refused& refused) {
      if (clear) exchange.DiscardBody();
      return exchange.Send(NoStore(server::AnswerOf(refused.refusal)),
                           !clear || !exchange.BodyRead());
    } catch (const HistoryFailed& e) {
      return exchange.Send(NoStore(server::AnswerOf(Refusal{503, "disk", e.what(), {}})), true);
    } catch (const std::exception& e) {
      std::fprintf(stderr, "steerbench: internal error: a request: %s\n", e.what());
      return exchange.Send(
          NoStore(server::AnswerOf(Refusal{500, "internal", "the server failed at this", {}})),
          true);
    }
  }

  static void CheckMethod(std::string_view method) {
    constexpr std::array<std::string_view, 7> kKnown{"GET",   "HEAD",   "POST",   "PUT",
                                                     "PATCH", "DELETE", "OPTIONS"};
    if (std::ranges::find(kKnown, method) == kKnown.end()) {
      Refuse(405, "method", "this method is not known here");
    }
  }

  Request RequestOf(const Exchange& exchange, const Knock& knock) const {
    Request request;
    request.method = knock.method;
    request.path = knock.path;
    request.query = QueryOf(exchange.Target());
    request.peer = knock.peer;
    request.loopback = IsLoopback(knock.peer);
    request.paired = !bench_.pairing.On() || request.loopback ||
                     bench_.pairing.Knows(CookieOf(knock, bench_.Cookie()));
    return request;
  }

  static void CheckPaired(const Request& request, bool open) {
    if (request.paired || open) return;
    Refuse(401, "pair", "type the code that the terminal shows");
  }

  // The event stream of one page. It begins with where the document is now, so that a page that
  // comes back sees what it missed.
  bool Stream(Exchange& exchange, const Knock& knock) {
    struct Count {
      explicit Count(std::atomic<int>& n) : of(n) { ++of; }
      ~Count() { --of; }
      std::atomic<int>& of;
    } const count(streams_);
    if (streams_ > kMostStreams) Refuse(503, "busy", "too many pages are open");
    Events::Place place = bench_.events.Join();
    std::string text = Welcome(knock);
    Response response;
    response.type = "text/event-stream";
    response = NoStore(std::move(response));
    if (exchange.HeadOnly()) return exchange.Send(response, false);
    if (!exchange.BeginPieces(response)) return false;
    auto last = std::chrono::steady_clock::now();
    while (!bench_.events.Closed()) {
      const auto now = std::chrono::steady_clock::now();
      if (text.empty() && now - last >= kPing) text = StreamText({"ping", Json::object()});
      if (!text.empty()) {
        if (!exchange.SendPiece(text)) return false;
        last = now;
      } else if (!exchange.SomebodyIsThere()) {
        return false;
      }
      text.clear();
      LookAtFile();  // what an editor did to the file is told by itself
      for (const Event& e : bench_.events.Wait(place, kBeat)) text += StreamText(e);
    }
    exchange.EndPieces();
    return false;
  }

  // A stream outlives a file that cannot be read, which the answers to requests tell: it is looked
  // at again with the next beat.
  void LookAtFile() {
    try {
      (void)bench_.session.Now();
    } catch (const std::exception&) {
      return;
    }
  }

  std::string Welcome(const Knock& knock) {
    const std::int64_t head = bench_.session.Now()->head.id;
    Json changed = Json::array();
    const auto last = knock.headers.find("last-event-id");
    std::int64_t seen = head;
    if (last != knock.headers.end()) {
      const std::string& id = last->second;
      const auto [end, error] = std::from_chars(id.data(), id.data() + id.size(), seen);
      if (error == std::errc{}) changed = bench_.session.ChangedSince(seen);
    }
    return "retry: 1000\n" +
           StreamText({"revision",
                       {{"revision", head}, {"client", ""}, {"changed", std::move(changed)}},
                       std::to_string(head)});
  }

  Workbench& bench_;
  Listener listener_;
  std::atomic<int> streams_{0};
};

HttpServer::HttpServer(Workbench& bench) : impl_(std::make_unique<Impl>(bench)) {}
HttpServer::~HttpServer() = default;
int HttpServer::Bind(int port, bool lan) { return impl_->Bind(port, lan); }
void HttpServer::Run() { impl_->Run(); }
void HttpServer::Stop() { impl_->Stop(); }

std::vector<std::string> LanAddresses() {
  ifaddrs* all = nullptr;
  if (getifaddrs(&all) != 0) return {};
  std::vector<std::string> found;
  for (const ifaddrs* i = all; i != nullptr; i = i->ifa_next) {
    if (i->ifa_addr == nullptr || i->ifa_addr->sa_family != AF_INET) continue;
    if ((i->ifa_flags & IFF_UP) == 0 || (i->ifa_flags & IFF_LOOPBACK) != 0) continue;
    char text[INET_ADDRSTRLEN] = {};
    const auto* address = reinterpret_cast<const sockaddr_in*>(i->ifa_addr);
    if (inet_ntop(AF_INET, &address->sin_addr, text, sizeof text) != nullptr) {
      found.emplace_back(text);
    }
  }
  freeifaddrs(all);
  return found;
}

}  // namespace steerbench::server
