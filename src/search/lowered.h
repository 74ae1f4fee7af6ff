// The options of a space as plain numbers, ready to be put together by the thousand.
#pragma once

#include <span>
#include <vector>

#include "engine/base/scalar.h"
#include "model/document.h"
#include "search/space.h"

namespace steerbench::search {

class Lowered {
 public:
  Lowered(const Document& document, const Space& space);

  // The car with a choice fitted: the same numbers as lifting the setup of that choice.
  [[nodiscard]] Fitted<double> Of(std::span<const std::uint32_t> choice) const;

 private:
  struct Donor {
    std::string key;                 // field of Fitted that it gives, or its adjustments
    std::vector<Fitted<double>> of;  // by option; only the field of that key counts
  };
  Fitted<double> base_;
  std::vector<Donor> donor_;  // by dimension
};

}  // namespace steerbench::search
