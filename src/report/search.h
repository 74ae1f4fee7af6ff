// What a search found, for people and for programs.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "report/report.h"
#include "search/conclude.h"
#include "search/polish.h"

namespace steerbench {

// What a search came to, with what polishing made of its first lines (by index; may be shorter).
struct SearchReport {
  search::Conclusion outcome;
  std::vector<std::optional<search::Polished>> polished;
  // How many combinations a kept progress had looked at before, where there was one.
  std::optional<double> resumed_at = {};
  // The entry, by its place from 1, that was written into the file as a setup.
  struct Taken {
    std::size_t entry = 1;
    std::string setup;
    std::size_t line = 0;
  };
  std::optional<Taken> taken = {};

  // A line with its free settings at their best, where that is known.
  [[nodiscard]] const search::Line& Best(std::size_t line) const {
    return line < polished.size() && polished[line] ? polished[line]->line : outcome.lines[line];
  }
};

// The state of a search, with at most `most` lines, the first few of them polished.
[[nodiscard]] SearchReport ReportOf(const Document& document, const search::Space& space,
                                    const search::StatedWishes& wishes,
                                    const search::Searcher& searcher, std::size_t most,
                                    int threads);

[[nodiscard]] std::string SearchText(const std::string& title, const SearchReport& report,
                                     const TextStyle& style);
// Shape documented in docs/json.md.
[[nodiscard]] std::string SearchJson(const std::string& title, const SearchReport& report,
                                     const JsonStyle& style);

// Lines of a report in their order under other weights, as JSON.
[[nodiscard]] std::string RankingJson(const search::Conclusion& outcome,
                                      const search::Weights& weights, int indent);

// A setup as the edits that write it into a document: paths below "setup.NAME", and values.
[[nodiscard]] std::vector<std::pair<std::string, std::string>> SetupEdits(
    const std::string& name, const Setup<Quantity>& setup);

}  // namespace steerbench
