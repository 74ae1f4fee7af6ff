// Who on the local network may use the document: those who typed the code that the terminal shows.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace steerbench::server {

// Compares without telling by its time how much was right.
[[nodiscard]] bool SameSecret(std::string_view a, std::string_view b);

// May be used by several threads at once. Randomness and clock are handed in.
class Pairing {
 public:
  using Clock = std::function<std::chrono::steady_clock::time_point()>;
  using Random = std::function<std::uint64_t()>;  // 64 bits that nobody can foretell

  // `on`: peers that are not this machine need a code.
  Pairing(bool on, Clock clock, Random random);

  [[nodiscard]] bool On() const { return on_; }
  // kDigits digits, to be shown to those in front of the machine.
  [[nodiscard]] const std::string& Code() const { return code_; }

  struct Tried {
    std::string token;          // the cookie's value; empty when the code was wrong
    std::chrono::seconds wait;  // until another try is looked at
  };
  // After kTries wrong ones none is looked at for a while, which doubles each time.
  [[nodiscard]] Tried Try(std::string_view code);

  [[nodiscard]] bool Knows(std::string_view token) const;

  static constexpr int kDigits = 8;
  static constexpr int kTries = 5;
  static constexpr std::chrono::seconds kFirstWait{60};

 private:
  bool on_;
  Clock clock_;
  Random random_;
  std::string code_;
  mutable std::mutex mutex_;
  int wrong_ = 0;
  std::chrono::seconds wait_ = kFirstWait;
  std::optional<std::chrono::steady_clock::time_point> locked_until_;
  std::vector<std::string> tokens_;  // the newest last; at most kMostTokens
  static constexpr std::size_t kMostTokens = 64;
};

}  // namespace steerbench::server
