#include "server/wire.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>

#include <algorithm>
#include <cerrno>
#include <cstring>

namespace steerbench::server {

using std::chrono::milliseconds;

bool EndOf(int socket, bool remote, std::string& address, int& port) {
  sockaddr_in at{};
  socklen_t size = sizeof at;
  auto* any = reinterpret_cast<sockaddr*>(&at);
  const int got = remote ? getpeername(socket, any, &size) : getsockname(socket, any, &size);
  if (got != 0 || at.sin_family != AF_INET) return false;  // it listens on IPv4 alone
  std::array<char, INET_ADDRSTRLEN> text{};
  if (inet_ntop(AF_INET, &at.sin_addr, text.data(), text.size()) == nullptr) return false;
  address = text.data();
  port = ntohs(at.sin_port);
  return true;
}

short Wire::Await(short events, milliseconds patience) const {
  pollfd one{socket_, events, 0};
  const auto until = Clock::now() + patience;
  for (;;) {
    const auto left = std::chrono::ceil<milliseconds>(until - Clock::now());
    const int ready = poll(&one, 1, static_cast<int>(std::max<long>(left.count(), 0)));
    if (ready > 0) return one.revents;
    if (ready == 0 || errno != EINTR) return 0;
  }
}

milliseconds Wire::Left() const {
  const auto left = std::chrono::floor<milliseconds>(patience_.in_all - waited_);
  return std::clamp(left, milliseconds(0), patience_.at_once);
}

bool Wire::AwaitRequest(milliseconds patience) {
  waited_ = {};
  return begin_ < end_ || Await(POLLIN, patience) != 0;
}

bool Wire::is_readable() const {
  if (begin_ < end_) return true;
  const auto began = Clock::now();
  const short ready = Await(POLLIN, Left());
  waited_ += Clock::now() - began;
  return (ready & POLLIN) != 0;
}

bool Wire::is_writable() const {
  const auto began = Clock::now();
  const short ready = Await(POLLOUT, Left());
  waited_ += Clock::now() - began;
  if ((ready & POLLOUT) == 0 || (ready & (POLLERR | POLLHUP)) != 0) return false;
  const bool left = (Await(POLLRDHUP, milliseconds(0)) & POLLRDHUP) != 0;
  return !left || ending_;
}

ssize_t Wire::read(char* to, size_t size) {
  if (begin_ == end_) {
    if (!is_readable()) return -1;
    const ssize_t got = recv(socket_, buffer_.data(), buffer_.size(), 0);
    if (got <= 0) return got;
    begin_ = 0;
    end_ = static_cast<std::size_t>(got);
  }
  const std::size_t taken = std::min(size, end_ - begin_);
  std::memcpy(to, buffer_.data() + begin_, taken);
  begin_ += taken;
  return static_cast<ssize_t>(taken);
}

ssize_t Wire::write(const char* from, size_t size) {
  if (!is_writable()) return -1;
  return send(socket_, from, size, MSG_NOSIGNAL | MSG_DONTWAIT);
}

void Wire::get_remote_ip_and_port(std::string& ip, int& port) const {
  EndOf(socket_, true, ip, port);
}
void Wire::get_local_ip_and_port(std::string& ip, int& port) const {
  EndOf(socket_, false, ip, port);
}

}  // namespace steerbench::server
