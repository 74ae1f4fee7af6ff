// Collects what is wrong with a text while it is read, and turns it into Problems at the end.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "document/document.h"
#include "document/node.h"

namespace steerbench {

// Words among which the nearest one is offered.
using KnownWords = std::shared_ptr<const std::vector<std::string>>;

struct Finding {
  static constexpr std::size_t kNowhere = static_cast<std::size_t>(-1);
  std::size_t offset = kNowhere;  // byte offset in the text
  std::string field = {}, found = {}, message = {};
  std::string wanted = {};  // a word for which the nearest of `known` is offered
  KnownWords known = {};
  bool list_known = false;       // where none of them is near, all are told
  std::size_t first = kNowhere;  // byte offset of what this repeats; the message names its line
};

class Findings {
 public:
  void Add(Finding finding) { findings_.push_back(std::move(finding)); }
  // In the order of the text, at most kMaxProblems and one that counts the rest. Suggestions are
  // looked for only here, so that a text full of slips costs no more than one with a few.
  [[nodiscard]] std::vector<Problem> ToProblems(const TextIndex& index) const;
  // Those that were not there before, each as often as it is new; wherever in the text they stand.
  [[nodiscard]] Findings NotAmong(const Findings& before) const;

 private:
  std::vector<Finding> findings_;
};

}  // namespace steerbench
