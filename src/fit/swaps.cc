#include "fit/swaps.h"

#include <algorithm>
#include <string_view>

#include "document/quantity_text.h"
#include "engine/evaluate/evaluate.h"
#include "model/lift.h"

namespace steerbench::fit {
namespace {

bool IsOneOf(std::string_view field, std::initializer_list<std::string_view> of) {
  return std::ranges::find(of, field) != of.end();
}

// What a change belongs to, if not to itself alone.
enum class Group : std::uint8_t { kNone, kAssistance, kControl, kToe };

// Which of two cars' changes belong together.
class Grouping {
 public:
  Grouping(const Fitted<Quantity>& from, const Fitted<Quantity>& to)
      : pump_(Differ(from.pump, to.pump)),
        piston_(Assisted(from) != Assisted(to)),
        control_(Differ(from.control_valve, to.control_valve) ||
                 Differ(from.second_control_valve, to.second_control_valve)),
        toe_(Differ(from.adjust.toe, to.adjust.toe) ||
             Differ(from.adjust.toe_length, to.adjust.toe_length) ||
             Differ(from.adjust.tie_rod_left, to.adjust.tie_rod_left) ||
             Differ(from.adjust.tie_rod_right, to.adjust.tie_rod_right)) {}

  [[nodiscard]] Group Of(std::string_view field) const {
    const bool of_pump = IsOneOf(field, {"pump", "pulley", "belt", "fluid", "relief"});
    if (pump_ && (of_pump || (piston_ && field == "rack"))) return Group::kAssistance;
    const bool of_control =
        IsOneOf(field, {"control_valve", "second_control_valve", "wiring", "control_opening",
                        "control_powered", "second_control_powered"});
    if (control_ && of_control) return Group::kControl;
    const bool of_toe = IsOneOf(field, {"toe", "toe_length", "tie_rod_left", "tie_rod_right"});
    return toe_ && of_toe ? Group::kToe : Group::kNone;
  }

 private:
  template <class V>
  static bool Differ(const std::optional<V>& a, const std::optional<V>& b) {
    return a.has_value() != b.has_value();
  }
  static bool Assisted(const Fitted<Quantity>& f) {
    return f.rack && IsAssisted(*f.rack).value_or(false);
  }

  bool pump_, piston_, control_, toe_;  // whether only one of the two has it, or states it so
};

// What a rack has for one purpose: it is swapped whole, but weighs on the hand in several ways that
// may work against each other. Where only one of two has assistance, that is one purpose.
struct Aspect {
  std::string_view name;
  std::vector<std::string_view> fields;
};

constexpr std::string_view kPlace = "place and joints";  // what is none of the others'
constexpr std::string_view kPiston = "piston and seals", kSteeringValve = "steering valve",
                           kAssistance = "assistance";

const std::vector<Aspect>& RackAspects() {
  static const std::vector<Aspect> kAspects{
      {"gearing and travel",
       {"turns", "travel", "travel_left", "travel_right", "travel_per_turn", "pinion_module",
        "pinion_teeth", "rack_tooth_angle", "ratio", "stop_face", "toothed_length", "tooth_offset",
        "tooth_contact"}},
      {kPlace, {}},
      {"friction", {"friction", "mesh_efficiency"}},
      {kPiston, {"assisted", "piston_bore", "piston_rod", "seal_friction"}},
      {kSteeringValve, {"torsion_bar", "valve_stop", "boost_flow", "boost"}},
      {kAssistance, {}}};
  return kAspects;
}

std::string_view AspectOf(std::string_view field) {
  const auto has = [&](const Aspect& a) {
    return std::ranges::find(a.fields, field) != a.fields.end();
  };
  const auto aspect = std::ranges::find_if(RackAspects(), has);
  return aspect == RackAspects().end() ? kPlace : aspect->name;
}

bool Covers(std::string_view aspect, std::string_view field) {
  const std::string_view of = AspectOf(field);
  return of == aspect || (aspect == kAssistance && (of == kPiston || of == kSteeringValve));
}

std::string TextOf(const Quantity& q) { return WrittenText(q); }
std::string TextOf(bool yes) { return yes ? "true" : "false"; }
template <class E>
requires std::is_enum_v<E> std::string TextOf(E word) { return std::string(WordOf(word)); }

bool Same(const Quantity& a, const Quantity& b) { return a.value == b.value; }
template <class V>
bool Same(const V& a, const V& b) {
  return a == b;
}

// Calls f(key, field, field of the second) for each part and adjustment of two fitted cars.
template <class A, class B, class F>
void ForEachField(A& one, B& two, F f) {
  const auto parts = [&](const FieldInfo& info, auto& a, auto& b) {
    using Field = std::remove_cvref_t<decltype(a)>;
    if constexpr (requires { a->owned; }) {
      f(info.key, a, b);
    } else if constexpr (std::same_as<Field, Adjustments<Quantity>>) {
      Field::Visit([&](const FieldInfo& of, auto& x, auto& y) { f(of.key, x, y); }, a, b);
    }
  };
  Fitted<Quantity>::Visit(parts, one, two);
}

template <class V>
std::optional<Change> ChangeOf(std::string_view field, const std::optional<V>& from,
                               const std::optional<V>& to) {
  const auto text = [](const std::optional<V>& value) {
    if constexpr (requires { value->owned; }) {
      return value ? value->name : std::string();
    } else {
      return value ? TextOf(*value) : std::string();
    }
  };
  if (!from && !to) return std::nullopt;
  if (from && to) {
    if constexpr (requires { from->owned; }) {
      if (from->name == to->name) return std::nullopt;
    } else if (Same(*from, *to)) {
      return std::nullopt;
    }
  }
  return Change{std::string(field), text(from), text(to)};
}

// `base` with what a swap changes taken from `other`.
Fitted<Quantity> With(Fitted<Quantity> base, const Fitted<Quantity>& other, const Swap& swap) {
  if (const std::string_view aspect = swap.changes[0].aspect; !aspect.empty()) {
    Rack<Quantity>::Visit(
        [&](const FieldInfo& info, auto& mine, const auto& its) {
          if (Covers(aspect, info.key)) mine = its;
        },
        *base.rack, *other.rack);
    return base;
  }
  ForEachField(base, other, [&](std::string_view key, auto& mine, const auto& its) {
    if (std::ranges::find(swap.changes, key, &Change::field) != swap.changes.end()) mine = its;
  });
  return base;
}

Values ResultsOf(const Fitted<Quantity>& fitted) {
  const Evaluation<double> e =
      Evaluate(LiftTo<double>(fitted, [](std::size_t, double value) { return value; }));
  Values values;
  for (std::size_t i = 0; i < kOutputs; ++i) values[i] = e.result[i].value;
  return values;
}

Values Less(const Values& a, const Values& b) {
  Values difference;
  for (std::size_t i = 0; i < kOutputs; ++i) {
    if (a[i] && b[i]) difference[i] = *a[i] - *b[i];
  }
  return difference;
}

// Finds what swaps between two setups, whose results are known, make of them.
class Weigher {
 public:
  Weigher(const Fitted<Quantity>& from, const Values& results, const Fitted<Quantity>& to,
          const Values& other_results)
      : from_(from), results_(results), to_(to), other_results_(other_results) {}

