// A thread for each open connection: pages keep theirs open, for the stream of events and for the
// next request, so a fixed small pool would leave others waiting.
#pragma once

#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

namespace steerbench::server {

// Starts threads as they are needed and keeps them.
class Connections {
 public:
  // Does a job on a thread of its own, soon; false, and not at all, beyond kMost of them or when
  // the system has no thread left.
  [[nodiscard]] bool Take(std::function<void()> job);
  // Waits until all work is done.
  void Finish();

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
