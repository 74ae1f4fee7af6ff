#include "report/search.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "document/names.h"
#include "document/node.h"
#include "report/fit.h"
#include "report/ink.h"
#include "report/phrases.h"
#include "report/table.h"
#include "search/parallel.h"
#include "search/reasons.h"

namespace steerbench {
namespace {

using Json = nlohmann::ordered_json;
using search::Aim;
using search::AimInfo;
using search::AimInfos;
using search::Conclusion;
using search::kAims;
using search::Line;
using search::Piece;

constexpr std::size_t kReasonsShown = 12;
constexpr std::size_t kPolished = 5;  // lines whose free settings are set to the best

std::string HoursText(double seconds, double half_width) {
  constexpr double kHour = 3600.0, kPlaces = 100.0;
  if (half_width > 0.0) return ShowIn(seconds, half_width, Kind::kTime, "h").text;
  // To some half a minute, so that pieces of a quarter of an hour add up.
  return fmt::format("{} h", std::round(seconds / kHour * kPlaces) / kPlaces);
}

std::string BareText(double value, const AimInfo& info, const Units& units) {
  if (info.id == Aim::kHours) return HoursText(value, 0.0);
  return Show(value, std::nullopt, info.kind, units.For(info.kind)).text;
}

// A difference whose ± is not worked out, with three digits.
std::string RoughText(double difference, Kind kind, UnitStyle style) {
  const Shown exact = Show(difference, std::nullopt, kind, style);
  if (exact.value == 0.0 || !std::isfinite(exact.value)) return exact.text;
  const double step = std::pow(10.0, std::floor(std::log10(std::fabs(exact.value))) - 2.0);
  const double rounded = std::round(exact.value / step) * step;
  return Show(difference * rounded / exact.value, std::nullopt, kind, style).text;
}

std::string ValueText(const Line& line, const AimInfo& info, const Units& units) {
  const auto& value = search::At(line.aims, info.id);
  if (!value) return "unknown";
  const auto& half = line.half_width[static_cast<std::size_t>(info.id)];
  if (!half || !(*half > 0.0)) return BareText(*value, info, units);
  if (info.id == Aim::kHours) return HoursText(*value, *half);
  return Show(*value, half, info.kind, units.For(info.kind)).text;
}

std::string ChanceText(double chance) {
  // Certainty is never claimed of what was measured.
  if (chance > 0.995) return "over 99 %";
  if (chance < 0.005) return "under 1 %";
  return fmt::format("{:.0f} %", 100.0 * chance);
}

std::string WishText(const search::Wish& wish, const AimInfo& info, const Units& units) {
  std::string text;
  if (wish.want && *wish.want == Want::kNear) {
    text = fmt::format("{} near {}", info.label, BareText(wish.near, info, units));
  } else if (wish.want) {
    text = fmt::format("{} {}", WordOf(*wish.want), info.label);
  } else {
    text = std::string(info.label);
  }
  if (wish.at_most) text += fmt::format(", at most {}", BareText(*wish.at_most, info, units));
  if (wish.at_least) text += fmt::format(", at least {}", BareText(*wish.at_least, info, units));
  return text;
}

std::string ChangeWords(const search::Change& c) {
  if (c.key == "work") return fmt::format("job {}", c.to);
  if (c.from.empty()) return fmt::format("{} {} added", Spaced(c.key), c.to);
  if (c.to.empty()) return fmt::format("{} {} left out", Spaced(c.key), c.from);
  return fmt::format("{} {} for {}", Spaced(c.key), c.to, c.from);
}

std::string Joined(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& w : words) text += (text.empty() ? "" : "; ") + w;
  return text;
}

// What a line gains and gives up against the base, for each wish.
struct Gains {
  std::vector<std::string> gained, given_up;
};
Gains GainsOf(const Conclusion& o, const Line& line, const Units& units) {
  Gains gains;
  for (const AimInfo& info : AimInfos()) {
    const search::Wish& wish = o.wishes.of[static_cast<std::size_t>(info.id)];
    const auto &now = search::At(o.base.aims, info.id), &then = search::At(line.aims, info.id);
    if (!wish.want || !now || !then) continue;
    const double better = search::Penalty(wish, info, *now) - search::Penalty(wish, info, *then);
    if (better == 0.0 || std::abs(*now - *then) < info.step) continue;  // nobody feels it
    const auto chance = search::ChanceBetter(line, o.base, info.id, wish);
    // Of what is given up it goes without saying.
    constexpr double kNoDoubt = 0.005;
    const bool told = line.half_width[static_cast<std::size_t>(info.id)].has_value() && chance &&
                      *chance >= kNoDoubt;
    std::string text = fmt::format("{} {} (now {}{})", info.label, ValueText(line, info, units),
                                   ValueText(o.base, info, units),
                                   told ? "; chance that it is better " + ChanceText(*chance) : "");
    (better > 0.0 ? gains.gained : gains.given_up).push_back(std::move(text));
  }
  return gains;
}

void PutList(std::string& out, std::string_view head, const std::vector<std::string>& items) {
  if (items.empty()) return;
  const std::string text = fmt::format("{}{}", head, Joined(items));
  out += Wrap(text, kPage, 5);
}

// What it lacks that is no part, adapter or job of the document.
std::vector<std::string> NeedsOf(const Line& line, const Units& units) {
  std::vector<std::string> needs;
  for (const fit::Need& n : line.needs) needs.push_back(NeedWords(n, units));
  return needs;
}

std::string MoneyText(double value, double half_width) {
  return Show(value, half_width > 0.0 ? std::optional(half_width) : std::nullopt, Kind::kMoney,
              UnitStyle::kMetric)
      .text;
}

// Whose price it is, of several pieces all together.
std::string PriceText(const Piece& piece) {
  if (piece.owned) return piece.count > 1 ? "owned: see that there are so many" : "owned";
  if (!piece.price) return piece.IsJob() ? "" : "price not known";
  const double count = static_cast<double>(piece.count);
  const double half = piece.price->tolerance.value_or(0.0);
  const std::string all = MoneyText(count * piece.price->value, count * half);
  return piece.count == 1 ? all
                          : fmt::format("{} ({} each)", all, MoneyText(piece.price->value, half));
}

std::string WorkText(const Piece& piece) {
  if (!piece.hours) return "hours not known";
  const double count = static_cast<double>(piece.count);
  return HoursText(count * piece.hours->value, count * piece.hours->tolerance.value_or(0.0));
}

std::string NameOf(const Piece& piece) {
  return fmt::format("{}{} {}", Pieces(piece.count), piece.IsJob() ? "job" : Spaced(piece.table),
                     piece.name);
}

std::string TotalText(const std::vector<Piece>& pieces) {
  const search::Sum cost = CostOf(pieces), hours = HoursOf(pieces);
  std::string text = fmt::format("{}, {}", MoneyText(cost.value, cost.half_width),
                                 HoursText(hours.value, hours.half_width));
  for (const auto* missing : {&cost.missing, &hours.missing}) {
    for (const std::string& field : *missing) {
      text += fmt::format("{}{}", text.find("without") == std::string::npos ? ", without " : ", ",
                          field);
    }
  }
  return text;
}

// Facts of the piece that it must be ordered by, and what is to be asked for first.
std::string OrderText(const Piece& piece) {
  std::string text = Joined(piece.facts);
  if (!piece.ask.empty()) {
    text += fmt::format("{}not stated, so ask before ordering: {}", text.empty() ? "" : "; ",
                        Joined(piece.ask));
  }
  return text;
}

void PutPieces(std::string& out, const Line& line) {
  if (line.pieces.empty()) return;
  constexpr std::size_t kDeep = 7, kDeeper = 9;
  out += "     takes:\n";
  Table table;
  for (const Piece& piece : line.pieces) {
    table.Add({NameOf(piece), PriceText(piece), WorkText(piece)});
  }
  const std::string rows = table.Set(kDeep);
  std::size_t begin = 0;
  for (const Piece& piece : line.pieces) {
    const std::size_t end = rows.find('\n', begin);
    out += rows.substr(begin, end - begin);
    if (!piece.source.empty() && !piece.owned) out += "  " + piece.source;
    out += "\n";
    begin = end + 1;
    if (!piece.owned) out += Wrap(OrderText(piece), kPage - kDeeper, kDeeper);
  }
  out += Wrap("in all: " + TotalText(line.pieces), kPage - kDeep, kDeep);
}

// How far past its limit or bound, or what is not known of it.
std::string MissText(const search::Miss& miss, const Conclusion& o, const Units& units) {
  using namespace search;
  const Reason r = miss.reason;
  const auto by = [&](Kind kind) { return RoughText(*miss.by, kind, units.For(kind)); };
  const std::string what = Joined(miss.what);
  if (r == kFaces) {
    return fmt::format("does not go together, and no adapter here cures it, at {}", what);
  }
  if (r >= kFirstUnknown) {
    const AimInfo& info = AimInfos()[r - kFirstUnknown];
    return fmt::format("{} is not known{}{}", info.label, what.empty() ? "" : ": state ", what);
  }
  if (r >= kFirstAtMost) {
    const bool least = r >= kFirstAtLeast;
    const AimInfo& info = AimInfos()[r - (least ? kFirstAtLeast : kFirstAtMost)];
    const Wish& wish = o.wishes.of[static_cast<std::size_t>(info.id)];
    return fmt::format("{}: {} {} than the {} wished", info.label,
                       info.id == Aim::kHours ? HoursText(*miss.by, 0.0) : by(info.kind),
                       least ? "less" : "more",
                       BareText(least ? *wish.at_least : *wish.at_most, info, units));
  }
  if (r >= kFirstEnd) {
    const auto& label = RackEnds()[r - kFirstEnd].label;
    if (!miss.by) return fmt::format("{}: no stop acts before it", label);
    return fmt::format("{}: ends the rack's travel {} before the stop", label, by(Kind::kLength));
  }
  return fmt::format("{}: passed by {}", Checks()[r - kFirstCheck].label, by(miss.kind));
}

void PutNearest(std::string& out, const Conclusion& o, const Units& units) {
  if (!o.nearest) return;
  std::vector<std::string> changes;
  for (const search::Change& c : o.nearest_line->changes) changes.push_back(ChangeWords(c));
  out += Wrap(fmt::format("Nearest comes{}:", o.nearest->of_all
                                                  ? ""
                                                  : ", found by changing one or two things at a "
                                                    "time (there may be a nearer one)"),
              kPage, 0);
  out += Wrap(changes.empty() ? "as it is now" : Joined(changes), kPage - 2, 2);
  for (const search::Miss& miss : o.nearest->misses) {
    out += Wrap("✗ " + MissText(miss, o, units), kPage - 5, 5);
  }
}

void PutLine(std::string& out, const Conclusion& o, const Line& line, std::size_t number,
             const Units& units) {
  std::vector<std::string> changes;
  for (const search::Change& c : line.changes) changes.push_back(ChangeWords(c));
  const std::string what = changes.empty() ? "as it is now" : Joined(changes);
  out += Wrap(fmt::format("{}. {}", number, what), kPage, 2);
  const Gains gains = GainsOf(o, line, units);
  if (gains.gained.empty() && !changes.empty()) out += Wrap("gains: nothing felt", kPage, 5);
  PutList(out, "gains: ", gains.gained);
  PutList(out, "gives up: ", gains.given_up);
  PutPieces(out, line);
  PutList(out, "needs besides: ", NeedsOf(line, units));
  if (line.faces_unknown) {
    PutList(out, "", {"not known whether all faces agree: check it as a setup"});
  }
  PutList(out, "EXCEEDED: ", line.exceeded);
  PutList(out, "close to its limit: ", line.close);
  PutList(out, "not known whether it holds: ", line.unknown);
  if (line.weakest_chance) {
    PutList(out, "least sure to hold: ",
            {fmt::format("{}, chance {}", line.weakest, ChanceText(*line.weakest_chance))});
  }
  if (line.alike > 0) {
    PutList(
        out, "",
        {fmt::format("{} more come out the same in every wish; their limits were not all looked at",
                     line.alike)});
  }
}

// What setting it so must not lead to.
std::vector<std::string> CautionsOf(const search::Polished& polished) {
  const bool arms = std::ranges::find(polished.settings, "arm_length", &search::Setting::key) !=
                    polished.settings.end();
  if (!arms) return {};
  return {
      "! another arm length means arms made for it and inspected: never heat, bend or weld an arm"};
}

std::string SettingsText(const search::Polished& polished, const Units& units) {
  std::vector<std::string> settings;
  for (const search::Setting& s : polished.settings) {
    settings.push_back(fmt::format("{} {}{}", Spaced(s.key),
                                   Show(s.after, {}, s.kind, units.For(s.kind)).text,
                                   s.at_bound ? " (at the end of what may be set)" : ""));
  }
  return Joined(settings);
}

// What --take wrote.
std::string TakenText(const SearchReport& report, const Units& units) {
  const auto& [entry, setup, line] = *report.taken;
  const bool polished = line < report.polished.size() && report.polished[line].has_value();
  return fmt::format(
      "Entry {} is now setup {} of the file{}.", entry, setup,
      polished ? ", set to the best: " + SettingsText(*report.polished[line], units) : "");
}

void PutPolished(std::string& out, const search::Polished& polished, const Conclusion& o,
                 const Line& before, const Units& units) {
  PutList(out, "set to the best, its work not counted: ", {SettingsText(polished, units)});
  std::vector<std::string> better;
  for (const AimInfo& info : AimInfos()) {
    const search::Wish& wish = o.wishes.of[static_cast<std::size_t>(info.id)];
    const auto &a = search::At(before.aims, info.id), &b = search::At(polished.line.aims, info.id);
    if (!wish.want || !a || !b) continue;
    if (search::Penalty(wish, info, *a) == search::Penalty(wish, info, *b)) continue;
    better.push_back(fmt::format("{} {}", info.label, ValueText(polished.line, info, units)));
  }
  PutList(out, "then: ", better);
  PutList(out, "", CautionsOf(polished));
}

Table Overview(const Conclusion& o, const std::vector<search::Ranked>& ranked, const Units& units) {
  Table table;
  std::vector<std::string> head{""};
  for (const AimInfo& info : AimInfos()) {
    if (o.wishes.of[static_cast<std::size_t>(info.id)].Matters()) head.emplace_back(info.label);
  }
  head.emplace_back("balance");
  head.emplace_back("beats the next");
  table.Add(std::move(head));
  const auto add = [&](std::string name, const Line& line, const search::Ranked* r) {
    std::vector<std::string> row{std::move(name)};
    for (const AimInfo& info : AimInfos()) {
      if (o.wishes.of[static_cast<std::size_t>(info.id)].Matters()) {
        row.push_back(ValueText(line, info, units));
      }
    }
    row.push_back(r != nullptr ? fmt::format("{:.2f}", r->balance) : "");
    row.push_back(r != nullptr && r->beats_next ? ChanceText(*r->beats_next) : "");
    table.Add(std::move(row));
  };
  add("now", o.base, nullptr);
  for (std::size_t i = 0; i < ranked.size(); ++i) {
    add(fmt::format("{}.", i + 1), o.lines[ranked[i].line], &ranked[i]);
  }
  return table;
}

Json AimJson(const Line& line, const AimInfo& info, const Units& units) {
  const auto& value = search::At(line.aims, info.id);
  const auto& half = line.half_width[static_cast<std::size_t>(info.id)];
  Json j{{"si", value ? Json(*value) : Json(nullptr)}};
  if (half) j["si_pm"] = *half;
  j["text"] = ValueText(line, info, units);
  return j;
}

Json AimsJson(const Line& line, const Units& units) {
  Json j = Json::object();
  for (const AimInfo& info : AimInfos()) j[std::string(info.key)] = AimJson(line, info, units);
  return j;
}

Json WishesJson(const Conclusion& o, const Units& units) {
  Json wishes = Json::array();
  for (const AimInfo& info : AimInfos()) {
    const search::Wish& wish = o.wishes.of[static_cast<std::size_t>(info.id)];
    if (!wish.Matters()) continue;
    Json j{{"aim", info.key},
           {"label", info.label},
           {"meaning", info.help},
           {"si_unit", SiSymbol(info.kind)},
           {"text", WishText(wish, info, units)}};
    j["want"] = wish.want ? Json(WordOf(*wish.want)) : Json(nullptr);
    wishes.push_back(std::move(j));
  }
  return wishes;
}

Json SumJson(const search::Sum& sum) {
  return {{"si", sum.value}, {"si_pm", sum.half_width}, {"missing", sum.missing}};
}

Json TotalJson(const Line& line) {
  return {{"cost", SumJson(CostOf(line.pieces))},
          {"hours", SumJson(HoursOf(line.pieces))},
          {"text", TotalText(line.pieces)}};
}

Json PiecesJson(const Line& line) {
  Json pieces = Json::array();
  for (const Piece& p : line.pieces) {
    const auto number = [](const std::optional<Quantity>& q) {
      return q ? Json(q->value) : Json(nullptr);
    };
    const auto tolerance = [](const std::optional<Quantity>& q) {
      return q && q->tolerance ? Json(*q->tolerance) : Json(nullptr);
    };
    pieces.push_back({{"of", p.table},
                      {"name", p.name},
                      {"title", p.title},
                      {"count", p.count},
                      {"owned", p.owned},
                      {"lasting", p.lasting},
                      {"price", number(p.price)},
                      {"price_pm", tolerance(p.price)},
                      {"hours_si", number(p.hours)},
                      {"hours_si_pm", tolerance(p.hours)},
                      {"source", p.source},
                      {"facts", p.facts},
                      {"ask", p.ask},
                      {"text", NameOf(p)},
                      {"price_text", PriceText(p)},
                      {"hours_text", WorkText(p)}});
  }
  return pieces;
}

Json LineJson(const Conclusion& o, const Line& line, const Units& units) {
  Json changes = Json::array();
  for (const search::Change& c : line.changes) {
    changes.push_back({{"of", c.key}, {"from", c.from}, {"to", c.to}, {"text", ChangeWords(c)}});
  }
  Json better = Json::object();
  for (const AimInfo& info : AimInfos()) {
    const auto chance =
        search::ChanceBetter(line, o.base, info.id, o.wishes.of[static_cast<std::size_t>(info.id)]);
    if (chance) better[std::string(info.key)] = *chance;
  }
  const Gains gains = GainsOf(o, line, units);
  Json setup = Json::object();
  for (const auto& [path, value] : SetupEdits("", line.setup)) setup[path] = value;
  return {{"changes", std::move(changes)},
          {"aims", AimsJson(line, units)},
          {"better_than_now", std::move(better)},
          {"gains", gains.gained},
          {"gives_up", gains.given_up},
          {"adapters", line.adapters},
          {"needs", NeedsOf(line, units)},
          {"pieces", PiecesJson(line)},
          {"total", TotalJson(line)},
          {"faces_unknown", line.faces_unknown},
          {"exceeded", line.exceeded},
          {"close", line.close},
          {"unknown", line.unknown},
          {"weakest", line.weakest},
          {"weakest_chance", line.weakest_chance ? Json(*line.weakest_chance) : Json(nullptr)},
          {"alike", line.alike},
          {"setup", std::move(setup)}};
}

// Where nothing was found: what comes nearest.
Json NearestJson(const Conclusion& o, const Units& units) {
  if (!o.nearest) return nullptr;
  Json misses = Json::array();
  for (const search::Miss& miss : o.nearest->misses) {
    misses.push_back({{"reason", search::TextOf(miss.reason)},
                      {"by_si", miss.by ? Json(*miss.by) : Json(nullptr)},
                      {"si_unit", miss.by ? Json(SiSymbol(miss.kind)) : Json(nullptr)},
                      {"what", miss.what},
                      {"text", MissText(miss, o, units)}});
  }
  return {{"of_all", o.nearest->of_all},
          {"misses", std::move(misses)},
          {"entry", LineJson(o, *o.nearest_line, units)}};
}

// For each pair of wishes the lines that no other one beats in both at once, by index.
Json UnbeatenJson(const Conclusion& o) {
  std::vector<const AimInfo*> wished;
  for (const AimInfo& info : AimInfos()) {
    if (o.wishes.of[static_cast<std::size_t>(info.id)].want) wished.push_back(&info);
  }
  const auto away = [&](const Line& line, const AimInfo& info) {
    const auto& value = search::At(line.aims, info.id);
    return value ? search::Penalty(o.wishes.of[static_cast<std::size_t>(info.id)], info, *value)
                 : std::numeric_limits<double>::infinity();
  };
  Json pairs = Json::array();
  for (std::size_t a = 0; a < wished.size(); ++a) {
    for (std::size_t b = a + 1; b < wished.size(); ++b) {
      std::vector<search::Score> scores;
      for (const Line& line : o.lines) {
        scores.push_back({away(line, *wished[a]), away(line, *wished[b])});
      }
      pairs.push_back(
          {{"aims", {wished[a]->key, wished[b]->key}}, {"entries", search::Unbeaten(scores)}});
    }
  }
  return pairs;
}

Json RankingOf(const Conclusion& o, const search::Weights& weights) {
  Json ranking = Json::array();
  for (const search::Ranked& r : Rank(o, weights)) {
    ranking.push_back({{"entry", r.line},
                       {"balance", r.balance},
                       {"beats_next", r.beats_next ? Json(*r.beats_next) : Json(nullptr)}});
  }
  return ranking;
}

}  // namespace

