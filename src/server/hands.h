// Threads that requests may start to help them: all requests together no more than the machine has
// cores to spare, however many come at once.
#pragma once

#include <algorithm>
#include <atomic>
#include <mutex>

namespace steerbench::server {

class Hands {
 public:
  explicit Hands(int spare) : spare_(std::max(spare, 0)) {}

  // Helpers taken for as long as this lives; fewer than asked for, or none, when others have them.
  class Taken {
   public:
    Taken(Hands& of, int most) : of_(of) {
      int there = of_.spare_;
      do {
        count_ = std::clamp(most, 0, there);
      } while (!of_.spare_.compare_exchange_weak(there, there - count_));
    }
    ~Taken() { of_.spare_ += count_; }
    Taken(const Taken&) = delete;
    Taken& operator=(const Taken&) = delete;
    [[nodiscard]] int Count() const { return count_; }

   private:
    Hands& of_;
    int count_ = 0;
  };

  // What takes long and is done by one request at a time; not owned where another does it.
  [[nodiscard]] std::unique_lock<std::mutex> Alone() { return {long_work_, std::try_to_lock}; }

 private:
  std::atomic<int> spare_;
  std::mutex long_work_;
};

}  // namespace steerbench::server
