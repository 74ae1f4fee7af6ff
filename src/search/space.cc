#include "search/space.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <numeric>
#include <string_view>

#include "document/fields.h"

namespace steerbench::search {
namespace {

constexpr std::string_view kWork = "work";

// Kinds of part that a car can do without.
constexpr std::array<std::string_view, 4> kOptional{"spacer", "arms", "control_valve",
                                                    "second_control_valve"};
// Kinds of part without which a pump does not run.
constexpr std::array<std::string_view, 3> kOfPump{"fluid", "pulley", "belt"};
// Kinds of part that the linkage alone is made of, and those of the assistance alone.
constexpr std::array<std::string_view, 3> kOfLinkage{"spacer", "tie_rod", "arms"};
// Adjustments that bear on the assistance alone; all others bear on the linkage.
constexpr std::array<std::string_view, 6> kAssistFields{
    "relief", "control_opening", "cooling", "wiring", "control_powered", "second_control_powered"};

template <std::size_t N>
bool In(const std::array<std::string_view, N>& list, std::string_view key) {
  return std::ranges::find(list, key) != list.end();
}

bool IsKept(const std::optional<Search>& search, std::string_view key) {
  bool kept = false;
  if (!search) return kept;
  Keep::Visit(
      [&](const FieldInfo& info, const auto& keep) {
        if (info.key == key) kept = keep.value_or(false);
      },
      search->keep);
  return kept;
}

void SetPart(Setup<Quantity>& setup, std::string_view key, const std::string& name) {
  Setup<Quantity>::Visit(
      [&](const FieldInfo& info, auto& field) {
        if constexpr (std::same_as<std::remove_cvref_t<decltype(field)>, std::string>) {
          if (info.key == key) field = name;
        }
      },
      setup);
}

// Whether nothing at all is said of a part, as in the tables of a new document.
template <class Part>
bool SaysNothing(const Part& part) {
  bool nothing = true;
  Part::Visit(
      [&](const FieldInfo&, const auto& field) {
        if constexpr (requires { field.has_value(); }) {
          nothing &= !field.has_value();
        } else if constexpr (requires { field.empty(); }) {
          nothing &= field.empty();
        }
      },
      part);
  return nothing;
}

// A job that names no price needs nothing bought.
Bill BillOfWork(const Work<Quantity>& work, const std::string& name) {
  Bill bill = BillOfPart(work, "work." + name);
  bill.missing_cost.clear();
  return bill;
}

// Keys of the fields that a job sets.
std::vector<std::string_view> FieldsOf(const Work<Quantity>& work) {
  std::vector<std::string_view> keys;
  Adjustments<Quantity>::Visit(
      [&](const FieldInfo& info, const auto& field) {
        if (!field) return;
        const bool toe = info.key.starts_with("toe") || info.key.starts_with("tie_rod");
        keys.push_back(toe ? "toe" : info.key);  // several ways to say the same
      },
      work.adjust);
  return keys;
}

bool Overlap(const std::vector<std::string_view>& a, const std::vector<std::string_view>& b) {
  return std::ranges::find_first_of(a, b) != a.end();
}

// Every set of jobs of a group in which no two set the same field, the empty one first.
void AddSets(const std::vector<std::size_t>& group,
             const std::vector<std::vector<std::string_view>>& fields, std::size_t next,
             std::vector<std::size_t>& chosen, std::vector<std::vector<std::size_t>>& sets) {
  if (static_cast<double>(sets.size()) > kMostOfFacet) return;  // too many already
  if (next == group.size()) return sets.push_back(chosen);
  AddSets(group, fields, next + 1, chosen, sets);
  const bool free = std::ranges::none_of(
      chosen, [&](std::size_t c) { return Overlap(fields[c], fields[group[next]]); });
  if (!free) return;
  chosen.push_back(group[next]);
  AddSets(group, fields, next + 1, chosen, sets);
  chosen.pop_back();
}

Facet FacetOf(const std::vector<std::string_view>& keys) {
  const auto assist = static_cast<std::size_t>(
      std::ranges::count_if(keys, [](std::string_view k) { return In(kAssistFields, k); }));
  if (assist == keys.size()) return Facet::kAssist;
  return assist == 0 ? Facet::kLinkage : Facet::kBoth;
}

// Groups of jobs that share fields, directly or through others.
std::vector<std::vector<std::size_t>> Groups(
    const std::vector<std::vector<std::string_view>>& fields) {
  std::vector<std::size_t> of(fields.size());
  std::iota(of.begin(), of.end(), std::size_t{0});
  for (std::size_t i = 0; i < fields.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      if (of[k] == of[i] || !Overlap(fields[i], fields[k])) continue;
      std::ranges::replace(of, of[i], of[k]);
    }
  }
  std::vector<std::vector<std::size_t>> groups(fields.size());
  for (std::size_t i = 0; i < fields.size(); ++i) groups[of[i]].push_back(i);
  std::erase_if(groups, [](const auto& g) { return g.empty(); });
  return groups;
}

// The other parts of a kind beside the base's own, and none where the car can do without; without a
// pump, and what belongs to one, it can do where there is a manual rack.
template <class Parts>
void AddParts(Dimension& d, std::string_view table, const Parts& parts, bool manual_rack) {
  const std::string own = d.option.front().name;
  const bool of_pump = d.key == "pump" || In(kOfPump, d.key);
  if (!own.empty() && (In(kOptional, d.key) || (of_pump && manual_rack))) d.option.push_back({});
  for (const auto& entry : parts) {
    if constexpr (requires { entry.second.owned; }) {
      if (entry.first == own || SaysNothing(entry.second)) continue;
      const std::string path = std::string(table) + "." + entry.first;
      d.option.push_back({entry.first, {}, BillOfPart(entry.second, path)});
    }
  }
}

void AddWorks(Space& space) {
  std::vector<std::vector<std::string_view>> fields;
  for (const auto& work : space.work) fields.push_back(FieldsOf(work));
  for (const auto& group : Groups(fields)) {
    Dimension d;
    d.key = kWork;
    std::vector<std::string_view> keys;
    for (const std::size_t w : group) keys.insert(keys.end(), fields[w].begin(), fields[w].end());
    if (keys.empty()) continue;  // a job that changes nothing
    d.facet = FacetOf(keys);
    std::vector<std::size_t> chosen;
    std::vector<std::vector<std::size_t>> sets;
    AddSets(group, fields, 0, chosen, sets);
    for (const auto& set : sets) {
      Option option;
      option.works = set;
      for (const std::size_t w : set)
        Add(option.bill, BillOfWork(space.work[w], space.work[w].name));
      d.option.push_back(std::move(option));
    }
    space.dimension.push_back(std::move(d));
  }
}

}  // namespace

