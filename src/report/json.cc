// Reports for programs. Shape documented in docs/json.md.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "report/control.h"
#include "report/drawn.h"
#include "report/fit.h"
#include "report/found.h"
#include "report/held.h"
#include "report/phrases.h"
#include "report/simulate.h"
#include "report/swaps.h"

namespace steerbench {
namespace {

using Json = nlohmann::ordered_json;

Json OrNull(const std::optional<double>& x) { return x ? Json(*x) : Json(nullptr); }

// SI value and plus-minus, the same as shown to people, and which inputs make the plus-minus.
Json FigureJson(const Figure& f, const std::vector<Input>& inputs, Kind kind,
                const JsonStyle& style) {
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
        {{"input", inputs[c.input].path}, {"sensitivity_si", c.sensitivity}, {"share", share}});
  }
  j["from"] = from;
  return j;
}

Json MarginJson(const PropagatedMargin& m, const Propagated& of, Kind kind,
                const JsonStyle& style) {
  Json j{{"status", limits::WordFor(m.status)}};
  j["margin"] = m.margin ? FigureJson(*m.margin, of.inputs, kind, style) : Json(nullptr);
  if (!m.missing.empty()) j["missing"] = m.missing;
  if (m.absent) j["absent"] = true;
  if (m.out_of_sight) j["beyond_travel_looked_at"] = true;
  if (m.limit) j[m.at_least ? "least_si" : "most_si"] = *m.limit;
  if (!m.circumstance.empty()) j["circumstance"] = m.circumstance;
  return j;
}

Json EndJson(const SetupReport& setup, const PropagatedEnd& e, const JsonStyle& style) {
  Json j{{"limit", RackEnds()[static_cast<std::size_t>(e.end)].key}, {"binds", e.binds}};
  j["travel"] =
      e.travel ? FigureJson(*e.travel, setup.results.inputs, Kind::kLength, style) : Json(nullptr);
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
      j = FigureJson(*r.figure, setup.results.inputs, info.kind, style);
      if (!r.missing.empty()) j["missing"] = r.missing;
    } else {
      j = {{"si", nullptr}, {"missing", r.missing}};
    }
    j["label"] = info.label;
    j["group"] = TitleOf(info.group);
    if (info.pair != Pair::kNone) j["side"] = SideOf(info.pair, info.left);
    j["decides"] = DecidesChoice(info.id);
    j["meaning"] = info.meaning;
    j["source"] = info.source;
  }
  return results;
}

Json ControlJson(const SetupReport& setup, const JsonStyle& style) {
  const ControlTrouble& trouble = *setup.results.control_trouble;
  Json j{{"weight", InfoOf(trouble.weight).key}, {"text", ControlTroubleLines(setup, style.units)}};
  const auto weigh = [&](Json& at, std::size_t i) {
    const auto& torque = setup.results.control_torque[i];
    at["torque_si"] = torque ? Json(torque->value) : Json(nullptr);
    at["torque_pm_si"] = torque ? Json(torque->tolerance) : Json(nullptr);
  };
  weigh(j, 0);
  for (const ControlTrouble::Weak& w : trouble.weak) {
    j["weak"].push_back({{"valve", w.second ? "second_control_valve" : "control_valve"},
                         {"unplugged", w.unplugged},
                         {"asked_si", w.asked},
                         {"current_si", w.current},
                         {"pull_in_si", w.pull_in}});
  }
  j["tried"] = Json::array();
  for (std::size_t i = 0; i < trouble.trials.size(); ++i) {
    Json tried{{"change", trouble.trials[i].change}, {"cures", trouble.trials[i].cures}};
    weigh(tried, i + 1);
    j["tried"].push_back(std::move(tried));
  }
  return j;
}

Json JointJson(const fit::Joint& joint, const SetupReport& setup) {
  const JointText text = TextOf(joint, setup);
  Json j{{"at", WordOf(joint.at)},
         {"one", joint.one},
         {"other", joint.other},
         {"as_they_are", fit::WordFor(joint.comparison.verdict)},
         {"status", fit::WordFor(joint.Outcome())},
         {"name", text.name},
         {"text", text.lines}};
  j["features"] = Json::array();
  for (const fit::Feature& f : joint.comparison.features) {
    j["features"].push_back({{"feature", f.key},
                             {"status", fit::WordFor(f.verdict)},
                             {"one", f.one.empty() ? Json(nullptr) : Json(f.one)},
                             {"other", f.other.empty() ? Json(nullptr) : Json(f.other)},
                             {"taken_as_exact", f.reason == fit::Reason::kTakenAsExact}});
  }
  j["adapters"] = Json::array();
  for (const fit::Cure& cure : joint.cures) {
    const auto& [name, adapter] = setup.adapters[cure.adapter];
    Json c{{"name", name}, {"text", AdapterText(name, adapter)}, {"sure", cure.sure}};
    if (cure.then) {
      const auto& [next, second] = setup.adapters[*cure.then];
      c["then"] = {{"name", next}, {"text", AdapterText(next, second)}};
    }
    j["adapters"].push_back(std::move(c));
  }
  return j;
}

