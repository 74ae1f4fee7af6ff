// What is computed of a setup, held against what was read on the assembled car: whether the two
// agree within their ±, which number of the file would explain it where they do not, and what the
// readings make of all other results where they do.
#pragma once

#include <span>

#include "engine/evaluate/find_input.h"

namespace steerbench {

// A reading and what is computed of the same.
struct Compared {
  Seen seen;
  std::optional<Figure> computed;  // unset: not known of this setup
  double difference = 0.0;         // seen less computed [SI]
  double tolerance = 0.0;          // of the difference: both ± in quadrature
  // Whether the difference lies within its ±. Also false where both are without one and differ.
  bool agrees = false;
};

// A number of the file which, if it alone were off, would have to be `value` for the computed to
// meet the readings best.
struct Suspect {
  std::size_t input = 0;   // index in Propagated::inputs
  double value = 0.0;      // SI
  double tolerance = 0.0;  // of it, as the readings and all other numbers leave it
  double left = 0.0;       // of the misfit of all readings, in the square of their ±
  double times = 0.0;      // by how many of its own ± it would be off; infinite without one
  bool explains = false;   // all readings then agree together
};

// An input or a result with its ±, once the readings count as well.
struct Counted {
  std::size_t of = 0;  // index in Propagated::inputs, or an Output
  double value = 0.0, tolerance = 0.0;
};

struct HeldAgainst {
  std::vector<Compared> compared;  // in the order of the readings
  bool agree = false;              // each and all together, of those that are known
  // Unless they agree: those that explain it first, the least far off before others; then those
  // that leave least.
  std::vector<Suspect> suspects;
  std::vector<Counted> inputs, results;  // where they agree: those that the readings bear on
};

// The readings of a setup. Angles of the wheels in a right turn are read without a sign and get
// that of the result, which is negative there (ISO 8855: to the left positive).
[[nodiscard]] std::vector<Seen> SeenIn(const SeenOnCar<Quantity>& seen);

// Whether a setup may state a reading of a result.
[[nodiscard]] bool IsReading(Output of);

// Holds readings against results. With a the derivatives of the results seen to the inputs, t the ±
// of the inputs and T those of the readings, the differences r have the covariance (at 95 %)
// C = a diag(t²) aᵀ + diag(T²).
// - A reading agrees when |r| is within the root of its C. All agree together when rᵀ C⁻¹ r is
//   within the chi-square quantile of as many degrees of freedom, at the coverage of two standard
//   deviations.
// - One input alone, its own ± left out of C, leaves least of it at d = aᵀ C⁻¹ r / aᵀ C⁻¹ a, whose
//   ± is 1 / sqrt(aᵀ C⁻¹ a) (the search for one blunder at a time of geodesy). Left out is
//   one that would be off by more than ten of its ± (without a ±: by more than itself), unless it
//   explains all and by no more than half of itself; and what its field cannot have (a friction
//   below zero).
// - With the readings counted a number g with derivatives b becomes g + c C⁻¹ r with the square of
//   its ± less c C⁻¹ cᵀ, c = b diag(t²) aᵀ: least squares with the file's values as observations.
// All of it on straight lines over the ±, as Propagate; readings without any ± on either side only
// compare. Sources: JCGM 100:2008, 5.1.2; least squares and one blunder at a time: Baarda, A
// Testing Procedure for Use in Geodetic Networks, Netherlands Geodetic Commission 1968 (from
// memory).
[[nodiscard]] HeldAgainst HoldAgainst(const Propagated& results, std::span<const Seen> seen);

}  // namespace steerbench
