#include "engine/tyre/problem.h"

namespace steerbench::tyre {

std::string_view Describe(Problem problem) {
  switch (problem) {
    case Problem::kNotFinite:
      return "a number is missing, not finite, or too large to compute with";
    case Problem::kNoMass:
      return "a mass is not above zero";
    case Problem::kShare:
      return "a share is not between 0 and 1";
    case Problem::kNoLoad:
      return "the wheel carries no load";
    case Problem::kNoPressure:
      return "the tyre pressure is not above zero";
    case Problem::kNoWidth:
      return "the tyre width is not above zero";
    case Problem::kNoLength:
      return "the contact length is not above zero";
    case Problem::kNoFriction:
      return "the friction is not above zero";
    case Problem::kNoStiffness:
      return "the cornering stiffness is not above zero";
    case Problem::kNoWheelbase:
      return "the wheelbase is not above zero";
    case Problem::kCgOutside:
      return "the centre of gravity does not lie between the axles and above the ground";
    case Problem::kNoTrack:
      return "a track is not above zero";
    case Problem::kNoSpeed:
      return "the road speed is not above zero";
    case Problem::kWheelLifts:
      return "the inner wheel of an axle lifts off";
    case Problem::kFrontSlides:
      return "the front tyres cannot give this side force: they slide";
    case Problem::kRearSlides:
      return "the rear tyres cannot give this side force: they slide";
  }
  return "unknown";
}

}  // namespace steerbench::tyre
