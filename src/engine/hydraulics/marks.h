// What a hydraulic result must be read with: the states the circuit is in, and the places where a
// model was used outside the range it is good for.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

namespace steerbench::hydraulics {

// One bit each. The first group says what the circuit does, the second where to doubt the number.
enum class Mark : std::uint32_t {
  kReliefOpen = 1u << 0,
  kAtStop = 1u << 1,
  kOutrun = 1u << 2,
  kVoid = 1u << 3,
  kInletNoise = 1u << 4,
  kInletStarved = 1u << 5,
  kOverspeed = 1u << 6,
  kNoAssist = 1u << 7,
  kThinFluid = 1u << 16,
  kFarTemperature = 1u << 17,
  kTransition = 1u << 18,
  kBeyondBlasius = 1u << 19,
  kBeyondValvePoints = 1u << 20,
  kBeyondCurrent = 1u << 21,
  kUnsteadyBalance = 1u << 22,
};

// A set of marks.
struct Marks {
  std::uint32_t bits = 0;

  void Set(Mark mark) { bits |= static_cast<std::uint32_t>(mark); }
  void Set(Mark mark, bool when) {
    if (when) Set(mark);
  }
  void Add(Marks other) { bits |= other.bits; }
  [[nodiscard]] bool Has(Mark mark) const { return (bits & static_cast<std::uint32_t>(mark)) != 0; }
};

// Those of a set that cast doubt.
[[nodiscard]] Marks DoubtsOf(Marks marks);

// Whether a mark casts doubt on the number (a model outside its range) rather than telling what
// the circuit does.
[[nodiscard]] bool CastsDoubt(Mark mark);

// The mark in words, without a full stop.
[[nodiscard]] std::string_view Describe(Mark mark);

// All marks of a set, states first.
[[nodiscard]] std::vector<Mark> List(Marks marks);

// Why there is no result.
enum class Problem : std::uint8_t {
  kNotFinite,
  kFluid,
  kPump,
  kLine,
  kValve,
  kValvePoints,
  kCylinder,
  kControl,
  kCondition,
  kTooBig,
  kNoFlow,
  kPressure,
  kNotConverged,
  kNotReached,
  kNoCooling,
  kTooHot,
};

[[nodiscard]] std::string_view Describe(Problem problem);

}  // namespace steerbench::hydraulics
