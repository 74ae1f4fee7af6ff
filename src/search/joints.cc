#include "search/joints.h"

#include <algorithm>

#include "document/document.h"
#include "document/fields.h"

namespace steerbench::search {
namespace {

// The party of a kind of part in a setup, if that has one.
std::optional<fit::Party> PartyIn(const Document& document, const Setup<Quantity>& setup,
                                  std::string_view key) {
  std::optional<fit::Party> party;
  const Fitted<Quantity> fitted = Fit(document, setup);
  Fitted<Quantity>::Visit(
      [&](const FieldInfo& info, const auto& part) {
        if constexpr (requires { part->owned; }) {
          if (info.key == key && part) party = fit::PartyOf(info.Table(), part->name, *part);
        }
      },
      fitted);
  return party;
}

}  // namespace

Joints::Joints(const Document& document, const Space& space) {
  slot_.push_back({{}, {fit::PartyOf(document.car, true), fit::PartyOf(document.car, false)}});
  ForEachPartKind(document, [&](std::string_view key, std::string_view, const auto&) {
    Slot slot;
    const auto d = std::ranges::find(space.dimension, key, &Dimension::key);
    if (d == space.dimension.end()) {
      slot.party.push_back(PartyIn(document, space.base, key));
    } else {
      const auto index = static_cast<std::size_t>(d - space.dimension.begin());
      slot.dimension = index;
      Choice choice(space.dimension.size(), 0);
      for (std::uint32_t o = 0; o < d->option.size(); ++o) {
        choice[index] = o;
        slot.party.push_back(PartyIn(document, space.SetupOf(choice), key));
      }
    }
    if (key == "arms") arms_ = slot_.size();
    slot_.push_back(std::move(slot));
  });
  for (std::size_t i = 0; i < slot_.size(); ++i) {
    for (std::size_t k = i + 1; k < slot_.size(); ++k) {
      Meeting m{i, k, {}};
      bool plain = true;
      for (const auto& one : slot_[i].party) {
        for (const auto& other : slot_[k].party) {
          m.pair.push_back(one && other ? fit::Between(*one, *other, document.adapter)
                                        : fit::Pair{});
          plain &= m.pair.back().verdict == fit::Verdict::kFits && m.pair.back().adapters.empty();
        }
      }
      if (!plain) meeting_.push_back(std::move(m));
    }
  }
}

std::size_t Joints::OptionIn(std::size_t slot, std::span<const std::uint32_t> choice) const {
  if (slot == 0) {
    if (!arms_) return 0;
    return slot_[*arms_].party[OptionIn(*arms_, choice)] ? 1 : 0;
  }
  const auto& dimension = slot_[slot].dimension;
  return dimension ? choice[*dimension] : 0;
}

Together Joints::Of(std::span<const std::uint32_t> choice) const {
  Together together;
  for (const Meeting& m : meeting_) {
    const std::size_t at =
        OptionIn(m.one, choice) * slot_[m.other].party.size() + OptionIn(m.other, choice);
    const fit::Pair& pair = m.pair[at];
    if (pair.verdict == fit::Verdict::kDiffers) {
      together.fits = false;
      ++together.differing;
    }
    together.unknown |= pair.verdict == fit::Verdict::kUnknown;
    together.adapters.insert(together.adapters.end(), pair.adapters.begin(), pair.adapters.end());
  }
  std::ranges::sort(together.adapters);
  return together;
}

}  // namespace steerbench::search
