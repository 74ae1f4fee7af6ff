// Numbers drawn from a fuzzer's bytes.
#pragma once

#include <cstdint>
#include <cstdlib>
#include <cstring>

namespace steerbench::fuzz {

// A promise that was broken ends the run as a finding.
inline void Require(bool holds) {
  if (!holds) std::abort();
}

// Numbers from the bytes; once they run out, zeros.
class Bytes {
 public:
  Bytes(const std::uint8_t* data, std::size_t size) : data_(data), left_(size) {}

  double Between(double low, double high) {
    return low + (high - low) * (Next<std::uint16_t>() / 65535.0);
  }
  template <class Number>
  Number Next() {
    Number n{};
    if (left_ < sizeof n) return n;
    std::memcpy(&n, data_, sizeof n);
    data_ += sizeof n;
    left_ -= sizeof n;
    return n;
  }

 private:
  const std::uint8_t* data_;
  std::size_t left_;
};

}  // namespace steerbench::fuzz
