// What meets what in a setup, whether it goes together, and which adapters cure what differs.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "fit/compare.h"
#include "model/document.h"

namespace steerbench::fit {

using Adapters = Named<Adapter<Quantity>>;

// Who shows faces: the car or a part.
struct Party {
  std::string_view table;  // "car", "rack", ...
  std::string path;        // "car", "rack.quick"
  std::vector<Face> face;
  std::optional<ControlPrinciple> principle;  // of a control valve
};

// An adapter of the document that suits both faces, either way round, or two of them in a row.
// `sure` when all that meets so fits as far as it is stated; else a feature of it is not known.
struct Cure {
  std::size_t adapter = 0;  // index in the document's adapters
  bool turned = false;      // its `other` side is on the side of `one`
  bool sure = false;
  std::optional<std::size_t> then = {};  // the second of two, on the side of `other`
  bool then_turned = false;
};

// At most so many adapters on each side of a joint are tried in pairs: a document with more of them
// at one place has the single one that it needs.
inline constexpr std::size_t kMostChained = 30;

// Two faces that meet. Paths are those of the document: "rack.quick.face[0]".
struct Joint {
  Meeting at = Meeting::kRackMount;
  std::string one, other;
  Comparison comparison;
  // Of a joint that differs: sure ones first, then single ones, owned ones, by price, by hours.
  // Two in a row are thought of only where no single one is sure.
  std::vector<Cure> cures;

  // The verdict with the best cure fitted.
  [[nodiscard]] Verdict Outcome() const;
};

// The car as a party. With arms fitted, its own arms are off, and their outer taper with them.
[[nodiscard]] Party PartyOf(const Car<Quantity>& car, bool own_arms);

// A part as a party: PartyOf("rack", "quick", rack). `table` must outlive it.
template <class P>
[[nodiscard]] Party PartyOf(std::string_view table, const std::string& name, const P& part) {
  Party party{table, std::string(table) + "." + name, part.face, {}};
  if constexpr (requires { part.principle; }) party.principle = part.principle;
  return party;
}

// Adds the adapters of a joint's best cure to `adapters`.
void AddAdapters(const Joint& joint, std::vector<std::size_t>& adapters);

// The car and every part fitted, in the order of Fitted.
[[nodiscard]] std::vector<Party> PartiesOf(const Fitted<Quantity>& fitted);

// Every face of one party that meets a face of the other, compared, with cures where they differ.
// Parts of one kind never meet each other; at a control valve's port one side is a control valve,
// and the other is what its principle acts on.
[[nodiscard]] std::vector<Joint> Meet(const Party& one, const Party& other,
                                      const Adapters& adapters);

// The same in short, to be looked up by a search: the worst outcome, and the adapter to take for
// each joint that differs. Fits, without adapters, where nothing stated meets.
struct Pair {
  Verdict verdict = Verdict::kFits;
  // Indices in the document's adapters: one for each joint that needs it, so some of them twice.
  std::vector<std::size_t> adapters;
};
[[nodiscard]] Pair Between(const Party& one, const Party& other, const Adapters& adapters);

// All joints of a setup, and the worst outcome; unset where no two faces meet.
struct SetupFit {
  std::optional<Verdict> verdict;
  std::vector<Joint> joints;  // in the order of Meeting
};
[[nodiscard]] SetupFit FitOf(const Fitted<Quantity>& fitted, const Adapters& adapters);

}  // namespace steerbench::fit
