#include "report/cautions.h"

#include <algorithm>

namespace steerbench {
namespace {

bool Exceeded(const Propagated& results, RackEnd end) {
  return std::ranges::any_of(results.ends, [end](const auto& way) {
    return std::ranges::any_of(way, [end](const PropagatedEnd& e) {
      return e.end == end && e.margin.status == limits::Status::kExceeded;
    });
  });
}

}  // namespace

std::vector<Caution> CautionsFor(const Fitted<Quantity>& fitted, const Propagated& results) {
  std::vector<Caution> cautions;
  if (fitted.adjust.stops == Stops::kRemoved) {
    cautions.push_back(
        {"stops_removed",
         "With its stops removed the rack goes on until its teeth leave the pinion or a joint "
         "binds: the steering can jam or let go. Do not drive it so. Fit stops that end the travel "
         "before the first limit above."});
  }
  if (Exceeded(results, RackEnd::kLastTooth)) {
    cautions.push_back(
        {"rack_over_travel",
         "The rack can travel past its last full tooth. Teeth at the end of the mesh "
         "break or jump; shorten the travel before the car moves."});
  }
  if (Exceeded(results, RackEnd::kDeadCentre)) {
    cautions.push_back({"dead_centre",
                        "Tie rod and arm come into line before the stop. Past that the wheel can "
                        "lock over and not come back; shorten the travel."});
  }
  if (Exceeded(results, RackEnd::kInnerJoint) || Exceeded(results, RackEnd::kOuterJoint)) {
    cautions.push_back({"joint_bind",
                        "A joint comes to the end of its tilt before the stop. A joint that binds "
                        "is bent or broken off by the next bump; shorten the travel or change the "
                        "joint or its height."});
  }
  if (fitted.arms && fitted.arms->made == Make::kWelded) {
    cautions.push_back({"welded_arms",
                        "Steering arms that were cut and welded, heated or bent can break without "
                        "warning, and in many places they are not allowed on the road. Use forged "
                        "or machined arms made for the purpose, and have them inspected."});
  }
  if (fitted.spacer) {
    cautions.push_back({"spacer",
                        "A spacer takes its thickness from the thread that holds the inner joint, "
                        "and lets the rack travel further. Measure the engaged thread on both "
                        "sides, use the locking that its maker asks for, and check teeth, joints "
                        "and tyres at full lock over the whole wheel travel, by hand, before the "
                        "engine runs."});
  }
  cautions.push_back({"inspection",
                      "Work under a car on stands, never on a jack alone. Steering parts are a "
                      "matter of life: have changed steering inspected as your local rules ask. "
                      "What they and a licensed inspector say goes before anything printed here."});
  return cautions;
}

}  // namespace steerbench
