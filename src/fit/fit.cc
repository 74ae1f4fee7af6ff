#include "fit/fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <tuple>

namespace steerbench::fit {
namespace {

constexpr std::string_view kValve = "control_valve";

// Whether what a valve of this principle acts on is in that part.
bool ActsOn(std::optional<ControlPrinciple> principle, std::string_view table) {
  using enum ControlPrinciple;
  if (!principle) return true;
  if (table == "rack") return *principle != kPumpBypass;
  if (table == "pump") return *principle == kPumpBypass || *principle == kFeed;
  return true;
}

bool CanMeet(const Party& one, const Party& other, Meeting at) {
  if (one.table == other.table) return false;
  if (at != Meeting::kControlPort && at != Meeting::kCoilPlug) return true;
  if (one.table == kValve) return ActsOn(one.principle, other.table);
  return other.table == kValve && ActsOn(other.principle, one.table);
}

// Whether an adapter suits two faces that way round; its sides compared with what they meet.
std::optional<Cure> Suits(std::size_t index, bool turned, const Adapter<Quantity>& adapter,
                          const Face& one, const Face& other) {
  const Face& to_one = turned ? adapter.other : adapter.one;
  const Face& to_other = turned ? adapter.one : adapter.other;
  const Verdict worst = std::max(Compare(to_one, one).verdict, Compare(to_other, other).verdict);
  if (worst == Verdict::kDiffers) return std::nullopt;
  return Cure{index, turned, worst == Verdict::kFits};
}

bool StandsAt(const Adapter<Quantity>& adapter, std::optional<Meeting> at) {
  return (adapter.one.at ? adapter.one.at : adapter.other.at) == at;
}

// One end of a chain: an adapter, one side of which does not differ from a face.
struct End {
  std::size_t adapter;
  bool turned;         // that side is its `other`
  Verdict verdict;     // of that side with the face
  const Face* beyond;  // its side away from the face
};

std::vector<End> EndsAt(const Face& face, const Adapters& adapters) {
  std::vector<End> ends;
  for (std::size_t i = 0; i < adapters.size() && ends.size() < kMostChained; ++i) {
    const Adapter<Quantity>& a = adapters[i].second;
    if (!StandsAt(a, face.at)) continue;
    for (const bool turned : {false, true}) {
      const Verdict v = Compare(turned ? a.other : a.one, face).verdict;
      if (v != Verdict::kDiffers) ends.push_back({i, turned, v, turned ? &a.one : &a.other});
    }
  }
  return ends;
}

// Two adapters in a row, of each two the best way round.
void AddChains(const Face& one, const Face& other, const Adapters& adapters,
               std::vector<Cure>& cures) {
  const std::vector<End> near = EndsAt(one, adapters), far = EndsAt(other, adapters);
  for (const End& a : near) {
    for (const End& b : far) {
      if (a.adapter == b.adapter) continue;
      const Verdict between = Compare(*a.beyond, *b.beyond).verdict;
      const Verdict worst = std::max({a.verdict, between, b.verdict});
      if (worst == Verdict::kDiffers) continue;
      const Cure chain{a.adapter, a.turned, worst == Verdict::kFits, b.adapter, !b.turned};
      const auto same = std::ranges::find_if(
          cures, [&](const Cure& c) { return c.adapter == chain.adapter && c.then == chain.then; });
      if (same == cures.end()) {
        cures.push_back(chain);
      } else if (chain.sure && !same->sure) {
        *same = chain;
      }
    }
  }
}

// What is good about a cure, the lesser before the greater.
auto PlaceOf(const Cure& cure, const Adapters& adapters) {
  constexpr double kUnstated = std::numeric_limits<double>::infinity();
  bool owned = true;
  double price = 0.0, hours = 0.0;
  const auto add = [&](const Adapter<Quantity>& a) {
    const bool here = a.owned.value_or(false);
    owned = owned && here;
    if (!here) price += a.price ? a.price->value : kUnstated;
    hours += a.hours ? a.hours->value : kUnstated;
  };
  add(adapters[cure.adapter].second);
  if (cure.then) add(adapters[*cure.then].second);
  return std::tuple(!cure.sure, cure.then.has_value(), !owned, price, hours);
}

std::vector<Cure> CuresFor(const Face& one, const Face& other, const Adapters& adapters) {
  std::vector<Cure> cures;
  for (std::size_t i = 0; i < adapters.size(); ++i) {
    const Adapter<Quantity>& adapter = adapters[i].second;
    if (!StandsAt(adapter, one.at)) continue;
    std::optional<Cure> best = Suits(i, false, adapter, one, other);
    if (!best || !best->sure) {
      const std::optional<Cure> turned = Suits(i, true, adapter, one, other);
      if (turned && (!best || turned->sure)) best = turned;
    }
    if (best) cures.push_back(*best);
  }
  if (std::ranges::none_of(cures, &Cure::sure)) AddChains(one, other, adapters, cures);
  std::ranges::stable_sort(cures, {}, [&](const Cure& c) { return PlaceOf(c, adapters); });
  return cures;
}

}  // namespace

Verdict Joint::Outcome() const {
  if (cures.empty()) return comparison.verdict;
  return cures.front().sure ? Verdict::kFits : Verdict::kUnknown;
}

Party PartyOf(const Car<Quantity>& car, bool own_arms) {
  Party party{"car", "car", car.face, {}};
  // Unset rather than taken out, so that the faces keep their places in the document.
  for (Face& face : party.face) {
    if (!own_arms && face.at == Meeting::kOuterTaper) face.at.reset();
  }
  return party;
}

std::vector<Party> PartiesOf(const Fitted<Quantity>& fitted) {
  std::vector<Party> parties;
  parties.push_back(PartyOf(fitted.car, !fitted.arms));
  Fitted<Quantity>::Visit(
      [&](const FieldInfo& info, const auto& part) {
        if constexpr (requires { part->face; }) {
          if (part) parties.push_back(PartyOf(info.Table(), part->name, *part));
        }
      },
      fitted);
  return parties;
}

std::vector<Joint> Meet(const Party& one, const Party& other, const Adapters& adapters) {
  std::vector<Joint> joints;
  for (std::size_t i = 0; i < one.face.size(); ++i) {
    const Face& a = one.face[i];
    if (!a.at || !CanMeet(one, other, *a.at)) continue;
    for (std::size_t k = 0; k < other.face.size(); ++k) {
      const Face& b = other.face[k];
      if (b.at != a.at) continue;
      Joint joint{*a.at,
                  fmt::format("{}.face[{}]", one.path, i),
                  fmt::format("{}.face[{}]", other.path, k),
                  Compare(a, b),
                  {}};
      if (joint.comparison.verdict == Verdict::kDiffers) joint.cures = CuresFor(a, b, adapters);
      joints.push_back(std::move(joint));
    }
  }
  return joints;
}

Pair Between(const Party& one, const Party& other, const Adapters& adapters) {
  Pair pair;
  for (const Joint& joint : Meet(one, other, adapters)) {
    pair.verdict = std::max(pair.verdict, joint.Outcome());
    AddAdapters(joint, pair.adapters);
  }
  return pair;
}

void AddAdapters(const Joint& joint, std::vector<std::size_t>& adapters) {
  if (joint.cures.empty()) return;
  const Cure& best = joint.cures.front();
  adapters.push_back(best.adapter);
  if (best.then) adapters.push_back(*best.then);
}

SetupFit FitOf(const Fitted<Quantity>& fitted, const Adapters& adapters) {
  SetupFit result;
  const std::vector<Party> parties = PartiesOf(fitted);
  for (std::size_t i = 0; i < parties.size(); ++i) {
    for (std::size_t k = i + 1; k < parties.size(); ++k) {
      for (Joint& joint : Meet(parties[i], parties[k], adapters)) {
        result.verdict = std::max(result.verdict.value_or(Verdict::kFits), joint.Outcome());
        result.joints.push_back(std::move(joint));
      }
    }
  }
  std::ranges::stable_sort(result.joints, {}, &Joint::at);
  return result;
}

}  // namespace steerbench::fit
