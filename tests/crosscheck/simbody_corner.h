// The same corner assembled by Simbody (SimTK), a multibody library with nothing of ours in it.
// Plain numbers only, so that the two sides share no code. Metres and radians, corner frame.
#pragma once

#include <array>
#include <vector>

namespace crosscheck {

using Point = std::array<double, 3>;

struct Rod {
  Point inner, outer;
};

struct Mechanism {
  std::vector<Rod> links;
  bool has_strut = false;
  Point strut_top{}, strut_lower{};
  Rod tie_rod{};
  double tie_rod_length = 0.0;
  Point rack_axis{}, wheel_centre{}, spin_axis{};
};

struct Assembled {
  double steer, camber;
  double error;  // largest of the constraints', as Simbody reports it [m or m2]
};

// The angles at one rack and wheel travel, reached from the design position in `steps` steps.
// Throws what Simbody throws when the mechanism cannot be assembled.
Assembled Assemble(const Mechanism& mechanism, double travel, double jounce, int steps);

}  // namespace crosscheck
