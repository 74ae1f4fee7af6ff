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
  kWheelLifts,
  kFrontSlides,
  kRearSlides,
};

// The reason in words, without a full stop.
std::string_view Describe(Problem problem);

}  // namespace steerbench::tyre
