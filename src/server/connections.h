// A thread for each open connection: pages keep theirs open, for the stream of events and for the
// next request, so a fixed small pool would leave others waiting.
#pragma once

#include <httplib.h>

#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

namespace steerbench::server {

// Starts threads as they are needed and keeps them. A connection beyond kMost, or for which the
// system has no thread, is handed over at once, on the accepting thread, to be turned away.
class Connections : public httplib::TaskQueue {
 public:
  void enqueue(std::function<void()> job) override;
  // Waits until all work is done.
  void shutdown() override;

  // Whether the job that asks is to be turned away.
  [[nodiscard]] static bool TurnsAway();

  static constexpr std::size_t kMost = 768;

 private:
  void Work();
  [[nodiscard]] bool Started();

  std::mutex mutex_;
  std::condition_variable woken_;
  std::deque<std::function<void()>> waiting_;
  std::vector<std::thread> threads_;
  std::size_t idle_ = 0;
  bool ending_ = false;
};

}  // namespace steerbench::server
