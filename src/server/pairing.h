// Who on the local network may use the document: those who typed the code that the terminal shows.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <map>
#include <mutex>
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
    std::chrono::seconds wait;  // until another try of this peer is looked at
  };
  // Each peer has its own count: after kTries wrong codes none of its is looked at for a while,
  // which doubles each time, up to kLongestWait. So nobody locks another out. And all peers that
  // have been locked before share kTriesOfAll wrong codes a minute, by which trying every code
  // would take two years, however many addresses somebody has.
  [[nodiscard]] Tried Try(const std::string& peer, std::string_view code);

  [[nodiscard]] bool Knows(std::string_view token) const;

  static constexpr int kDigits = 8;
  static constexpr int kTries = 5;
  static constexpr std::chrono::seconds kFirstWait{60}, kLongestWait{15 * 60};
  static constexpr int kTriesOfAll = 100;
  static constexpr std::chrono::seconds kMinute{60};
  static constexpr std::size_t kMostPeers = 1024;     // beyond, newcomers share one count
  static constexpr std::chrono::hours kForgotten{1};  // after a peer's last wrong code

 private:
  using Time = std::chrono::steady_clock::time_point;
  struct Account {
    int wrong = 0;
    std::chrono::seconds wait = kFirstWait;  // of the next lock
    Time locked_until{}, last{};
    [[nodiscard]] bool Suspect() const { return wait > kFirstWait; }
  };
  Account& AccountOf(const std::string& peer, Time now);
  [[nodiscard]] std::chrono::seconds LockedFor(const Account& account, Time now) const;
  void CountWrong(Account& account, Time now);

  bool on_;
  Clock clock_;
  Random random_;
  std::string code_;
  mutable std::mutex mutex_;
  std::map<std::string, Account> accounts_;  // of peers with wrong codes
  Account others_;                           // of those that there is no room for
  int wrong_of_all_ = 0;                     // in the minute that began at
  Time minute_{};
  std::vector<std::string> tokens_;  // the newest last; at most kMostTokens
  static constexpr std::size_t kMostTokens = 64;
};

}  // namespace steerbench::server
