// What a search found, ready to be read: each entry against the setup that the car has now, with
// the ± of every aim and how sure it is that one entry beats another.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "engine/evaluate/propagate.h"
#include "fit/needs.h"
#include "search/joints.h"
#include "search/nearest.h"
#include "search/pieces.h"
#include "search/search.h"

namespace steerbench::search {

// One change against the base setup.
struct Change {
  std::string key;       // of the setup: "rack", or "work"
  std::string from, to;  // names of parts, empty for none; of a job `to` is its name
};

struct Line {
  Choice choice;
  Setup<Quantity> setup;
  std::vector<Change> changes;
  std::vector<std::string> adapters;  // names of those needed, each once
  std::vector<Piece> pieces;          // all that it takes beyond the base
  Bill bill;
  AimValues aims;
  std::array<std::optional<double>, kAims> half_width;  // the ± of each aim [SI], where it has one
  // By path of an input: how far each aim's value moves over that input's ±, with sign [SI].
  std::map<std::string, std::array<double, kAims>> lean;
  std::vector<std::string> exceeded, close, unknown;  // limits, by label
  bool faces_unknown = false;                         // whether something that meets goes together
  std::vector<fit::Need> needs;                       // besides adapters
  // Of all limits looked at the one that is least sure to hold, and the chance that it does.
  std::string weakest;
  std::optional<double> weakest_chance;
  std::uint64_t alike = 0;
};

// Of one wish over all entries that nothing beats: the best and the worst there is, more is better.
struct Range {
  double best = 0.0, worst = 0.0;
  [[nodiscard]] double Width() const { return best - worst; }
};

struct Conclusion {
  std::string base_name;
  StatedWishes wishes;
  Line base;
  std::vector<Line> lines;  // the most balanced first
  std::size_t not_shown = 0;
  std::array<Range, kAims> range{};  // of all entries, those not shown as well
  double combinations = 0.0, looked_at = 0.0;
  std::vector<LeftOut> left_out;
  double step_width = 1.0;  // of the steps in which values were compared, see Progress
  // Where nothing keeps all: what comes nearest, and its results.
  std::optional<Nearest> nearest;
  std::optional<Line> nearest_line;
};

// Fills a line's aims, their ±, and its limits, from its setup, bill and pieces. One evaluation
// with derivatives, some 20 ms.
void AddResults(const Document& document, Line& line);

// Everything about one choice.
[[nodiscard]] Line LineOf(const Document& document, const Space& space, const Joints& joints,
                          const Choice& choice);

// The state of a search as an outcome, with at most `most` lines, worked out on `threads` threads.
[[nodiscard]] Conclusion Conclude(const Document& document, const Space& space,
                                  const StatedWishes& wishes, const Searcher& searcher,
                                  std::size_t most, int threads);

// Chance that the first is truly better in one aim, given the ± of all inputs, those that both
// share moving both: normal law, ± as its 95 % (JCGM 100:2008, 5.2 and 6.2). Unset when not known
// or nothing is wished of the aim; one half when nothing tells them apart.
[[nodiscard]] std::optional<double> ChanceBetter(const Line& a, const Line& b, Aim aim,
                                                 const Wish& wish);

// Weights of the aims against each other; those without a wish do not count.
using Weights = std::array<double, kAims>;
// All alike.
[[nodiscard]] Weights EvenWeights();

struct Ranked {
  std::size_t line = 0;
  double balance = 0.0;              // 0: best of all entries in every wish, 1: worst in every one
  std::optional<double> beats_next;  // chance that its balance is truly better than the next one's
};
// Lines by the weighted mean of how far each is from the best towards the worst in each wish, by
// the conclusion's ranges.
[[nodiscard]] std::vector<Ranked> Rank(const Conclusion& outcome, const Weights& weights);

}  // namespace steerbench::search
