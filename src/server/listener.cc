#include "server/listener.h"

#include <fmt/format.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <new>
#include <thread>

#include "server/gate.h"

namespace steerbench::server {
namespace {

constexpr int kBacklog = 256;
constexpr std::chrono::milliseconds kBreath{10};  // when the system has no socket left
constexpr int kMostUnread = 64;                   // reads of what a peer has sent that nobody wants
// An answer is waited for by its bytes, so that not too many may wait in the system.
constexpr int kSendBuffer = 256 << 10;
constexpr int kGone =
    45'000;  // [ms] without a word of the peer's machine that it had what was sent

void Set(int socket, int level, int option, int value) {
  setsockopt(socket, level, option, &value, sizeof value);
}

// What was sent already is read, else closing would take the answer back.
void HangUpOn(int socket) {
  shutdown(socket, SHUT_WR);
  std::array<char, 4096> unread{};
  for (int i = 0; i < kMostUnread; ++i) {
    if (recv(socket, unread.data(), unread.size(), MSG_DONTWAIT) <= 0) break;
  }
  close(socket);
}

// Says that there are too many, without waiting for anything: the accepting thread may be at it.
void SayBusy(int socket) {
  const Response busy = AnswerOf(Refusal{503, "busy", "too many connections are open", {}});
  const std::string text = fmt::format(
      "HTTP/1.1 503 Service Unavailable\r\nContent-Type: {}\r\nContent-Length: {}\r\n"
      "Cache-Control: no-store\r\nConnection: close\r\nRetry-After: 1\r\n\r\n{}",
      busy.type, busy.body.size(), busy.body);
  (void)send(socket, text.data(), text.size(), MSG_NOSIGNAL | MSG_DONTWAIT);
}

void TurnAway(int socket) {
  SayBusy(socket);
  HangUpOn(socket);
}

}  // namespace

Listener::~Listener() {
  if (listening_ >= 0) close(listening_);
}

int Listener::Bind(int port, bool lan) {
  listening_ = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  if (listening_ < 0) return 0;
  // Not SO_REUSEPORT, by which another program could listen on the same port.
  Set(listening_, SOL_SOCKET, SO_REUSEADDR, 1);
  sockaddr_in at{};
  at.sin_family = AF_INET;
  at.sin_port = htons(static_cast<std::uint16_t>(port));
  at.sin_addr.s_addr = htonl(lan ? INADDR_ANY : INADDR_LOOPBACK);
  if (bind(listening_, reinterpret_cast<const sockaddr*>(&at), sizeof at) != 0) return 0;
  if (listen(listening_, kBacklog) != 0) return 0;
  return EndOf(listening_, false).port;
}

void Listener::Run() {
  while (!ending_) {
    const int socket = accept4(listening_, nullptr, nullptr, SOCK_CLOEXEC);
    if (socket < 0) {
      // What is wrong with one connection, or for now, does not end the listening.
      const bool passing = errno == EINTR || errno == ECONNABORTED || errno == EPROTO ||
                           errno == EPERM || errno == ENETDOWN || errno == EHOSTUNREACH;
      const bool short_of =
          errno == EMFILE || errno == ENFILE || errno == ENOBUFS || errno == ENOMEM;
      if (!passing && !short_of) break;
      std::this_thread::sleep_for(kBreath);
      continue;
    }
    Set(socket, IPPROTO_TCP, TCP_NODELAY, 1);
    Set(socket, IPPROTO_TCP, TCP_USER_TIMEOUT, kGone);
    Set(socket, SOL_SOCKET, SO_SNDBUF, kSendBuffer);
    bool taken = false;
    try {
      taken = connections_.Take([this, socket] { Serve(socket); });
    } catch (const std::bad_alloc&) {
    }
    if (!taken) TurnAway(socket);
  }
  connections_.Finish();
}

void Listener::Serve(int socket) {
  // However it ends; its number is free for another connection only once it has left.
  struct Leaving {
    ~Leaving() {
      if (admitted) of.Leave(socket, peer.address);
      HangUpOn(socket);
    }
    Listener& of;
    int socket;
    End peer;
    bool admitted = false;
  } here{*this, socket, EndOf(socket, true)};
  if (here.peer.address.empty()) return;
  here.admitted = Admit(socket, here.peer.address);
  if (!here.admitted) return SayBusy(socket);
  Wire wire(socket, ending_);
  converse_(wire, here.peer, EndOf(socket, false));
}

bool Listener::Admit(int socket, const std::string& peer) {
  const std::scoped_lock lock(mutex_);
  const bool other = !IsLoopback(peer);
  int& count = of_peer_[peer];
  if (other && (count >= kMostOfPeer || of_others_ >= kMostOfOthers)) {
    if (count == 0) of_peer_.erase(peer);
    return false;
  }
  open_.insert(socket);
  ++count;
  of_others_ += other ? 1 : 0;
  return true;
}

void Listener::Leave(int socket, const std::string& peer) {
  const std::scoped_lock lock(mutex_);
  open_.erase(socket);
  const auto count = of_peer_.find(peer);
  if (--count->second == 0) of_peer_.erase(count);
  of_others_ -= IsLoopback(peer) ? 0 : 1;
}

void Listener::Stop() {
  ending_ = true;
  shutdown(listening_, SHUT_RDWR);  // ends the accepting
  // The reading side of every connection, so that idle ones do not wait for a next request; answers
  // being written still go out.
  const std::scoped_lock lock(mutex_);
  for (const int socket : open_) shutdown(socket, SHUT_RD);
}

}  // namespace steerbench::server
