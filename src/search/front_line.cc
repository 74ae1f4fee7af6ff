#include "search/front_line.h"

#include <algorithm>
#include <numeric>

namespace steerbench::search {

Order CompareScores(std::span<const double> a, std::span<const double> b) {
  bool first = false, second = false;
  for (std::size_t i = 0; i < a.size(); ++i) {
    first |= a[i] < b[i];
    second |= b[i] < a[i];
    if (first && second) return Order::kApart;
  }
  if (first) return Order::kFirstBetter;
  return second ? Order::kSecondBetter : Order::kSame;
}

std::vector<std::size_t> Unbeaten(const std::vector<Score>& scores) {
  // In lexicographic order nothing later beats anything earlier, so one pass over those kept does.
  std::vector<std::size_t> order(scores.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::ranges::stable_sort(order, [&](std::size_t a, std::size_t b) {
    return std::ranges::lexicographical_compare(scores[a], scores[b]);
  });
  std::vector<std::size_t> kept;
  for (const std::size_t i : order) {
    const bool beaten = std::ranges::any_of(kept, [&](std::size_t k) {
      const Order o = CompareScores(scores[k], scores[i]);
      return o == Order::kFirstBetter || o == Order::kSame;
    });
    if (!beaten) kept.push_back(i);
  }
  std::ranges::sort(kept);
  return kept;
}

}  // namespace steerbench::search