Json FitJson(const SetupReport& setup) {
  Json j{{"status", fit::WordFor(*setup.fit.verdict)}};
  for (const fit::Joint& joint : setup.fit.joints) j["joints"].push_back(JointJson(joint, setup));
  return j;
}

Json NeedsJson(const SetupReport& setup, const JsonStyle& style) {
  Json needs = Json::array();
  for (const fit::Need& need : setup.needs) {
    Json j{{"key", fit::KeyOf(need.what)}, {"text", TextOf(need, setup, style.units)}};
    if (!need.field.empty()) j["field"] = need.field;
    if (need.adapter) {
      j["adapter"] = setup.adapters[*need.adapter].first;
      j["pieces"] = need.pieces;
    }
    if (!need.at_hand.empty()) j["at_hand"] = need.at_hand;
    if (need.below && need.above) j["sizes_si"] = {*need.below, *need.above};
    if (need.travel) j["within_si"] = *need.travel;
    needs.push_back(std::move(j));
  }
  return needs;
}

// `shown`: those that people are shown.
Json CountedJson(const Counted& c, Kind kind, const std::vector<Counted>& shown,
                 const JsonStyle& style) {
  return {{"si", c.value},
          {"si_pm", c.tolerance},
          {"text", TextOf(c, kind, style.units)},
          {"shown", std::ranges::find(shown, c.of, &Counted::of) != shown.end()}};
}

Json HeldJson(const SetupReport& setup, const JsonStyle& style) {
  const HeldAgainst& held = *setup.held;
  const Propagated& r = setup.results;
  Json j{{"agree", held.agree}};
  for (const Compared& c : held.compared) {
    const OutputInfo& info = InfoOf(c.seen.of);
    Json one{{"result", info.key}, {"name", NameOf(info)}, {"status", HeldWord(c)}};
    one["seen"] = {{"si", c.seen.value},
                   {"si_pm", OrNull(c.seen.tolerance)},
                   {"text", SeenText(c, style.units)}};
    if (c.computed) {
      one["computed"] = FigureText(*c.computed, info.kind, style.units);
      one["difference"] = {
          {"si", c.difference}, {"si_pm", c.tolerance}, {"text", DifferenceText(c, style.units)}};
    }
    j["compared"].push_back(std::move(one));
  }
  j["suspects"] = Json::array();
  for (const Suspect& s : held.suspects) {
    j["suspects"].push_back(
        {{"input", r.inputs[s.input].path},
         {"si", s.value},
         {"si_pm", s.tolerance},
         {"times_its_pm", std::isfinite(s.times) ? Json(s.times) : Json(nullptr)},
         {"explains", s.explains},
         {"text", TextOf(s, setup, style.units)}});
  }
  j["inputs"] = Json::array();
  const std::vector<Counted> inputs = InputsWorthALine(setup);
  for (const Counted& c : held.inputs) {
    const Input& input = r.inputs[c.of];
    Json one{{"input", input.path}, {"name", NameOf(input)}};
    one.update(CountedJson(c, input.quantity.kind, inputs, style));
    j["inputs"].push_back(std::move(one));
  }
  j["results"] = Json::array();
  const std::vector<Counted> results = ResultsWorthALine(setup);
  for (const Counted& c : held.results) {
    const OutputInfo& info = InfoOf(static_cast<Output>(c.of));
    Json one{{"result", info.key}, {"name", NameOf(info)}};
    one.update(CountedJson(c, info.kind, results, style));
    j["results"].push_back(std::move(one));
  }
  return j;
}

