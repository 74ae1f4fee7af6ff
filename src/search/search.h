// A search over all combinations of parts and jobs, under every limit, for those that nothing
// beats in all wishes at once. Pure but for the threads it runs on; the result is the same to the
// bit for any number of them.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "search/aims.h"
#include "search/front_line.h"
#include "search/space.h"

namespace steerbench::search {

// A combination that nothing beats.
struct Entry {
  Choice choice;
  AimValues aims;
  Score score;              // Penalty of each aim wished for
  std::uint64_t alike = 0;  // combinations looked at later that come out the same in every wish
};

// Why combinations were left out, and how many.
struct LeftOut {
  std::string reason;  // in words
  std::uint64_t count = 0;
};

// How far a search is; all that is needed to go on with it later.
struct Progress {
  std::uint64_t shared = 0, pair = 0;   // where it goes on
  bool alone_counted = false;           // what parts alone leave out there is counted
  double looked_at = 0.0;               // combinations dealt with
  std::vector<Entry> entries;           // so far, in the order of finding
  std::vector<std::uint64_t> left_out;  // by reason, see Searcher::Reasons
  // Doublings of the steps in which values are compared, where more entries remained than are kept.
  std::uint32_t doublings = 0;

  // How many times as wide those steps are.
  [[nodiscard]] double StepWidth() const;
};

// Most entries that a search keeps from one block of combinations to the next. With many wishes
// nearly everything is best in something; steps twice as wide tell fewer apart.
inline constexpr std::size_t kMostKept = 1000;

// Whether a progress stands somewhere within a space.
[[nodiscard]] bool Fits(const Progress& progress, const Space& space);

class Searcher {
 public:
  // References are kept. `threads` and `most_kept` at least 1.
  Searcher(const Document& document, const Space& space, const Wishes& wishes, int threads,
           std::size_t most_kept = kMostKept);
  ~Searcher();
  Searcher(const Searcher&) = delete;
  Searcher& operator=(const Searcher&) = delete;

  // Deals with the next few hundred parts alone, the next few ten thousand combinations, or the
  // next few hundred of those that nothing beats; false when there are none left.
  bool Step();

  // As it was after the last whole block of combinations.
  [[nodiscard]] const Progress& At() const;
  [[nodiscard]] double Share() const;  // of all combinations, 0 to 1

  // Goes on from where a search of the same document was.
  void Continue(Progress progress);

  // Reasons with a count, the largest first.
  [[nodiscard]] std::vector<LeftOut> LeftOutSoFar() const;

 private:
  struct Work;
  std::unique_ptr<Work> work_;
};

}  // namespace steerbench::search
