#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "cli/load.h"
#include "engine/evaluate/front.h"
#include "engine/linkage/solve_for.h"
#include "engine/turning/ackermann.h"
#include "model/lift.h"

namespace steerbench::cli {
namespace {

using linkage::DesignVariable;

constexpr std::array<std::pair<std::string_view, DesignVariable>, 5> kVariables{
    {{"rack-up", DesignVariable::kRackUp},
     {"rack-forward", DesignVariable::kRackForward},
     {"outer-shim", DesignVariable::kOuterShim},
     {"arm-length", DesignVariable::kArmLength},
     {"spacer", DesignVariable::kSpacer}}};
constexpr int kBumpPoints = 27;  // wheel travels over which bump steer is counted

std::optional<double> Length(std::string_view option, const std::string& text) {
  const ParsedQuantity parsed = ParseQuantity(text, Kind::kLength);
  if (parsed.quantity) return parsed.quantity->value;
  Complain(fmt::format("--{}: {}", option, parsed.error.message));
  return std::nullopt;
}

// Wheel travel to look over: as asked, else the car's own.
std::optional<double> WheelTravel(std::string_view option, const std::string& asked,
                                  const std::optional<double>& own) {
  if (!asked.empty()) {
    const auto length = Length(option, asked);
    if (!length || *length >= 0.0) return length;
    Complain(fmt::format("--{} {}: give how far the wheel goes that way as a positive length",
                         option, asked));
    return std::nullopt;
  }
  if (own) return own;
  Complain(fmt::format("--{} is needed: the car does not state its {}", option, option));
  return std::nullopt;
}

std::optional<linkage::Target> BumpTarget(const SolveOptions& o, const Fitted<double>& fitted) {
  linkage::LeastBumpSteer least;
  const auto rebound = WheelTravel("rebound", o.rebound, fitted.car.front.rebound);
  const auto jounce = WheelTravel("jounce", o.jounce, fitted.car.front.jounce);
  if (!rebound || !jounce) return std::nullopt;
  if (o.about != "static toe" && o.about != "mean toe") {
    Complain(fmt::format("--about '{}': write 'static toe' or 'mean toe'", o.about));
    return std::nullopt;
  }
  least.about = o.about == "mean toe" ? linkage::LeastBumpSteer::About::kMeanToe
                                      : linkage::LeastBumpSteer::About::kStaticToe;
  least.rebound = *rebound;
  least.jounce = *jounce;
  least.points = kBumpPoints;
  return least;
}

// An angle of the left wheel or an Ackermann share, at a rack travel.
std::optional<linkage::Target> FigureTarget(const SolveOptions& o, const Fitted<double>& fitted,
                                            const Front<double>& front, Kind& kind) {
  const ParsedQuantity angle = ParseQuantity(o.target, Kind::kAngle);
  const ParsedQuantity share = ParseQuantity(o.target, Kind::kShare);
  if (!angle.quantity && !share.quantity) {
    Complain(
        fmt::format("--target '{}': write least-bump-steer, an angle such as \"35 deg\" or a "
                    "share such as \"60 %\"",
                    o.target));
    return std::nullopt;
  }
  if (o.at.empty()) {
    Complain(
        "--at is needed with an angle or a share: the rack travel at which it is wanted, e.g. "
        "--at \"-60 mm\" (to the left is +)");
    return std::nullopt;
  }
  const auto travel = Length("at", o.at);
  if (!travel) return std::nullopt;
  if (angle.quantity) {
    kind = Kind::kAngle;
    return linkage::FigureAt{
        *travel, angle.quantity->value,
        [](const linkage::AxleState<double>& a) -> std::optional<double> { return a.steer[0]; }};
  }
  const auto left = SeeWheel<double>(front, Side::kLeft, 0.0, 0.0);
  const auto right = SeeWheel<double>(front, Side::kRight, 0.0, 0.0);
  if (!fitted.car.wheelbase || !left || !right) {
    Complain(fitted.car.wheelbase ? "the wheels do not stand straight ahead: see 'steerbench check'"
                                  : "an Ackermann share needs car.wheelbase");
    return std::nullopt;
  }
  kind = Kind::kShare;
  const turning::Layout<double> layout{
      *fitted.car.wheelbase, left->state->axis_ground.y() + right->state->axis_ground.y()};
  return linkage::FigureAt{
      *travel, share.quantity->value, [layout](const linkage::AxleState<double>& a) {
        return turning::AckermannShare<double>(turning::AckermannBasis::kSameInner, layout,
                                               {a.steer[0], a.steer[1]});
      }};
}

std::string_view Verdict(linkage::SolveForStatus status) {
  using enum linkage::SolveForStatus;
  switch (status) {
    case kReached:
      return "reached";
    case kAtBound:
      return "best at the bound: beyond it it would be better still";
    case kNotReached:
      return "not reached within the bounds; this is the nearest";
    case kNoLinkage:
      return "no value within the bounds gives a linkage that reaches all poses";
    case kBadTask:
      return "the bounds or the travel make no sense";
    case kNotRun:
      break;
  }
  return "not run";
}

// What the setup says of the variable now, in the field that holds it; null for what has none.
std::optional<std::pair<std::string_view, double>> Setting(DesignVariable variable,
                                                           const Adjustments<double>& adjust) {
  switch (variable) {
    case DesignVariable::kRackUp:
      return {{"rack_up", adjust.rack_up.value_or(0.0)}};
    case DesignVariable::kRackForward:
      return {{"rack_forward", adjust.rack_forward.value_or(0.0)}};
    case DesignVariable::kOuterShim:
      return {{"outer_shim", adjust.outer_shim.value_or(0.0)}};
    case DesignVariable::kArmLength:
    case DesignVariable::kSpacer:
      break;
  }
  return std::nullopt;
}

// As finely as a builder can set it or read it: 0.01 mm, 0.001 deg, 0.01 %.
double Rounded(double x, Kind kind) {
  const double step = kind == Kind::kLength  ? 1e-5
                      : kind == Kind::kAngle ? std::numbers::pi / 180.0 * 1e-3
                                             : 1e-4;
  return std::round(x / step) * step;
}

std::string_view ChangeWords(DesignVariable variable, bool more) {
  switch (variable) {
    case DesignVariable::kRackUp:
      return more ? "raise the rack by" : "lower the rack by";
    case DesignVariable::kRackForward:
      return more ? "move the rack forward by" : "move the rack back by";
    case DesignVariable::kOuterShim:
      return more ? "lower the outer joints on their studs by" : "raise the outer joints by";
    case DesignVariable::kArmLength:
      return more ? "lengthen the steering arms by" : "shorten the steering arms by";
    case DesignVariable::kSpacer:
      return more ? "add, to the spacers fitted," : "take off the spacers fitted";
  }
  return "";
}

struct Answer {
  const SolveOptions& options;
  const linkage::Solution& solution;
  DesignVariable variable;
  std::string setup;
  std::optional<std::pair<std::string_view, double>> setting;
  Kind kind;
  const Fitted<double>& fitted;
};

std::string Said(const Answer& a, const Units& units) {
  const linkage::Solution& s = a.solution;
  if (s.status == linkage::SolveForStatus::kNoLinkage) {
    return fmt::format("Setup {}: {}\n", a.setup, Verdict(s.status));
  }
  const auto show = [&](double x, Kind k) {
    return Show(Rounded(x, k), std::nullopt, k, units.For(k)).text;
  };
  std::string out =
      fmt::format("Setup {}: {} {}: {}\n", a.setup, ChangeWords(a.variable, s.value >= 0.0),
                  show(std::abs(s.value), Kind::kLength), Verdict(s.status));
  if (a.setting) {
    out += fmt::format("  setup.{}.{}: from {} to {}\n", a.setup, a.setting->first,
                       show(a.setting->second, Kind::kLength),
                       show(a.setting->second + s.value, Kind::kLength));
  }
  const auto* bump = std::get_if<linkage::LeastBumpSteer>(&s.target);
  out += bump ? fmt::format(
                    "  root mean square steer of both wheels about {}, {} wheel travels "
                    "from {} down to {} up\n",
                    a.options.about, bump->points, show(bump->rebound, Kind::kLength),
                    show(bump->jounce, Kind::kLength))
              : fmt::format("  at a rack travel of {} (to the left is +)\n", a.options.at);
  if (const auto* at = std::get_if<linkage::FigureAt>(&s.target)) {
    const std::string end = EndBefore(at->travel, Evaluate(a.fitted).ends, units);
    if (!end.empty()) out += fmt::format("  which the rack does not reach: it ends at {}\n", end);
  }
  if (s.before) out += fmt::format("  as it is  {}\n", show(*s.before, a.kind));
  out += fmt::format("  then      {}\n", show(s.after, a.kind));
  out +=
      fmt::format("  toe {} after the change\n", a.options.keep_toe ? "re-set" : "left to change");
  return out;
}

std::string SaidJson(const std::string& title, const Answer& a) {
  const linkage::Solution& s = a.solution;
  nlohmann::ordered_json j{
      {"steerbench", "solve"}, {"format", 1}, {"title", title}, {"setup", a.setup}};
  j["vary"] = a.options.vary;
  j["change_si"] = s.value;
  if (a.setting) {
    j["field"] = fmt::format("setup.{}.{}", a.setup, a.setting->first);
    j["from_si"] = a.setting->second;
    j["to_si"] = a.setting->second + s.value;
  }
  j["status"] = Verdict(s.status);
  const bool found = s.status != linkage::SolveForStatus::kNoLinkage;
  if (!found) j["change_si"] = nullptr;
  if (!found && a.setting) j["to_si"] = nullptr;
  j["reached"] = s.status == linkage::SolveForStatus::kReached;
  j["before_si"] = s.before ? nlohmann::ordered_json(*s.before) : nullptr;
  j["after_si"] = found ? nlohmann::ordered_json(s.after) : nullptr;
  j["residual_si"] = found ? nlohmann::ordered_json(s.residual) : nullptr;
  j["evaluations"] = s.evaluations;
  j["toe_re_set"] = a.options.keep_toe;
  return j.dump(2) + "\n";
}

}  // namespace

int RunSolve(const SolveOptions& o) {
  if (!o.find.empty()) return RunFind(o);
  for (const auto& [name, text] : {std::pair{"--vary", &o.vary},
                                   {"--target", &o.target},
                                   {"--from", &o.from},
                                   {"--to", &o.to}}) {
    if (!text->empty()) continue;
    Complain(fmt::format("{} is needed, or --find with --seen; 'steerbench solve -h' explains both",
                         name));
    return kUnusable;
  }
  const Loaded loaded = Load(o.file);
  if (!loaded.usable) return kUnusable;
  const auto* setup = OneSetup(loaded, o);
  if (setup == nullptr) return kUnusable;
  const Fitted<double> fitted = LiftTo<double>(Fit(loaded.document, setup->second),
                                               [](std::size_t, double value) { return value; });
  const Front<double> front = AssembleFront(fitted);
  if (front.level != Level::kPoints) {
    Complain(
        "solving for a target needs the points of the suspension in space: see 'steerbench "
        "check' for what is missing");
    return kUnusable;
  }
  const auto variable =
      std::ranges::find(kVariables, o.vary, [](const auto& v) { return v.first; });
  if (variable == kVariables.end()) {
    Complain(
        fmt::format("--vary '{}': write rack-up, rack-forward, outer-shim, arm-length or "
                    "spacer",
                    o.vary));
    return kUnusable;
  }
  const auto least = Length("from", o.from);
  const auto most = Length("to", o.to);
  if (!least || !most) return kUnusable;
  Kind kind = Kind::kAngle;
  const auto target =
      o.target == "least-bump-steer" ? BumpTarget(o, fitted) : FigureTarget(o, fitted, front, kind);
  if (!target) return kUnusable;
  if (*least >= *most) {
    Complain(fmt::format("--from {} must be less than --to {}", o.from, o.to));
    return kUnusable;
  }
  const linkage::Solution solution =
      linkage::SolveFor({front.corner, variable->second, *least, *most, o.keep_toe, *target});
  const Answer answer{
      o,    solution, variable->second, setup->first, Setting(variable->second, fitted.adjust),
      kind, fitted};
  if (solution.status == linkage::SolveForStatus::kBadTask) {
    Complain(std::string(Verdict(solution.status)));
    return kUnusable;
  }
  Print(o.json ? SaidJson(loaded.document.title, answer)
               : Said(answer, StyleOf(loaded.document, o).units));
  return solution.status == linkage::SolveForStatus::kReached ? kAllWell : kLimitExceeded;
}

}  // namespace steerbench::cli
