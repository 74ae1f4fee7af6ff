// Why a result of the tyre module cannot be given.
#pragma once

#include <cstdint>
#include <string_view>

namespace steerbench::tyre {

enum class Problem : std::uint8_t {
  kNotFinite,
  kNoMass,
  kShare,
  kNoLoad,
  kNoPressure,
  kNoWidth,
  kNoLength,
  kNoFriction,
  kNoStiffness,
  kNoWheelbase,
  kCgOutside,
  kNoTrack,
  kNoSpeed,
  kCompliance,
  kTooFlat,
  kWheelLifts,
  kFrontSlides,
  kRearSlides,
};

// The reason in words, without a full stop.
std::string_view Describe(Problem problem);

// Whether a number lies where its model holds.
enum class Range : std::uint8_t { kInside, kEdge, kOutside };

}  // namespace steerbench::tyre
