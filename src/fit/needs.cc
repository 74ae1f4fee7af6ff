#include "fit/needs.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace steerbench::fit {
namespace {

class Finder {
 public:
  Finder(const Fitted<Quantity>& fitted, const Propagated& results,
         const Named<Belt<Quantity>>& belts)
      : f_(fitted), results_(results), belts_(belts) {}

  std::vector<Need> Run(const SetupFit& joints) {
    Drive();
    Stop();
    Drivers();
    for (const Joint& joint : joints.joints) {
      std::vector<std::size_t> adapters;
      AddAdapters(joint, adapters);
      for (const std::size_t a : adapters) AdapterFor(a);
    }
    return std::move(needs_);
  }

 private:
  std::string Field(std::string_view key) const {
    return fmt::format("setup.{}.{}", f_.setup_name, key);
  }

  // From the rack back to the crankshaft: the first part that is not there is the one to name.
  void Drive() {
    const bool assisted = f_.rack && IsAssisted(*f_.rack).value_or(false);
    if (!f_.pump) {
      if (assisted) needs_.push_back({Lack::kPump, Field("pump")});
    } else if (!f_.pulley) {
      needs_.push_back({Lack::kPulley, Field("pulley")});
    } else if (!f_.belt) {
      needs_.push_back(WithSizes({Lack::kBelt, Field("belt")}));
    } else if (Passed(Check::kBeltNotShort) || Passed(Check::kBeltNotLong)) {
      needs_.push_back(WithSizes({Lack::kBeltLength, Field("belt")}));
    }
  }

  bool Passed(Check id) const {
    const PropagatedMargin& m = results_.check[static_cast<std::size_t>(id)];
    return !m.absent && m.margin && m.margin->value < 0.0;
  }

  Need WithSizes(Need need) const {
    const auto value = [&](Output id) -> std::optional<double> {
      const auto& figure = results_[id].figure;
      return figure ? std::optional(figure->value) : std::nullopt;
    };
    need.below = value(Output::kBeltSizeBelow);
    need.above = value(Output::kBeltSizeAbove);
    const auto shortest = value(Output::kBeltShortest), longest = value(Output::kBeltLongest);
    if (!shortest || !longest) return need;
    std::vector<std::string> others;
    for (const auto& [name, belt] : belts_) {
      if (!belt.length || belt.length->value < *shortest || belt.length->value > *longest) continue;
      (belt.owned.value_or(false) ? need.at_hand : others).push_back(name);
    }
    need.at_hand.insert(need.at_hand.end(), others.begin(), others.end());
    return need;
  }

  void Stop() {
    const bool removed = f_.adjust.stops == Stops::kRemoved;
    Need need{Lack::kStop, removed ? Field("stops") : ""};
    for (const auto& way : results_.ends) {
      for (const PropagatedEnd& e : way) {
        if (e.end == RackEnd::kHousingStop || !e.travel) continue;
        if (e.margin.status != limits::Status::kExceeded) continue;
        const double travel = e.travel->value - e.travel->tolerance;
        if (need.travel && *need.travel <= travel) continue;
        need.before = e.end;
        need.travel = travel;
      }
    }
    if (removed || need.before) needs_.push_back(need);
  }

  void Drivers() {
    const bool fed = f_.control_valve && f_.adjust.control_powered.value_or(true);
    if (fed && f_.car.driver.current.empty()) {
      needs_.push_back({Lack::kDriver, "car.driver.current"});
    }
    if (!f_.control_valve || !f_.second_control_valve) return;
    const auto& trouble = results_.control_trouble;
    const bool starved =
        trouble && std::ranges::any_of(trouble->weak, [](const ControlTrouble::Weak& weak) {
          return weak.shared || weak.in_series;
        });
    if (starved || f_.adjust.wiring == CoilWiring::kOwnDrivers) {
      needs_.push_back({Lack::kOwnDriver, Field("wiring")});
    }
  }

  void AdapterFor(std::size_t adapter) {
    const auto same = std::ranges::find(needs_, std::optional(adapter), &Need::adapter);
    if (same == needs_.end()) {
      needs_.push_back({Lack::kAdapter, "", adapter});
    } else {
      ++same->pieces;
    }
  }

  const Fitted<Quantity>& f_;
  const Propagated& results_;
  const Named<Belt<Quantity>>& belts_;
  std::vector<Need> needs_;
};

}  // namespace

std::string_view KeyOf(Lack lack) {
  constexpr std::array<std::string_view, 8> kKeys{"pump", "pulley", "belt",       "belt_length",
                                                  "stop", "driver", "own_driver", "adapter"};
  return kKeys[static_cast<std::size_t>(lack)];
}

std::vector<Need> NeedsOf(const Fitted<Quantity>& fitted, const Propagated& results,
                          const SetupFit& joints, const Named<Belt<Quantity>>& belts) {
  return Finder(fitted, results, belts).Run(joints);
}

}  // namespace steerbench::fit
