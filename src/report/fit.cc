#include "report/fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "document/names.h"
#include "report/phrases.h"
#include "report/table.h"

namespace steerbench {
namespace {

using fit::Verdict;

// "rack.quick.face[0]" in words: "rack quick".
std::string Whose(std::string_view path) {
  std::string words = Spaced(path.substr(0, path.rfind(".face[")));
  if (const std::size_t dot = words.find('.'); dot != std::string::npos) words[dot] = ' ';
  return words;
}

void AddTo(std::string& list, std::string_view more) {
  list += fmt::format("{}{}", list.empty() ? "" : ", ", more);
}

// What differs, as one side has it: "36 splines, diameter 17 mm".
std::string SideText(const fit::Comparison& comparison, bool one) {
  std::string text;
  for (const fit::Feature& f : comparison.features) {
    if (f.verdict != Verdict::kDiffers) continue;
    const std::string& value = one ? f.one : f.other;
    const bool count = f.key == "splines" || f.key == "ribs" || f.key == "bolts";
    AddTo(text, count ? fmt::format("{} {}", value, f.key) : fmt::format("{} {}", f.key, value));
  }
  return text;
}

// What is usually made or bought; those that carry the steering name what must not be done.
std::string_view UsualRemedy(Meeting at) {
  switch (at) {
    case Meeting::kRackMount:
      return "rack brackets made to measure";
    case Meeting::kPinion:
      return "a coupling or joint yoke made for both";
    case Meeting::kRackPressurePort:
    case Meeting::kRackReturnPort:
    case Meeting::kPumpPressurePort:
    case Meeting::kPumpInlet:
      return "an adapter fitting, or a hose made up with both ends";
    case Meeting::kInnerThread:
      return "inner joints with the rack's thread, never a bush or a thread cut over another";
    case Meeting::kOuterTaper:
      return "outer joints with the arm's taper, or arms with the joint's, never reamed by eye";
    case Meeting::kKnuckle:
      return "arms made for this knuckle";
    case Meeting::kPumpMount:
      return "a pump bracket made to measure";
    case Meeting::kPumpShaft:
      return "a pulley hub bored for this shaft";
    case Meeting::kBelt:
      return "pulleys and belt of one profile and number of ribs";
    case Meeting::kControlPort:
      return "a valve block or adapter fitting";
    case Meeting::kCoilPlug:
      return "a short lead with both plugs";
  }
  return "an adapter";
}

// Why a feature is not told to fit.
std::string FeatureText(const fit::Feature& f, const fit::Joint& joint) {
  switch (f.reason) {
    case fit::Reason::kOneUnstated:
      return fmt::format("{}: {} has {}, {} does not say", f.key, Whose(joint.other), f.other,
                         Whose(joint.one));
    case fit::Reason::kOtherUnstated:
      return fmt::format("{}: {} has {}, {} does not say", f.key, Whose(joint.one), f.one,
                         Whose(joint.other));
    case fit::Reason::kTooWide:
      return fmt::format("{}: {} and {} agree within a ± that takes in the next size too", f.key,
                         f.one, f.other);
    case fit::Reason::kNone:
    case fit::Reason::kTakenAsExact:
      break;
  }
  return fmt::format(
      "{}: {} on {}, {} on {}{}", f.key, f.one, Whose(joint.one), f.other, Whose(joint.other),
      f.reason == fit::Reason::kTakenAsExact ? " (one without a ±: taken as exact)" : "");
}

std::string SizesText(const fit::Need& need, const Units& units) {
  if (!need.below || !need.above) return "; of which length is not known";
  std::string here;
  for (const std::string& name : need.at_hand) AddTo(here, name);
  const auto length = [&](double metres) {
    return Show(metres, std::nullopt, Kind::kLength, units.For(Kind::kLength)).text;
  };
  return fmt::format(": {} or {} effective length, the sizes next to the middle of the range{}{}",
                     length(*need.below), length(*need.above),
                     here.empty() ? "" : "; of this file go on: ", here);
}

std::string StopText(const fit::Need& need, const SetupReport& setup, const Units& units) {
  std::string text = setup.fitted.adjust.stops == Stops::kRemoved
                         ? "the travel stops kept, or others in their place"
                         : "travel stops that act sooner";
  if (!need.before || !need.travel) return text;
  const std::string_view before = RackEnds()[static_cast<std::size_t>(*need.before)].label;
  if (*need.travel <= 0.0) {
    return fmt::format("no travel is safe: {} may be met straight ahead, which no stop cures",
                       before);
  }
  const Shown travel = Show(*need.travel, std::nullopt, Kind::kLength, units.For(Kind::kLength));
  // Three digits, rounded to the safe side.
  const double step = std::pow(10.0, std::floor(std::log10(travel.value)) - 2.0);
  return fmt::format("{}: within {:.3g} {} of centre, before this: {}", text,
                     std::floor(travel.value / step) * step, travel.unit, before);
}

}  // namespace

std::string FitWord(Verdict verdict) {
  switch (verdict) {
    case Verdict::kFits:
      return "✓ fits";
    case Verdict::kDiffers:
      return "✗ DIFFERS";
    case Verdict::kUnknown:
      break;
  }
  return "? unknown";
}

std::string AdapterText(const std::string& name, const Adapter<Quantity>& adapter) {
  std::string known;
  if (adapter.made && adapter.made != Make::kWorks) AddTo(known, WordOf(*adapter.made));
  if (adapter.owned.value_or(false)) {
    AddTo(known, "owned");
  } else if (adapter.price) {
    AddTo(known, fmt::format("price {:.2f}", adapter.price->value));
  }
  if (adapter.hours && !adapter.hours->written.empty()) {
    AddTo(known, adapter.hours->written + " to fit");
  }
  return known.empty() ? name : fmt::format("{} ({})", name, known);
}

std::string RemedyFor(const fit::Joint& joint) {
  if (joint.comparison.verdict != Verdict::kDiffers) return "";
  return fmt::format("{} ({} against {})", UsualRemedy(joint.at), SideText(joint.comparison, true),
                     SideText(joint.comparison, false));
}

JointText TextOf(const fit::Joint& joint, const SetupReport& setup) {
  JointText text;
  text.name = fmt::format("{}: {} and {}", WordOf(joint.at), Whose(joint.one), Whose(joint.other));
  text.status = FitWord(joint.Outcome());
  if (joint.Outcome() == Verdict::kFits && !joint.cures.empty()) text.status += " with adapter";
  for (const fit::Feature& f : joint.comparison.features) {
    // What keeps the joint from fitting; once it differs, what is merely unstated can wait.
    if (f.verdict == Verdict::kFits || f.verdict < joint.comparison.verdict) continue;
    text.lines.push_back(FeatureText(f, joint));
  }
  if (joint.comparison.features.empty()) text.lines.emplace_back("neither says anything of it");
  for (const fit::Cure& cure : joint.cures) {
    const auto& [name, adapter] = setup.adapters[cure.adapter];
    std::string what = "adapter " + AdapterText(name, adapter);
    if (cure.then) {
      const auto& [next, second] = setup.adapters[*cure.then];
      what += ", then adapter " + AdapterText(next, second);
    }
    text.lines.push_back(fmt::format("{}: {}", cure.sure ? "cure" : "perhaps", what));
  }
  const bool sure = !joint.cures.empty() && joint.cures.front().sure;
  if (!sure && joint.comparison.verdict == Verdict::kDiffers) {
    text.lines.push_back("wanted: " + RemedyFor(joint));
  }
  return text;
}

std::string TextOf(const fit::Need& need, const SetupReport& setup, const Units& units) {
  const Fitted<Quantity>& f = setup.fitted;
  switch (need.what) {
    case fit::Lack::kPump:
      return fmt::format("a pump: nothing feeds the assistance of rack {}", f.rack->name);
    case fit::Lack::kPulley:
      return fmt::format("a pulley for pump {}", f.pump->name);
    case fit::Lack::kBelt:
      return "a belt" + SizesText(need, units);
    case fit::Lack::kBeltLength:
      return fmt::format("a belt of another length than {}{}", f.belt->name,
                         SizesText(need, units));
    case fit::Lack::kStop:
      return StopText(need, setup, units);
    case fit::Lack::kDriver:
      return fmt::format(
          "a driver for control valve {}: car.driver.current does not say what its "
          "coil is given",
          f.control_valve->name);
    case fit::Lack::kOwnDriver:
      return fmt::format("a second driver, for control valve {}: the document describes one",
                         f.second_control_valve->name);
    case fit::Lack::kAdapter:
      break;
  }
  const auto& [name, adapter] = setup.adapters[*need.adapter];
  return Pieces(need.pieces) + "adapter " + AdapterText(name, adapter);
}

std::string NeedWords(const fit::Need& need, const Units& units) {
  const bool belt = need.what == fit::Lack::kBelt || need.what == fit::Lack::kBeltLength;
  return Spaced(fit::KeyOf(need.what)) + (belt ? SizesText(need, units) : "");
}

std::string FitLines(const SetupReport& setup, const Units& units) {
  constexpr std::size_t kWide = 86, kDeep = 6;
  std::vector<JointText> joints;
  std::size_t width = 0;
  for (const fit::Joint& joint : setup.fit.joints) {
    joints.push_back(TextOf(joint, setup));
    width = std::max(width, Width(joints.back().name));
  }
  std::string out;
  for (const JointText& joint : joints) {
    out += fmt::format("    {}  {}\n", PadRight(joint.name, width), joint.status);
    for (const std::string& line : joint.lines) out += Wrap(line, kWide, kDeep);
  }
  for (const fit::Need& need : setup.needs) {
    out += Wrap("needed: " + TextOf(need, setup, units), kWide, kDeep).substr(kDeep - 4);
  }
  return out;
}

std::string FitCell(const SetupReport& setup) {
  if (!setup.fit.verdict) return "-";
  const Verdict worst = *setup.fit.verdict;
  if (worst == Verdict::kFits) return "fits";
  std::string where;
  for (const fit::Joint& joint : setup.fit.joints) {
    const std::string_view at = WordOf(joint.at);
    if (joint.Outcome() == worst && where.find(at) == std::string::npos) AddTo(where, at);
  }
  return fmt::format("{}: {}", worst == Verdict::kDiffers ? "DIFFERS" : "unknown", where);
}

}  // namespace steerbench
