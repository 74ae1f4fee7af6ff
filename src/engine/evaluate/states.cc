#include "engine/evaluate/states.h"

#include <fmt/format.h>

namespace steerbench {

void WriteMarks(Evaluation<double>& out) {
  hydraulics::Marks all;
  for (const auto& kept : out.marked) all.Add(kept.marks);
  for (const hydraulics::Mark mark : hydraulics::List(all)) {
    std::string states;
    for (const auto& kept : out.marked) {
      if (kept.marks.Has(mark)) states += (states.empty() ? "" : "; ") + kept.state;
    }
    out.notes.push_back(fmt::format("{}: {}{}", states, hydraulics::Describe(mark),
                                    hydraulics::CastsDoubt(mark) ? " (outside the model)" : ""));
  }
}

}  // namespace steerbench
