// The combinations that nothing beats in every wish at once.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace steerbench::search {

// Penalties of the aims wished for, less is better; all of one search have the same length.
using Score = std::vector<double>;

enum class Order : std::uint8_t { kApart, kFirstBetter, kSecondBetter, kSame };

// Which of two is at least as good everywhere and better somewhere (Pareto dominance: e.g.
// Ehrgott, Multicriteria Optimization, 2nd ed. 2005, def. 2.1).
[[nodiscard]] Order CompareScores(std::span<const double> a, std::span<const double> b);

// Indices of those that no other one beats, in their order; of those alike the first.
[[nodiscard]] std::vector<std::size_t> Unbeaten(const std::vector<Score>& scores);

}  // namespace steerbench::search
