// Whether two faces agree, feature by feature. Pure functions on plain data.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "model/fitting.h"

namespace steerbench::fit {

// In the order of badness, so that the greatest of several is the verdict on all of them.
enum class Verdict : std::uint8_t { kFits, kUnknown, kDiffers };

// Word for people and programs: "fits", "unknown", "differs".
[[nodiscard]] std::string_view WordFor(Verdict verdict);

// Why a feature cannot be told, or what a verdict leans on.
enum class Reason : std::uint8_t {
  kNone,
  kOneUnstated,    // the first face does not say
  kOtherUnstated,  // the second one does not say
  kTooWide,        // they agree, but the ± would also take the neighbouring size
  kTakenAsExact    // a measure without a ± was taken as exact (docs/conventions.md)
};

// One feature that at least one of two faces states, each side as written; empty where unstated.
struct Feature {
  std::string_view key;  // as in Face
  Verdict verdict = Verdict::kUnknown;
  Reason reason = Reason::kNone;
  std::string one, other;
};

// `kDiffers` when one feature differs, else `kUnknown` when one cannot be told or none is stated,
// else `kFits`.
struct Comparison {
  Verdict verdict = Verdict::kUnknown;
  std::vector<Feature> features;  // in the order of Face
};

// Compares what two faces state, wherever they stand. Texts agree trimmed and without regard to
// the case of A to Z. A measure or count without a ± is exact; two of them differ when they lie
// further apart than both ± combined in quadrature (JCGM 100:2008, 5.1.2), else they agree if
// that ± is less than the step to a neighbouring size (StepOf), else nothing can be told.
// Symmetric, but for which side is called `one`.
[[nodiscard]] Comparison Compare(const Face& one, const Face& other);

// Least distance between neighbouring sizes of a feature ("diameter", ...), SI; counts step by
// one. Diameter: M16 and 5/8 in, 0.125 mm apart, the closest of M10 to M18. Pitch: 1.25 mm and 20
// to the inch, 0.02 mm. Taper: 1:10 and 1:8. Both thread series: ISO 261, ASME B1.1 (from memory).
// Bolt spacing: the play of a bolt in its hole, common practice, no source. 0 for a feature without
// a number.
[[nodiscard]] double StepOf(std::string_view feature);

}  // namespace steerbench::fit
