#include "server/http.h"

#include <fmt/format.h>
#include <httplib.h>
#include <netinet/in.h>
#include <sys/socket.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cctype>
#include <charconv>
#include <thread>

#include "server/assets.h"
#include "server/gate.h"
#include "server/listener.h"

namespace steerbench::server {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;

constexpr int kBacklog = 256;
constexpr int kMostStreams = 256;
constexpr seconds kPing{15};
constexpr milliseconds kBeat{1000};  // how soon a stream looks whether somebody is still there
constexpr std::size_t kDiscarded = 64u << 20;  // of a body that is too long, to say so politely
constexpr std::size_t kWorthZipping = 16u << 10;

constexpr std::string_view kPolicy =
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "connect-src 'self'; font-src 'self'; manifest-src 'self'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'";

constexpr std::string_view kNoPage =
    "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>steerbench</title>"
    "<p>This steerbench was built without the workbench (STEERBENCH_WEB). The API is under "
    "<code>/api/</code>.</p></html>\n";

httplib::Headers SecurityHeaders() {
  return {{"Content-Security-Policy", std::string(kPolicy)},
          {"X-Content-Type-Options", "nosniff"},
          {"X-Frame-Options", "DENY"},
          {"Referrer-Policy", "no-referrer"},
          {"Cross-Origin-Opener-Policy", "same-origin"},
          {"Cross-Origin-Resource-Policy", "same-origin"},
          {"Permissions-Policy", "camera=(), geolocation=(), microphone=()"}};
}

Knock KnockOf(const httplib::Request& from) {
  Knock knock{from.method, from.path, {}, from.remote_addr, from.local_addr, from.local_port};
  for (const auto& [name, value] : from.headers) {
    std::string lower = name;
    std::ranges::transform(lower, lower.begin(),
                           [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    knock.headers.emplace(std::move(lower), value);
  }
  return knock;
}

// Sends an answer as it is: the library would compress a plain body itself, once more and slowly.
// `close` ends the connection, where the rest of a body was not read.
void Send(httplib::Response& to, std::string body, const std::string& type, bool close = false) {
  const auto kept = std::make_shared<const std::string>(std::move(body));
  to.set_content_provider(
      kept->size(), type,
      [kept, close](std::size_t offset, std::size_t length, httplib::DataSink& sink) {
        return sink.write(kept->data() + offset, length) && !close;
      });
  if (kept->empty()) to.set_content("", type);
}

void Put(const Response& from, httplib::Response& to, bool gzip, bool close = false) {
  to.status = from.status;
  for (const auto& [name, value] : from.headers) to.set_header(name, value);
  to.set_header("Cache-Control", "no-store");
  if (gzip && from.body.size() >= kWorthZipping) {
    to.set_header("Content-Encoding", "gzip");
    to.set_header("Vary", "Accept-Encoding");
    return Send(to, Zipped(from.body), from.type, close);
  }
  Send(to, from.body, from.type, close);
}

// A file of the page. Names with a hash in them never change what they hold.
void PutAsset(const Asset& asset, const Knock& knock, httplib::Response& to) {
  const std::string tag = fmt::format("\"{}\"", asset.tag);
  to.set_header("ETag", tag);
  const bool hashed = asset.path.starts_with("/assets/");
  to.set_header("Cache-Control", hashed ? "public, max-age=31536000, immutable" : "no-cache");
  to.set_header("Vary", "Accept-Encoding");
  const auto known = knock.headers.find("if-none-match");
  if (known != knock.headers.end() && known->second == tag) {
    to.status = 304;
    return;
  }
  const std::string type(MediaType(asset.path));
  if (!TakesGzip(knock)) return Send(to, Unzipped(asset.gzip), type);
  to.set_header("Content-Encoding", "gzip");
  to.set_content_provider(
      asset.gzip.size(), type,
      [&asset](std::size_t offset, std::size_t length, httplib::DataSink& sink) {
        return sink.write(asset.gzip.data() + offset, length);
      });
}

}  // namespace

class HttpServer::Impl {
 public:
  explicit Impl(Workbench& bench) : bench_(bench) {
    server_.set_tcp_nodelay(true);
    server_.set_default_headers(SecurityHeaders());
    server_.set_socket_options([this](int socket) {
      listening_ = socket;
      // Not the library's SO_REUSEPORT, by which another program could listen on the same port.
      const int yes = 1;
      setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    });
    const auto get = [this](const httplib::Request& from, httplib::Response& to) { Get(from, to); };
    const auto post = [this](const httplib::Request& from, httplib::Response& to,
                             const httplib::ContentReader& body) { Post(from, to, body); };
    constexpr const char* kAny = "[^]*";
    server_.Get(kAny, get);
    server_.Options(kAny, get);
    server_.Post(kAny, post);
    server_.Put(kAny, post);
    server_.Patch(kAny, post);
    server_.Delete(kAny, post);
    server_.set_pre_routing_handler(Early);
    const httplib::Server::HandlerWithResponse fail = [](const auto&, httplib::Response& to) {
      if (to.body.empty() && !to.content_provider_) {
        const int status = to.status;
        Put(AnswerOf(Refusal{status, "http", "this is no request that the server understands", {}}),
            to, false);
      }
      return httplib::Server::HandlerResponse::Handled;
    };
    server_.set_error_handler(fail);
  }

  int Bind(int port, bool lan) {
    const std::string address = lan ? "0.0.0.0" : "127.0.0.1";
    if (port == 0) {
      port = server_.bind_to_any_port(address);
    } else if (!server_.bind_to_port(address, port)) {
      port = 0;
    }
    if (port <= 0) return 0;
    bench_.port = port;
    // The library's own backlog of 5 turns clients away who come together.
    ::listen(listening_, kBacklog);
    return port;
  }

  void Run() {
    server_.listen_after_bind();
    ended_ = true;
  }

  void Stop() {
    bench_.events.Close();
    // The library forgets a stop that comes before it listens.
    while (!server_.is_running() && !ended_) std::this_thread::sleep_for(milliseconds(1));
    server_.stop();
    server_.HangUp();
  }

 private:
  // Methods that the library would read the body of without a bound.
  static httplib::Server::HandlerResponse Early(const httplib::Request& from,
                                                httplib::Response& to) {
    constexpr std::array<std::string_view, 7> kKnown{"GET",   "HEAD",   "POST",   "PUT",
                                                     "PATCH", "DELETE", "OPTIONS"};
    if (std::ranges::find(kKnown, from.method) != kKnown.end()) {
      return httplib::Server::HandlerResponse::Unhandled;
    }
    Put(AnswerOf(Refusal{405, "method", "this method is not known here", {}}), to, false, true);
    return httplib::Server::HandlerResponse::Handled;
  }

  Request RequestOf(const httplib::Request& from, const Knock& knock) const {
    Request request;
    request.method = from.method == "HEAD" ? "GET" : from.method;
    request.path = from.path;
    for (const auto& [name, value] : from.params) request.query.emplace(name, value);
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

  void Get(const httplib::Request& from, httplib::Response& to) {
    Knock knock = KnockOf(from);
    if (knock.method == "HEAD") knock.method = "GET";
    try {
      CheckHead(knock);
      if (!from.path.starts_with("/api/")) return Page(from, knock, to);
      Request request = RequestOf(from, knock);
      constexpr std::string_view kStream = "/api/events";
      if (request.path == kStream && request.method == "GET") {
        CheckPaired(request, false);
        return Stream(knock, to, from.method == "HEAD");
      }
      const Route& route = RouteOf(request);
      CheckPaired(request, route.open);
      Put(Answer(route, bench_, request), to, TakesGzip(knock));
    } catch (const Refused& refused) {
      // A body that must not be there has not been read.
      const bool unread =
          knock.headers.contains("content-length") || knock.headers.contains("transfer-encoding");
      Put(AnswerOf(refused.refusal), to, false, unread);
    } catch (const HistoryFailed& e) {
      Put(AnswerOf(Refusal{503, "disk", e.what(), {}}), to, false, true);
    }
  }

  static void Page(const httplib::Request& from, const Knock& knock, httplib::Response& to) {
    if (knock.method != "GET") Refuse(405, "method", "this address takes GET only");
    if (const Asset* asset = FindAsset(from.path)) return PutAsset(*asset, knock, to);
    if (from.path != "/" || !Assets().empty()) Refuse(404, "route", "there is no such address");
    to.set_header("Cache-Control", "no-cache");
    Send(to, std::string(kNoPage), "text/html; charset=utf-8");
  }

  // Reads a body up to a bound; beyond it on to the end or kDiscarded, but keeps nothing.
  struct Body {
    std::string text;
    bool whole = false;  // all of it was read off the connection
    bool too_long = false;
  };
  static Body Read(const httplib::ContentReader& reader, std::size_t most) {
    Body body;
    std::size_t read = 0;
    body.whole = reader([&](const char* data, std::size_t size) {
      read += size;
      body.too_long = read > most;
      if (body.too_long) {
        body.text.clear();
      } else {
        body.text.append(data, size);
      }
      return read <= kDiscarded;
    });
    return body;
  }

  void Post(const httplib::Request& from, httplib::Response& to,
            const httplib::ContentReader& reader) {
    const Knock knock = KnockOf(from);
    Body body;
    bool clear = false;  // the head says what it should, so that the connection can go on
    try {
      CheckHead(knock);
      clear = true;
      Request request = RequestOf(from, knock);
      const Route& route = RouteOf(request);
      CheckPaired(request, route.open);
      body = Read(reader, route.most_body);
      if (body.too_long) {
        Refuse(413, "size", fmt::format("at most {} KiB here", route.most_body >> 10));
      }
      if (!body.whole) Refuse(400, "body", "the body ends before its length");
      request.body = std::move(body.text);
      Put(Answer(route, bench_, request), to, TakesGzip(knock));
    } catch (const Refused& refused) {
      // What is sent already is read, else the peer's side would break before it has the answer.
      if (!body.whole && !body.too_long && HasEnd(knock)) body = Read(reader, 0);
      Put(AnswerOf(refused.refusal), to, false, !clear || !body.whole);
    }
  }

  // The event stream of one page. It begins with where the document is now, so that a page that
  // comes back sees what it missed.
  void Stream(const Knock& knock, httplib::Response& to, bool head) {
    struct Count {
      explicit Count(std::atomic<int>& n) : of(n) { ++of; }
      ~Count() { --of; }
      std::atomic<int>& of;
    };
    const auto counted = std::make_shared<Count>(streams_);
    if (streams_ > kMostStreams) Refuse(503, "busy", "too many pages are open");
    auto place = std::make_shared<Events::Place>(bench_.events.Join());
    auto first = std::make_shared<std::string>(Welcome(knock));
    to.set_header("Cache-Control", "no-store");
    if (head) return Send(to, "", "text/event-stream");
    auto last =
        std::make_shared<std::chrono::steady_clock::time_point>(std::chrono::steady_clock::now());
    to.set_chunked_content_provider(
        "text/event-stream", [this, counted, place, first, last](std::size_t, auto& sink) {
          std::string text = std::exchange(*first, {});
          if (text.empty()) {
            LookAtFile();  // what an editor did to the file is told by itself
            for (const Event& e : bench_.events.Wait(*place, kBeat)) text += StreamText(e);
          }
          if (bench_.events.Closed()) return false;
          const auto now = std::chrono::steady_clock::now();
          if (text.empty() && now - *last >= kPing) text = StreamText({"ping", Json::object()});
          if (text.empty()) return true;
          *last = now;
          return sink.write(text.data(), text.size());
        });
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
  Listener server_;
  int listening_ = -1;
  std::atomic<int> streams_{0};
  std::atomic<bool> ended_{false};
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
