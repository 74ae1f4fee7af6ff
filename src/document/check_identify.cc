// What the riddles of a document contradict themselves in. A row that lacks its answer is none of
// it: rows are written field by field, and one without an answer only does not count.
#include <fmt/core.h>

#include <map>
#include <set>

#include "document/fields.h"
#include "document/read.h"
#include "document/walk.h"

namespace steerbench {
namespace {

KnownWords WordsOf(std::vector<std::string> words) {
  return std::make_shared<const std::vector<std::string>>(std::move(words));
}

// So many of them at most: a text full of slips must not cost the square of its length.
std::string Listed(const std::vector<std::string>& words) {
  constexpr std::size_t kMost = 20;
  std::string text;
  for (std::size_t i = 0; i < words.size() && i < kMost; ++i) {
    text += (i == 0 ? "" : ", ") + Shortened(words[i]);
  }
  if (words.size() > kMost) text += " ...";
  return text.empty() ? "none" : text;
}

std::size_t OffsetOf(const Node& row, std::string_view key) {
  const Node* at = FindMember(row, key);
  return at == nullptr ? row.begin : at->begin;
}

// Calls `f(row, node, path)` with each row of a list that stands in a table.
template <class Row, class F>
void ForRows(const Node& table, const Path& path, std::string_view key,
             const std::vector<Row>& rows, F&& f) {
  const Node* list = FindMember(table, key);
  if (list == nullptr || list->items.size() != rows.size()) return;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    Path row = path;
    row.push_back({std::string(key)});
    row.push_back({{}, i});
    f(rows[i], list->items[i], row);
  }
}

class RiddleCheck {
 public:
  RiddleCheck(const Document& document, const std::string& name, const Riddle& riddle,
              const Node& node, Findings& findings)
      : document_(document),
        riddle_(riddle),
        node_(node),
        path_{{"identify"}, {name}},
        findings_(findings) {
    std::vector<std::string> features;
    for (const Feature& f : riddle.feature) features.push_back(f.name);
    known_features_ = {features.begin(), features.end()};
    features_ = WordsOf(std::move(features));
  }

  void Run() {
    Names("feature", riddle_.feature);
    Names("variant", riddle_.variant);
    Few("feature", riddle_.feature.size(), kMostFeatures);
    Few("variant", riddle_.variant.size(), kMostVariants);
    Few("seen", riddle_.seen.size(), kMostSeen);
    Shares();
    Fills();
    ForRows(node_, path_, "variant", riddle_.variant,
            [&](const Variant& variant, const Node& node, const Path& path) {
              Part(variant, node, path);
              std::map<std::string, std::size_t> first;
              ForRows(node, path, "trait", variant.trait,
                      [&](const Trait& trait, const Node& row, const Path& at) {
                        Row(trait, row, at);
                        Twice(first, trait.feature, "feature", row, at,
                              "this variant has two traits of this feature; keep one");
                      });
            });
    ForRows(node_, path_, "seen", riddle_.seen,
            [&](const Sighting& seen, const Node& row, const Path& at) {
              Row(seen, row, at);
              Wrong(seen.wrong, row, at);
            });
  }

 private:
  void Add(const Path& path, std::string_view key, std::size_t offset, std::string found,
           std::string message) {
    findings_.Add({.offset = offset,
                   .field = fmt::format("{}.{}", PathText(path), key),
                   .found = std::move(found),
                   .message = std::move(message)});
  }

  void Few(std::string_view key, std::size_t count, std::size_t most) {
    if (count <= most) return;
    Add(path_, key, OffsetOf(node_, key), fmt::format("{} rows", count),
        fmt::format("a riddle has at most {}; leave out what tells least, or make two riddles",
                    most));
  }

  void Twice(std::map<std::string, std::size_t>& first, const std::string& name,
             std::string_view key, const Node& row, const Path& path, std::string_view message) {
    if (name.empty()) return;
    const std::size_t offset = OffsetOf(row, key);
    const auto [at, fresh] = first.emplace(name, offset);
    if (fresh) return;
    findings_.Add({.offset = offset,
                   .field = fmt::format("{}.{}", PathText(path), key),
                   .found = Shortened(name),
                   .message = std::string(message),
                   .first = at->second});
  }

  template <class Rows>
  void Names(std::string_view key, const Rows& rows) {
    std::map<std::string, std::size_t> first;
    ForRows(node_, path_, key, rows, [&](const auto& row, const Node& node, const Path& path) {
      Twice(first, row.name, "name", node, path,
            fmt::format("two rows of {} have this name; give one of them another", key));
    });
  }

