// What an entry takes beyond what the car has now: parts, adapters and jobs, each with what it
// costs, where it is, and the facts that it must be ordered by.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "search/joints.h"
#include "search/space.h"

namespace steerbench::search {

struct Piece {
  std::string table, name;    // "pump", "large"; of a job "work"
  std::string title, source;  // as the document has them
  std::size_t count = 1;      // of an adapter one for each joint that needs it
  bool owned = false, lasting = false;
  std::optional<Quantity> price, hours;  // of one; a job without a price needs nothing bought
  // What the wrong one would differ in: sizes and faces, as written ("pinion: 36 splines").
  std::vector<std::string> facts;
  // What of that the document does not say, of a part that is not owned: to be asked for first.
  std::vector<std::string> ask;

  [[nodiscard]] bool IsJob() const { return table == "work"; }
  // In the document: "pump.large".
  [[nodiscard]] std::string Path() const { return table + "." + name; }
  // Nothing to pay, a price as stated, or a price that is missing.
  [[nodiscard]] bool NeedsPrice() const { return !owned && !IsJob() && !price; }
};

// The pieces of a choice: parts in the order of a setup, then adapters, then jobs.
[[nodiscard]] std::vector<Piece> PiecesOf(const Document& document, const Space& space,
                                          const Joints& joints, const Choice& choice);

// A sum with its ±: those of different pieces in quadrature (JCGM 100:2008, 5.1.2), those of two of
// one kind added. `missing`: fields not known, which the sum leaves out.
struct Sum {
  double value = 0.0, half_width = 0.0;
  std::vector<std::string> missing;
};
// Of what is not owned [own currency], and of all the work [s].
[[nodiscard]] Sum CostOf(const std::vector<Piece>& pieces);
[[nodiscard]] Sum HoursOf(const std::vector<Piece>& pieces);

}  // namespace steerbench::search