void Add(Bill& to, const Bill& more) {
  to.cost += more.cost;
  to.hours += more.hours;
  to.lasting += more.lasting;
  to.missing_cost.insert(to.missing_cost.end(), more.missing_cost.begin(), more.missing_cost.end());
  to.missing_hours.insert(to.missing_hours.end(), more.missing_hours.begin(),
                          more.missing_hours.end());
}

Bill BillOfPart(const Supply<Quantity>& part, const std::string& path) {
  Bill bill;
  if (!part.owned.value_or(false)) {
    if (part.price) bill.cost = part.price->value;
    if (!part.price) bill.missing_cost.push_back(path + ".price");
  }
  if (part.hours) bill.hours = part.hours->value;
  if (!part.hours) bill.missing_hours.push_back(path + ".hours");
  bill.lasting = part.lasting.value_or(false) ? 1.0 : 0.0;
  return bill;
}

double Space::Count() const {
  double count = 1.0;
  for (const Dimension& d : dimension) count *= static_cast<double>(d.option.size());
  return count;
}

Setup<Quantity> Space::SetupOf(std::span<const std::uint32_t> choice) const {
  Setup<Quantity> setup = base;
  for (std::size_t i = 0; i < dimension.size(); ++i) {
    if (choice[i] == 0) continue;
    const Option& option = dimension[i].option[choice[i]];
    if (dimension[i].key != kWork) SetPart(setup, dimension[i].key, option.name);
    for (const std::size_t w : option.works) {
      Apply(work[w].adjust, setup.adjust);
    }
  }
  return setup;
}

Bill Space::BillOf(std::span<const std::uint32_t> choice) const {
  Bill bill;
  for (std::size_t i = 0; i < dimension.size(); ++i) Add(bill, dimension[i].option[choice[i]].bill);
  return bill;
}

const std::string& Space::PartOf(std::string_view key,
                                 std::span<const std::uint32_t> choice) const {
  const auto d = std::ranges::find(dimension, key, &Dimension::key);
  if (d == dimension.end()) return *ChosenPart(base, key);
  return d->option[choice[static_cast<std::size_t>(d - dimension.begin())]].name;
}

bool Space::Possible(std::span<const std::uint32_t> choice) const {
  const std::string& second = PartOf("second_control_valve", choice);
  if (second.empty()) return true;
  const std::string& first = PartOf("control_valve", choice);
  return !first.empty() && first != second;
}

