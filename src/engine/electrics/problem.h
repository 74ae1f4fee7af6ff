// Why a result of the electrics module cannot be given.
#pragma once

#include <cstdint>
#include <string_view>

namespace steerbench::electrics {

enum class Problem : std::uint8_t {
  kNotFinite,
  kResistance,
  kTemperature,
  kWire,
  kVoltage,
  kLimit,
  kInductance,
  kFrequency,
  kDuty,
  kNoSuchNode,
  kNoReturn,
  kShort,
  kTooManyDrivers,
  kOpen,
  kNoCoil,
  kNoDriver,
  kPullIn,
  kUnreachable,
};

// The reason in words, without a full stop.
std::string_view Describe(Problem problem);

// A reason, and the node, resistor, driver or coil (by its place in the list) that it concerns.
struct Fault {
  Problem problem;
  int at = -1;
};

}  // namespace steerbench::electrics
