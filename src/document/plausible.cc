#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "document/fields.h"
#include "document/names.h"
#include "document/read.h"
#include "document/walk.h"

namespace steerbench {
namespace {

// ---- Sides -------------------------------------------------------------------------------------

// Points that lie on their own side of any car; pivots and inner ends of links may be anywhere.
constexpr std::array<std::string_view, 11> kOwnSide{
    "wheel_centre",     "tie_rod_outer", "tie_rod_inner", "upper_ball_joint",
    "lower_ball_joint", "strut_top",     "link_1_outer",  "link_2_outer",
    "link_3_outer",     "link_4_outer",  "outer_joint"};
constexpr std::string_view kRightArm = "outer_joint_right";

constexpr std::size_t kY = 1;  // component of a point

// The node of a point's second component, or of the point when it is one text.
const Node& NodeOfY(const Node& point) {
  const Node* value = point.type == Node::Type::kTable ? FindMember(point, "value") : &point;
  if (value == nullptr) return point;
  return value->type == Node::Type::kArray && value->items.size() > kY ? value->items[kY] : *value;
}

void CheckSide(const Quantity& y, bool left, const Node& point, std::string field,
               Findings& findings) {
  if (left ? y.value > 0.0 : y.value < 0.0) return;
  std::string message =
      fmt::format("y is positive to the left, so the {}",
                  left ? "left side's are positive" : "right side's are negative");
  const auto written = ToUnit(y.value, y.kind, y.unit);
  if (written && *written != 0.0) message += fmt::format("; did you mean {:g}?", -*written);
  findings.Add({.offset = NodeOfY(point).begin,
                .field = std::move(field),
                .found = Shortened(y.written),
                .message = std::move(message)});
}

// All points of a corner or of a pair of arms.
template <class T>
void CheckSides(const T& table, bool left, const Node* node, const Path& path, Findings& findings) {
  if (node == nullptr) return;
  T::Visit(
      [&](const FieldInfo& info, const auto& field) {
        if constexpr (std::is_same_v<std::remove_cvref_t<decltype(field)>,
                                     std::optional<Point<Quantity>>>) {
          const bool other = info.key == kRightArm;
          const bool own = std::ranges::find(kOwnSide, info.key) != kOwnSide.end();
          const Node* point = FindMember(*node, info.key);
          if (!field || point == nullptr || !(own || other)) return;
          Path at = path;
          at.push_back({std::string(info.key)});
          CheckSide((*field)[kY], left && !other, *point, PathText(at), findings);
        }
      },
      table);
}

// ---- Sizes -------------------------------------------------------------------------------------

// Sizes of a whole car, which no road vehicle has outside these bounds.
constexpr std::array<std::string_view, 5> kSizes{"wheelbase", "body_width", "rear_track", "track",
                                                 "axis_spacing"};
constexpr double kLeastSize = 0.3, kMostSize = 10.0;  // [m]

bool IsSize(double metres) { return metres >= kLeastSize && metres <= kMostSize; }

// The same number in the unit that was probably meant, also in millimetres when that is metres;
// empty when no unit gives a likely size.
std::string MeantSize(const Quantity& q) {
  constexpr std::array<std::pair<std::string_view, double>, 4> kUnits{
      {{"m", 1.0}, {"mm", 1e-3}, {"in", 0.0254}, {"cm", 1e-2}}};
  const auto number = ToUnit(q.value, q.kind, q.unit);
  if (!number) return {};
  for (const auto& [unit, metres] : kUnits) {
    if (!IsSize(*number * metres)) continue;
    const std::string meant = fmt::format("{:g} {}", *number, unit);
    constexpr double kMillimetres = 1e3;  // in a metre
    return unit == "m" ? fmt::format("{} or {:g} mm", meant, *number * kMillimetres) : meant;
  }
  return {};
}

void CheckSize(const FieldInfo& info, const Quantity& q, const Node& at, std::string field,
               Findings& findings) {
  if (IsSize(q.value)) return;
  const std::string name = Spaced(info.key);
  const std::string meant = MeantSize(q);
  findings.Add(
      {.offset = at.begin,
       .field = std::move(field),
       .found = Shortened(q.written),
       .message = fmt::format(
           "{} cannot be {} {}{}", ShowIn(q.value, {}, q.kind, q.unit).text,
           name.starts_with('a') ? "an" : "a", name,
           meant.empty() ? fmt::format("; it lies between {} m and {} m", kLeastSize, kMostSize)
                         : fmt::format(": did you mean {}?", meant))});
}

template <class T>
void CheckSizes(const T& table, const Node* node, const Path& path, Findings& findings) {
  if (node == nullptr) return;
  T::Visit(
      [&](const FieldInfo& info, const auto& field) {
        if constexpr (std::is_same_v<std::remove_cvref_t<decltype(field)>,
                                     std::optional<Quantity>>) {
          const Node* at = FindMember(*node, info.key);
          if (!field || at == nullptr || std::ranges::find(kSizes, info.key) == kSizes.end()) {
            return;
          }
          Path own = path;
          own.push_back({std::string(info.key)});
          CheckSize(info, *field, *at, PathText(own), findings);
        }
      },
      table);
}

// ---- Turn plates -------------------------------------------------------------------------------

// Toe turns the wheels to opposite sides by less than this each.
constexpr double kMostToe = 2.0 * std::numbers::pi / 180.0;

void CheckPlateRow(const TurnPlateRow<Quantity>& row, const Node& node, const Path& path,
                   Findings& findings) {
  if (!row.left || !row.right) return;
  const double left = row.left->value, right = row.right->value;
  const bool opposite = left * right < 0.0;
  if (!opposite || std::abs(left) <= kMostToe || std::abs(right) <= kMostToe) return;
  findings.Add({.offset = BeginOf(node, "right"),
                .field = PathText(path) + ".right",
                .found = Shortened(row.right->written),
                .message = "left and right wheel are turned to opposite sides here; both wheels "
                           "are counted positive to the left"});
}

}  // namespace

void CheckPlausible(const Document& document, const Node& root, Findings& findings) {
  const FrontAxle<Quantity>& axle = document.car.front;
  const Node* car = FindMember(root, "car");
  const Node* front = FindMember(car, "front");
  CheckSizes(document.car, car, {{"car"}}, findings);
  CheckSizes(axle, front, {{"car"}, {"front"}}, findings);
  CheckSides(axle.left, true, FindMember(front, "left"), {{"car"}, {"front"}, {"left"}}, findings);
  CheckSides(axle.right, false, FindMember(front, "right"), {{"car"}, {"front"}, {"right"}},
             findings);
  const Path plates{{"car"}, {"front"}, {"turn_plate"}};
  ForEachRow(root, plates, document.car.front.turn_plate,
             [&](const auto& row, const Node& node, const Path& path) {
               CheckPlateRow(row, node, path, findings);
             });
  ForEachNamed(root, "arms", document.arms,
               [&](const std::string& name, const Arms<Quantity>& arms, const Node& node) {
                 CheckSides(arms, true, &node, {{"arms"}, {name}}, findings);
               });
}

}  // namespace steerbench
