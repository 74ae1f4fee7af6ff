// Progress of long work, for a person who watches.
#pragma once

#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <string>
#include <utility>

namespace steerbench::cli {

// Says on the terminal how far a verb is once it has taken a while. For one thread.
class Watched {
 public:
  explicit Watched(std::string verb) : verb_(std::move(verb)) {}

  void operator()(double share) {
    if (!terminal_) return;
    const auto now = std::chrono::steady_clock::now();
    if (now - last_ < kPatience && !(share >= 1.0 && shown_)) return;
    last_ = now;
    shown_ = true;
    std::fprintf(stderr, "\r%s: %3.0f %%%s", verb_.c_str(), 100.0 * share,
                 share >= 1.0 ? "\r\033[K" : "");
  }

 private:
  static constexpr std::chrono::milliseconds kPatience{500};
  std::string verb_;
  bool terminal_ = isatty(STDERR_FILENO) == 1;
  bool shown_ = false;
  std::chrono::steady_clock::time_point last_ = std::chrono::steady_clock::now();
};

}  // namespace steerbench::cli
