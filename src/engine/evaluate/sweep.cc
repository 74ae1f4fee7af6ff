#include "engine/evaluate/sweep.h"

#include <algorithm>
#include <cmath>

#include "engine/linkage/axle.h"
#include "engine/turning/ackermann.h"

namespace steerbench {
namespace {

// What is printed of each wheel in space, with the sign that takes it to the vehicle frame.
struct WheelColumn {
  std::string_view left_key, right_key, left_label, right_label;
  Kind kind;
  double (*value)(const linkage::WheelState<double>&, double side);
};

using State = linkage::WheelState<double>;
#define STEERBENCH_BOTH(key, label) key "_left", key "_right", label ", left", label ", right"
constexpr WheelColumn kWheelColumns[] = {
    {STEERBENCH_BOTH("toe", "toe-in"), Kind::kAngle,
     [](const State& s, double) { return -s.steer; }},
    {STEERBENCH_BOTH("camber", "camber"), Kind::kAngle,
     [](const State& s, double) { return s.camber; }},
    {STEERBENCH_BOTH("camber_front_view", "camber in front view"), Kind::kAngle,
     [](const State& s, double) { return s.camber_front_view; }},
    {STEERBENCH_BOTH("caster", "caster"), Kind::kAngle,
     [](const State& s, double) { return s.caster; }},
    {STEERBENCH_BOTH("inclination", "axis inclination"), Kind::kAngle,
     [](const State& s, double) { return s.inclination; }},
    {STEERBENCH_BOTH("scrub", "scrub radius"), Kind::kLength,
     [](const State& s, double) { return s.scrub_radius; }},
    {STEERBENCH_BOTH("trail", "mechanical trail"), Kind::kLength,
     [](const State& s, double) { return s.mechanical_trail; }},
    {STEERBENCH_BOTH("half_track", "half track, contact to the car's middle"), Kind::kLength,
     [](const State& s, double) { return s.contact.y(); }},
    {STEERBENCH_BOTH("contact_x", "contact, forward"), Kind::kLength,
     [](const State& s, double) { return s.contact.x(); }},
    {STEERBENCH_BOTH("contact_y", "contact, to the left"), Kind::kLength,
     [](const State& s, double side) { return s.contact.y() * side; }},
    {STEERBENCH_BOTH("contact_z", "contact, up"), Kind::kLength,
     [](const State& s, double) { return s.contact.z(); }},
    {STEERBENCH_BOTH("bump_steer", "bump steer"), Kind::kAnglePerLength,
     [](const State& s, double) { return -s.steer_per_jounce; }},
    {STEERBENCH_BOTH("camber_gain", "camber per wheel travel"), Kind::kAnglePerLength,
     [](const State& s, double) { return s.camber_per_jounce; }},
    {STEERBENCH_BOTH("rod_arm_angle", "rod to arm"), Kind::kAngle,
     [](const State& s, double) { return s.rod_arm_angle; }},
    {STEERBENCH_BOTH("inner_tilt", "inner joint tilt"), Kind::kAngle,
     [](const State& s, double) { return s.inner_tilt; }},
    {STEERBENCH_BOTH("outer_tilt", "outer joint tilt"), Kind::kAngle,
     [](const State& s, double) { return s.outer_tilt.value_or(kNoValue); }},
    {STEERBENCH_BOTH("side_load", "side load on the rack"), Kind::kShare,
     [](const State& s, double) { return s.side_load_share; }},
};
#undef STEERBENCH_BOTH

// Columns of both wheels and of the axle that any level can give.
constexpr SweepColumn kFirst[] = {
    {"travel", "rack travel", Kind::kLength},
    {"jounce_left", "wheel travel, left", Kind::kLength},
    {"jounce_right", "wheel travel, right", Kind::kLength},
    {"hand_wheel", "hand wheel, to the left", Kind::kAngle},
    {"overall_ratio", "overall ratio, mean of both wheels", Kind::kRatio},
    {"steer_left", "steer, left", Kind::kAngle},
    {"steer_right", "steer, right", Kind::kAngle},
    {"linkage_ratio_left", "steer per rack travel, left", Kind::kAnglePerLength},
    {"linkage_ratio_right", "steer per rack travel, right", Kind::kAnglePerLength},
    {"ackermann_inner", "Ackermann, same inner angle", Kind::kShare},
    {"ackermann_cot", "Ackermann, by cotangents", Kind::kShare},
};
constexpr SweepColumn kAxleColumns[] = {
    {"toe_rim_left", "toe-in at the rim, left", Kind::kLength},
    {"toe_rim_right", "toe-in at the rim, right", Kind::kLength},
    {"total_toe", "toe-in of both wheels", Kind::kAngle},
    {"roll_steer", "roll steer", Kind::kRatio},
    {"roll_centre_y", "roll centre, to the left", Kind::kLength},
    {"roll_centre_height", "roll-centre height", Kind::kLength},
};

class Sweeper {
 public:
  explicit Sweeper(const Fitted<double>& fitted) : fitted_(fitted), front_(AssembleFront(fitted)) {
    Missing ignored;
    const auto rest = SeeWheel<double>(front_, Side::kLeft, 0.0, 0.0);
    hand_ = HandToRackOf(fitted, !rest || rest->sample.steer_per_travel > 0.0, ignored);
    sweep_.level = front_.level;
    sweep_.assumed = InWords(front_.assumed);
    sweep_.column.assign(std::begin(kFirst), std::end(kFirst));
    if (front_.level != Level::kPoints) return;
    for (const WheelColumn& c : kWheelColumns) {
      sweep_.column.push_back({c.left_key, c.left_label, c.kind});
      sweep_.column.push_back({c.right_key, c.right_label, c.kind});
    }
    sweep_.column.insert(sweep_.column.end(), std::begin(kAxleColumns), std::end(kAxleColumns));
    for (const Side side : kSides) pose_[Index(side)] = front_.rest[Index(side)].pose;
    spacing_ = Spacing();
  }