  void Weigh(Swap& swap) const {
    swap.alone = Less(ResultsOf(With(from_, to_, swap)), results_);
    swap.last = Less(other_results_, ResultsOf(With(to_, from_, swap)));
  }

  // The aspects of a rack swapped for another that change a result, where these are several.
  [[nodiscard]] std::vector<Swap> TakenApart(const Swap& swap) const {
    std::vector<Swap> apart;
    if (swap.changes.size() > 1 || swap.changes[0].field != "rack") return apart;
    if (!from_.rack || !to_.rack) return apart;
    const bool mixed = IsAssisted(*from_.rack) != IsAssisted(*to_.rack);
    for (const Aspect& aspect : RackAspects()) {
      const bool part_of_assistance = aspect.name == kPiston || aspect.name == kSteeringValve;
      if (aspect.name == kAssistance ? !mixed : mixed && part_of_assistance) continue;
      Swap of{swap.changes, {}, {}};
      of.changes[0].aspect = aspect.name;
      Weigh(of);
      if (Acts(of)) apart.push_back(std::move(of));
    }
    if (apart.size() == 1) apart.clear();
    return apart;
  }

 private:
  [[nodiscard]] bool Acts(const Swap& swap) const {
    const auto acts = [](const std::optional<double>& effect, const std::optional<double>& of) {
      return effect ? *effect != 0.0 : of.has_value();
    };
    for (std::size_t i = 0; i < kOutputs; ++i) {
      if (acts(swap.alone[i], results_[i]) || acts(swap.last[i], other_results_[i])) return true;
    }
    return false;
  }

  const Fitted<Quantity>& from_;
  const Values& results_;
  const Fitted<Quantity>& to_;
  const Values& other_results_;
};

}  // namespace

std::vector<Swap> SwapsBetween(const Fitted<Quantity>& from, const Values& results,
                               const Fitted<Quantity>& to, const Values& other_results) {
  const Grouping grouping(from, to);
  std::vector<Swap> swaps;
  std::vector<Group> group;  // of each
  ForEachField(from, to, [&](std::string_view key, const auto& a, const auto& b) {
    auto change = ChangeOf(key, a, b);
    if (!change) return;
    const Group of = grouping.Of(key);
    const auto found = of == Group::kNone ? group.end() : std::ranges::find(group, of);
    const auto at = static_cast<std::size_t>(found - group.begin());
    if (found == group.end()) {
      swaps.emplace_back();
      group.push_back(of);
    }
    swaps[at].changes.push_back(*std::move(change));
  });
  const Weigher weigher(from, results, to, other_results);
  for (Swap& swap : swaps) {
    weigher.Weigh(swap);
    swap.apart = weigher.TakenApart(swap);
  }
  return swaps;
}

}  // namespace steerbench::fit
