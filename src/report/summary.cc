// What both forms of a report share: what waits for what, and differences of setups.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "report/report.h"

namespace steerbench {
namespace {

// Calls `see` with the missing fields of everything that waits for something in one setup.
template <class See>
void ForEachWaiting(const Propagated& results, See see) {
  for (const PropagatedResult& r : results.result) see(r.missing);
  for (const PropagatedMargin& m : results.check) {
    if (!m.absent) see(m.missing);
  }
  for (const auto& way : results.ends) {
    for (const PropagatedEnd& e : way) {
      if (!e.margin.absent) see(e.margin.missing);
    }
  }
}

}  // namespace

SetupReport ReportOf(std::string name, const Setup<Quantity>& setup, Fitted<Quantity> fitted,
                     fit::Adapters adapters, const Named<Belt<Quantity>>& belts) {
  SetupReport report{std::move(name), setup.note, std::move(fitted), {}, std::move(adapters)};
  report.results = Propagate(report.fitted);
  report.fit = fit::FitOf(report.fitted, report.adapters);
  report.needs = fit::NeedsOf(report.fitted, report.results, report.fit, belts);
  const std::vector<Seen> seen = SeenIn(setup.seen);
  if (!seen.empty()) report.held = HoldAgainst(report.results, seen);
  return report;
}

std::vector<Unlock> Unlocks(const std::vector<SetupReport>& setups) {
  std::map<std::string, int> count;
  for (const SetupReport& setup : setups) {
    ForEachWaiting(setup.results, [&](const std::vector<std::string>& missing) {
      for (const std::string& field : missing) ++count[field];
    });
  }
  std::vector<Unlock> unlocks;
  for (const auto& [field, results] : count) unlocks.push_back({field, results});
  std::ranges::stable_sort(unlocks, std::ranges::greater{}, &Unlock::results);
  return unlocks;
}

bool AnyExceeded(const std::vector<SetupReport>& setups) {
  const auto exceeded = [](const PropagatedMargin& m) {
    return m.status == limits::Status::kExceeded;
  };
  return std::ranges::any_of(setups, [&](const SetupReport& setup) {
    return setup.fit.verdict == fit::Verdict::kDiffers ||
           std::ranges::any_of(setup.results.check, exceeded) ||
           std::ranges::any_of(setup.results.ends, [&](const auto& way) {
             return std::ranges::any_of(way, exceeded, &PropagatedEnd::margin);
           });
  });
}

Figure Difference(const Figure& figure, const Propagated& of, const Figure& base,
                  const Propagated& base_of) {
  std::map<std::string, std::pair<double, double>> by_path;  // sensitivity, plus-minus
  const auto add = [&](const Figure& f, const Propagated& p, double sign) {
    for (const Contribution& c : f.from) {
      const Input& input = p.inputs[c.input];
      auto& [sensitivity, half] = by_path[input.path];
      sensitivity += sign * c.sensitivity;
      half = input.quantity.tolerance.value_or(0.0);
    }
  };
  add(figure, of, 1.0);
  add(base, base_of, -1.0);
  Figure difference;
  difference.value = figure.value - base.value;
  difference.assumed = figure.assumed || base.assumed;
  difference.too_narrow = figure.too_narrow || base.too_narrow;
  double variance = 0.0;
  for (const auto& [path, share] : by_path) {
    variance += share.first * share.first * share.second * share.second;
  }
  difference.tolerance = std::sqrt(variance);
  return difference;
}

}  // namespace steerbench
