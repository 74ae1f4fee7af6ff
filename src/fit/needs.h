// What a setup lacks to be put together: parts to buy or make, and stops to keep.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/evaluate/propagate.h"
#include "fit/fit.h"

namespace steerbench::fit {

enum class Lack : std::uint8_t {
  kPump,        // the rack has assistance to be fed
  kPulley,      // the pump has to be driven
  kBelt,        // likewise
  kBeltLength,  // the belt named is too short or too long for the tensioner, if only probably
  kStop,        // nothing ends the travel before a limit that must not be met
  kDriver,      // nothing is said of what feeds a control valve's coil
  kOwnDriver,   // two control valves, and the document describes one driver
  kAdapter      // faces differ, and the document has an adapter that suits
};

// Key for programs: "pump", "belt_length", ...
[[nodiscard]] std::string_view KeyOf(Lack lack);

struct Need {
  Lack what = Lack::kPump;
  std::string field;                        // where the document would say it: "setup.calm.pulley"
  std::optional<std::size_t> adapter = {};  // kAdapter: index in the document's adapters
  std::optional<double> below = {}, above = {};  // kBelt, kBeltLength: sizes sold that are next [m]
  // kStop: the limit, and the travel from centre before which the stop has to act [m], its ± off.
  std::optional<RackEnd> before = {};
  std::optional<double> travel = {};
  // kBelt, kBeltLength: the document's belts that go on and can be tensioned, those owned first.
  std::vector<std::string> at_hand = {};
  std::size_t pieces = 1;  // kAdapter: one for each joint that needs it
};

// Needs of a fitted setup, in the order of Lack, from its parts and from what was evaluated. A stop
// is needed where stops are removed, and where a limit is exceeded before the stop that is there.
// `belts`: those of the document, to be offered.
[[nodiscard]] std::vector<Need> NeedsOf(const Fitted<Quantity>& fitted, const Propagated& results,
                                        const SetupFit& joints, const Named<Belt<Quantity>>& belts);

}  // namespace steerbench::fit