  void Wrong(const std::optional<Quantity>& wrong, const Node& row, const Path& path) {
    constexpr double kTellsNothing = 0.5;
    if (!wrong || wrong->value < kTellsNothing) return;
    Add(path, "wrong", OffsetOf(row, "wrong"), Shortened(wrong->written),
        "a look that is wrong half of the time or more tells nothing; it must be less than 50 %");
  }

  void Shares() {
    if (riddle_.none && riddle_.none->value >= 1.0) {
      Add(path_, "none", OffsetOf(node_, "none"), Shortened(riddle_.none->written),
          "with that no variant has a chance; it must be less than 100 %");
    }
    ForRows(node_, path_, "feature", riddle_.feature,
            [&](const Feature& feature, const Node& row, const Path& path) {
              Wrong(feature.wrong, row, path);
            });
  }

  // What `fills` may be, and the parts of the document of the kind that it is.
  void Fills() {
    std::vector<std::string> kinds;
    ForEachPartKind(document_, [&](std::string_view key, std::string_view, const auto& parts) {
      kinds.emplace_back(key);
      if (key != riddle_.fills) return;
      parts_.emplace();
      for (const auto& entry : parts) parts_->push_back(entry.first);
      known_parts_ = {parts_->begin(), parts_->end()};
    });
    if (riddle_.fills.empty() || parts_) return;
    findings_.Add(
        {.offset = OffsetOf(node_, "fills"),
         .field = PathText(path_) + ".fills",
         .found = Shortened(riddle_.fills),
         .message = fmt::format("a setup chooses no such part; it is one of {}", Listed(kinds)),
         .wanted = riddle_.fills,
         .known = WordsOf(kinds)});
  }

  void Part(const Variant& variant, const Node& node, const Path& path) {
    if (variant.part.empty()) return;
    const std::size_t offset = OffsetOf(node, "part");
    if (riddle_.fills.empty()) {
      Add(path, "part", offset, Shortened(variant.part),
          fmt::format("say what kind of part that is: fills of {}, e.g. \"rack\"",
                      PathText(path_)));
      return;
    }
    if (!parts_ || known_parts_.contains(variant.part)) return;
    findings_.Add({.offset = offset,
                   .field = PathText(path) + ".part",
                   .found = Shortened(variant.part),
                   .message = fmt::format("no {} of this document has this name; there are: {}",
                                          riddle_.fills, Listed(*parts_)),
                   .wanted = variant.part,
                   .known = WordsOf(*parts_)});
  }

  // One answer, of the kind that the feature has elsewhere, to a feature that there is.
  void Row(const Trait& row, const Node& node, const Path& path) {
    if (!row.feature.empty() && !known_features_.contains(row.feature)) {
      findings_.Add({.offset = OffsetOf(node, "feature"),
                     .field = PathText(path) + ".feature",
                     .found = Shortened(row.feature),
                     .message = fmt::format("{} has no feature of this name; it has: {}",
                                            PathText(path_), Listed(*features_)),
                     .wanted = row.feature,
                     .known = features_});
    }
    std::vector<std::string> answers;
    Trait::Visit(
        [&](const FieldInfo& info, const auto& field) {
          if (info.key == "feature") return;
          if constexpr (requires { field.has_value(); }) {
            if (field) answers.emplace_back(info.key);
          } else if (!field.empty()) {
            answers.emplace_back(info.key);
          }
        },
        row);
    if (answers.size() > 1) {
      Add(path, answers[1], OffsetOf(node, answers[1]), "",
          fmt::format("a row has one answer, but this has {}; keep one of them, or write two rows",
                      Listed(answers)));
    }
    if (answers.size() != 1 || row.feature.empty()) return;
    const auto [kind, fresh] =
        kinds_.emplace(row.feature, std::pair(answers[0], OffsetOf(node, answers[0])));
    if (fresh || kind->second.first == answers[0]) return;
    findings_.Add({.offset = OffsetOf(node, answers[0]),
                   .field = fmt::format("{}.{}", PathText(path), answers[0]),
                   .message = fmt::format("'{}' is answered by '{}' elsewhere; keep to one of them",
                                          row.feature, kind->second.first),
                   .first = kind->second.second});
  }

  const Document& document_;
  const Riddle& riddle_;
  const Node& node_;
  Path path_;
  Findings& findings_;
  KnownWords features_;
  std::set<std::string> known_features_, known_parts_;
  std::optional<std::vector<std::string>> parts_;                     // unset: no such kind
  std::map<std::string, std::pair<std::string, std::size_t>> kinds_;  // by feature: answer, place
};

}  // namespace

void CheckRiddles(const Document& document, const Node& root, Findings& findings) {
  ForEachNamed(root, "identify", document.identify,
               [&](const std::string& name, const Riddle& riddle, const Node& node) {
                 RiddleCheck(document, name, riddle, node, findings).Run();
               });
}

}  // namespace steerbench