SearchReport ReportOf(const Document& document, const search::Space& space,
                      const search::StatedWishes& wishes, const search::Searcher& searcher,
                      std::size_t most, int threads) {
  SearchReport report{search::Conclude(document, space, wishes, searcher, most, threads), {}};
  report.polished.resize(std::min(kPolished, report.outcome.lines.size()));
  search::ParallelFor(threads, report.polished.size(), [&](std::size_t, std::size_t i) {
    report.polished[i] = search::Polish(document, wishes, report.outcome.lines[i]);
  });
  return report;
}

std::vector<std::pair<std::string, std::string>> SetupEdits(const std::string& name,
                                                            const Setup<Quantity>& setup) {
  std::vector<std::pair<std::string, std::string>> edits;
  const std::string parent = name.empty() ? "" : "setup." + KeyText(name) + ".";
  Setup<Quantity>::Visit(
      [&](const FieldInfo& info, const auto& field) {
        using T = std::remove_cvref_t<decltype(field)>;
        const std::string path = parent + std::string(info.key);
        if constexpr (std::same_as<T, std::string>) {
          if (!field.empty() && info.key != "note") edits.emplace_back(path, field);
        } else if constexpr (std::same_as<T, std::optional<Quantity>>) {
          if (!field) return;
          edits.emplace_back(
              path, field->written.empty()
                        ? Show(field->value, field->tolerance, info.kind, UnitStyle::kMetric).text
                        : field->written);
        } else if constexpr (std::same_as<T, std::optional<bool>>) {
          if (field) edits.emplace_back(path, *field ? "true" : "false");
        } else if constexpr (kIsOptional<T>) {  // what was read on the car is not chosen
          if (field) edits.emplace_back(path, std::string(WordOf(*field)));
        }
      },
      setup);
  return edits;
}

