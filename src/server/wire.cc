#include "server/wire.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>

#include <algorithm>
#include <boost/asio/error.hpp>
#include <cerrno>

namespace steerbench::server {
namespace {

using boost::system::error_code;
using std::chrono::milliseconds;

// Bytes moved by a system call; else the error, and none.
std::size_t Moved(ssize_t size, error_code& error) {
  if (size >= 0) return static_cast<std::size_t>(size);
  error.assign(errno, boost::system::system_category());
  return 0;
}

msghdr Message(const iovec* pieces, std::size_t count) {
  msghdr message{};
  message.msg_iov = const_cast<iovec*>(pieces);  // a system call's declaration; it only reads them
  message.msg_iovlen = count;
  return message;
}

}  // namespace

End EndOf(int socket, bool remote) {
  sockaddr_in at{};
  socklen_t size = sizeof at;
  auto* any = reinterpret_cast<sockaddr*>(&at);
  const int got = remote ? getpeername(socket, any, &size) : getsockname(socket, any, &size);
  if (got != 0 || at.sin_family != AF_INET) return {};  // it listens on IPv4 alone
  std::array<char, INET_ADDRSTRLEN> text{};
  if (inet_ntop(AF_INET, &at.sin_addr, text.data(), text.size()) == nullptr) return {};
  return {text.data(), ntohs(at.sin_port)};
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

short Wire::AwaitInRequest(short events) {
  const auto left = std::chrono::floor<milliseconds>(patience_.in_all - waited_);
  const auto began = Clock::now();
  const short ready = Await(events, std::clamp(left, milliseconds(0), patience_.at_once));
  waited_ += Clock::now() - began;
  return ready;
}

bool Wire::AwaitRequest(milliseconds patience) const { return Await(POLLIN, patience) != 0; }

bool Wire::TakesMore() {
  const short ready = AwaitInRequest(POLLOUT);
  if ((ready & POLLOUT) == 0 || (ready & (POLLERR | POLLHUP)) != 0) return false;
  const bool left = (Await(POLLRDHUP, milliseconds(0)) & POLLRDHUP) != 0;
  return !left || ending_;
}

std::size_t Wire::Read(const iovec* pieces, std::size_t count, error_code& error) {
  error.clear();
  if (count == 0) return 0;
  if ((AwaitInRequest(POLLIN) & POLLIN) == 0) {
    error = boost::asio::error::timed_out;
    return 0;
  }
  msghdr message = Message(pieces, count);
  const std::size_t got = Moved(recvmsg(socket_, &message, 0), error);
  if (got == 0 && !error) error = boost::asio::error::eof;
  return got;
}

std::size_t Wire::Write(const iovec* pieces, std::size_t count, error_code& error) {
  error.clear();
  if (count == 0) return 0;
  if (!TakesMore()) {
    error = boost::asio::error::broken_pipe;
    return 0;
  }
  const msghdr message = Message(pieces, count);
  return Moved(sendmsg(socket_, &message, MSG_NOSIGNAL | MSG_DONTWAIT), error);
}

}  // namespace steerbench::server
