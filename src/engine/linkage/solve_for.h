// 'Solve for': the value of one adjustment of the steering linkage that reaches a target.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <variant>

#include "engine/linkage/axle.h"
#include "engine/linkage/corner.h"

namespace steerbench::linkage {

// What may be adjusted, alike on both sides; positive values [m] in brackets.
enum class DesignVariable : std::uint8_t {
  kRackUp,       // rack height [up]
  kRackForward,  // rack fore-aft [forward]
  kOuterShim,    // outer joint along its stud [lowered]
  kArmLength,    // outer joint square to the steering axis [away from it]
  kSpacer        // between rack and inner joint [joint outward, tie rod shorter by as much]
};

// The corner with one variable moved by `value` [m] and the tie rod otherwise as it was, so that
// toe moves too (also, slightly, with a spacer). Unset for a shim without a known stud or with a
// level one, and for an arm whose steering axis is not known because the design position is
// singular. Derived: plain geometry.
template <class T>
[[nodiscard]] std::optional<Corner<T>> Adjusted(const Corner<T>& corner, DesignVariable variable,
                                                const T& value);

// Least root mean square of the departures of both wheels' steer angles, rack centred, over wheel
// travels evenly spaced from -rebound to +jounce, both ends included.
struct LeastBumpSteer {
  enum class About : std::uint8_t {
    kStaticToe,  // departure from the angle at design height
    kMeanToe     // departure from the mean angle over the range
  };
  About about = About::kStaticToe;
  double rebound = 0.0, jounce = 0.0;  // [m], not negative, not both zero
  int points = 0;                      // at least 2
};

// A figure of the axle at one rack travel (left positive, design height) that shall be `value`:
// a steer angle, a linkage ratio, an Ackermann share. The figure may be unset where it has none.
struct FigureAt {
  double travel = 0.0;  // [m]
  double value = 0.0;
  std::function<std::optional<double>(const AxleState<double>&)> figure;
};

using Target = std::variant<LeastBumpSteer, FigureAt>;

struct SolveForTask {
  std::array<Corner<double>, 2> corner;  // left, right; the same one twice for a symmetric car
  DesignVariable variable = DesignVariable::kRackUp;
  double least = 0.0, most = 0.0;  // bounds of the variable [m], least < most
  // Re-set the tie rods to the toe that the wheels had, as a builder would, or leave them.
  bool re_set_toe = true;
  Target target;
};

enum class SolveForStatus : std::uint8_t {
  kNotRun,
  kReached,     // the least inside the bounds, or the figure is met
  kAtBound,     // the best value lies on a bound: beyond it it would be better still
  kNotReached,  // no value within the bounds meets the figure; the nearest found is given
  kNoLinkage,   // no value tried gives a linkage that reaches all poses asked for
  kBadTask      // bounds, grid or corner make no sense
};

struct Solution {
  SolveForStatus status = SolveForStatus::kNotRun;
  double value = 0.0;            // of the variable [m]
  std::optional<double> before;  // objective with the variable at 0
  double after = 0.0;            // objective at `value`: RMS [rad], or the figure
  double residual = 0.0;         // RMS [rad], or the figure less its target
  bool bound_binds = false;      // the value lies on a bound: beyond it, it would be better still
  int evaluations = 0;           // of the objective
  Target target;                 // objective and grid as asked, to be stated with the result
};

// Scans the bounds evenly, then Brent's method for a least or TOMS 748 for a root in the best
// interval; of several roots the one nearest to no change. The same input gives the same output.
// A least between two scan points that does not show in them is missed.
// Source: Brent, Algorithms for Minimization without Derivatives (1973), ch. 5; Alefeld, Potra &
// Shi, ACM TOMS 21 (1995) 327-344; both as in Boost.Math.
[[nodiscard]] Solution SolveFor(const SolveForTask& task);

}  // namespace steerbench::linkage
