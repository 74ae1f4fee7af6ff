// One connection as the HTTP library reads and writes it, with a bound on how long a peer may keep
// it waiting: the library's own bounds hold for each read alone, so that a byte now and then would
// hold a thread for ever.
#pragma once

#include <httplib.h>

#include <array>
#include <atomic>
#include <chrono>
#include <string>

namespace steerbench::server {

// The address and port of one end of a socket; false when it has none.
bool EndOf(int socket, bool remote, std::string& address, int& port);

// How long a peer may be waited for at one go, and in all for one request. A stream of events does
// not wait while its peer takes what it is sent.
struct Patience {
  std::chrono::milliseconds at_once{10'000}, in_all{60'000};
};

class Wire : public httplib::Stream {
 public:
  // `ending` is set once the server hangs up: then a shut reading side is its own doing.
  Wire(int socket, const std::atomic<bool>& ending, Patience patience = {})
      : socket_(socket), ending_(ending), patience_(patience) {}

  // Waits for the first byte of a request, which then has patience.in_all for its reading and
  // writing.
  [[nodiscard]] bool AwaitRequest(std::chrono::milliseconds patience);

  [[nodiscard]] bool is_readable() const override;
  [[nodiscard]] bool is_writable() const override;
  ssize_t read(char* to, size_t size) override;
  ssize_t write(const char* from, size_t size) override;
  void get_remote_ip_and_port(std::string& ip, int& port) const override;
  void get_local_ip_and_port(std::string& ip, int& port) const override;
  [[nodiscard]] socket_t socket() const override { return socket_; }

 private:
  // Waits until the socket is ready for `events`; gives what it is ready for, 0 when patience ends.
  short Await(short events, std::chrono::milliseconds patience) const;
  [[nodiscard]] std::chrono::milliseconds Left() const;
  using Clock = std::chrono::steady_clock;

  int socket_;
  const std::atomic<bool>& ending_;
  Patience patience_;
  mutable Clock::duration waited_{};  // for the peer, since the request began
  std::array<char, 4096> buffer_{};
  std::size_t begin_ = 0, end_ = 0;  // what is in the buffer
};

}  // namespace steerbench::server
