#include <fmt/format.h>

#include <algorithm>
#include <array>

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
  if (!asked.empty()) return Length(option, asked);
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
  const auto travel = Length("at", o.at);
  if (!travel) return std::nullopt;
  const ParsedQuantity angle = ParseQuantity(o.target, Kind::kAngle);
  if (angle.quantity) {
    kind = Kind::kAngle;
    return linkage::FigureAt{
        *travel, angle.quantity->value,
        [](const linkage::AxleState<double>& a) -> std::optional<double> { return a.steer[0]; }};
  }
  const ParsedQuantity share = ParseQuantity(o.target, Kind::kShare);
  if (!share.quantity) {
    Complain(
        fmt::format("--target '{}': write least-bump-steer, an angle such as \"35 deg\" or a "
                    "share such as \"60 %\"",
                    o.target));
    return std::nullopt;
  }
  const auto left = SeeWheel<double>(front, Side::kLeft, 0.0, 0.0);
  const auto right = SeeWheel<double>(front, Side::kRight, 0.0, 0.0);
  if (!fitted.car.wheelbase || !left || !right) {
    Complain("an Ackermann share needs car.wheelbase");
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

std::string Said(const SolveOptions& o, const linkage::Solution& s, Kind kind, const Units& units) {
  const auto show = [&](double x, Kind k) { return Show(x, std::nullopt, k, units.For(k)).text; };
  const auto* bump = std::get_if<linkage::LeastBumpSteer>(&s.target);
  std::string out =
      fmt::format("{} {}: {}\n", o.vary, show(s.value, Kind::kLength), Verdict(s.status));
  const std::string what =
      bump ? fmt::format(
                 "root mean square steer of both wheels about {}, {} wheel travels from {} "
                 "down to {} up",
                 o.about, bump->points, show(bump->rebound, Kind::kLength),
                 show(bump->jounce, Kind::kLength))
           : fmt::format("at a rack travel of {}", o.at);
  out += fmt::format("  {}\n", what);
  if (s.before) out += fmt::format("  before  {}\n", show(*s.before, kind));
  out += fmt::format("  after   {}\n", show(s.after, kind));
  out += fmt::format("  toe {} after the change\n", o.keep_toe ? "re-set" : "left to change");
  return out;
}

std::string SaidJson(const SolveOptions& o, const linkage::Solution& s) {
  const auto quoted = [](std::string_view text) { return fmt::format("\"{}\"", text); };
  return fmt::format(
      "{{\"steerbench\": \"solve\", \"format\": 1, \"vary\": {}, \"value_si\": {}, \"status\": {}, "
      "\"reached\": {}, \"before_si\": {}, \"after_si\": {}, \"residual_si\": {}, "
      "\"evaluations\": {}, \"toe_re_set\": {}}}\n",
      quoted(o.vary), s.value, quoted(Verdict(s.status)),
      s.status == linkage::SolveForStatus::kReached,
      s.before ? fmt::format("{}", *s.before) : "null", s.after, s.residual, s.evaluations,
      o.keep_toe);
}

}  // namespace

int RunSolve(const SolveOptions& o) {
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
  const linkage::Solution solution =
      linkage::SolveFor({front.corner, variable->second, *least, *most, o.keep_toe, *target});
  Print(o.json ? SaidJson(o, solution)
               : Said(o, solution, kind, StyleOf(loaded.document, o).units));
  if (solution.status == linkage::SolveForStatus::kBadTask) return kUnusable;
  return solution.status == linkage::SolveForStatus::kReached ? kAllWell : kLimitExceeded;
}

}  // namespace steerbench::cli
