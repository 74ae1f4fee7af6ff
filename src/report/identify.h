// Which variant of a part it is, as people and as programs read it. Pure: strings out.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "identify/identify.h"
#include "identify/parts.h"
#include "report/report.h"

namespace steerbench {

// One riddle of a document and what was found out about it.
struct RiddleReport {
  std::string name;
  Riddle riddle;
  std::optional<identify::Identified> found;      // unset: it has no variant yet
  std::vector<identify::Difference> differences;  // of the parts that the variants left are

  [[nodiscard]] bool Settled() const { return found && found->Settled(); }
  // The variant that it is, once settled; unset before.
  [[nodiscard]] const Variant* Answer() const {
    return Settled() ? &riddle.variant[found->Likeliest()] : nullptr;
  }
};

[[nodiscard]] RiddleReport Solve(const Document& document, const std::string& name,
                                 const Riddle& riddle, double sure);

// Whether all of them are settled (exit status 0).
[[nodiscard]] bool AllSettled(const std::vector<RiddleReport>& riddles);

// What to look at next, in one sentence; empty when nothing would tell anything.
[[nodiscard]] std::string NextLook(const RiddleReport& riddle);

[[nodiscard]] std::string IdentifyText(const std::string& title,
                                       const std::vector<RiddleReport>& riddles,
                                       const TextStyle& style);
[[nodiscard]] std::string IdentifyJson(const std::string& title,
                                       const std::vector<RiddleReport>& riddles,
                                       const JsonStyle& style);

}  // namespace steerbench
