// Any one field of the demo taken away: what hangs on it is unknown and says so by that very name;
// nothing else moves.
#include <doctest/doctest.h>

#include <cmath>
#include <map>
#include <regex>
#include <set>

#include "engine/evaluate/propagate.h"
#include "fixtures/demo.h"
#include "fixtures/figures.h"
#include "fixtures/slower.h"

namespace steerbench {
namespace {

// Calls `see(path, field)` for every optional value of a struct of the model, parts and all.
template <class See>
class Fields {
 public:
  Fields(const See& see, std::string parent) : see_(see), parent_(std::move(parent)) {}
  template <class A>
  void operator()(const FieldInfo& info, A& a) const {
    Enter(parent_.empty() ? std::string(info.key) : fmt::format("{}.{}", parent_, info.key), a);
  }

 private:
  template <class A>
  void Enter(const std::string& path, A& a) const {
    if constexpr (Described<A>) {
      A::Visit(Fields(see_, path), a);
    } else if constexpr (lift_detail::kIsVector<A>) {
      for (auto& element : a) Enter(path, element);
    } else if constexpr (kIsOptional<A>) {
      if (!a) return;
      if constexpr (Described<typename A::value_type>) {
        Enter(path, *a);
      } else {
        see_(path, a);
      }
    }
  }
  const See& see_;
  std::string parent_;
};

template <class See>
void ForEachField(Fitted<Quantity>& fitted, const See& see) {
  Fitted<Quantity>::Visit(Fields<See>(see, ""), fitted);
}

// The n-th field taken away; its path, or nothing when there are not so many.
std::optional<std::string> TakeAway(Fitted<Quantity>& fitted, std::size_t n) {
  std::size_t i = 0;
  std::optional<std::string> taken;
  ForEachField(fitted, [&](const std::string& path, auto& field) {
    if (i++ == n) {
      taken = path;
      field.reset();
    }
  });
  return taken;
}

// Fields without which a number may move, because their absence has a meaning of its own that the
// document's help states, or because the result says what is assumed instead.
const std::map<std::string, std::string>& MeaningfulAbsence() {
  static const std::map<std::string, std::string> kFields{
      {"rack.joint_span", "the measured points' own span is taken"},
      {"rack.mount_up", "sits as the measured points"},
      {"setup.rack_up", "no shim"},
      {"setup.toe_length", "toe as measured with the points, said in words"},
      {"car.drive.pulley.slot", "it cannot be moved: the belt is as long as the pulleys make it"},
      {"car.drive.line_differential", "diameters at the cords, said in words"},
      {"car.front.rebound", "limits at design height: missing names it, none 'holds'"},
  };
  return kFields;
}

// Fields whose absence means that there is no such limit.
bool MeansNoLimit(const std::string& field) {
  static const std::set<std::string> kFields{
      "car.front.tyre_touch.left_wheel_left",    // the tyre does not touch there
      "car.front.tyre_touch.right_wheel_right",  // likewise
      "rack.inner_joint_limit",                  // the travel's own limit names it
      "tie_rod.outer_joint_limit",               // likewise
      "car.drive.pulley.slot",                   // no tensioner
      "rack.thread_engaged",                     // without a spacer the thread is the works' own
  };
  return kFields.contains(field);
}

bool Names(const std::vector<std::string>& missing, const std::string& full_path) {
  return std::ranges::find(missing, full_path) != missing.end();
}

void CheckWithout(const Propagated& whole, const Propagated& less, const std::string& field,
                  const std::string& full_path) {
  const auto before = fixtures::Row(whole), after = fixtures::Row(less);
  const auto missing = fixtures::MissingRow(less);
  // A travel that something unknown might end sooner names it, and takes all at lock with it.
  const auto travel_names = [&](Output id) {
    return Names(less[id].missing, full_path) && whole[id].missing.empty();
  };
  const bool may_move = MeaningfulAbsence().contains(field) || travel_names(Output::kTravelLeft) ||
                        travel_names(Output::kTravelRight);
  for (std::size_t i = 0; i < fixtures::kSlots; ++i) {
    if (!before[i] || fixtures::IsWeighed(i)) continue;
    CAPTURE(fixtures::SlotName(i));
    if (!after[i]) {
      CHECK((Names(missing[i], full_path) || MeansNoLimit(field)));
    } else if (!may_move && !Names(missing[i], full_path)) {
      // Of several cases it is then that of the known ones, which MarginStatus never lets hold.
      CHECK(after[i]->value == before[i]->value);
    }
  }
  // What may come sooner than known does not hold.
  for (const auto& way : less.ends) {
    for (const PropagatedEnd& e : way) {
      if (e.end == RackEnd::kHousingStop || e.margin.out_of_sight) continue;
      if (e.margin.missing.empty()) continue;
      CHECK(e.margin.status != limits::Status::kHolds);
    }
  }
}

TEST_CASE("Without any one of its fields the demo is never silently another car") {
  const Document demo = fixtures::Example();
  for (const auto& entry : demo.setup) {
    const Fitted<Quantity> whole = Fit(demo, entry.second);
    const Propagated results = Propagate(whole);
    std::size_t n = 0;
    for (;; n += fixtures::kSlower) {
      Fitted<Quantity> less = whole;
      const auto field = TakeAway(less, n);
      if (!field) break;
      CAPTURE(entry.first);
      CAPTURE(*field);
      CheckWithout(results, Propagate(less), *field, FullPath(less, *field));
    }
    CHECK(n > 50);
  }
}

// The list above is not longer than it must be: each field of it does move a number, or it would
// hide a fault later.
TEST_CASE("Each field whose absence has a meaning moves some number of some setup") {
  const Document demo = fixtures::Example();
  std::set<std::string> moving;
  for (const auto& entry : demo.setup) {
    const Fitted<Quantity> whole = Fit(demo, entry.second);
    const auto before = fixtures::Row(Propagate(whole));
    for (std::size_t n = 0;; ++n) {
      Fitted<Quantity> less = whole;
      const auto field = TakeAway(less, n);
      if (!field) break;
      if (!MeaningfulAbsence().contains(*field)) continue;
      const auto after = fixtures::Row(Propagate(less));
      for (std::size_t i = 0; i < before.size(); ++i) {
        if (before[i] && after[i] && before[i]->value != after[i]->value) moving.insert(*field);
      }
    }
  }
  for (const auto& entry : MeaningfulAbsence()) {
    CAPTURE(entry.first);
    CHECK(moving.contains(entry.first));
  }
}

TEST_CASE("A setup without a rack says that it needs one") {
  Fitted<Quantity> f = fixtures::FittedSetup(fixtures::Example(), "works");
  f.rack.reset();
  const Propagated p = Propagate(f);
  CHECK(p[Output::kTurns].missing == std::vector<std::string>{"setup.works.rack"});
  CHECK_FALSE(p[Output::kInnerWheelLeft].figure.has_value());
}

}  // namespace
}  // namespace steerbench
