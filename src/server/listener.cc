#include "server/listener.h"

#include <fmt/format.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <chrono>

#include "server/connections.h"
#include "server/gate.h"
#include "server/wire.h"

namespace steerbench::server {
namespace {

constexpr std::chrono::seconds kKeepAlive{5};  // for the next request of a connection
constexpr std::size_t kMostRequests = 1'000'000;

// Says that there are too many, without waiting for anything: the accepting thread may be at it.
void TurnAway(socket_t socket) {
  const Response busy = AnswerOf(Refusal{503, "busy", "too many connections are open", {}});
  const std::string text = fmt::format(
      "HTTP/1.1 503 Service Unavailable\r\nContent-Type: {}\r\nContent-Length: {}\r\n"
      "Connection: close\r\nRetry-After: 1\r\n\r\n{}",
      busy.type, busy.body.size(), busy.body);
  (void)send(socket, text.data(), text.size(), MSG_NOSIGNAL | MSG_DONTWAIT);
  // What was sent already is read, else closing would take the answer back.
  shutdown(socket, SHUT_WR);
  std::array<char, 4096> unread{};
  while (recv(socket, unread.data(), unread.size(), MSG_DONTWAIT) > 0) {
  }
}

}  // namespace

Listener::Listener() {
  set_keep_alive_max_count(kMostRequests);  // as it tells its clients
  new_task_queue = [] { return new Connections; };
}

bool Listener::Admit(socket_t socket, const std::string& peer) {
  const std::scoped_lock lock(mutex_);
  if (!IsLoopback(peer) && of_peer_[peer] >= kMostOfPeer) return false;
  open_.insert(socket);
  ++of_peer_[peer];
  return true;
}

void Listener::Leave(socket_t socket, const std::string& peer) {
  const std::scoped_lock lock(mutex_);
  open_.erase(socket);
  const auto count = of_peer_.find(peer);
  if (--count->second == 0) of_peer_.erase(count);
}

void Listener::Converse(socket_t socket) {
  Wire wire(socket, ending_);
  while (!ending_ && svr_sock_ != INVALID_SOCKET && wire.AwaitRequest(kKeepAlive)) {
    bool closed = false;
    if (!process_request(wire, false, closed, nullptr) || closed) return;
  }
}

bool Listener::process_and_close_socket(socket_t socket) {
  std::string peer;
  int port = 0;
  const bool known = EndOf(socket, true, peer, port);
  if (known && !Connections::TurnsAway() && Admit(socket, peer)) {
    // Its number is free for another connection only once it has left.
    struct Leaving {
      ~Leaving() { of.Leave(socket, peer); }
      Listener& of;
      socket_t socket;
      const std::string& peer;
    } leaving{*this, socket, peer};
    Converse(socket);
  } else if (known) {
    TurnAway(socket);
  }
  shutdown(socket, SHUT_RDWR);
  close(socket);
  return true;
}

void Listener::HangUp() {
  ending_ = true;
  const std::scoped_lock lock(mutex_);
  for (const socket_t socket : open_) shutdown(socket, SHUT_RD);
}

}  // namespace steerbench::server
