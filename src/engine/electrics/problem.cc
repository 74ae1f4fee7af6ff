#include "engine/electrics/problem.h"

namespace steerbench::electrics {

std::string_view Describe(Problem problem) {
  switch (problem) {
    case Problem::kNotFinite:
      return "a number is missing, not finite, or too large to compute with";
    case Problem::kResistance:
      return "a resistance is not above zero";
    case Problem::kTemperature:
      return "the temperature is below what copper's linear law can hold for";
    case Problem::kWire:
      return "a wire's length, cross-section or gauge makes no sense";
    case Problem::kVoltage:
      return "a voltage is below zero";
    case Problem::kLimit:
      return "a current limit is not above zero";
    case Problem::kInductance:
      return "the inductance is not above zero";
    case Problem::kFrequency:
      return "the switching frequency is not above zero";
    case Problem::kDuty:
      return "the duty is not between 0 and 1";
    case Problem::kNoSuchNode:
      return "a connection leads to a node that is not there";
    case Problem::kNoReturn:
      return "no path back to ground";
    case Problem::kShort:
      return "a driver with neither resistance nor limit is short-circuited";
    case Problem::kTooManyDrivers:
      return "more drivers in one network than can be tried";
    case Problem::kOpen:
      return "open circuit between the pins";
    case Problem::kNoCoil:
      return "no coil is wired";
    case Problem::kNoDriver:
      return "a coil has no driver";
    case Problem::kPullIn:
      return "a coil's pull-in or hold current is not above zero";
    case Problem::kUnreachable:
      return "the current cannot be reached with this voltage and resistance";
  }
  return "unknown";
}

}  // namespace steerbench::electrics