std::string SearchText(const std::string& title, const SearchReport& report,
                       const TextStyle& style) {
  const Conclusion& o = report.outcome;
  std::string out = title.empty() ? "" : title + "\n\n";
  std::string head =
      fmt::format("{} combinations, counted from setup {}", Grouped(o.combinations), o.base_name);
  if (o.looked_at < o.combinations) {
    head += fmt::format("; stopped after {} of them, so better ones may be missing",
                        Grouped(o.looked_at));
  }
  if (report.resumed_at) {
    head +=
        fmt::format("; {} of them had been looked at before, as kept", Grouped(*report.resumed_at));
  }
  out += Wrap(head + ".", kPage, 0);
  if (o.step_width > 1.0) {
    out += Wrap(fmt::format("More than {} were beaten by no other, so values count as the same "
                            "within steps {} times as wide as usual: wish for less, or set bounds, "
                            "to tell them apart.",
                            Grouped(search::kMostKept), Grouped(o.step_width)),
                kPage, 0);
  }
  std::vector<std::string> wishes;
  for (const AimInfo& info : AimInfos()) {
    const search::Wish& wish = o.wishes.of[static_cast<std::size_t>(info.id)];
    if (wish.Matters()) wishes.push_back(WishText(wish, info, style.units));
  }
  out += Wrap(fmt::format("Wished: {}{}", Joined(wishes),
                          o.wishes.assumed ? " (assumed; state yours in [search.want])" : ""),
              kPage, 0);
  if (o.lines.empty()) {
    out += "\nNone of them keeps every limit and wish.\n";
    PutNearest(out, o, style.units);
  } else {
    const auto ranked = Rank(o, search::EvenWeights());
    out += fmt::format(
        "{} of them are beaten by no other in every wish at once{}. The most balanced first:\n\n",
        o.lines.size() + o.not_shown,
        o.not_shown > 0 ? fmt::format("; {} are shown", o.lines.size()) : "");
    out += Overview(o, ranked, style.units).Set(2);
    if (!o.base.exceeded.empty()) {
      out += Wrap(fmt::format("now ✗ exceeds: {}", Joined(o.base.exceeded)), kPage, 2);
    }
    for (std::size_t i = 0; i < ranked.size(); ++i) {
      out += "\n";
      const Line& line = o.lines[ranked[i].line];
      PutLine(out, o, line, i + 1, style.units);
      const std::size_t at = ranked[i].line;
      if (at < report.polished.size() && report.polished[at]) {
        PutPolished(out, *report.polished[at], o, line, style.units);
      }
    }
    out += Wrap(
        "\nbalance: 0 is the best of all of them in every wish, 1 the worst in every one, all "
        "wishes "
        "weighing the same. beats the next: chance that this order is no accident of the ±.",
        kPage, 0);
  }
  out += "\nLeft out:\n";
  Table left;
  std::size_t hidden = 0;
  for (const search::LeftOut& l : o.left_out) {
    if (left.Size() < kReasonsShown) {
      left.Add({l.reason, Grouped(static_cast<double>(l.count))});
    } else {
      ++hidden;
    }
  }
  out += left.Set(2);
  if (hidden > 0) out += fmt::format("  and for {} other reasons (--json lists all)\n", hidden);
  if (report.taken) out += "\n" + Wrap(TakenText(report, style.units), kPage, 0);
  return out + "\n" + Wrap(GeneralCaution(), kPage, 0);
}

