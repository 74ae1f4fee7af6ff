// The read-outs of a stance with their ±: for when the hand rests.
#pragma once

#include <string>
#include <vector>

#include "engine/evaluate/propagate.h"
#include "engine/evaluate/stance.h"

namespace steerbench {

struct StanceFigure {
  std::string key;         // "wheels.left.steer", "circle.kerb", "weight.turn_left.torque"
  std::string_view label;  // for people, without the side
  std::string_view meaning;
  Kind kind;
  Figure figure;
};

struct StanceFigures {
  std::vector<Input> inputs;
  std::vector<StanceFigure> figures;  // those that are known
};

// What the engine and the road do meanwhile.
struct StanceRunning {
  std::optional<double> engine_speed;  // [rad/s]; idle when unset
  double road_speed = 0.0;             // [m/s], for the control valve
};

// Read-outs of the axle standing at `drive`, which must be within its reach; the drive itself is
// taken as exact. Cost: about that of an evaluation for each kJetWidth inputs. By the law of
// propagation (propagate.h); definitions are those of the results of the same name (outputs.h).
[[nodiscard]] StanceFigures FiguresAt(const Fitted<Quantity>& fitted, const StanceDrive& drive,
                                      const StanceRunning& running);

}  // namespace steerbench
