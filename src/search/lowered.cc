#include "search/lowered.h"

#include "document/document.h"
#include "model/lift.h"

namespace steerbench::search {
namespace {

Fitted<double> Plain(const Document& document, const Setup<Quantity>& setup) {
  return LiftTo<double>(Fit(document, setup), [](std::size_t, double value) { return value; });
}

void CopyPart(const std::string& key, const Fitted<double>& from, Fitted<double>& to) {
  Fitted<double>::Visit(
      [&](const FieldInfo& info, const auto& a, auto& b) {
        if constexpr (kIsOptional<std::remove_cvref_t<decltype(a)>>) {
          if (info.key == key) b = a;
        }
      },
      from, to);
}

}  // namespace

Lowered::Lowered(const Document& document, const Space& space)
    : base_(Plain(document, space.base)) {
  Choice one(space.dimension.size(), 0);
  for (std::size_t d = 0; d < space.dimension.size(); ++d) {
    const Dimension& dimension = space.dimension[d];
    Donor donor{dimension.key, {}};
    for (std::uint32_t o = 0; o < dimension.option.size(); ++o) {
      one[d] = o;
      donor.of.push_back(Plain(document, space.SetupOf(one)));
      // Of jobs only what they set counts: the base has the rest.
      if (dimension.option[o].works.empty()) continue;
      Adjustments<double> set;
      for (const std::size_t w : dimension.option[o].works) {
        const Adjustments<Quantity>& of_work = space.work[w].adjust;
        Adjustments<Quantity>::Visit(
            [&](const FieldInfo& info, const auto& from) {
              if (!from) return;
              Adjustments<double>::Visit(
                  [&](const FieldInfo& at, const auto& value, auto& out) {
                    if (at.key == info.key) out = value;
                  },
                  donor.of.back().adjust, set);
            },
            of_work);
      }
      donor.of.back().adjust = set;
    }
    one[d] = 0;
    donor_.push_back(std::move(donor));
  }
}

Fitted<double> Lowered::Of(std::span<const std::uint32_t> choice) const {
  Fitted<double> fitted = base_;
  for (std::size_t d = 0; d < donor_.size(); ++d) {
    if (choice[d] == 0) continue;
    const Fitted<double>& from = donor_[d].of[choice[d]];
    if (donor_[d].key != "work") {
      CopyPart(donor_[d].key, from, fitted);
      continue;
    }
    Apply(from.adjust, fitted.adjust);
  }
  return fitted;
}

}  // namespace steerbench::search
