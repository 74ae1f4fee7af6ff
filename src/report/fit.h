// What fits what, and what is needed, in words. Internal to report.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "report/report.h"

namespace steerbench {

// One joint: where and who, how it stands ("✓ fits", "✗ DIFFERS", "? unknown", and with which
// adapter), and a line for each feature that is not plain and for each cure.
struct JointText {
  std::string name, status;
  std::vector<std::string> lines;
};
[[nodiscard]] JointText TextOf(const fit::Joint& joint, const SetupReport& setup);

// One line for each need, in the order of setup.needs.
[[nodiscard]] std::string TextOf(const fit::Need& need, const SetupReport& setup,
                                 const Units& units);

// A need in a word or two, of a belt with the sizes that fit: "belt length: 1290 mm or ...".
[[nodiscard]] std::string NeedWords(const fit::Need& need, const Units& units);

// A status as it stands in a column, of a joint or of a whole setup.
[[nodiscard]] std::string FitWord(fit::Verdict verdict);

// An adapter by name and what is known of it: "coupler (machined, owned)".
[[nodiscard]] std::string AdapterText(const std::string& name, const Adapter<Quantity>& adapter);

// What to get where faces differ and no adapter of the document suits; empty where they do not
// differ. General knowledge of the trade (common practice, no source).
[[nodiscard]] std::string RemedyFor(const fit::Joint& joint);

// The whole section of one setup, a line each; empty where no face is stated and nothing needed.
[[nodiscard]] std::string FitLines(const SetupReport& setup, const Units& units);

// How a setup goes together in a cell of a comparison: "fits", "DIFFERS: pinion", "-".
[[nodiscard]] std::string FitCell(const SetupReport& setup);

}  // namespace steerbench
