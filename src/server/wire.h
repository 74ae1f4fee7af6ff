// One connection as the HTTP library reads and writes it (Boost.Asio's SyncReadStream and
// SyncWriteStream), with a bound on how long a peer may keep it: for one read or write, and for all
// of a request, else a byte now and then would hold a thread for ever.
#pragma once

#include <sys/types.h>
#include <sys/uio.h>

#include <array>
#include <atomic>
#include <boost/asio/buffer.hpp>
#include <boost/system/system_error.hpp>
#include <chrono>
#include <string>

namespace steerbench::server {

// Address and port of one end of a socket; the address is empty when it has none.
struct End {
  std::string address;
  int port = 0;
};
[[nodiscard]] End EndOf(int socket, bool remote);

// How long a peer may be waited for at one go; how long the reading of a request may take, and how
// long its answer may be waited for in all, each longer by what was moved at a slow network's rate.
// A stream of events does not wait while its peer takes what it is sent.
struct Patience {
  std::chrono::milliseconds at_once{10'000}, in_all{60'000};
  std::size_t bytes_per_second = 256 << 10;
};

class Wire {
 public:
  // `ending` is set once the server hangs up: then a shut reading side is its own doing, and
  // nothing is waited for much longer.
  Wire(int socket, const std::atomic<bool>& ending, Patience patience = {})
      : socket_(socket), ending_(ending), patience_(patience) {}

  // Waits for the first byte of a request.
  [[nodiscard]] bool AwaitRequest(std::chrono::milliseconds patience) const;
  // From now on a request is read and answered.
  void BeginRequest();
  // Bytes read of it.
  [[nodiscard]] std::size_t Received() const { return received_; }

  // Whether the peer is there, its sending side open too, and takes more; waits for it.
  [[nodiscard]] bool IsThere();

  // As Boost.Asio asks for them, under its names. Errors: eof, timed_out, broken_pipe, the
  // socket's.
  template <class Buffers>
  std::size_t read_some(const Buffers& to, boost::system::error_code& error) {
    const Pieces pieces = PiecesOf(to);
    return Read(pieces.at.data(), pieces.count, error);
  }
  template <class Buffers>
  std::size_t write_some(const Buffers& from, boost::system::error_code& error) {
    const Pieces pieces = PiecesOf(from);
    return Write(pieces.at.data(), pieces.count, error);
  }
  template <class Buffers>
  std::size_t read_some(const Buffers& to) {
    return OrThrow([&](auto& error) { return read_some(to, error); });
  }
  template <class Buffers>
  std::size_t write_some(const Buffers& from) {
    return OrThrow([&](auto& error) { return write_some(from, error); });
  }

 private:
  template <class Move>
  static std::size_t OrThrow(const Move& move) {
    boost::system::error_code error;
    const std::size_t size = move(error);
    if (error) throw boost::system::system_error(error);
    return size;
  }

  // What of a sequence of buffers is moved at one go.
  struct Pieces {
    std::array<iovec, 16> at;
    std::size_t count = 0;
  };
  template <class Buffers>
  static Pieces PiecesOf(const Buffers& buffers) {
    Pieces pieces;
    const auto end = boost::asio::buffer_sequence_end(buffers);
    for (auto i = boost::asio::buffer_sequence_begin(buffers);
         i != end && pieces.count < pieces.at.size(); ++i) {
      const boost::asio::const_buffer piece(*i);
      if (piece.size() == 0) continue;
      pieces.at[pieces.count++] = {const_cast<void*>(piece.data()), piece.size()};
    }
    return pieces;
  }

  std::size_t Read(const iovec* pieces, std::size_t count, boost::system::error_code& error);
  std::size_t Write(const iovec* pieces, std::size_t count, boost::system::error_code& error);

  using Clock = std::chrono::steady_clock;
  // Waits until the socket is ready for `events`; gives what it is ready for, 0 when patience ends.
  [[nodiscard]] short Await(short events, std::chrono::milliseconds patience) const;
  // The same within what is left after `spent`, when so many bytes were moved.
  [[nodiscard]] short AwaitWithin(short events, Clock::duration spent, std::size_t moved) const;
  // The same for writing.
  [[nodiscard]] short AwaitWriting();

  int socket_;
  const std::atomic<bool>& ending_;
  Patience patience_;
  Clock::time_point began_ = Clock::now();  // of the request
  Clock::duration waited_{};                // for the peer to take its answer
  std::size_t received_ = 0, sent_ = 0;
};

}  // namespace steerbench::server
