// One call: a fitted car in, every result and every margin out. Pure and deterministic.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "engine/effort/hand_wheel.h"
#include "engine/evaluate/control.h"
#include "engine/evaluate/outputs.h"
#include "engine/evaluate/rack_limits.h"
#include "engine/hydraulics/circuit.h"
#include "engine/hydraulics/marks.h"

namespace steerbench {

// A limit that has nothing to do with rack travel.
enum class Check : std::uint8_t {
  kInnerThread,
  kOuterThreadLeft,
  kOuterThreadRight,
  kRodShortestLeft,
  kRodShortestRight,
  kRodLongestLeft,
  kRodLongestRight,
  kPumpTopSpeed,
  kPumpIdleSpeed,
  kColumnJoint,
  kInnerTilt,
  kOuterTilt,
  kRodArm,
  kPressureReserve,
  kHose,
  kCatchUp,
  kInlet,
  kOilTemperature,
  kBeltNotShort,
  kBeltNotLong,
  kBeltGrip,
  kCoil,
  kSecondCoil
};
inline constexpr std::size_t kChecks = static_cast<std::size_t>(Check::kSecondCoil) + 1;

struct CheckInfo {
  Check id;
  std::string_view key, label;
  Kind kind;                            // of the margin
  std::string_view meaning;             // how the margin is counted: positive is within the limit
  std::string_view source;              // of the limit when the document states none
  std::optional<Kind> bound_kind = {};  // of the bound, where it is not the margin's
  [[nodiscard]] Kind BoundKind() const { return bound_kind.value_or(kind); }
};
[[nodiscard]] const std::array<CheckInfo, kChecks>& Checks();

struct RackEndInfo {
  RackEnd id;
  std::string_view key, label, source;
};
[[nodiscard]] const std::array<RackEndInfo, kRackEnds>& RackEnds();

// A result: its value in SI, or what is missing for it. A travel may have both: then something
// unknown might end it sooner.
template <class T>
struct Result {
  std::optional<T> value;
  Missing missing;
  bool failed = false;  // nothing is missing, and yet it is not known: a note says why
};

// A margin in the limit's own unit, SI.
template <class T>
struct Margin {
  std::optional<T> value;
  std::optional<T> limit;  // the bound itself, see CheckInfo::BoundKind
  bool at_least = true;    // the bound is a least value, else a greatest
  double wanted = 0.0;     // margin below which it is close though it does not fail
  Missing missing;
  bool absent = false;        // nothing of the kind is fitted
  bool out_of_sight = false;  // of a travel limit: beyond the travel looked at, so it holds
  // A case that bears on it could not be had, which a note says: less may be left than `value`.
  bool may_be_less = false;
  std::string circumstance;  // where less is left than elsewhere, in words
};

template <class T>
struct Evaluation {
  Level level = Level::kUnknown;
  std::vector<Assumption> assumed;
  std::vector<Trouble> trouble;
  // Whether rack travel to one side steers to that side: the outer joints lie ahead of the axes.
  std::optional<bool> steers_to_own_side;
  std::array<Result<T>, kOutputs> result;
  // Where a weight comes from, at the hand wheel, by term; its sign is that of a left turn.
  struct Breakdown {
    Output of;
    effort::Terms<T> terms;
  };
  std::vector<Breakdown> breakdown;
  // Of the checks looked at over the travel (kInnerTilt, kOuterTilt, kRodArm): which of the poses
  // looked at is the worst, so that only its derivatives need be taken.
  std::array<std::optional<std::size_t>, 3> worst_pose;
  std::vector<std::string> notes;                 // states of the oil worth saying, in words
  std::optional<ControlTrouble> control_trouble;  // only without derivatives
  // Weights of that trouble: as the car is, then with each trial; magnitudes [N m].
  std::vector<std::optional<T>> control_torque;
  // By Side: the turn-plate reading that lies furthest from the linkage.
  std::array<std::optional<std::size_t>, 2> plate_row;
  struct Marked {
    std::string state;  // in words
    hydraulics::Marks marks;
  };
  std::vector<Marked> marked;                        // states with marks, as kept by NoteMarks
  std::array<TravelEnds<T>, 2> ends;                 // by Way
  std::array<std::vector<Margin<T>>, 2> end_margin;  // of ends[way].limit, same order [m]
  std::array<Margin<T>, kChecks> check;

  const std::optional<T>& operator[](Output id) const {
    return result[static_cast<std::size_t>(id)].value;
  }
};

// Every result of a fitted car. Results and margins that need something unknown say what. Never
// throws on a car that was read from a document. Formulas: see the modules linkage, gear, turning,
// drive, limits.
[[nodiscard]] Evaluation<double> Evaluate(const Fitted<double>& fitted);

// What was solved for one car. For one thread.
struct Solved {
  KnownPoses poses;
  hydraulics::KnownRoots roots;
};
// The same, filling `solved` for Lift.
[[nodiscard]] Evaluation<double> Evaluate(const Fitted<double>& fitted, Solved& solved);

// The same with derivatives, from what Evaluate found for the same car: little is searched again.
[[nodiscard]] Evaluation<Jet> Lift(const Fitted<Jet>& fitted, const Evaluation<double>& found,
                                   Solved& solved);

// The rack's ratio, if known; else what is missing (the easiest to measure first).
template <class T>
[[nodiscard]] std::optional<gear::RackRatio<T>> RatioOf(const Fitted<T>& fitted, Missing& missing);

// From hand wheel to rack, if the ratio and every column joint stated are known; else what is
// missing. `own_side`: rack travel to the left steers left (only uneven columns care).
template <class T>
[[nodiscard]] std::optional<HandToRack<T>> HandToRackOf(const Fitted<T>& fitted, bool own_side,
                                                        Missing& missing);

}  // namespace steerbench
