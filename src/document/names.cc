#include "document/names.h"

#include <algorithm>
#include <vector>

namespace steerbench {
namespace {

constexpr std::size_t kLongestWord = 64;  // longer words are no slips of the pen

std::string Folded(std::string_view word) {
  std::string out(word);
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    if (c == '-' || c == ' ') c = '_';
  }
  return out;
}

std::size_t Distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> before(b.size() + 1), last(b.size() + 1), now(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) last[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    now[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t change = last[j - 1] + (a[i - 1] == b[j - 1] ? 0u : 1u);
      now[j] = std::min({last[j] + 1, now[j - 1] + 1, change});
      const bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
      if (swapped) now[j] = std::min(now[j], before[j - 2] + 1);
    }
    std::swap(before, last);
    std::swap(last, now);
  }
  return last[b.size()];
}

}  // namespace

std::string Spaced(std::string_view key) {
  std::string words(key);
  std::ranges::replace(words, '_', ' ');
  return words;
}

std::string_view Nearest(std::string_view word, std::span<const std::string> known) {
  if (word.empty() || word.size() > kLongestWord) return {};
  const std::string wanted = Folded(word);
  std::size_t allowed = std::max<std::size_t>(1, word.size() / 3);
  std::string_view best;
  for (const std::string& candidate : known.first(std::min(known.size(), kMaxCandidates))) {
    const std::size_t longer = std::max(candidate.size(), word.size());
    if (longer - std::min(candidate.size(), word.size()) > allowed) continue;
    const std::size_t distance = Distance(wanted, Folded(candidate));
    if (distance > allowed) continue;
    best = candidate;
    if (distance == 0) break;
    allowed = distance - 1;  // only a nearer one replaces it
  }
  return best;
}

}  // namespace steerbench