Json DrawnTree(const SetupReport& setup, const JsonStyle& style) {
  const DrawnTable table = DrawnTableOf(setup, style.units);
  const auto shares = [](const std::vector<DrawnTable::Share>& list) {
    Json all = Json::array();
    for (const auto& s : list) {
      Json one{{"limit", s.key}};
      if (s.way) one["rack"] = *s.way == Way::kLeft ? "left" : "right";
      one.update({{"name", s.name},
                  {"share", s.share},
                  {"known_in", s.known},
                  {"text", s.text},
                  {"note", s.note}});
      all.push_back(std::move(one));
    }
    return all;
  };
  Json j{{"draws", setup.drawn->draws}, {"exceeded", shares(table.exceeded)}};
  for (const Way way : kWays) {
    j["runs_out_first"][way == Way::kLeft ? "left" : "right"] = shares(table.first[Index(way)]);
  }
  j["otherwise"] = Json::array();
  for (const DrawnTable::Row& row : table.otherwise) {
    j["otherwise"].push_back({{"result", InfoOf(row.of).key},
                              {"name", row.name},
                              {"stated", row.stated},
                              {"middle", row.middle}});
  }
  j["remarks"] = table.remarks;
  j["results"] = Json::object();
  for (const OutputInfo& info : Outputs()) {
    const auto& spread = setup.drawn->result[static_cast<std::size_t>(info.id)];
    if (!spread) continue;
    j["results"][std::string(info.key)] = {
        {"low_si", spread->low}, {"high_si", spread->high}, {"known_in", spread->known}};
  }
  return j;
}

Json SetupJson(const SetupReport& setup, const JsonStyle& style) {
  Json j{{"name", setup.name}, {"note", setup.note}, {"level", LevelKey(setup.results.level)}};
  j["taken_for_granted"] = Json::array();
  for (const Assumption a : setup.results.assumed) j["taken_for_granted"].push_back(Describe(a));
  j["trouble"] = Json::array();
  for (const Trouble t : setup.results.trouble) j["trouble"].push_back(Describe(t));
  for (const std::string& text : PlateTroubles(setup, style.units)) j["trouble"].push_back(text);
  j["results"] = ResultsJson(setup, style);
  for (const auto& b : setup.results.breakdown) {
    Json& parts = j["breakdown"][std::string(InfoOf(b.of).key)];
    for (std::size_t i = 0; i < effort::kTermCount; ++i) {
      parts[std::string(effort::NameOf(static_cast<effort::Term>(i)))] = b.terms.of[i];
    }
  }
  j["notes"] = NotesOf(setup, style.units);
  if (setup.results.control_trouble) j["control_trouble"] = ControlJson(setup, style);
  if (setup.held) j["seen"] = HeldJson(setup, style);
  if (setup.drawn) j["drawn"] = DrawnTree(setup, style);
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
  if (setup.fit.verdict) j["fit"] = FitJson(setup);
  j["needs"] = NeedsJson(setup, style);
  for (const Caution& c : CautionsFor(setup)) {
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

Json SweepTree(std::string_view verb, const std::string& title, const std::string& setup,
               const Sweep& sweep) {
  Json j = Head(verb, title);
  j["setup"] = setup;
  j["level"] = LevelKey(sweep.level);
  if (!sweep.assumed.empty()) j["taken_for_granted"] = sweep.assumed;
  if (!sweep.gaps.empty()) j["gaps"] = sweep.gaps;
  for (const SweepDoubt& d : sweep.doubts) {
    j["doubts"].push_back({{"text", d.why}, {"columns", d.columns}});
  }
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
  return j;
}

// By key, what a swap makes of each result; those that it does not change, and those that neither
// setup knows, are left out.
Json EffectsJson(const SetupReport& base, const SetupReport& setup, const fit::Swap& swap) {
  Json j = Json::object();
  for (const OutputInfo& info : Outputs()) {
    const auto at = static_cast<std::size_t>(info.id);
    const bool known = base.results[info.id].figure || setup.results[info.id].figure;
    if (!known || (swap.alone[at] == 0.0 && swap.last[at] == 0.0)) continue;
    j[std::string(info.key)] = {{"alone_si", OrNull(swap.alone[at])},
                                {"last_si", OrNull(swap.last[at])}};
  }
  return j;
}

Json SwapTableJson(const SwapTable& table) {
  Json j{{"swaps", table.swaps}, {"rows", Json::array()}, {"idle", table.idle}};
  for (const SwapTable::Row& row : table.rows) {
    Json one{{"results", Json::array()}, {"name", row.name}, {"all", row.all}};
    for (const Output id : row.of) one["results"].push_back(InfoOf(id).key);
    one["effects"] = Json::array();
    for (const SwapTable::Effect& e : row.effects) {
      one["effects"].push_back({{"alone", e.alone}, {"last", e.last}, {"none", e.none}});
    }
    j["rows"].push_back(std::move(one));
  }
  return j;
}

// What makes a setup another than the base, and of each result how much of that each change does.
Json ChangesJson(const SetupReport& base, const SetupReport& setup,
                 const std::vector<fit::Swap>& swaps, const JsonStyle& style) {
  Json j{{"swaps", Json::array()}};
  for (const fit::Swap& swap : swaps) {
    Json one{{"text", NameOf(swap)}, {"of", Json::array()}};
    for (const fit::Change& c : swap.changes) {
      one["of"].push_back({{"field", c.field}, {"from", c.from}, {"to", c.to}});
    }
    one["results"] = EffectsJson(base, setup, swap);
    for (const fit::Swap& aspect : swap.apart) {
      one["apart"].push_back(
          {{"text", NameOf(aspect)}, {"results", EffectsJson(base, setup, aspect)}});
    }
    j["swaps"].push_back(std::move(one));
  }
  j["shown"] = SwapTableJson(TableOf(base, setup, swaps, style.units));
  j["shown"]["apart"] = Json::array();
  for (const ApartTable& apart : TablesApart(base, setup, swaps, style.units)) {
    Json table = SwapTableJson(apart.table);
    table["swap"] = apart.swap;
    j["shown"]["apart"].push_back(std::move(table));
  }
  return j;
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
                        std::size_t base, const SwapsBySetup& swaps, const JsonStyle& style) {
  Json j = Head("compare", title);
  j["base"] = setups[base].name;
  for (std::size_t i = 0; i < setups.size(); ++i) {
    const SetupReport& setup = setups[i];
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
          {"same", IsSame(d, *figure)}};
    }
    if (i != base) one["changes"] = ChangesJson(setups[base], setup, swaps[i], style);
    j["setups"].push_back(std::move(one));
  }
  return j.dump(style.indent) + "\n";
}

