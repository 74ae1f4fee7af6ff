// A part of unknown history: which of several known variants is it? Plain data of the document.
#pragma once

#include "model/field.h"

namespace steerbench {

// One thing about a part that can be seen, counted or measured. Of the answers one is written, of
// the kind that the feature has.
struct Trait {
  std::string feature;
  std::optional<bool> yes;
  std::string is;
  std::optional<Quantity> count, length, angle, turns, mass, resistance;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kRatio;
    v(FieldInfo{"feature", k, "name of the feature"}, a.feature...);
    v(FieldInfo{"yes", k, "true or false"}, a.yes...);
    v(FieldInfo{"is", k, "which of several, in words of yours"}, a.is...);
    v(FieldInfo{"count", Kind::kCount, "how many", Range::kNotNegative}, a.count...);
    v(FieldInfo{"length", Kind::kLength, "how long or wide"}, a.length...);
    v(FieldInfo{"angle", Kind::kAngle, "which angle"}, a.angle...);
    v(FieldInfo{"turns", Kind::kTurns, "how many turns"}, a.turns...);
    v(FieldInfo{"mass", Kind::kMass, "how heavy", Range::kPositive}, a.mass...);
    v(FieldInfo{"resistance", Kind::kResistance, "by a multimeter", Range::kPositive},
      a.resistance...);
  }
};

// What was found on the car.
struct Sighting : Trait {
  std::optional<Quantity> wrong;
  std::string note;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    Trait::Visit(v, a...);
    v(FieldInfo{"wrong", Kind::kShare, "how often such a look is wrong, where this one is worse",
                Range::kShareNotZero},
      a.wrong...);
    v(FieldInfo{"note", Kind::kRatio, "what made it doubtful, who looked"}, a.note...);
  }
};

struct Feature {
  std::string name, ask, how;
  std::optional<Quantity> effort, wrong;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kRatio;
    v(FieldInfo{"name", k, "what it is called in the rows below"}, a.name...);
    v(FieldInfo{"ask", k, "the question, as one would ask a friend under the car"}, a.ask...);
    v(FieldInfo{"how", k, "how to look or measure, and what to mind"}, a.how...);
    v(FieldInfo{"effort", Kind::kTime, "time that it takes to look", Range::kPositive},
      a.effort...);
    v(FieldInfo{"wrong", Kind::kShare, "how often such an answer is wrong", Range::kShareNotZero},
      a.wrong...);
  }
};

// Something bought to suit the variant, wrong for the others.
struct Purchase {
  std::string thing, which;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"thing", Kind::kRatio, "what is ordered: seal kit, belt"}, a.thing...);
    v(FieldInfo{"which", Kind::kRatio, "the one that suits this variant"}, a.which...);
  }
};

struct Variant {
  std::string name, title, part;
  std::optional<Quantity> prior;
  std::vector<Trait> trait;
  std::vector<Purchase> order;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kRatio;
    v(FieldInfo{"name", k, "short name of the variant"}, a.name...);
    v(FieldInfo{"title", k, "what you call it"}, a.title...);
    v(FieldInfo{"part", k, "name of the part of this document that it is"}, a.part...);
    v(FieldInfo{"prior", k, "how common it is against the others; 1 each when left out",
                Range::kPositive},
      a.prior...);
    v(FieldInfo{"trait", k, "what it shows of each feature"}, a.trait...);
    v(FieldInfo{"order", k, "what must be ordered to suit it"}, a.order...);
  }
};

// More rows of a riddle are refused: what it costs to weigh them grows with the square of the
// variants, and nobody looks at so much.
inline constexpr std::size_t kMostFeatures = 200, kMostVariants = 50, kMostSeen = 500;

// The question which variant is on the car, under a name of the user's.
struct Riddle {
  std::string title, fills;
  std::optional<Quantity> none;
  std::vector<Feature> feature;
  std::vector<Variant> variant;
  std::vector<Sighting> seen;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kRatio;
    v(FieldInfo{"title", k, "the question in words"}, a.title...);
    v(FieldInfo{"fills", k, "kind of part that it settles, a key of a setup"}, a.fills...);
    v(FieldInfo{"none", Kind::kShare, "chance, before looking, that it is none of the variants",
                Range::kShare},
      a.none...);
    v(FieldInfo{"feature", k, "what can be seen, counted or measured"}, a.feature...);
    v(FieldInfo{"variant", k, "the variants known"}, a.variant...);
    v(FieldInfo{"seen", k, "what was found on the car"}, a.seen...);
  }
};

}  // namespace steerbench
