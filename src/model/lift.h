// From a fitted car of document quantities to one of an engine scalar, and the list of its inputs.
#pragma once

#include <fmt/format.h>

#include <concepts>

#include "model/setup.h"
#include "quantity/quoted.h"

namespace steerbench {

// One doubtful number of a fitted car: where it stands in the document, and what it is.
// A point counts as three of them, with ".x", ".y", ".z" behind its path.
struct Input {
  std::string path;
  Quantity quantity;
  Range range = Range::kAny;
};

namespace lift_detail {

template <class T>
inline constexpr bool kIsVector = false;
template <class T>
inline constexpr bool kIsVector<std::vector<T>> = true;

// The path of a field below `parent`. Parts go by their own name: "rack.quick".
template <class A>
std::string Below(const std::string& parent, const FieldInfo& info, const A& a) {
  std::string path =
      parent.empty() ? std::string(info.Table()) : fmt::format("{}.{}", parent, info.key);
  if constexpr (requires { a->owned; }) {
    if (a) path += "." + KeyText(a->name);
  }
  return path;
}

// Walks two structs of the same shape in step. `leaf(path, range, quantity, target)` is called for
// each known number; everything that is not a number is copied. The first struct may be const.
template <class Leaf>
class Walk {
 public:
  Walk(Leaf& leaf, std::string parent) : leaf_(leaf), parent_(std::move(parent)) {}

  template <class A, class B>
  void operator()(const FieldInfo& info, const A& a, B& b) {
    Visit(Below(parent_, info, a), info.range, a, b);
  }

 private:
  template <class A, class B>
  void Visit(const std::string& path, Range range, const A& a, B& b) {
    if constexpr (kIsVector<A> && std::same_as<A, B>) {
      // Rows of the document that the engine needs nothing of, such as faces.
    } else if constexpr (std::same_as<A, Quantity>) {
      leaf_(path, range, a, b);
    } else if constexpr (std::same_as<A, Point<Quantity>>) {
      constexpr std::array<std::string_view, 3> kAxis{"x", "y", "z"};
      for (std::size_t i = 0; i < 3; ++i) {
        leaf_(fmt::format("{}.{}", path, kAxis[i]), range, a[i], b[i]);
      }
    } else if constexpr (Described<A>) {
      if constexpr (requires { a.name; }) b.name = a.name;
      A::Visit(Walk(leaf_, path), a, b);
    } else if constexpr (std::same_as<A, B>) {
      b = a;
    } else if constexpr (kIsOptional<A>) {
      if (a) Visit(path, range, *a, b.emplace());
    } else if constexpr (kIsVector<A>) {
      b.resize(a.size());
      for (std::size_t i = 0; i < a.size(); ++i) {
        Visit(fmt::format("{}[{}]", path, i), range, a[i], b[i]);
      }
    }
  }

  Leaf& leaf_;
  std::string parent_;
};

}  // namespace lift_detail

// A fitted car in the scalar T, into an empty one. `fill(index, value, slot)` is called for each
// input (in the order of Inputs()) with the place where its scalar belongs.
template <class T, class Fill>
void LiftInto(const Fitted<Quantity>& fitted, Fitted<T>& out, Fill fill) {
  out.setup_name = fitted.setup_name;
  std::size_t index = 0;
  auto leaf = [&](const std::string&, Range, const Quantity& q, T& t) {
    fill(index++, q.value, t);
  };
  Fitted<T>::Visit(lift_detail::Walk(leaf, ""), fitted, out);
}

// The same, `make(index, value)` giving each scalar.
template <class T, class Make>
[[nodiscard]] Fitted<T> LiftTo(const Fitted<Quantity>& fitted, Make make) {
  Fitted<T> out;
  LiftInto<T>(fitted, out, [&](std::size_t i, double value, T& slot) { slot = make(i, value); });
  return out;
}

// The document's path of a field of a fitted car: "rack.travel" becomes "rack.quick.travel" with
// the name of the part fitted, "setup.toe" likewise with the setup's name.
template <class S>
[[nodiscard]] std::string FullPath(const Fitted<S>& fitted, std::string_view path) {
  const std::string_view head = path.substr(0, path.find('.'));
  if (path.size() == head.size()) return std::string(path);
  std::string full(path);
  Fitted<S>::Visit(
      [&](const FieldInfo& info, const auto& part) {
        if constexpr (requires { part->owned; }) {
          if (info.key == head && part) {
            full =
                fmt::format("{}.{}{}", info.Table(), KeyText(part->name), path.substr(head.size()));
          }
        } else if (head == "setup" && info.key == head) {
          full = fmt::format("setup.{}{}", KeyText(fitted.setup_name), path.substr(head.size()));
        }
      },
      fitted);
  return full;
}

// Every known number of a fitted car, in the order in which LiftTo counts them.
[[nodiscard]] inline std::vector<Input> Inputs(const Fitted<Quantity>& fitted) {
  std::vector<Input> inputs;
  Fitted<double> unused;
  auto leaf = [&](const std::string& path, Range range, const Quantity& q, double&) {
    const bool of_setup = path.starts_with("setup.");
    inputs.push_back({of_setup ? FullPath(fitted, path) : path, q, range});
  };
  Fitted<Quantity>::Visit(lift_detail::Walk(leaf, ""), fitted, unused);
  return inputs;
}

}  // namespace steerbench
