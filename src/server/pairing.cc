#include "server/pairing.h"

#include <fmt/format.h>

#include <algorithm>

namespace steerbench::server {
namespace {

constexpr std::uint64_t kCodes = 100'000'000;  // ten to the power of kDigits

// Each code as likely as the others: what does not divide evenly is drawn again.
std::string DrawCode(const Pairing::Random& random) {
  constexpr std::uint64_t kLast = UINT64_MAX - UINT64_MAX % kCodes;
  std::uint64_t drawn = random();
  while (drawn >= kLast) drawn = random();
  return fmt::format("{:0{}}", drawn % kCodes, Pairing::kDigits);
}

}  // namespace

bool SameSecret(std::string_view a, std::string_view b) {
  unsigned differ = a.size() == b.size() ? 0u : 1u;
  for (std::size_t i = 0; i < a.size() && !b.empty(); ++i) {
    differ |= static_cast<unsigned char>(a[i]) ^
              static_cast<unsigned>(static_cast<unsigned char>(b[i % b.size()]));
  }
  return differ == 0;
}

Pairing::Pairing(bool on, Clock clock, Random random)
    : on_(on), clock_(std::move(clock)), random_(std::move(random)), code_(DrawCode(random_)) {}

Pairing::Account& Pairing::AccountOf(const std::string& peer, Time now) {
  std::erase_if(accounts_,
                [now](const auto& entry) { return now - entry.second.last >= kForgotten; });
  const auto found = accounts_.find(peer);
  if (found != accounts_.end()) return found->second;
  if (accounts_.size() < kMostPeers) return accounts_.emplace(peer, Account{}).first->second;
  return others_;
}

std::chrono::seconds Pairing::LockedFor(const Account& account, Time now) const {
  Time until = account.locked_until;
  const bool spent = wrong_of_all_ >= kTriesOfAll && now - minute_ < kMinute;
  if (spent && account.Suspect()) until = std::max(until, minute_ + kMinute);
  return std::max(std::chrono::ceil<std::chrono::seconds>(until - now), std::chrono::seconds(0));
}

void Pairing::CountWrong(Account& account, Time now) {
  if (now - minute_ >= kMinute) {
    minute_ = now;
    wrong_of_all_ = 0;
  }
  ++wrong_of_all_;
  account.last = now;
  if (++account.wrong < kTries) return;
  account.wrong = 0;
  account.locked_until = now + account.wait;
  account.wait = std::min(2 * account.wait, kLongestWait);
}

Pairing::Tried Pairing::Try(const std::string& peer, std::string_view code) {
  const std::scoped_lock lock(mutex_);
  const Time now = clock_();
  Account& account = AccountOf(peer, now);
  if (const auto wait = LockedFor(account, now); wait.count() > 0) return {"", wait};
  if (!SameSecret(code_, code)) {
    CountWrong(account, now);
    return {"", LockedFor(account, now)};
  }
  accounts_.erase(peer);
  std::string token = fmt::format("{:016x}{:016x}", random_(), random_());
  if (tokens_.size() >= kMostTokens) tokens_.erase(tokens_.begin());
  tokens_.push_back(token);
  return {std::move(token), {}};
}

bool Pairing::Knows(std::string_view token) const {
  const std::scoped_lock lock(mutex_);
  bool known = false;
  for (const std::string& t : tokens_) known |= SameSecret(t, token);
  return known && !token.empty();
}

}  // namespace steerbench::server