  Sweep Run(const SweepGrid& grid) {
    const std::vector<double> here{0.0};
    for (const double s : grid.travel) {
      for (const double left : grid.jounce_left) {
        for (const double right : grid.wheels_together ? here : grid.jounce_right) {
          Row(s, left, grid.wheels_together ? left : right);
        }
      }
    }
    return std::move(sweep_);
  }

 private:
  // Moves one wheel on from where it was, which is near on a grid; from rest when that fails.
  std::optional<State> Wheel(Side side, double travel, double jounce) {
    const std::size_t i = Index(side);
    const linkage::Corner<double>& corner = front_.corner[i];
    const double s = travel * SideSign(side);
    linkage::Solve solve = linkage::MoveTo(corner, pose_[i], s, jounce);
    if (solve.status != linkage::SolveStatus::kConverged) {
      solve = linkage::MoveTo(corner, front_.rest[i].pose, s, jounce);
    }
    if (solve.status != linkage::SolveStatus::kConverged) return std::nullopt;
    pose_[i] = solve.pose;
    return linkage::StateAt<double>(corner, solve.pose, s, jounce);
  }

  std::optional<double> Spacing() {
    const auto left = Wheel(Side::kLeft, 0.0, 0.0);
    const auto right = Wheel(Side::kRight, 0.0, 0.0);
    if (!left || !right) return std::nullopt;
    return left->axis_ground.y() + right->axis_ground.y();
  }

  void Row(double travel, double jounce_left, double jounce_right) {
    std::vector<double>& row = sweep_.row.emplace_back();
    row = {travel, jounce_left, jounce_right, hand_ ? hand_->HandAngle(travel) : kNoValue};
    if (front_.level != Level::kPoints) return Flat(row, travel);
    const auto left = Wheel(Side::kLeft, travel, jounce_left);
    const auto right = Wheel(Side::kRight, travel, jounce_right);
    if (!left || !right) {
      row.resize(sweep_.column.size(), kNoValue);
      return;
    }
    const linkage::AxleState<double> axle = linkage::AxleOf(*left, *right);
    Both(row, axle.steer, axle.steer_per_travel);
    for (const WheelColumn& c : kWheelColumns) {
      row.push_back(c.value(*left, SideSign(Side::kLeft)));
      row.push_back(c.value(*right, SideSign(Side::kRight)));
    }
    for (const State& s : {*left, *right}) {
      const auto& rim = fitted_.car.front.rim_diameter;
      row.push_back(rim ? linkage::ToeLength(-s.steer, *rim) : kNoValue);
    }
    row.push_back(axle.total_toe_in);
    row.push_back(axle.steer_per_roll);
    row.push_back(axle.roll_centre ? axle.roll_centre->y : kNoValue);
    row.push_back(axle.roll_centre ? axle.roll_centre->height : kNoValue);
  }

