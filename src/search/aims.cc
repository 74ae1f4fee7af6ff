#include "search/aims.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace steerbench::search {
namespace {

using enum Output;

constexpr double kDegree = std::numbers::pi / 180.0;
constexpr double kTurn = 2.0 * std::numbers::pi;

struct Described {
  std::string_view label;
  double step;
};
// Steps: common practice, no source. Nobody feels 0.05 N·m or sets a wheel to less than 0.1°.
constexpr std::array<Described, kAims> kDescribed{{{"effort at the kerb", 0.05},
                                                   {"effort on the road", 0.05},
                                                   {"effort, assist lost", 0.05},
                                                   {"feel on centre", 0.05},
                                                   {"angle at lock", 0.1 * kDegree},
                                                   {"turning circle", 0.01},
                                                   {"turns lock to lock", 0.01 * kTurn},
                                                   {"bump steer", 0.005 * kDegree / 0.025},
                                                   {"catch-up speed", 1.0 / 60.0 * kTurn},
                                                   {"cost", 1.0},
                                                   {"hours", 360.0},
                                                   {"lasting changes", 1.0}}};

std::array<AimInfo, kAims> MakeInfos() {
  std::array<AimInfo, kAims> infos{};
  const steerbench::Aims<Want> any;
  std::size_t i = 0;
  steerbench::Aims<Want>::Visit(
      [&](const FieldInfo& field, const auto&) {
        infos[i] = {static_cast<Aim>(i), field.key,  kDescribed[i].label,
                    field.kind,          field.help, kDescribed[i].step};
        ++i;
      },
      any);
  return infos;
}

// `value` gives a result, `whole` says that the weight with assistance lost waits for nothing.
template <class Value>
AimValues AimsFrom(Value&& value, bool whole) {
  AimValues values;
  for (const AimInfo& info : AimInfos()) {
    const auto source = SourceOf(info.id);
    if (!source) continue;
    const std::optional<double> left = value(source->left), right = value(source->right);
    if (!left || !right) continue;
    const double a = std::abs(*left), b = std::abs(*right);
    At(values, info.id) = source->greater ? std::max(a, b) : std::min(a, b);
  }
  // Waits for nothing and is not there: no assistance is fitted that could be lost.
  if (whole && !value(kKerbLostTorque)) At(values, Aim::kLostEffort) = At(values, Aim::kKerbEffort);
  return values;
}

}  // namespace

const std::array<AimInfo, kAims>& AimInfos() {
  static const std::array<AimInfo, kAims> infos = MakeInfos();
  return infos;
}

std::optional<AimSource> SourceOf(Aim aim) {
  switch (aim) {
    case Aim::kKerbEffort:
      return AimSource{kKerbTorque, kKerbTorque, true};
    case Aim::kRoadEffort:
      return AimSource{kRoadTorque, kRoadTorque, true};
    case Aim::kLostEffort:
      return AimSource{kKerbLostTorque, kKerbLostTorque, true};
    case Aim::kCentreFeel:
      return AimSource{kCentreGradient, kCentreGradient, true};
    case Aim::kLockAngle:
      return AimSource{kInnerWheelLeft, kInnerWheelRight, false};
    case Aim::kTurningCircle:
      return AimSource{kKerbCircleLeft, kKerbCircleRight, true};
    case Aim::kTurns:
      return AimSource{Output::kTurns, Output::kTurns, true};
    case Aim::kBumpSteer:
      return AimSource{kBumpSteerLeft, kBumpSteerRight, true};
    case Aim::kCatchUp:
      return AimSource{kCatchUpLeft, kCatchUpRight, false};
    case Aim::kCost:
    case Aim::kHours:
    case Aim::kLasting:
      break;
  }
  return std::nullopt;
}

AimValues AimsOf(const Evaluation<double>& e) {
  return AimsFrom([&](Output id) { return e[id]; },
                  e.result[static_cast<std::size_t>(kKerbLostTorque)].missing.empty());
}

AimValues AimsOf(const Propagated& results) {
  const auto value = [&](Output id) {
    const auto& figure = results[id].figure;
    return figure ? std::optional(figure->value) : std::nullopt;
  };
  return AimsFrom(value, results[kKerbLostTorque].missing.empty());
}

void Put(AimValues& aims, const Bill& bill) {
  At(aims, Aim::kCost) = bill.missing_cost.empty() ? std::optional(bill.cost) : std::nullopt;
  At(aims, Aim::kHours) = bill.missing_hours.empty() ? std::optional(bill.hours) : std::nullopt;
  At(aims, Aim::kLasting) = bill.lasting;
}

StatedWishes WishesOf(const std::optional<Search>& search) {
  StatedWishes stated;
  bool any = false;
  const auto each = [&](const auto& fields, auto&& f) {
    std::size_t i = 0;
    std::remove_cvref_t<decltype(fields)>::Visit(
        [&](const FieldInfo&, const auto& field) {
          if (field) f(stated.of[i], *field);
          ++i;
        },
        fields);
  };
  if (search) {
    each(search->want, [&](Wish& w, Want want) { w.want = want, any = true; });
    each(search->near, [&](Wish& w, const Quantity& q) {
      w.near = q.value;
      if (!w.want) w.want = Want::kNear, any = true;
    });
    each(search->at_most, [](Wish& w, const Quantity& q) { w.at_most = q.value; });
    each(search->at_least, [](Wish& w, const Quantity& q) { w.at_least = q.value; });
  }
  if (any) return stated;
  stated.assumed = true;
  for (const Aim aim : {Aim::kKerbEffort, Aim::kBumpSteer, Aim::kCost, Aim::kHours}) {
    stated.of[static_cast<std::size_t>(aim)].want = Want::kLess;
  }
  stated.of[static_cast<std::size_t>(Aim::kLockAngle)].want = Want::kMore;
  return stated;
}

double Goodness(const Wish& wish, double value) {
  if (*wish.want == Want::kNear) return -std::abs(value - wish.near);
  return *wish.want == Want::kMore ? value : -value;
}

double Penalty(const Wish& wish, const AimInfo& info, double value) {
  return std::round(-Goodness(wish, value) / info.step);
}

}  // namespace steerbench::search