std::string FoundJson(const std::string& title, const FoundReport& report, const JsonStyle& style) {
  const FoundInput& f = report.found;
  const OutputInfo& of = InfoOf(report.task.seen.of);
  Json j = Head("solve", title);
  j["setup"] = report.setup;
  j["find"] = report.task.path;
  j["status"] = Describe(f.status);
  j["reached"] = f.status == FindStatus::kFound;
  j["value"] = f.figure ? FigureJson(*f.figure, f.inputs, report.kind, style) : Json(nullptr);
  j["values_si"] = f.values;
  j["seen"] = {{"result", of.key},
               {"si", report.task.seen.value},
               {"si_unit", SiSymbol(of.kind)},
               {"si_pm", OrNull(report.task.seen.tolerance)}};
  if (f.figure) {
    j["seen"]["sensitivity_si"] = f.sensitivity;
    const double all = f.figure->tolerance * f.figure->tolerance;
    j["seen"]["share"] = all > 0.0 ? f.by_measurement * f.by_measurement / all : 0.0;
  }
  j["from_si"] = report.task.least;
  j["to_si"] = report.task.most;
  const bool ranged = f.lowest <= f.highest && f.status != FindStatus::kNotKnown;
  j["result_from_si"] = ranged ? Json(f.lowest) : Json(nullptr);
  j["result_to_si"] = ranged ? Json(f.highest) : Json(nullptr);
  j["nearest_si"] = ranged ? Json(f.nearest) : Json(nullptr);
  j["stated_si"] = report.stated ? Json(f.before) : Json(nullptr);
  j["result_as_stated_si"] = report.stated ? OrNull(f.result_before) : Json(nullptr);
  if (!f.missing.empty()) j["missing"] = f.missing;
  return j.dump(style.indent) + "\n";
}

std::string SweepJson(std::string_view verb, const std::string& title, const std::string& setup,
                      const Sweep& sweep, int indent) {
  return SweepTree(verb, title, setup, sweep).dump(indent) + "\n";
}

std::string SimulateJson(const std::string& title, const std::string& setup,
                         const simulate::History& history, const simulate::FittedPlant& plant,
                         int indent) {
  Json j = SweepTree("simulate", title, setup, simulate::AsSweep(history, plant));
  j["summary"] = Json::array();
  for (const simulate::Remark& r : simulate::RemarksOn(history, plant)) {
    j["summary"].push_back({{"key", r.key},
                            {"label", r.label},
                            {"si", OrNull(r.value)},
                            {"si_unit", SiSymbol(r.kind)},
                            {"note", r.note}});
  }
  return j.dump(indent) + "\n";
}

}  // namespace steerbench
