#include "document/findings.h"

#include <fmt/core.h>

#include <algorithm>

#include "document/names.h"

namespace steerbench {
namespace {

// What may stand there instead; more than anybody reads is cut short.
std::string MayStand(const std::vector<std::string>& known) {
  constexpr std::size_t kMost = 30;
  std::string list;
  for (std::size_t i = 0; i < known.size() && i < kMost; ++i) {
    list += (i == 0 ? "; there may stand: " : ", ") + known[i];
  }
  return known.size() > kMost ? list + ", ..." : list;
}

std::string MessageOf(const Finding& finding, const TextIndex& index) {
  if (finding.first != Finding::kNowhere) {
    return fmt::format("{} (first on line {})", finding.message, index.PlaceOf(finding.first).line);
  }
  if (!finding.known) return finding.message;
  const std::string_view nearest = Nearest(finding.wanted, *finding.known);
  if (nearest.empty()) {
    return finding.list_known ? finding.message + MayStand(*finding.known) : finding.message;
  }
  return fmt::format("{}; did you mean '{}'?", finding.message, nearest);
}

bool Same(const Finding& a, const Finding& b) {
  return a.field == b.field && a.found == b.found && a.message == b.message;
}

}  // namespace

Findings Findings::NotAmong(const Findings& before) const {
  std::vector<const Finding*> old;
  for (const Finding& f : before.findings_) old.push_back(&f);
  Findings fresh;
  for (const Finding& f : findings_) {
    const auto same = std::ranges::find_if(old, [&](const Finding* o) { return Same(f, *o); });
    if (same == old.end()) {
      fresh.Add(f);
    } else {
      old.erase(same);
    }
  }
  return fresh;
}

std::vector<Problem> Findings::ToProblems(const TextIndex& index) const {
  std::vector<const Finding*> sorted;
  for (const Finding& f : findings_) sorted.push_back(&f);
  std::stable_sort(sorted.begin(), sorted.end(),
                   [](const Finding* a, const Finding* b) { return a->offset < b->offset; });
  std::vector<Problem> problems;
  for (const Finding* f : sorted) {
    if (problems.size() == kMaxProblems) {
      Problem rest;
      rest.message = fmt::format("and {} more problems, not listed", sorted.size() - kMaxProblems);
      problems.push_back(std::move(rest));
      break;
    }
    const Place place = f->offset == Finding::kNowhere ? Place{} : index.PlaceOf(f->offset);
    problems.push_back({place.line, place.column, f->field, f->found, MessageOf(*f, index)});
  }
  return problems;
}

}  // namespace steerbench