std::string SearchJson(const std::string& title, const SearchReport& report,
                       const JsonStyle& style) {
  const Conclusion& o = report.outcome;
  Json lines = Json::array();
  for (std::size_t i = 0; i < o.lines.size(); ++i) {
    Json line = LineJson(o, o.lines[i], style.units);
    if (i < report.polished.size() && report.polished[i]) {
      const search::Polished& p = *report.polished[i];
      Json settings = Json::array();
      for (const search::Setting& s : p.settings) {
        settings.push_back({{"of", s.key},
                            {"si", s.after},
                            {"text", Show(s.after, {}, s.kind, style.units.For(s.kind)).text},
                            {"at_bound", s.at_bound}});
      }
      line["polished"] = {{"settings", std::move(settings)},
                          {"cautions", CautionsOf(p)},
                          {"entry", LineJson(o, p.line, style.units)}};
    }
    lines.push_back(std::move(line));
  }
  Json left = Json::array();
  for (const search::LeftOut& l : o.left_out) {
    left.push_back({{"reason", l.reason}, {"count", l.count}});
  }
  const Json j{{"verb", "search"},
               {"title", title},
               {"base", o.base_name},
               {"combinations", o.combinations},
               {"looked_at", o.looked_at},
               {"wishes", WishesJson(o, style.units)},
               {"wishes_assumed", o.wishes.assumed},
               {"step_width", o.step_width},
               {"resumed_at", report.resumed_at ? Json(*report.resumed_at) : Json(nullptr)},
               {"taken", report.taken ? Json{{"entry", report.taken->entry},
                                             {"setup", report.taken->setup},
                                             {"text", TakenText(report, style.units)}}
                                      : Json(nullptr)},
               {"nearest", NearestJson(o, style.units)},
               {"now", LineJson(o, o.base, style.units)},
               {"entries", std::move(lines)},
               {"not_shown", o.not_shown},
               {"ranking", RankingOf(o, search::EvenWeights())},
               {"unbeaten", UnbeatenJson(o)},
               {"left_out", std::move(left)},
               {"caution", GeneralCaution()}};
  return j.dump(style.indent) + "\n";
}

std::string RankingJson(const Conclusion& outcome, const search::Weights& weights, int indent) {
  return Json{{"ranking", RankingOf(outcome, weights)}}.dump(indent) + "\n";
}

}  // namespace steerbench
