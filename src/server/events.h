// What happens, told to every page that listens (server-sent events).
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <mutex>
#include <string>
#include <vector>

#include "server/message.h"

namespace steerbench::server {

struct Event {
  std::string type;  // "revision", "job", "ping"
  Json data;
  std::string id = {};  // what a client that lost the stream comes back with; may be empty
};

// The event as it goes over the stream.
[[nodiscard]] std::string StreamText(const Event& event);

// May be used by several threads at once.
class Events {
 public:
  void Tell(Event event);

  // What one listener has heard.
  struct Place {
    std::uint64_t heard = 0;  // number of the last event
  };
  // From here on.
  [[nodiscard]] Place Join() const;
  // What was told since, waiting up to `patience` for something; empty when there was nothing, or
  // the hub is closed. A listener that falls behind by more than kKept events misses the oldest.
  [[nodiscard]] std::vector<Event> Wait(Place& place, std::chrono::milliseconds patience);

  // Ends all waiting.
  void Close();
  [[nodiscard]] bool Closed() const;

  static constexpr std::size_t kKept = 1024;

 private:
  mutable std::mutex mutex_;
  std::condition_variable told_;
  std::deque<Event> events_;  // the last ones
  std::uint64_t count_ = 0;   // of all ever told
  bool closed_ = false;
};

}  // namespace steerbench::server
