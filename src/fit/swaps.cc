#include "fit/swaps.h"

#include <algorithm>
#include <string_view>

#include "document/quantity_text.h"
#include "engine/evaluate/evaluate.h"
#include "model/lift.h"

namespace steerbench::fit {
namespace {

// Whether a part comes or goes with the assistance: those that do nothing without a pump, and the
// rack where only one of the two has a piston.
bool GoesWithAssistance(std::string_view field, const Fitted<Quantity>& from,
                        const Fitted<Quantity>& to) {
  constexpr std::array<std::string_view, 6> kCircuit{
      "pump", "pulley", "belt", "fluid", "control_valve", "second_control_valve"};
  const auto assisted = [](const Fitted<Quantity>& f) {
    return f.rack && IsAssisted(*f.rack).value_or(false);
  };
  if (from.pump.has_value() == to.pump.has_value()) return false;
  if (field == "rack") return assisted(from) != assisted(to);
  return std::ranges::find(kCircuit, field) != kCircuit.end();
}

std::string TextOf(const Quantity& q) { return WrittenText(q); }
std::string TextOf(bool yes) { return yes ? "true" : "false"; }
template <class E>
requires std::is_enum_v<E> std::string TextOf(E word) { return std::string(WordOf(word)); }

bool Same(const Quantity& a, const Quantity& b) { return a.value == b.value; }
template <class V>
bool Same(const V& a, const V& b) {
  return a == b;
}

// Calls f(key, field, field of the second) for each part and adjustment of two fitted cars.
template <class A, class B, class F>
void ForEachField(A& one, B& two, F f) {
  const auto parts = [&](const FieldInfo& info, auto& a, auto& b) {
    using Field = std::remove_cvref_t<decltype(a)>;
    if constexpr (requires { a->owned; }) {
      f(info.key, a, b);
    } else if constexpr (std::same_as<Field, Adjustments<Quantity>>) {
      Field::Visit([&](const FieldInfo& of, auto& x, auto& y) { f(of.key, x, y); }, a, b);
    }
  };
  Fitted<Quantity>::Visit(parts, one, two);
}

template <class V>
std::optional<Change> ChangeOf(std::string_view field, const std::optional<V>& from,
                               const std::optional<V>& to) {
  const auto text = [](const std::optional<V>& value) {
    if constexpr (requires { value->owned; }) {
      return value ? value->name : std::string();
    } else {
      return value ? TextOf(*value) : std::string();
    }
  };
  if (!from && !to) return std::nullopt;
  if (from && to) {
    if constexpr (requires { from->owned; }) {
      if (from->name == to->name) return std::nullopt;
    } else if (Same(*from, *to)) {
      return std::nullopt;
    }
  }
  return Change{std::string(field), text(from), text(to)};
}

// `base` with what a swap changes taken from `other`.
Fitted<Quantity> With(Fitted<Quantity> base, const Fitted<Quantity>& other, const Swap& swap) {
  ForEachField(base, other, [&](std::string_view key, auto& mine, const auto& its) {
    if (std::ranges::find(swap.changes, key, &Change::field) != swap.changes.end()) mine = its;
  });
  return base;
}

Evaluation<double> PlainEvaluation(const Fitted<Quantity>& fitted) {
  return Evaluate(LiftTo<double>(fitted, [](std::size_t, double value) { return value; }));
}

std::array<std::optional<double>, kOutputs> Less(const Evaluation<double>& a,
                                                 const Evaluation<double>& b) {
  std::array<std::optional<double>, kOutputs> difference;
  for (std::size_t i = 0; i < kOutputs; ++i) {
    const auto &x = a.result[i].value, &y = b.result[i].value;
    if (x && y) difference[i] = *x - *y;
  }
  return difference;
}

}  // namespace

std::vector<Swap> SwapsBetween(const Fitted<Quantity>& from, const Fitted<Quantity>& to) {
  std::vector<Swap> swaps;
  std::optional<std::size_t> circuit;
  ForEachField(from, to, [&](std::string_view key, const auto& a, const auto& b) {
    auto change = ChangeOf(key, a, b);
    if (!change) return;
    if (GoesWithAssistance(key, from, to)) {
      if (!circuit) {
        circuit = swaps.size();
        swaps.emplace_back();
      }
      swaps[*circuit].changes.push_back(*std::move(change));
    } else {
      swaps.emplace_back().changes.push_back(*std::move(change));
    }
  });
  if (swaps.empty()) return swaps;
  const Evaluation<double> first = PlainEvaluation(from), second = PlainEvaluation(to);
  for (Swap& swap : swaps) {
    swap.alone = Less(PlainEvaluation(With(from, to, swap)), first);
    swap.last = Less(second, PlainEvaluation(With(to, from, swap)));
  }
  return swaps;
}

}  // namespace steerbench::fit
