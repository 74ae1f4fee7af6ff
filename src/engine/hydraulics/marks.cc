#include "engine/hydraulics/marks.h"

#include <array>

namespace steerbench::hydraulics {
namespace {

struct Entry {
  Mark mark;
  std::string_view text;
};

constexpr std::uint32_t kFirstDoubt = 1u << 16;

constexpr std::array<Entry, 15> kEntries = {{
    {Mark::kReliefOpen, "the relief valve is open: no more pressure is to be had"},
    {Mark::kAtStop, "the valve is at its twist stop: the hand turns the pinion directly"},
    {Mark::kOutrun, "the piston takes the oil as fast as it comes: assist collapses"},
    {Mark::kVoid, "a chamber is drawn empty: its pressure is that at which the oil gives off gas"},
    {Mark::kInletNoise, "pressure at the pump inlet is low enough for the pump to growl"},
    {Mark::kInletStarved, "the pump draws less than it could deliver: its inlet is the limit"},
    {Mark::kOverspeed, "the pump turns faster than its maker allows"},
    {Mark::kNoAssist, "the pump delivers nothing: the rack moves by hand alone"},
    {Mark::kThinFluid, "oil thinner than 2 mm²/s: below the range of the viscosity formula"},
    {Mark::kFarTemperature, "temperature far from the two points the oil's viscosity is known at"},
    {Mark::kTransition, "a line runs between laminar and turbulent flow: its loss is uncertain"},
    {Mark::kBeyondBlasius, "a line runs above Reynolds number 100000: smooth-pipe formula ends"},
    {Mark::kBeyondValvePoints, "twist beyond the last measured point of the valve: extrapolated"},
    {Mark::kBeyondCurrent, "coil current beyond the control valve's table: held at its end"},
    {Mark::kUnsteadyBalance, "the balance found is not a stable one: the rack would run away"},
}};

}  // namespace

bool CastsDoubt(Mark mark) { return static_cast<std::uint32_t>(mark) >= kFirstDoubt; }

Marks DoubtsOf(Marks marks) { return {marks.bits & ~(kFirstDoubt - 1)}; }

std::string_view Describe(Mark mark) {
  for (const Entry& entry : kEntries) {
    if (entry.mark == mark) return entry.text;
  }
  return "unknown";
}

std::vector<Mark> List(Marks marks) {
  std::vector<Mark> list;
  for (const Entry& entry : kEntries) {
    if (marks.Has(entry.mark)) list.push_back(entry.mark);
  }
  return list;
}

std::string_view Describe(Problem problem) {
  switch (problem) {
    case Problem::kNotFinite:
      return "a number is missing, not finite, or too large to compute with";
    case Problem::kFluid:
      return "the oil's viscosity must fall from the colder to the hotter point, both above zero, "
             "and its density must be above zero";
    case Problem::kPump:
      return "a figure of the pump is below zero, or its relief valve opens fully before it opens";
    case Problem::kLine:
      return "a line needs a length not below zero and a bore above zero";
    case Problem::kValve:
      return "the valve needs a stiffness, a twist stop and openings above zero";
    case Problem::kValvePoints:
      return "the measured points of the valve must start with the wheel free, and pressure must "
             "rise with twist";
    case Problem::kCylinder:
      return "piston areas and rack travel per turn must be above zero";
    case Problem::kControl:
      return "a control valve's openings must not be below zero, its currents in rising order";
    case Problem::kCondition:
      return "pump speed must not be below zero, temperature and air pressure above zero";
    case Problem::kTooBig:
      return "more control valves in the circuit than can be solved for";
    case Problem::kNoFlow:
      return "the pump delivers nothing";
    case Problem::kPressure:
      return "pressure rises past 10000 bar: nothing lets the oil go (no relief valve, or a "
             "chamber "
             "that is shut off)";
    case Problem::kNotConverged:
      return "the circuit could not be solved to the promised accuracy";
    case Problem::kNotReached:
      return "the assist asked for is not reached even with the rack at rest";
    case Problem::kNoCooling:
      return "the cooling must be above zero";
    case Problem::kTooHot:
      return "the oil finds no balance below 250 °C";
  }
  return "unknown";
}

}  // namespace steerbench::hydraulics