std::optional<Space::Change> Space::NextChange(std::span<const std::uint32_t> choice) const {
  const std::string& rack = PartOf("rack", choice);
  const bool pump = !PartOf("pump", choice).empty();
  const bool wants = std::ranges::find(assisted, rack) != assisted.end();
  const bool refuses = std::ranges::find(manual, rack) != manual.end();
  for (std::size_t d = 0; d < dimension.size(); ++d) {
    const auto& [key, facet, option] = dimension[d];
    const bool has = !option[choice[d]].name.empty();
    const bool lacks = !has && (key == "pump" ? wants : pump && In(kOfPump, key));
    const bool of_pump = In(kOfPump, key) || key.ends_with("control_valve");
    const bool useless = has && (key == "pump" ? refuses : !pump && of_pump);
    if (!lacks && !useless) continue;
    const auto other =
        std::ranges::find(option, useless, [](const Option& o) { return o.name.empty(); });
    if (other == option.end()) continue;
    return Change{d, static_cast<std::uint32_t>(other - option.begin())};
  }
  return std::nullopt;
}

bool Space::Complete(std::span<const std::uint32_t> choice) const { return !NextChange(choice); }

Choice Space::Completed(Choice choice) const {
  while (const auto change = NextChange(choice)) choice[change->dimension] = change->option;
  return choice;
}

std::vector<Choice> ChoicesOf(const Space& space, const Choice& from, std::optional<Facet> facet) {
  std::vector<Choice> all{from};
  for (std::size_t d = 0; d < space.dimension.size(); ++d) {
    if (facet && space.dimension[d].facet != *facet) continue;
    std::vector<Choice> more;
    for (const Choice& c : all) {
      for (std::uint32_t o = 0; o < space.dimension[d].option.size(); ++o) {
        more.push_back(c);
        more.back()[d] = o;
      }
    }
    all = std::move(more);
  }
  return all;
}

std::string WhyTooLarge(const Space& space) {
  if (space.too_many > 0) {
    return fmt::format("{} parts of one kind, or jobs, are too many for a search: at most {}",
                       space.too_many, kMostOfKind);
  }
  constexpr std::array<std::string_view, 3> kWhat{
      "racks and jobs that bear on both linkage and oil", "linkages", "pumps, belts, valves"};
  std::array<double, 3> count{1.0, 1.0, 1.0};
  for (const Dimension& d : space.dimension) {
    count[static_cast<std::size_t>(d.facet)] *= static_cast<double>(d.option.size());
  }
  for (std::size_t f = 0; f < count.size(); ++f) {
    if (count[f] <= kMostOfFacet) continue;
    return fmt::format(
        "too many combinations of {} alone, {:.3g} of at most {:.0f}: keep kinds of part in "
        "[search.keep], or leave out jobs or parts",
        kWhat[f], count[f], kMostOfFacet);
  }
  return {};
}

Space MakeSpace(const Document& document) {
  Space space;
  const auto& setups = document.setup;
  const std::string asked = document.search ? document.search->base : "";
  const auto at = std::ranges::find(setups, asked, &std::pair<std::string, Setup<Quantity>>::first);
  const auto& named = at == setups.end() ? setups.front() : *at;
  space.base_name = named.first;
  space.base = named.second;
  for (const auto& [rack_name, rack] : document.rack) {
    const std::optional<bool> assisted = IsAssisted(rack);
    if (assisted) (*assisted ? space.assisted : space.manual).push_back(rack_name);
  }
  for (const auto& [work_name, work] : document.work) {
    space.work.push_back(work);
    space.work.back().name = work_name;
  }
  ForEachPartKind(document, [&](std::string_view key, std::string_view table, const auto& parts) {
    Dimension d;
    d.key = key;
    d.option.push_back({*ChosenPart(space.base, key), {}, {}});
    if (!IsKept(document.search, key)) AddParts(d, table, parts, !space.manual.empty());
    if (key == "rack") {
      d.facet = Facet::kBoth;
    } else {
      d.facet = In(kOfLinkage, key) ? Facet::kLinkage : Facet::kAssist;
    }
    if (d.option.size() > 1) space.dimension.push_back(std::move(d));
  });
  for (const Dimension& d : space.dimension) {
    if (d.option.size() > kMostOfKind) space.too_many = d.option.size();
  }
  if (space.work.size() > kMostOfKind) space.too_many = space.work.size();
  if (space.too_many == 0) AddWorks(space);
  return space;
}

}  // namespace steerbench::search
