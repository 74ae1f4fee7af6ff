// Routes of what the setups do: the same answers as the command line's check, compare and sweep.
#include <fmt/format.h>

#include <algorithm>
#include <future>

#include "engine/evaluate/weight_curves.h"
#include "server/routes.h"

namespace steerbench::server {
namespace {

JsonStyle StyleOf(const State& state, const Request& request) {
  JsonStyle style;
  style.indent = -1;
  const std::string units = request.Get("units");
  if (units == "metric") {
    style.units = {UnitStyle::kMetric, {}};
  } else if (units == "imperial") {
    style.units = {UnitStyle::kImperial, {}};
  } else if (units.empty() || units == "as-written") {
    style.units = UnitsAsWritten(state.document);
  } else {
    Refuse(400, "parameter", "units are metric, imperial or as-written", "units");
  }
  if (const auto most = NumberIn(request, "inputs")) {
    if (*most < 0.0) Refuse(400, "parameter", "'inputs' is a number of inputs", "inputs");
    style.most_inputs = static_cast<std::size_t>(std::min(*most, 1e6));
  }
  return style;
}

// Each setup on its own: the engine is pure, so they can run side by side.
std::vector<SetupReport> ReportsOf(const std::vector<SharedSetup>& setups) {
  std::vector<std::future<SetupReport>> running;
  running.reserve(setups.size());
  for (const SharedSetup& setup : setups) {
    running.push_back(std::async(setups.size() > 1 ? std::launch::async : std::launch::deferred,
                                 [&setup] { return setup->Report(); }));
  }
  std::vector<SetupReport> reports;
  reports.reserve(running.size());
  for (auto& one : running) reports.push_back(one.get());
  return reports;
}

Response Revised(const State& state, std::string_view json) {
  Response response;
  response.body = WithRevision(json, state.head.id);
  return response;
}

// What the wheel weighs, with its ± when the car comes as quantities.
template <class S>
WeightCurve WeightCurveOf(const Fitted<S>& fitted, const Plain& plain, const std::string& of) {
  if (of == "kerb") return KerbCurve(fitted, UsualTravel(plain.results, kCurvePoints));
  if (of == "road") return RoadCurve(fitted, UsualAccelerations());
  if (of == "boost") return BoostCurve(fitted);
  if (of == "pump") return PumpCurve(fitted);
  Refuse(400, "parameter", "curves are of linkage, kerb, road, boost or pump", "of");
}

// A curve; refused when it lacks something.
Sweep CurveOf(const FittedSetup& setup, const std::string& of, bool plus_minus) {
  const Plain& plain = setup.InPlainNumbers();
  if (of == "linkage") {
    SweepGrid grid;
    grid.travel = UsualTravel(plain.results, kCurvePoints);
    grid.jounce_left = {0.0};
    return RunSweep(plain.fitted, grid);
  }
  WeightCurve curve = plus_minus ? WeightCurveOf(setup.AsWritten(), plain, of)
                                 : WeightCurveOf(plain.fitted, plain, of);
  if (curve.missing.empty()) return std::move(curve.sweep);
  Refusal r{422, "missing", "fields that this curve needs are not known", "of"};
  for (const std::string_view path : curve.missing) {
    r.more["missing"].push_back(FullPath(plain.fitted, path));
  }
  throw Refused{std::move(r)};
}

}  // namespace

SharedState Usable(Workbench& bench) {
  SharedState state = bench.session.Now();
  if (!state->problems.empty()) {
    Refusal r{422, "document", "the document cannot be used as it is",
              state->problems.front().field};
    r.more["revision"] = state->head.id;
    r.more["problems"] = ProblemsJson(state->problems);
    throw Refused{std::move(r)};
  }
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

Response GetCheck(Workbench& bench, const Request& request) {
  const SharedState s = Usable(bench);
  const JsonStyle style = StyleOf(*s, request);
  const bool one = !request.Get("setup").empty();
  const auto setups = one ? std::vector{SetupNamed(*s, request.Get("setup"))} : s->setups;
  return Revised(*s, CheckJson(s->document.title, ReportsOf(setups), style));
}

Response GetCompare(Workbench& bench, const Request& request) {
  const SharedState s = Usable(bench);
  const JsonStyle style = StyleOf(*s, request);
  const SharedSetup base = s->Find(request.Get("base"));
  if (!base) Refuse(404, "setup", "no such setup to compare with", "base");
  const auto at = std::ranges::find(s->setups, base) - s->setups.begin();
  return Revised(*s, CompareJson(s->document.title, ReportsOf(s->setups),
                                 static_cast<std::size_t>(at), style));
}

Response GetCurve(Workbench& bench, const Request& request) {
  const SharedState s = Usable(bench);
  const SharedSetup setup = SetupNamed(*s, request.Get("setup"));
  const std::string of = request.Get("of").empty() ? "linkage" : request.Get("of");
  const Sweep sweep = CurveOf(*setup, of, request.Get("pm") == "1");
  return Revised(*s, SweepJson("sweep", s->document.title, setup->Name(), sweep, -1));
}

}  // namespace steerbench::server
