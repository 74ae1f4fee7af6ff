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
  constexpr milliseconds kLook{200};  // for the server's end
  constexpr milliseconds kLast{2000};
  pollfd one{socket_, events, 0};
  auto until = Clock::now() + patience;
  for (bool hurries = false;;) {
    const auto left = std::chrono::ceil<milliseconds>(until - Clock::now());
    const auto slice = std::clamp(left, milliseconds(0), kLook);
    const int ready = poll(&one, 1, static_cast<int>(slice.count()));
    if (ready > 0) return one.revents;
    if (ready < 0 && errno != EINTR) return 0;
    if (Clock::now() >= until) return 0;
    if (!ending_ || hurries) continue;
    hurries = true;
    until = std::min(until, Clock::now() + kLast);
  }
}

short Wire::AwaitWithin(short events, Clock::duration spent, std::size_t moved) const {
  const auto slow = std::chrono::seconds(moved / patience_.bytes_per_second);
  const auto left = std::chrono::floor<milliseconds>(patience_.in_all + slow - spent);
  if (left <= milliseconds(0)) return 0;
  return Await(events, std::min(left, patience_.at_once));
}

short Wire::AwaitWriting() {
  const auto began = Clock::now();
  const short ready = AwaitWithin(POLLOUT, waited_, sent_);
  waited_ += Clock::now() - began;
  return ready;
}

bool Wire::AwaitRequest(milliseconds patience) const { return Await(POLLIN, patience) != 0; }

void Wire::BeginRequest() {
  began_ = Clock::now();
  waited_ = {};
  received_ = sent_ = 0;
}

bool Wire::IsThere() {
  const short ready = AwaitWriting();
  if ((ready & POLLOUT) == 0 || (ready & (POLLERR | POLLHUP)) != 0) return false;
  const bool left = (Await(POLLRDHUP, milliseconds(0)) & POLLRDHUP) != 0;
  return !left || ending_;
}

std::size_t Wire::Read(const iovec* pieces, std::size_t count, error_code& error) {
  error.clear();
  if (count == 0) return 0;
  if ((AwaitWithin(POLLIN, Clock::now() - began_, received_) & POLLIN) == 0) {
    error = boost::asio::error::timed_out;
    return 0;
  }
  msghdr message = Message(pieces, count);
  const std::size_t got = Moved(recvmsg(socket_, &message, 0), error);
  if (got == 0 && !error) error = boost::asio::error::eof;
  received_ += got;
  return got;
}

// A peer that has ended its own sending still gets its answer.
std::size_t Wire::Write(const iovec* pieces, std::size_t count, error_code& error) {
  error.clear();
  if (count == 0) return 0;
  const short ready = AwaitWriting();
  if ((ready & POLLOUT) == 0 || (ready & (POLLERR | POLLHUP)) != 0) {
    error = boost::asio::error::broken_pipe;
    return 0;
  }
  const msghdr message = Message(pieces, count);
  const std::size_t put = Moved(sendmsg(socket_, &message, MSG_NOSIGNAL | MSG_DONTWAIT), error);
  sent_ += put;
  return put;
}

}  // namespace steerbench::server
