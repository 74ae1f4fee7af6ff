#include "engine/evaluate/plate_check.h"

#include <cmath>

namespace steerbench {
namespace {

// The car as its points and readings were taken.
template <class T>
Fitted<T> AsMeasured(const Fitted<T>& fitted) {
  Fitted<T> car;
  car.car = fitted.car;
  if (fitted.car.front.left.toe) return car;
  car.adjust.toe = fitted.adjust.toe;
  car.adjust.toe_length = fitted.adjust.toe_length;
  car.adjust.tie_rod_left = fitted.adjust.tie_rod_left;
  car.adjust.tie_rod_right = fitted.adjust.tie_rod_right;
  return car;
}

}  // namespace

template <class T>
void AddPlateCheck(const Fitted<T>& fitted, const Evaluation<double>* found, Evaluation<T>& out) {
  const auto& rows = fitted.car.front.turn_plate;
  if (rows.empty() || out.level == Level::kUnknown || out.level == Level::kTurnPlate) return;
  const Front<T> front = AssembleFront(AsMeasured(fitted));
  if (front.level == Level::kUnknown || front.level == Level::kTurnPlate) return;
  for (const Side side : kSides) {
    auto& worst = out.plate_row[Index(side)];
    auto& most = out.result[static_cast<std::size_t>(side == Side::kLeft ? Output::kPlateLeft
                                                                         : Output::kPlateRight)];
    for (std::size_t i = 0; i < rows.size(); ++i) {
      if (found && found->plate_row[Index(side)] != i) continue;
      const auto& read = side == Side::kLeft ? rows[i].left : rows[i].right;
      if (!rows[i].travel || !read) continue;
      const auto seen = SeeWheel<T>(front, side, *rows[i].travel, T(0.0));
      if (!seen) continue;
      const T off = *read - seen->sample.steer;
      if (most.value && std::abs(Value(off)) <= std::abs(Value(*most.value))) continue;
      most.value = off;
      worst = i;
    }
  }
}

template void AddPlateCheck<double>(const Fitted<double>&, const Evaluation<double>*,
                                    Evaluation<double>&);
template void AddPlateCheck<Jet>(const Fitted<Jet>&, const Evaluation<double>*, Evaluation<Jet>&);

}  // namespace steerbench
