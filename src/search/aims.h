// What a search can wish for: the aims, their values of a setup, and how one value is better than
// another.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>

#include "engine/evaluate/evaluate.h"
#include "engine/evaluate/propagate.h"
#include "model/search.h"
#include "search/space.h"

namespace steerbench::search {

// In the order of steerbench::Aims.
enum class Aim : std::uint8_t {
  kKerbEffort,
  kRoadEffort,
  kLostEffort,
  kCentreFeel,
  kLockAngle,
  kTurningCircle,
  kTurns,
  kBumpSteer,
  kCatchUp,
  kCost,
  kHours,
  kLasting
};
inline constexpr std::size_t kAims = static_cast<std::size_t>(Aim::kLasting) + 1;

struct AimInfo {
  Aim id;
  std::string_view key, label;
  Kind kind;
  std::string_view help;
  // Values nearer to each other than this count as equal, SI: nobody feels or pays the difference.
  double step;
};
[[nodiscard]] const std::array<AimInfo, kAims>& AimInfos();
[[nodiscard]] inline const AimInfo& InfoOf(Aim aim) {
  return AimInfos()[static_cast<std::size_t>(aim)];
}

// Values in SI; unset: not known.
using AimValues = std::array<std::optional<double>, kAims>;
[[nodiscard]] inline std::optional<double>& At(AimValues& v, Aim a) {
  return v[static_cast<std::size_t>(a)];
}
[[nodiscard]] inline const std::optional<double>& At(const AimValues& v, Aim a) {
  return v[static_cast<std::size_t>(a)];
}

// The results that an aim is made of: the two of a pair, or one twice.
struct AimSource {
  Output left, right;
  bool greater;  // the greater of both counts, else the lesser; by magnitude
};
// Unset for aims that are no result of the engine: cost, hours, lasting.
[[nodiscard]] std::optional<AimSource> SourceOf(Aim aim);

// All aims but cost, hours and lasting changes, from an evaluation. Torques, angles and bump steer
// count by their magnitude. Without assistance the weight with assistance lost is the kerb's.
[[nodiscard]] AimValues AimsOf(const Evaluation<double>& evaluation);
[[nodiscard]] AimValues AimsOf(const Propagated& results);

// Sets cost, hours and lasting changes; not known where a price or an hour is missing.
void Put(AimValues& aims, const Bill& bill);

// What is wished of one aim.
struct Wish {
  std::optional<Want> want;  // unset: its value does not matter beyond the bounds
  double near = 0.0;         // for Want::kNear
  std::optional<double> at_most, at_least;

  // Whether the value matters at all.
  [[nodiscard]] bool Matters() const { return want || at_most || at_least; }
};
using Wishes = std::array<Wish, kAims>;

// The wishes of a document. A value to be near is a wish by itself. Without any `want` the usual
// ones are taken, which `assumed` tells: less effort at the kerb, bump steer, cost and hours, more
// angle at lock (common practice, no source).
struct StatedWishes {
  Wishes of;
  bool assumed = false;
};
[[nodiscard]] StatedWishes WishesOf(const std::optional<Search>& search);

// How good a value is, in its own unit: more is better. Pre: something is wanted.
[[nodiscard]] double Goodness(const Wish& wish, double value);

// Whole steps away from the best that could be: less is better.
[[nodiscard]] double Penalty(const Wish& wish, const AimInfo& info, double value);

}  // namespace steerbench::search
