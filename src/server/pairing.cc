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

Pairing::Tried Pairing::Try(std::string_view code) {
  const std::scoped_lock lock(mutex_);
  const auto now = clock_();
  if (locked_until_ && now < *locked_until_) {
    return {"", std::chrono::ceil<std::chrono::seconds>(*locked_until_ - now)};
  }
  if (!SameSecret(code_, code)) {
    if (++wrong_ < kTries) return {"", {}};
    wrong_ = 0;
    locked_until_ = now + wait_;
    const auto wait = wait_;
    wait_ *= 2;
    return {"", wait};
  }
  wrong_ = 0;
  wait_ = kFirstWait;
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
