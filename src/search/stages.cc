#include "search/stages.h"

#include <algorithm>
#include <cmath>

#include "engine/evaluate/oil.h"
#include "engine/evaluate/states.h"

namespace steerbench::search {
namespace {

constexpr effort::Direction kIn = effort::Direction::kLeft, kOut = effort::Direction::kRight;

template <class T>
std::optional<T> Known(const Said<T>& said) {
  return said ? std::optional<T>(*said) : std::nullopt;
}

}  // namespace

bool OfAssist(Check check) {
  using enum Check;
  switch (check) {
    case kPumpTopSpeed:
    case kPumpIdleSpeed:
    case kHose:
    case kInlet:
    case kBeltNotShort:
    case kBeltNotLong:
    case kBeltGrip:
    case kCoil:
    case kSecondCoil:
      return true;
    default:
      return false;
  }
}

bool OfBoth(Check check) {
  return check == Check::kPressureReserve || check == Check::kCatchUp ||
         check == Check::kOilTemperature;
}

void LookAtLinkage(const Lowered& lowered, const Wishes& wishes, LinkagePart& part) {
  part.fitted = lowered.Of(part.choice);
  Fitted<double>& f = part.fitted;
  f.pump.reset();
  f.pulley.reset();
  f.belt.reset();
  f.fluid.reset();
  f.control_valve.reset();
  f.second_control_valve.reset();
  const Evaluation<double> e = Evaluate(f);
  part.left_out = FirstExceeded(e, true, [](Check c) { return !OfAssist(c) && !OfBoth(c); });
  const AimValues all = AimsOf(e);
  for (const Aim aim : {Aim::kLockAngle, Aim::kTurningCircle, Aim::kTurns, Aim::kBumpSteer}) {
    At(part.aims, aim) = At(all, aim);
  }
  if (part.left_out == kKept) part.left_out = Unmet(wishes, part.aims, false);
  if (part.left_out != kKept) {
    f = {};  // thousands of them need not be kept
    return;
  }
  part.front = AssembleFront(f);
  part.hand = HandToRackOf(f, e.steers_to_own_side.value_or(true), part.hand_missing);
  std::vector<Assumption> assumed;
  Chain<double> chain(f, part.front, part.hand, part.hand_missing, assumed);
  if (chain.StandingLacks(false).empty()) part.kerb = Known(chain.Standing({}, 0.0));
  if (!chain.BendLacks().empty()) return;
  part.road = Known(chain.InBend(kRoadSpeed, kRoadAcceleration));
  part.centre = Known(chain.InBend(kRoadSpeed, kSlightAcceleration));
}

void LookAtAssist(const Lowered& lowered, AssistPart& part) {
  part.fitted = lowered.Of(part.choice);
  // Without a linkage only what needs none is worked out.
  Fitted<double> alone = part.fitted;
  alone.car.front.left = {};
  alone.car.front.right = {};
  alone.car.front.plan = {};
  alone.car.front.turn_plate.clear();
  part.left_out = FirstExceeded(Evaluate(alone), false, OfAssist);
  if (part.left_out != kKept) part.fitted = {};
}

Joiner::Joiner(const std::vector<AssistPart>& parts, const LinkagePart& any) : parts_(parts) {
  assist_.reserve(parts.size());
  for (const AssistPart& part : parts) {
    assist_.emplace_back(part.fitted, any.hand, any.hand_missing, assumed_);
  }
}

std::optional<double> Joiner::Torque(const std::optional<LoadedAxle<double>>& axle,
                                     effort::Direction side,
                                     const std::optional<double>& pump_speed, double road_speed,
                                     std::optional<Weighed<double>>* whole) {
  if (!axle) return std::nullopt;
  const auto weighed = chain_->Turn(*axle, side, pump_speed, road_speed);
  if (!weighed) return std::nullopt;
  if (whole != nullptr) *whole = *weighed;
  return weighed->to_left;
}

Joiner::Weights Joiner::Weigh(const LinkagePart& linkage, std::size_t assist,
                              const Needed& needed) {
  if (linkage_ != &linkage) {
    chain_.emplace(linkage.fitted, linkage.front, linkage.hand, linkage.hand_missing, assumed_);
    linkage_ = &linkage;
  }
  Assist<double>& help = assist_[assist];
  chain_->TakeAssist(help);
  const auto needs = [&](Aim aim) { return needed[static_cast<std::size_t>(aim)]; };
  Weights out;
  const bool helped = help.Present();
  const auto magnitude = [](std::optional<double> x) { return x ? std::abs(*x) : x; };
  if (chain_->StandingLacks(false).empty()) {
    if (needs(Aim::kLostEffort)) {
      At(out.aims, Aim::kLostEffort) = magnitude(Torque(linkage.kerb, kIn, std::nullopt, 0.0));
    }
    if (help.Lacks(0.0).empty()) {
      const auto idle = helped ? std::optional(help.IdleSpeed()) : std::nullopt;
      std::optional<Weighed<double>> kerb;
      At(out.aims, Aim::kKerbEffort) = magnitude(Torque(linkage.kerb, kIn, idle, 0.0, &kerb));
      if (kerb && kerb->oil) {
        const Fitted<double>& f = parts_[assist].fitted;
        out.pressure_short = f.pump && ReliefOf(f) && ReliefBegins(f) - kerb->oil->outlet < 0.0;
        if (needs(Aim::kCatchUp)) {
          if (const auto speed = chain_->CatchUpUnder(kerb->load, *idle)) {
            At(out.aims, Aim::kCatchUp) = std::min(std::abs(speed->left), std::abs(speed->right));
          }
        }
      }
    }
  }
  if (!chain_->BendLacks().empty() || !help.Lacks(kRoadSpeed).empty()) return out;
  const auto cruise = helped ? std::optional(help.CruiseSpeed()) : std::nullopt;
  if (needs(Aim::kRoadEffort)) {
    At(out.aims, Aim::kRoadEffort) = magnitude(Torque(linkage.road, kIn, cruise, kRoadSpeed));
  }
  if (needs(Aim::kCentreFeel)) {
    const auto in = Torque(linkage.centre, kIn, cruise, kRoadSpeed);
    const auto back = Torque(linkage.centre, kOut, cruise, kRoadSpeed);
    if (in && back) {
      At(out.aims, Aim::kCentreFeel) =
          std::abs((*in + *back) / 2.0 * (kGravity / kSlightAcceleration));
    }
  }
  return out;
}

}  // namespace steerbench::search
