// Keys and names as words: how they are read, and which known one was probably meant.
#pragma once

#include <span>
#include <string>
#include <string_view>

namespace steerbench {

// A key of the document in words: "tie_rod" becomes "tie rod".
[[nodiscard]] std::string Spaced(std::string_view key);

// The known word nearest to `word`: fewest letters to insert, drop, change or swap with a
// neighbour, case and `-`, `_`, blank counted as the same (optimal string alignment; Damerau 1964).
// Empty when none is near (more than a third of the letters differ) or `word` is over-long. Looks
// at the first `kMaxCandidates` only, so that a hostile document costs bounded time.
inline constexpr std::size_t kMaxCandidates = 2000;
[[nodiscard]] std::string_view Nearest(std::string_view word, std::span<const std::string> known);

}  // namespace steerbench
