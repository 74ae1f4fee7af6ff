// Where nothing keeps every limit and wish: what comes nearest, and what is wrong with it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "search/aims.h"
#include "search/reasons.h"
#include "search/space.h"

namespace steerbench::search {

// One thing that a combination does not keep.
struct Miss {
  Reason reason = kKept;  // reasons.h
  std::optional<double>
      by;  // how far past its limit or bound it is [SI]; unset where none is passed
  Kind kind = Kind::kRatio;  // of `by`
  // What is not known, as fields of the document ("pump.middle.price"), or the faces that differ
  // ("pinion: car, rack.quick").
  std::vector<std::string> what;
};

struct Nearest {
  Choice choice;
  std::vector<Miss> misses;  // none twice, in the order of reasons
  // Whether every combination was looked at; else only those within reach of one or two changes
  // from better to better, so that a nearer one may exist.
  bool of_all = true;
};

// The combination with the fewest misses and of those the one whose misses come to the least, each
// as a share of the bound that is passed. Faces that differ count as a whole bound; a result that
// is not known as three misses, a price or hours as one of no share, for it need only be stated.
// Every combination of a small space; else from the base, and from each rack in its place, the best
// single change again and again, and two at a time where one alone leads no further. Pre: nothing
// keeps all. Unset where nothing can be done.
[[nodiscard]] std::optional<Nearest> NearestMiss(const Document& document, const Space& space,
                                                 const Wishes& wishes, int threads);

}  // namespace steerbench::search
