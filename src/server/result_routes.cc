// Routes of what the setups do: the same answers as the command line's check, compare and sweep.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/evaluate/weight_curves.h"
#include "report/side_by_side.h"
#include "search/parallel.h"
#include "server/routes.h"

namespace steerbench::server {
namespace {

JsonStyle StyleOf(const State& state, const Request& request) {
  return {UnitsOf(state, request), -1, MostInputs(request)};
}

// Each setup on its own: the engine is pure, so they can be worked out side by side.
std::vector<SetupReport> ReportsOf(const std::vector<SharedSetup>& setups, Hands& hands) {
  const Hands::Taken helpers(hands, static_cast<int>(setups.size()) - 1);
  search::ParallelFor(1 + helpers.Count(), setups.size(),
                      [&](std::size_t, std::size_t i) { (void)setups[i]->Report(); });
  std::vector<SetupReport> reports;
  reports.reserve(setups.size());
  for (const SharedSetup& setup : setups) reports.push_back(setup->Report());
  return reports;
}

constexpr double kLeastDraws = 100, kMostDraws = 5000;

// How many cars a request wants drawn over the ± of a setup; 0 when it does not say.
std::size_t DrawsIn(const Request& request) {
  const auto draws = NumberIn(request, "draws");
  if (!draws) return 0;
  if (!(*draws >= kLeastDraws && *draws <= kMostDraws && *draws == std::floor(*draws))) {
    Refuse(400, "parameter",
           fmt::format("'draws' is a whole number from {} to {}", kLeastDraws, kMostDraws),
           "draws");
  }
  return static_cast<std::size_t>(*draws);
}

// With what threads are to spare.
DrawnOver Draw(const SetupReport& report, std::size_t draws, Hands& hands) {
  const Hands::Taken helpers(hands, search::Cores() - 1);
  return DrawMany(report, draws, 1 + helpers.Count());
}

Response Revised(const State& state, std::string_view json) {
  Response response;
  response.body = WithRevision(json, state.head.id);
  return response;
}

// A curve, and in words what it lacks when it is empty.
struct Plotted {
  Sweep sweep;
  std::string trouble;
};

Plotted Plot(const FittedSetup& setup, const std::string& of, bool plus_minus) {
  const Plain& plain = setup.InPlainNumbers();
  Plotted drawn;
  Missing missing;
  if (of == "linkage") {
    SweepGrid grid;
    grid.travel = UsualTravel(plain.results, kCurvePoints);
    grid.jounce_left = {0.0};
    drawn.sweep = RunSweep(plain.fitted, grid);
    if (drawn.sweep.level == Level::kUnknown) missing = plain.front.missing;
  } else {
    const WeightCurve& curve = setup.Curve(of, plus_minus);
    drawn.sweep = curve.sweep;
    missing = curve.missing;
  }
  if (missing.empty()) return drawn;
  drawn.sweep = {};
  drawn.sweep.level = plain.front.level;
  drawn.trouble = fmt::format("setup '{}' needs for this curve:", setup.Name());
  for (const std::string_view path : missing) drawn.trouble += " " + FullPath(plain.fitted, path);
  return drawn;
}

}  // namespace

Units UnitsOf(const State& state, const Request& request) {
  const std::string units = request.Get("units");
  if (units == "metric") return {UnitStyle::kMetric, {}};
  if (units == "imperial") return {UnitStyle::kImperial, {}};
  if (units.empty() || units == "as-written") return UnitsAsWritten(state.document);
  Refuse(400, "parameter", "units are metric, imperial or as-written", "units");
}

std::size_t MostInputs(const Request& request) {
  constexpr double kAll = 1e6;
  const double most = NumberIn(request, "inputs").value_or(kAll);
  if (most < 0.0) Refuse(400, "parameter", "'inputs' is a number of inputs", "inputs");
  return static_cast<std::size_t>(std::min(most, kAll));
}

SharedState Readable(Workbench& bench) {
  SharedState state = bench.session.Now();
  if (!state->problems.empty()) {
    Refusal r{422, "document", "the document cannot be used as it is",
              state->problems.front().field};
    r.more["revision"] = state->head.id;
    r.more["problems"] = ProblemsJson(state->problems);
    throw Refused{std::move(r)};
  }
  return state;
}

SharedState Usable(Workbench& bench) {
  SharedState state = Readable(bench);
  if (state->setups.empty()) {
    Refuse(422, "document",
           "the document has no setup: add a table [setup.NAME] that says which "
           "parts are fitted, e.g. rack = \"NAME\"",
           "setup");
  }
  return state;
}

SharedSetup SetupNamed(const State& state, const std::string& name) {
  SharedSetup setup = state.Find(name);
  if (setup) return setup;
  std::string names;
  for (const SharedSetup& s : state.setups) names += (names.empty() ? "" : ", ") + s->Name();
  Refuse(404, "setup", "no such setup; there are: " + names, "setup");
}

AskedSetup SetupAsked(Workbench& bench, const Request& request) {
  if (request.Get("job").empty()) {
    SharedState state = Usable(bench);
    SharedSetup setup = SetupNamed(*state, request.Get("setup"));
    return {std::move(state), std::move(setup)};
  }
  const auto found = FoundBy(bench, IdOf(request.Get("job")));
  const double entry = NumberIn(request, "entry").value_or(0.0);
  SharedSetup setup;
  if (entry != std::floor(entry)) Refuse(400, "parameter", "'entry' is a whole number", "entry");
  if (entry >= 0.0 && entry < static_cast<double>(found->Report().outcome.lines.size())) {
    setup = found->Entry(static_cast<std::size_t>(entry), request.Get("best") == "1");
  }
  if (!setup) Refuse(404, "setup", "the search has no such entry; they count from 0", "entry");
  return {found->State(), std::move(setup)};
}

Response GetCheck(Workbench& bench, const Request& request) {
  const bool one = !request.Get("setup").empty() || !request.Get("job").empty();
  const AskedSetup asked = SetupAsked(bench, request);
  const SharedState& s = asked.state;
  const JsonStyle style = StyleOf(*s, request);
  const auto setups = one ? std::vector{asked.setup} : s->setups;
  const std::size_t draws = DrawsIn(request);
  if (draws > 0 && !one) Refuse(400, "parameter", "one setup is drawn at a time", "setup");
  std::unique_lock<std::mutex> alone;  // one at a time
  if (draws > 0) alone = bench.hands.Alone();
  if (draws > 0 && !alone) RefuseBusy();
  std::vector<SetupReport> reports = ReportsOf(setups, bench.hands);
  if (draws > 0) reports[0].drawn = Draw(reports[0], draws, bench.hands);
  return Revised(*s, CheckJson(s->document.title, reports, style));
}

Response GetCompare(Workbench& bench, const Request& request) {
  const SharedState s = Usable(bench);
  const JsonStyle style = StyleOf(*s, request);
  const SharedSetup base = s->Find(request.Get("base"));
  if (!base) Refuse(404, "setup", "no such setup to compare with", "base");
  const auto at = std::ranges::find(s->setups, base) - s->setups.begin();
  const std::vector<SetupReport> reports = ReportsOf(s->setups, bench.hands);
  const auto index = static_cast<std::size_t>(at);
  const Hands::Taken helpers(bench.hands, static_cast<int>(reports.size()) - 2);
  const SwapsBySetup swaps = SwapsAgainst(reports, index, 1 + helpers.Count());
  return Revised(*s, CompareJson(s->document.title, reports, index, swaps, style));
}

Response GetCurve(Workbench& bench, const Request& request) {
  const SharedState s = Usable(bench);
  const SharedSetup setup = SetupNamed(*s, request.Get("setup"));
  const std::string of = request.Get("of").empty() ? "linkage" : request.Get("of");
  constexpr std::array<std::string_view, 5> kCurves{"linkage", "kerb", "road", "boost", "pump"};
  if (std::ranges::find(kCurves, of) == kCurves.end()) {
    Refuse(400, "parameter", "curves are of linkage, kerb, road, boost or pump", "of");
  }
  const Plotted drawn = Plot(*setup, of, request.Get("pm") == "1");
  const std::string json = SweepJson("sweep", s->document.title, setup->Name(), drawn.sweep, -1);
  if (drawn.trouble.empty()) return Revised(*s, json);
  Json told = Json::parse(json);
  told["trouble"] = drawn.trouble;
  return Revised(*s, told.dump());
}

}  // namespace steerbench::server
