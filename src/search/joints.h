// Which options of a space go together, looked up by pairs.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "fit/fit.h"
#include "search/space.h"

namespace steerbench::search {

// How the parts of a choice go together.
struct Together {
  bool fits = true;                   // false: two faces differ and nothing here cures it
  std::size_t differing = 0;          // pairs of parts of which that is so
  bool unknown = false;               // something about a face is not known
  std::vector<std::size_t> adapters;  // needed, indices in Document::adapter, one for each joint
};

class Joints {
 public:
  Joints(const Document& document, const Space& space);

  [[nodiscard]] Together Of(std::span<const std::uint32_t> choice) const;

 private:
  // Who stands in one place: the options of a dimension, or what the base has. A place of the car
  // has two: with its own arms, and without.
  struct Slot {
    std::optional<std::size_t> dimension;
    std::vector<std::optional<fit::Party>> party;
  };
  struct Meeting {
    std::size_t one, other;       // slots
    std::vector<fit::Pair> pair;  // by option of one, then of other
  };
  [[nodiscard]] std::size_t OptionIn(std::size_t slot, std::span<const std::uint32_t> choice) const;

  std::vector<Slot> slot_;  // the car first
  std::optional<std::size_t> arms_;
  std::vector<Meeting> meeting_;  // those where something does not simply fit
};

}  // namespace steerbench::search
