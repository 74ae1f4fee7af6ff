#include "report/identify.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "report/cautions.h"
#include "report/ink.h"
#include "report/phrases.h"
#include "report/table.h"

namespace steerbench {
namespace {

using identify::Contradiction;
using identify::Evidence;
using identify::Identified;
using identify::Need;
using identify::Question;
using identify::Weight;
using Json = nlohmann::ordered_json;

constexpr double kSecondsInMinute = 60.0;

std::string ShareText(const identify::Share& share) {
  constexpr double kPercent = 100.0;
  return fmt::format("{:.3g} %{}", kPercent * share.value, share.assumed ? " a" : "");
}

std::string NameOf(const RiddleReport& r, std::size_t hypothesis) {
  return hypothesis == r.found->None() ? "none of these" : r.riddle.variant[hypothesis].name;
}

std::string NamesOf(const RiddleReport& r, const std::vector<std::size_t>& hypotheses) {
  std::string names;
  for (const std::size_t i : hypotheses) names += (names.empty() ? "" : ", ") + NameOf(r, i);
  return names;
}

std::string AnswerText(const identify::Answer& answer, const Units& units) {
  if (!answer.Measured()) return answer.shown;
  const Quantity& q = *answer.reading;
  return Show(q.value, q.tolerance, q.kind, units.For(q.kind)).text;
}

std::string WhyNot(const Evidence& e) {
  if (!e.answer) return "has no answer yet";
  switch (e.weight) {
    case Weight::kNoTrait:
      return "does not count: no variant says what it shows of this";
    case Weight::kOneKind:
      return "does not count: the variants have another kind of answer";
    case Weight::kExact:
      return "does not count: neither it nor each variant states a ±; say how well it was read";
    case Weight::kOneValue:
      return "does not count: the variants have one value of this, without a ±; state it";
    case Weight::kWeighed:
      break;
  }
  return "";
}

// What a row says for the likeliest hypothesis against the next.
std::string Odds(const RiddleReport& r, const Evidence& e) {
  constexpr double kNothing = 1.05, kMost = 1000.0;
  const Identified& f = *r.found;
  std::vector<std::size_t> order(f.probability.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::ranges::stable_sort(order, std::greater<>(),
                           [&](std::size_t i) { return f.probability[i]; });
  const double odds = e.likelihood[order[0]] / e.likelihood[order[1]];
  const bool against = odds < 1.0;
  const double ratio = against ? 1.0 / odds : odds;
  const std::string one = NameOf(r, order[against ? 1 : 0]);
  const std::string other = NameOf(r, order[against ? 0 : 1]);
  if (ratio < kNothing) return fmt::format("tells nothing between {} and {}", one, other);
  const std::string text = ratio > kMost ? "more than 1000" : fmt::format("{:.3g}", ratio);
  return fmt::format("{} : 1 for {} against {}", text, one, other);
}

std::string HowItCounts(const RiddleReport& r, const Evidence& e) {
  if (!e.Counts()) return WhyNot(e);
  const std::string fits =
      e.agrees.empty() ? "as no variant" : fmt::format("as {}", NamesOf(r, e.agrees));
  return fmt::format("{}; {}", fits, Odds(r, e));
}

std::string ContradictionText(const RiddleReport& r, const Contradiction& c, const Units& units) {
  const Evidence& e = r.found->seen[c.evidence];
  const std::string seen = AnswerText(*e.answer, units);
  if (c.kind == Contradiction::Kind::kTwoAnswers) {
    const std::string other = AnswerText(*r.found->seen[c.other].answer, units);
    return fmt::format(
        "{}: {} in one row, {} in another. Both count; look again and take out the "
        "one that was wrong.",
        e.feature, seen, other);
  }
  if (c.kind == Contradiction::Kind::kAgainstAll) {
    return fmt::format(
        "{}: {} was seen, which no variant shows. Look again; if it stays, it may "
        "be none of these.",
        e.feature, seen);
  }
  const auto likeliest =
      std::ranges::max_element(r.found->probability.begin(), r.found->probability.end() - 1);
  const std::string name =
      NameOf(r, static_cast<std::size_t>(likeliest - r.found->probability.begin()));
  return fmt::format(
      "{}: {} was seen, but {} shows {}. Look again: it was misread, or it is not "
      "{}.",
      e.feature, seen, name, AnswerText(*c.expected, units), name);
}

std::string EffortText(const Feature& feature) {
  if (!feature.effort) return "effort not stated";
  return fmt::format("about {:.3g} min", feature.effort->value / kSecondsInMinute);
}

std::string QuestionText(const RiddleReport& r, const Question& q) {
  const Feature& feature = r.riddle.feature[q.feature];
  return feature.ask.empty() ? feature.name + "?" : feature.ask;
}

std::string WorthText(const RiddleReport& r, const Question& q) {
  const Feature& feature = r.riddle.feature[q.feature];
  if (!q.bits) {
    return fmt::format("{}; what it would tell is not known: the variants' values state no ±",
                       EffortText(feature));
  }
  const double open = r.found->entropy;
  return fmt::format("{}; settles about {:.0f} % of what is open", EffortText(feature),
                     open > 0.0 ? 100.0 * *q.bits / open : 0.0);
}

std::string NeedText(const RiddleReport& r, const Need& need) {
  if (need.same) {
    return fmt::format("{}: {}{}", need.thing, need.which.front().second,
                       need.which.size() > 1 ? ", the same for all that are left" : "");
  }
  std::string text;
  for (const auto& [variant, which] : need.which) {
    text += fmt::format("{}{} for {}", text.empty() ? "" : "; ",
                        which.empty() ? "not known" : which, NameOf(r, variant));
  }
  return fmt::format("{}: {}", need.thing, text);
}

bool SafeToOrder(const RiddleReport& r, const Need& need) {
  return need.same && !r.found->MayBeNone() && !r.found->Disputed();
}

std::string DifferenceText(const identify::Difference& d) {
  std::string text;
  for (const auto& [part, value] : d.value) {
    text += fmt::format("{}{} of {}", text.empty() ? "" : ", ", value, part);
  }
  return fmt::format("{}: {}", d.field, text);
}

// What the document does not say and was taken, in words.
std::vector<std::string> Assumed(const RiddleReport& r, const Units& units) {
  std::vector<std::string> all;
  const Identified& f = *r.found;
  if (f.none_assumed) {
    all.push_back(fmt::format("a chance of {:.3g} % that it is none of these",
                              100.0 * identify::kAssumedNone));
  }
  if (std::ranges::none_of(r.riddle.variant,
                           [](const Variant& v) { return v.prior.has_value(); })) {
    all.emplace_back("that the variants are equally common");
  }
  std::string wrong;
  const auto add = [&wrong](const std::string& name) {
    if (wrong.find(name) == std::string::npos) wrong += (wrong.empty() ? "" : ", ") + name;
  };
  for (const Evidence& e : f.seen) {
    if (e.Counts() && e.wrong.assumed) add(e.feature);
    if (e.Counts() && e.exact) all.push_back(fmt::format("{} read without error", e.feature));
  }
  for (const Question& q : f.questions) {
    const Feature& feature = r.riddle.feature[q.feature];
    if (q.wrong.assumed) add(feature.name);
    if (!q.bits || !q.reading_tolerance) continue;
    all.push_back(fmt::format("{} to be read to ± {}", feature.name,
                              Show(*q.reading_tolerance, {}, q.kind, units.For(q.kind)).text));
  }
  if (!wrong.empty()) {
    all.push_back(
        fmt::format("one look in {:.3g} wrong of {}", 1.0 / identify::kAssumedWrong, wrong));
  }
  return all;
}

std::string Verdict(const RiddleReport& r) {
  const Identified& f = *r.found;
  const std::string name = NameOf(r, f.Likeliest());
  const std::string sure = TenthPercent(f.probability[f.Likeliest()]);
  if (r.Settled()) {
    return fmt::format("✓ settled: it is {} ({}, {} asked for)", name, sure, ShareText({f.sure}));
  }
  if (f.left.size() == 1) {
    return fmt::format("✗ none of the variants known ({}): find out what else there is", sure);
  }
  return fmt::format("? not settled: {} leads with {}, {} asked for", name, sure,
                     ShareText({f.sure}));
}

class IdentifyWriter {
 public:
  explicit IdentifyWriter(const TextStyle& style) : style_(style) {}

  std::string Write(const std::string& title, const std::vector<RiddleReport>& riddles) {
    if (!title.empty()) out_ += Bold(title) + "\n\n";
    for (const RiddleReport& r : riddles) One(r);
    out_ += Wrap(GeneralCaution(), kPage, 0);
    return std::move(out_);
  }

 private:
  [[nodiscard]] std::string Bold(const std::string& text) const {
    return style_.terminal ? "\x1b[1m" + text + "\x1b[0m" : text;
  }

  void One(const RiddleReport& r) {
    out_ += Bold(r.name);
    if (!r.riddle.title.empty()) out_ += ": " + r.riddle.title;
    out_ += "\n";
    if (!r.found) {
      out_ += Wrap(fmt::format("? no variant is known yet: add [[identify.{}.variant]]", r.name),
                   kPage, 2);
      out_ += "\n";
      return;
    }
    Bars(r);
    out_ += Wrap(Verdict(r), kPage, 2);
    Seen(r);
    List("Contradictions", r.found->contradictions,
         [&](const Contradiction& c) { return "! " + ContradictionText(r, c, style_.units); });
    Next(r);
    Orders(r);
    std::string assumed;
    for (const std::string& a : Assumed(r, style_.units)) {
      assumed += (assumed.empty() ? "taken for granted (a): " : "; ") + a;
    }
    if (!assumed.empty()) out_ += Wrap(assumed, kPage, 2);
    out_ += "\n";
  }

  void Bars(const RiddleReport& r) {
    constexpr double kBlocks = 25.0;
    Table table;
    const Identified& f = *r.found;
    std::size_t widest = 0;
    for (std::size_t i = 0; i <= f.None(); ++i) widest = std::max(widest, Width(NameOf(r, i)));
    for (std::size_t i = 0; i <= f.None(); ++i) {
      const auto blocks = static_cast<int>(std::lround(kBlocks * f.probability[i]));
      std::string bar;
      for (int b = 0; b < static_cast<int>(kBlocks); ++b) bar += b < blocks ? "█" : "·";
      const std::string& title = i == f.None() ? kNoTitle : r.riddle.variant[i].title;
      out_ += fmt::format("  {}  {}  {}{}{}\n", PadRight(NameOf(r, i), widest),
                          PadLeft(TenthPercent(f.probability[i]), 8), bar,
                          title.empty() ? "" : "  ", title);
    }
  }

  template <class Rows, class F>
  void List(std::string_view head, const Rows& rows, F&& text) {
    if (rows.empty()) return;
    out_ += fmt::format("  {}\n", head);
    for (const auto& row : rows) out_ += Hung(text(row));
  }

  // Wrapped, the lines behind the first further in.
  static std::string Hung(const std::string& text) {
    constexpr std::size_t kIndent = 4;
    std::string lines = Wrap(text, kPage - kIndent, kIndent + 2);
    return lines.empty() ? lines : lines.substr(2);
  }

  void Seen(const RiddleReport& r) {
    List("What was seen", r.found->seen, [&](const Evidence& e) {
      std::string text = e.feature.empty() ? "a row" : e.feature;
      if (e.answer) text += ": " + AnswerText(*e.answer, style_.units);
      if (e.Counts()) text += fmt::format(" (wrong {})", ShareText(e.wrong));
      return fmt::format("{}; {}", text, HowItCounts(r, e));
    });
  }

  void Next(const RiddleReport& r) {
    const auto& questions = r.found->questions;
    if (questions.empty()) {
      out_ += r.found->Disputed()
                  ? "  Nothing else is left to look at: look again at what contradicts itself\n"
                  : "  Nothing is left to look at that would tell more\n";
      return;
    }
    out_ += "  Look at next\n";
    for (std::size_t i = 0; i < questions.size(); ++i) {
      const Feature& feature = r.riddle.feature[questions[i].feature];
      const bool best = i == 0;
      std::string text = fmt::format("{}{} ({})", best ? "▶ " : "then ",
                                     QuestionText(r, questions[i]), feature.name);
      if (best && !feature.how.empty()) text += fmt::format(" {}.", feature.how);
      out_ += Hung(fmt::format("{} {}", text, WorthText(r, questions[i])));
    }
  }

  void Orders(const RiddleReport& r) {
    List("To order", r.found->needs, [&](const Need& need) {
      return (SafeToOrder(r, need) ? "✓ safe  " : "✗ WAIT  ") + NeedText(r, need);
    });
    if (r.found->MayBeNone() && !r.found->needs.empty()) {
      out_ += Hung("Nothing is safe to order while it may well be none of these.");
    }
    if (r.found->Disputed() && !r.found->needs.empty()) {
      out_ += Hung("Nothing is safe to order while two looks at one thing disagree.");
    }
    List("In what the parts differ that are left", r.differences, DifferenceText);
  }

  static inline const std::string kNoTitle;
  const TextStyle& style_;
  std::string out_;
};

Json AnswerJson(const identify::Answer& a, const Units& units) {
  Json j{{"field", a.field}, {"text", AnswerText(a, units)}};
  if (a.Measured()) {
    j["si"] = a.reading->value;
    j["si_pm"] = a.reading->tolerance ? Json(*a.reading->tolerance) : Json(nullptr);
    j["si_unit"] = SiSymbol(a.reading->kind);
  }
  return j;
}

Json SeenJson(const RiddleReport& r, const Evidence& e, const Units& units) {
  Json j{{"row", e.row}, {"feature", e.feature}};
  j["answer"] = e.answer ? AnswerJson(*e.answer, units) : Json(nullptr);
  j["wrong"] = e.wrong.value;
  j["wrong_assumed"] = e.wrong.assumed;
  j["counts"] = e.Counts();
  j["text"] = HowItCounts(r, e);
  j["note"] = r.riddle.seen[e.row].note;
  j["agrees"] = Json::array();
  for (const std::size_t i : e.agrees) j["agrees"].push_back(NameOf(r, i));
  j["likelihood"] = e.likelihood;
  return j;
}

// The unit in which the variants' values of a feature are written; empty where none is.
std::string UnitOf(const RiddleReport& r, const std::string& feature) {
  for (const Variant& v : r.riddle.variant) {
    const auto row = std::ranges::find(v.trait, feature, &Trait::feature);
    const auto answer = row == v.trait.end() ? std::nullopt : identify::AnswerOf(*row);
    if (answer && answer->Measured()) return answer->reading->unit;
  }
  return "";
}

Json QuestionJson(const RiddleReport& r, const Question& q) {
  const Feature& feature = r.riddle.feature[q.feature];
  const auto number = [](const std::optional<double>& x) { return x ? Json(*x) : Json(nullptr); };
  Json j{{"feature", feature.name}, {"ask", QuestionText(r, q)}, {"how", feature.how}};
  j["effort_si"] = feature.effort ? Json(feature.effort->value) : Json(nullptr);
  j["bits"] = number(q.bits);
  j["bits_per_minute"] = number(q.per_minute);
  j["wrong"] = q.wrong.value;
  j["wrong_assumed"] = q.wrong.assumed;
  j["field"] = q.field;
  j["words"] = q.words;
  j["unit"] = UnitOf(r, feature.name);
  j["reading_pm_si"] = number(q.reading_tolerance);
  j["text"] = WorthText(r, q);
  return j;
}

Json NeedJson(const RiddleReport& r, const Need& need) {
  Json j{{"thing", need.thing}, {"safe", SafeToOrder(r, need)}, {"same", need.same}};
  for (const auto& [variant, which] : need.which) {
    j["which"].push_back(
        {{"variant", NameOf(r, variant)}, {"which", which.empty() ? Json(nullptr) : Json(which)}});
  }
  j["text"] = NeedText(r, need);
  return j;
}

std::string_view WordFor(Contradiction::Kind kind) {
  using Kind = Contradiction::Kind;
  if (kind == Kind::kTwoAnswers) return "two_answers";
  return kind == Kind::kAgainstAll ? "against_all" : "against_likeliest";
}

Json FoundJson(const RiddleReport& r, const JsonStyle& style) {
  const Identified& f = *r.found;
  Json j{{"sure", f.sure}, {"verdict", Verdict(r)}, {"entropy_bits", f.entropy}};
  for (std::size_t i = 0; i <= f.None(); ++i) {
    const bool none = i == f.None();
    const Variant* v = none ? nullptr : &r.riddle.variant[i];
    Json one{{"name", NameOf(r, i)}, {"none", none}};
    one["title"] = none ? "" : v->title;
    one["part"] = none || v->part.empty() ? Json(nullptr) : Json(v->part);
    one["prior"] = f.prior[i];
    one["probability"] = f.probability[i];
    one["text"] = TenthPercent(f.probability[i]);
    one["left"] = std::ranges::find(f.left, i) != f.left.end();
    j["variants"].push_back(std::move(one));
  }
  j["seen"] = Json::array();
  for (const Evidence& e : f.seen) j["seen"].push_back(SeenJson(r, e, style.units));
  j["contradictions"] = Json::array();
  for (const Contradiction& c : f.contradictions) {
    Json rows = Json::array({f.seen[c.evidence].row});
    if (c.kind == Contradiction::Kind::kTwoAnswers) rows.push_back(f.seen[c.other].row);
    j["contradictions"].push_back({{"kind", WordFor(c.kind)},
                                   {"feature", f.seen[c.evidence].feature},
                                   {"rows", rows},
                                   {"text", ContradictionText(r, c, style.units)}});
  }
  j["next"] = Json::array();
  for (const Question& q : f.questions) j["next"].push_back(QuestionJson(r, q));
  j["order"] = Json::array();
  for (const Need& need : f.needs) j["order"].push_back(NeedJson(r, need));
  j["may_be_none"] = f.MayBeNone();
  j["disputed"] = f.Disputed();
  j["differences"] = Json::array();
  for (const auto& d : r.differences) {
    Json values = Json::array();
    for (const auto& [part, value] : d.value) values.push_back({{"part", part}, {"value", value}});
    j["differences"].push_back(
        {{"field", d.field}, {"values", values}, {"text", DifferenceText(d)}});
  }
  j["taken_for_granted"] = Assumed(r, style.units);
  return j;
}

}  // namespace

RiddleReport Solve(const Document& document, const std::string& name, const Riddle& riddle,
                   double sure) {
  RiddleReport r{name, riddle, {}, {}};
  if (riddle.variant.empty()) return r;
  r.found = identify::Identify(riddle, sure);
  std::vector<std::string> parts;
  for (const std::size_t i : r.found->left) {
    if (i != r.found->None()) parts.push_back(riddle.variant[i].part);
  }
  // A second control valve is one of the control valves.
  std::string_view table = riddle.fills;
  const Setup<Quantity> any;
  Setup<Quantity>::Visit(
      [&](const FieldInfo& info, const auto&) {
        if (info.key == riddle.fills) table = info.Table();
      },
      any);
  r.differences = identify::Differences(document, table, parts);
  return r;
}

bool AllSettled(const std::vector<RiddleReport>& riddles) {
  return std::ranges::all_of(riddles, &RiddleReport::Settled);
}

std::string NextLook(const RiddleReport& r) {
  if (!r.found || r.found->questions.empty()) return "";
  const Question& q = r.found->questions.front();
  return fmt::format("{} ({})", QuestionText(r, q), WorthText(r, q));
}

std::string IdentifyText(const std::string& title, const std::vector<RiddleReport>& riddles,
                         const TextStyle& style) {
  return IdentifyWriter(style).Write(title, riddles);
}

std::string IdentifyJson(const std::string& title, const std::vector<RiddleReport>& riddles,
                         const JsonStyle& style) {
  Json j{{"steerbench", "identify"}, {"format", 1}, {"title", title}};
  j["riddles"] = Json::array();
  for (const RiddleReport& r : riddles) {
    Json one{{"name", r.name}, {"title", r.riddle.title}, {"settled", r.Settled()}};
    one["fills"] = r.riddle.fills.empty() ? Json(nullptr) : Json(r.riddle.fills);
    one["answer"] = r.Answer() ? Json(r.Answer()->name) : Json(nullptr);
    if (r.found) one.update(FoundJson(r, style));
    j["riddles"].push_back(std::move(one));
  }
  return j.dump(style.indent) + "\n";
}

}  // namespace steerbench
