#include "server/listener.h"

#include <fmt/format.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <thread>

#include "server/gate.h"

namespace steerbench::server {
namespace {

constexpr int kBacklog = 256;
constexpr std::chrono::milliseconds kBreath{10};  // when the system has no socket left

void SetYes(int socket, int level, int option) {
  const int yes = 1;
  setsockopt(socket, level, option, &yes, sizeof yes);
}

// What was sent already is read, else closing would take the answer back.
void HangUpOn(int socket) {
  shutdown(socket, SHUT_WR);
  std::array<char, 4096> unread{};
  while (recv(socket, unread.data(), unread.size(), MSG_DONTWAIT) > 0) {
  }
  close(socket);
}

// Says that there are too many, without waiting for anything: the accepting thread may be at it.
void TurnAway(int socket) {
  const Response busy = AnswerOf(Refusal{503, "busy", "too many connections are open", {}});
  const std::string text = fmt::format(
      "HTTP/1.1 503 Service Unavailable\r\nContent-Type: {}\r\nContent-Length: {}\r\n"
      "Connection: close\r\nRetry-After: 1\r\n\r\n{}",
      busy.type, busy.body.size(), busy.body);
  (void)send(socket, text.data(), text.size(), MSG_NOSIGNAL | MSG_DONTWAIT);
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
  SetYes(listening_, SOL_SOCKET, SO_REUSEADDR);
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
      const bool short_of =
          errno == EMFILE || errno == ENFILE || errno == ENOBUFS || errno == ENOMEM;
      if (short_of) std::this_thread::sleep_for(kBreath);
      continue;
    }
    SetYes(socket, IPPROTO_TCP, TCP_NODELAY);
    if (!connections_.Take([this, socket] { Serve(socket); })) TurnAway(socket);
  }
  connections_.Finish();
}

void Listener::Serve(int socket) {
  const End peer = EndOf(socket, true);
  if (peer.address.empty()) {
    close(socket);
    return;
  }
  if (!Admit(socket, peer.address)) {
    TurnAway(socket);
    return;
  }
  // However it ends; its number is free for another connection only once it has left.
  struct Leaving {
    ~Leaving() {
      of.Leave(socket, peer);
      HangUpOn(socket);
    }
    Listener& of;
    int socket;
    const std::string& peer;
  } leaving{*this, socket, peer.address};
  Wire wire(socket, ending_);
  converse_(wire, peer, EndOf(socket, false));
}

bool Listener::Admit(int socket, const std::string& peer) {
  const std::scoped_lock lock(mutex_);
  if (!IsLoopback(peer) && of_peer_[peer] >= kMostOfPeer) return false;
  open_.insert(socket);
  ++of_peer_[peer];
  return true;
}

void Listener::Leave(int socket, const std::string& peer) {
  const std::scoped_lock lock(mutex_);
  open_.erase(socket);
  const auto count = of_peer_.find(peer);
  if (--count->second == 0) of_peer_.erase(count);
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
