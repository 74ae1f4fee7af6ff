#include "identify/parts.h"

#include <algorithm>
#include <optional>

#include "quantity/apart.h"

namespace steerbench::identify {
namespace {

// A value of a part; `number` where it is a quantity.
struct Leaf {
  std::string field, text;
  std::optional<Quantity> number;
};

template <class A>
struct Bare {
  using type = A;
};
template <class A>
struct Bare<std::optional<A>> {
  using type = A;
};

// What a part states that could make something bought for it wrong.
class Stated {
 public:
  template <Described T>
  explicit Stated(const T& part) {
    T::Visit(*this, part);
  }

  template <class A>
  void operator()(const FieldInfo& info, const A& value) {
    constexpr std::array<std::string_view, 8> kOfTheOffer{"title", "source", "note",    "owned",
                                                          "price", "hours",  "lasting", "made"};
    if (std::ranges::find(kOfTheOffer, info.key) != kOfTheOffer.end()) return;
    const std::string field = prefix_ + std::string(info.key);
    if constexpr (std::is_same_v<A, std::string>) {
      if (!value.empty()) leaves_.push_back({field, value, {}});
    } else if constexpr (std::is_same_v<A, std::optional<Quantity>>) {
      if (value) leaves_.push_back({field, value->written, value});
    } else if constexpr (std::is_same_v<A, std::vector<Face>>) {
      for (const Face& face : value) {
        if (!face.at) continue;
        prefix_ = std::string(WordOf(*face.at)) + ": ";
        Face at_there = face;
        at_there.at.reset();
        Face::Visit(*this, at_there);
        prefix_.clear();
      }
    } else if constexpr (kIsOptional<A> && std::is_enum_v<typename Bare<A>::type>) {
      if (value) leaves_.push_back({field, std::string(WordOf(*value)), {}});
    }
  }

  [[nodiscard]] const std::vector<Leaf>& Leaves() const { return leaves_; }
  [[nodiscard]] const Leaf* Find(const std::string& field) const {
    const auto found = std::ranges::find(leaves_, field, &Leaf::field);
    return found == leaves_.end() ? nullptr : &*found;
  }

 private:
  std::string prefix_;
  std::vector<Leaf> leaves_;
};

bool Differ(const Leaf& a, const Leaf& b) {
  if (!a.number || !b.number) return a.text != b.text;
  return FurtherApart(*a.number, *b.number);
}

std::vector<Difference> Compared(const std::vector<std::pair<std::string, Stated>>& parts) {
  std::vector<std::string> fields;
  for (const auto& [name, stated] : parts) {
    for (const Leaf& leaf : stated.Leaves()) {
      if (std::ranges::find(fields, leaf.field) == fields.end()) fields.push_back(leaf.field);
    }
  }
  std::vector<Difference> all;
  for (const std::string& field : fields) {
    Difference d{field, {}};
    std::vector<const Leaf*> leaves;
    for (const auto& [name, stated] : parts) {
      const Leaf* leaf = stated.Find(field);
      if (leaf == nullptr) continue;
      leaves.push_back(leaf);
      d.value.emplace_back(name, leaf->text);
    }
    const bool differs = std::ranges::any_of(leaves, [&](const Leaf* a) {
      return std::ranges::any_of(leaves, [a](const Leaf* b) { return Differ(*a, *b); });
    });
    if (differs) all.push_back(std::move(d));
  }
  return all;
}

}  // namespace

std::vector<Difference> Differences(const Document& document, std::string_view table,
                                    std::span<const std::string> parts) {
  std::vector<std::pair<std::string, Stated>> stated;
  Document::Visit(
      [&](const FieldInfo& info, const auto& named) {
        if constexpr (requires { Stated(named.front().second); }) {
          if (info.key != table) return;
          for (const std::string& name : parts) {
            const auto found = std::ranges::find_if(
                named, [&name](const auto& entry) { return entry.first == name; });
            if (found != named.end()) stated.emplace_back(name, Stated(found->second));
          }
        }
      },
      document);
  return Compared(stated);
}

}  // namespace steerbench::identify
