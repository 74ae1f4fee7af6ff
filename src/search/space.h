// The combinations that a search looks at: for each kind of part the ones there are, and the jobs
// that can be done, all counted from the base setup.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "model/document.h"

namespace steerbench::search {

// What taking an option costs beyond the base setup; `missing` names the fields not known.
struct Bill {
  double cost = 0.0, hours = 0.0, lasting = 0.0;  // own currency, [s], count
  std::vector<std::string> missing_cost, missing_hours;
};

void Add(Bill& to, const Bill& more);

// Sets what a job sets; toe, toe as a length and tie-rod lengths say the same in several ways, so
// that one of them takes the place of the others.
template <class S>
void Apply(const Adjustments<S>& job, Adjustments<S>& to) {
  if (job.toe || job.toe_length || job.tie_rod_left || job.tie_rod_right) {
    to.toe.reset();
    to.toe_length.reset();
    to.tie_rod_left.reset();
    to.tie_rod_right.reset();
  }
  Adjustments<S>::Visit(
      [](const FieldInfo&, const auto& from, auto& field) {
        if (from) field = from;
      },
      job, to);
}

// Of one part: nothing to buy when it is owned; its work is known or not. `path` names it.
[[nodiscard]] Bill BillOfPart(const Supply<Quantity>& part, const std::string& path);

struct Option {
  std::string name;                // of the part; empty: none, or as the base has it
  std::vector<std::size_t> works;  // of a dimension of jobs: indices in Document::work
  Bill bill;
};

// What a dimension bears on: the linkage alone, the assistance alone, or both.
enum class Facet : std::uint8_t { kBoth, kLinkage, kAssist };

struct Dimension {
  std::string key;  // of the setup; of jobs "work"
  Facet facet = Facet::kBoth;
  std::vector<Option> option;  // the first is as the base has it
};

// One option of each dimension.
using Choice = std::vector<std::uint32_t>;

struct Space {
  std::string base_name;
  Setup<Quantity> base;
  std::vector<Dimension> dimension;
  std::vector<Work<Quantity>> work;   // as in the document, with names
  std::vector<std::string> assisted;  // names of the racks that want a pump
  std::vector<std::string> manual;    // and of those that have no use for one
  std::size_t too_many = 0;           // jobs or parts of one kind: more than can be looked at

  // How many choices there are, as a number that does not overflow.
  [[nodiscard]] double Count() const;

  // The setup of a choice. Pre: one option in range for each dimension.
  [[nodiscard]] Setup<Quantity> SetupOf(std::span<const std::uint32_t> choice) const;

  // What the choice costs beyond the base, adapters left out.
  [[nodiscard]] Bill BillOf(std::span<const std::uint32_t> choice) const;

  // False for what cannot be done: one control valve in both places, a second without a first.
  [[nodiscard]] bool Possible(std::span<const std::uint32_t> choice) const;

  // False for what lacks a part of which there is one to choose: an assisted rack its pump, or a
  // pump its fluid, pulley or belt; and for what has one that can be left out and is of no use: a
  // pump beside a manual rack, or what belongs to a pump without one.
  [[nodiscard]] bool Complete(std::span<const std::uint32_t> choice) const;

  // The same choice, with the first that there is of each part that it lacks, and without those of
  // no use.
  [[nodiscard]] Choice Completed(Choice choice) const;

 private:
  // The name of the part that a choice has: "rack"; empty for none.
  [[nodiscard]] const std::string& PartOf(std::string_view key,
                                          std::span<const std::uint32_t> choice) const;
  // What to take instead, of which dimension, to make a choice complete.
  struct Change {
    std::size_t dimension = 0;
    std::uint32_t option = 0;
  };
  [[nodiscard]] std::optional<Change> NextChange(std::span<const std::uint32_t> choice) const;
};

// Every choice of the dimensions of one facet, all others as in `from`; of all without a facet.
[[nodiscard]] std::vector<Choice> ChoicesOf(const Space& space, const Choice& from,
                                            std::optional<Facet> facet = std::nullopt);

// Most choices of one facet that a search holds at a time, and most values of what both share.
inline constexpr std::size_t kMostOfKind = 500;  // parts of a kind, and jobs
inline constexpr double kMostOfFacet = 10'000;

// In words why a space is too large to be searched, and what to do; empty when it is not.
[[nodiscard]] std::string WhyTooLarge(const Space& space);

// The space of a document: each kind of part that the base has or that may be added, unless it is
// kept; jobs that set a field in common exclude each other, all others combine. Without a base
// named, the first setup is it. Pre: the document has a setup and its names are checked.
[[nodiscard]] Space MakeSpace(const Document& document);

}  // namespace steerbench::search
