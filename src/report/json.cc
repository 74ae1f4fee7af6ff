// Reports for programs. Shape documented in docs/json.md.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "report/control.h"
#include "report/phrases.h"

namespace steerbench {
namespace {

using Json = nlohmann::ordered_json;

// SI value and plus-minus, the same as shown to people, and which inputs make the plus-minus.
Json FigureJson(const Figure& f, const Propagated& of, Kind kind, const JsonStyle& style) {
  const Shown shown = Show(f.value, f.tolerance > 0.0 ? std::optional(f.tolerance) : std::nullopt,
                           kind, style.units.For(kind));
  Json j{{"si", f.value},      {"si_unit", SiSymbol(kind)}, {"si_pm", f.tolerance},
         {"text", shown.text}, {"assumed", f.assumed},      {"pm_too_narrow", f.too_narrow}};
  Json from = Json::array();
  const double variance = f.tolerance * f.tolerance;
  for (const Contribution& c : f.from) {
    if (from.size() == style.most_inputs) break;
    const double share = variance > 0.0 ? c.half_width * c.half_width / variance : 0.0;
    from.push_back(
        {{"input", of.inputs[c.input].path}, {"sensitivity_si", c.sensitivity}, {"share", share}});
  }
  j["from"] = from;
  return j;
}

Json MarginJson(const PropagatedMargin& m, const Propagated& of, Kind kind,
                const JsonStyle& style) {
  Json j{{"status", limits::WordFor(m.status)}};
  j["margin"] = m.margin ? FigureJson(*m.margin, of, kind, style) : Json(nullptr);
  if (!m.missing.empty()) j["missing"] = m.missing;
  if (m.absent) j["absent"] = true;
  if (m.out_of_sight) j["beyond_travel_looked_at"] = true;
  if (m.limit) j[m.at_least ? "least_si" : "most_si"] = *m.limit;
  return j;
}

Json EndJson(const SetupReport& setup, const PropagatedEnd& e, const JsonStyle& style) {
  Json j{{"limit", RackEnds()[static_cast<std::size_t>(e.end)].key}, {"binds", e.binds}};
  j["travel"] =
      e.travel ? FigureJson(*e.travel, setup.results, Kind::kLength, style) : Json(nullptr);
  j["label"] = RackEnds()[static_cast<std::size_t>(e.end)].label;
  j["circumstance"] = CircumstanceText(setup, e, style.units);
  if (e.wheel) j["wheel"] = WordOf(*e.wheel);
  if (e.travel) j["wheel_travel_si"] = e.jounce;
  if (e.obstacle) j["obstacle"] = setup.fitted.car.front.obstacle[*e.obstacle].name;
  j.update(MarginJson(e.margin, setup.results, Kind::kLength, style));
  return j;
}

Json ResultsJson(const SetupReport& setup, const JsonStyle& style) {
  Json results = Json::object();
  for (const OutputInfo& info : Outputs()) {
    const PropagatedResult& r = setup.results[info.id];
    Json& j = results[std::string(info.key)];
    if (r.figure) {
      j = FigureJson(*r.figure, setup.results, info.kind, style);
      if (!r.missing.empty()) j["missing"] = r.missing;
    } else {
      j = {{"si", nullptr}, {"missing", r.missing}};
    }
    j["label"] = info.label;
    if (info.pair != Pair::kNone) j["side"] = SideOf(info.pair, info.left);
    j["meaning"] = info.meaning;
    j["source"] = info.source;
  }
  return results;
}

Json ControlJson(const SetupReport& setup, const JsonStyle& style) {
  const ControlTrouble& trouble = *setup.results.control_trouble;
  Json j{{"weight", InfoOf(trouble.weight).key}, {"text", ControlTroubleLines(setup, style.units)}};
  const auto torque = [](const std::optional<double>& t) { return t ? Json(*t) : Json(nullptr); };
  j["torque_si"] = torque(trouble.torque);
  for (const ControlTrouble::Weak& w : trouble.weak) {
    j["weak"].push_back({{"valve", w.second ? "second_control_valve" : "control_valve"},
                         {"unplugged", w.unplugged},
                         {"asked_si", w.asked},
                         {"current_si", w.current},
                         {"pull_in_si", w.pull_in}});
  }
  j["tried"] = Json::array();
  for (const ControlTrouble::Trial& t : trouble.trials) {
    j["tried"].push_back(
        {{"change", t.change}, {"cures", t.cures}, {"torque_si", torque(t.torque)}});
  }
  return j;
}

Json SetupJson(const SetupReport& setup, const JsonStyle& style) {
  Json j{{"name", setup.name}, {"note", setup.note}, {"level", LevelKey(setup.results.level)}};
  j["taken_for_granted"] = Json::array();
  for (const Assumption a : setup.results.assumed) j["taken_for_granted"].push_back(Describe(a));
  j["trouble"] = Json::array();
  for (const Trouble t : setup.results.trouble) j["trouble"].push_back(Describe(t));
  j["results"] = ResultsJson(setup, style);
  for (const auto& b : setup.results.breakdown) {
    Json& parts = j["breakdown"][std::string(InfoOf(b.of).key)];
    for (std::size_t i = 0; i < effort::kTermCount; ++i) {
      parts[std::string(effort::NameOf(static_cast<effort::Term>(i)))] = b.terms.of[i];
    }
  }
  j["notes"] = setup.results.notes;
  if (setup.results.control_trouble) j["control_trouble"] = ControlJson(setup, style);
  for (const Way way : kWays) {
    Json ends = Json::array();
    for (const PropagatedEnd& e : setup.results.ends[Index(way)]) {
      ends.push_back(EndJson(setup, e, style));
    }
    j["travel_limits"][way == Way::kLeft ? "left" : "right"] = ends;
  }
  for (const CheckInfo& info : Checks()) {
    Json& m = j["margins"][std::string(info.key)];
    const PropagatedMargin& margin = setup.results.check[static_cast<std::size_t>(info.id)];
    m = MarginJson(margin, setup.results, info.kind, style);
    if (margin.limit) m["bound_text"] = BoundText(margin, info.BoundKind(), style.units);
    m["label"] = info.label;
    m["source"] = info.source;
  }
  for (const Caution& c : CautionsFor(setup.fitted, setup.results)) {
    j["cautions"].push_back({{"key", c.key}, {"text", c.text}});
  }
  return j;
}

// The ± of a curve's values, where there are any, as columns behind the others.
void AddPlusMinus(const Sweep& sweep, Json& j) {
  for (const std::size_t i : DoubtfulColumns(sweep)) {
    const SweepColumn& c = sweep.column[i];
    j["columns"].push_back({{"key", fmt::format("{}_pm", c.key)},
                            {"label", fmt::format("± of {}", c.label)},
                            {"si_unit", SiSymbol(c.kind)}});
    for (std::size_t row = 0; row < sweep.pm.size(); ++row) {
      const double pm = sweep.pm[row][i];
      j["rows"][row].push_back(std::isfinite(pm) ? Json(pm) : Json(nullptr));
    }
  }
}

Json Head(std::string_view kind, const std::string& title) {
  return {{"steerbench", kind}, {"format", 1}, {"title", title}};
}

}  // namespace

std::string_view LevelKey(Level level) {
  switch (level) {
    case Level::kPoints:
      return "points";
    case Level::kPlanView:
      return "plan_view";
    case Level::kTurnPlate:
      return "turn_plate";
    case Level::kUnknown:
      break;
  }
  return "unknown";
}

std::string CheckJson(const std::string& title, const std::vector<SetupReport>& setups,
                      const JsonStyle& style) {
  Json j = Head("check", title);
  for (const SetupReport& setup : setups) j["setups"].push_back(SetupJson(setup, style));
  j["unlocks"] = Json::array();
  for (const Unlock& u : Unlocks(setups)) {
    j["unlocks"].push_back({{"field", u.field}, {"results", u.results}});
  }
  return j.dump(style.indent) + "\n";
}

std::string CompareJson(const std::string& title, const std::vector<SetupReport>& setups,
                        std::size_t base, const JsonStyle& style) {
  Json j = Head("compare", title);
  j["base"] = setups[base].name;
  for (const SetupReport& setup : setups) {
    Json one = SetupJson(setup, style);
    for (const OutputInfo& info : Outputs()) {
      const auto& figure = setup.results[info.id].figure;
      const auto& from = setups[base].results[info.id].figure;
      if (!figure || !from || &setup == &setups[base]) continue;
      const Figure d = Difference(*figure, setup.results, *from, setups[base].results);
      one["results"][std::string(info.key)]["change"] = {
          {"si", d.value},
          {"si_pm", d.tolerance},
          {"text", ChangeText(d, *figure, info.kind, style.units)},
          {"same", std::abs(d.value) <= d.tolerance || d.value == 0.0}};
    }
    j["setups"].push_back(std::move(one));
  }
  return j.dump(style.indent) + "\n";
}

std::string SweepJson(std::string_view verb, const std::string& title, const std::string& setup,
                      const Sweep& sweep, int indent) {
  Json j = Head(verb, title);
  j["setup"] = setup;
  j["level"] = LevelKey(sweep.level);
  if (!sweep.assumed.empty()) j["taken_for_granted"] = sweep.assumed;
  j["columns"] = Json::array();
  for (const SweepColumn& c : sweep.column) {
    j["columns"].push_back({{"key", c.key}, {"label", c.label}, {"si_unit", SiSymbol(c.kind)}});
  }
  j["rows"] = Json::array();
  for (const std::vector<double>& row : sweep.row) {
    Json cells = Json::array();
    for (const double x : row) cells.push_back(std::isfinite(x) ? Json(x) : Json(nullptr));
    j["rows"].push_back(std::move(cells));
  }
  AddPlusMinus(sweep, j);
  return j.dump(indent) + "\n";
}

}  // namespace steerbench
