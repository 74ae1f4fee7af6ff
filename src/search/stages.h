// A combination is looked at in parts: the linkage alone, the assistance alone, then both together.
// What belongs to one part is worked out once for all combinations that share it, by the same
// functions as a whole evaluation, so that the numbers are the same to the bit.
#pragma once

#include <optional>
#include <vector>

#include "engine/evaluate/chain.h"
#include "search/aims.h"
#include "search/lowered.h"
#include "search/reasons.h"

namespace steerbench::search {

// Limits that the assistance alone decides, and those that need both parts.
[[nodiscard]] bool OfAssist(Check check);
[[nodiscard]] bool OfBoth(Check check);

// The linkage of a choice, with everything of it that does not need the assistance.
struct LinkagePart {
  Choice choice;
  Bill bill;
  Reason left_out = kKept;
  AimValues aims;
  Fitted<double> fitted;
  Front<double> front;
  std::optional<HandToRack<double>> hand;
  Missing hand_missing;
  std::optional<LoadedAxle<double>> kerb, road, centre;  // as the weights need them, if known
};

struct AssistPart {
  Choice choice;
  Bill bill;
  Reason left_out = kKept;
  Fitted<double> fitted;
};

// Fills all but choice and bill. The aims are rejected by `wishes` as far as they are known.
void LookAtLinkage(const Lowered& lowered, const Wishes& wishes, LinkagePart& part);
void LookAtAssist(const Lowered& lowered, AssistPart& part);

// One thread's own copy of what is written to while both parts are put together.
class Joiner {
 public:
  // References are kept. `parts` share rack and column; their assistance is made here.
  Joiner(const std::vector<AssistPart>& parts, const LinkagePart& any);

  // The weights of a linkage with one of the assistances: kerb, road, assist lost, feel on centre
  // and catch-up, those of them that `needed` asks for; and the pressure left at the kerb.
  struct Weights {
    AimValues aims;
    bool pressure_short = false;  // the relief valve opens before the kerb is overcome
  };
  using Needed = std::array<bool, kAims>;
  [[nodiscard]] Weights Weigh(const LinkagePart& linkage, std::size_t assist, const Needed& needed);

 private:
  std::optional<double> Torque(const std::optional<LoadedAxle<double>>& axle,
                               effort::Direction side, const std::optional<double>& pump_speed,
                               double road_speed, std::optional<Weighed<double>>* whole = nullptr);

  const std::vector<AssistPart>& parts_;
  std::vector<Assumption> assumed_;
  std::vector<Assist<double>> assist_;
  const LinkagePart* linkage_ = nullptr;
  std::optional<Chain<double>> chain_;
};

}  // namespace steerbench::search
