// The front axle as it stands at one position of rack and wheels: what a drawing needs.
#pragma once

#include <array>
#include <optional>
#include <string_view>
#include <vector>

#include "engine/evaluate/front.h"
#include "engine/evaluate/rack_limits.h"
#include "engine/turning/turn_circle.h"

namespace steerbench {

// Where the axle is asked to stand. SI; rack travel to the left positive, wheel travel up positive.
struct StanceDrive {
  double travel = 0.0;
  std::array<double, 2> jounce{};  // by Side; taken where the linkage is known in space only
};

// A point of a drawing, vehicle frame [m]; z is not a number where only a view from above is known.
struct StancePoint {
  std::string_view name;  // that of the document's field, "tie_rod_outer", where it is one
  Vec3<double> at;
};

// Two points joined by a part.
struct StanceLink {
  std::string_view from, to;
  std::string_view kind;  // arm, link, strut, tie_rod, steering_arm, spindle, axis
};

struct WheelStance {
  WheelSample<double> sample;                        // steer to the left positive
  std::optional<linkage::WheelState<double>> state;  // corner frame; where known in space
  double jounce = 0.0;
  // Vehicle frame from here on.
  std::vector<StancePoint> points;
  std::vector<StanceLink> links;
  std::optional<Vec3<double>> contact;  // centre of the contact patch; of a wheel that stands
                                        // upright where only the track is known
  std::optional<Vec3<double>> spin;     // unit vector of the wheel's own axis, outboard
};

// The circles of the turn that the wheels make, [m]; see turning/turn_circle.h.
struct StanceCircle {
  turning::GroundPoint<double> centre;
  turning::FourPaths<double> paths;  // radii; rear ones not a number without a rear track
  std::optional<double> kerb, wall;  // diameters
};

struct Stance {
  Level level = Level::kUnknown;
  double travel = 0.0;       // as it stands: that asked for, or as far as the linkage goes
  std::string_view clipped;  // why it does not stand as asked; empty when it does
  std::array<std::optional<WheelStance>, 2> wheel;  // by Side; unset when the level is unknown
  std::optional<StanceCircle> circle;  // unset straight ahead, where no radius follows from toe
  std::optional<double> ackermann;     // share, same inner angle; unset near straight ahead
  Missing missing;                     // for circle and ackermann
};

// The axle of a fitted car, `front` being assembled from it. Where the linkage does not reach a
// wheel travel or the rack travel, it stands at the last pose that closes on the way there.
[[nodiscard]] Stance StanceAt(const Fitted<double>& fitted, const Front<double>& front,
                              const StanceDrive& drive);

}  // namespace steerbench