  void Flat(std::vector<double>& row, double travel) {
    const auto left = SeeWheel<double>(front_, Side::kLeft, travel, 0.0);
    const auto right = SeeWheel<double>(front_, Side::kRight, travel, 0.0);
    if (!left || !right) {
      row.resize(sweep_.column.size(), kNoValue);
      return;
    }
    Both(row, {left->sample.steer, right->sample.steer},
         {left->sample.steer_per_travel, right->sample.steer_per_travel});
  }

  void Both(std::vector<double>& row, const std::array<double, 2>& steer,
            const std::array<double, 2>& ratio) {
    row.push_back(OverallRatio(row.front(), ratio));
    row.insert(row.end(), {steer[0], steer[1], ratio[0], ratio[1]});
    const auto spacing = spacing_ ? spacing_ : fitted_.car.front.axis_spacing;
    const auto share = [&](turning::AckermannBasis basis) -> double {
      if (!spacing || !fitted_.car.wheelbase) return kNoValue;
      return turning::AckermannShare<double>(basis, {*fitted_.car.wheelbase, *spacing},
                                             {steer[0], steer[1]})
          .value_or(kNoValue);
    };
    row.push_back(share(turning::AckermannBasis::kSameInner));
    row.push_back(share(turning::AckermannBasis::kCotangents));
  }

  double OverallRatio(double travel, const std::array<double, 2>& steer_per_travel) const {
    if (!hand_) return kNoValue;
    const double column = hand_->HandWheelAt(travel).ratio;
    const double mean = (steer_per_travel[0] + steer_per_travel[1]) / 2.0;
    return std::abs(gear::OverallRatio(gear::TravelPerAngle(hand_->ratio, travel), mean, column));
  }

  const Fitted<double>& fitted_;
  Front<double> front_;
  std::optional<HandToRack<double>> hand_;
  std::array<linkage::Pose, 2> pose_;
  std::optional<double> spacing_;
  Sweep sweep_;
};

}  // namespace

Sweep RunSweep(const Fitted<double>& fitted, const SweepGrid& grid) {
  return Sweeper(fitted).Run(grid);
}

std::vector<std::size_t> DoubtfulColumns(const Sweep& sweep) {
  std::vector<std::size_t> columns;
  for (std::size_t i = 0; i < sweep.column.size(); ++i) {
    const auto in_doubt = [i](const std::vector<double>& row) { return !(row[i] <= kRounding); };
    if (std::ranges::any_of(sweep.pm, in_doubt)) columns.push_back(i);
  }
  return columns;
}

std::vector<double> EvenGrid(double first, double last, int count) {
  std::vector<double> grid;
  for (int i = 0; i < count; ++i) {
    grid.push_back(count == 1 ? first : first + (last - first) * i / (count - 1));
  }
  return grid;
}

std::vector<double> UsualTravel(const Evaluation<double>& results, int points) {
  constexpr double kWithoutStops = 0.06;  // [m]
  const auto& left = results[Output::kTravelLeft];
  const auto& right = results[Output::kTravelRight];
  // Each way in steps of its own, so that straight ahead is one of them.
  const int half = (points + 1) / 2;
  std::vector<double> travel = EvenGrid(-right.value_or(kWithoutStops), 0.0, half);
  const std::vector<double> to_left =
      EvenGrid(0.0, left.value_or(kWithoutStops), points - half + 1);
  travel.insert(travel.end(), to_left.begin() + 1, to_left.end());
  return travel;
}

}  // namespace steerbench
