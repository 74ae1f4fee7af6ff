// The document that holds a car, its parts and its setups. Plain data.
#pragma once

#include "model/identify.h"
#include "model/search.h"

namespace steerbench {

// A whole document. Parts and setups keep the order in which they were written.
template <class S>
using Named = std::vector<std::pair<std::string, S>>;

struct Document {
  std::string title;
  Car<Quantity> car;
  Named<Rack<Quantity>> rack;
  Named<Spacer<Quantity>> spacer;
  Named<TieRod<Quantity>> tie_rod;
  Named<Arms<Quantity>> arms;
  Named<Pump<Quantity>> pump;
  Named<Pulley<Quantity>> pulley;
  Named<Belt<Quantity>> belt;
  Named<Fluid<Quantity>> fluid;
  Named<ControlValve<Quantity>> control_valve;
  Named<Adapter<Quantity>> adapter;
  Named<Work<Quantity>> work;
  Named<Setup<Quantity>> setup;
  LimitRules<Quantity> limits;
  Named<Riddle> identify;
  std::optional<Search> search;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    v(FieldInfo{"title", Kind::kRatio, "what this file is about"}, a.title...);
    v(FieldInfo{"car", Kind::kRatio, "what stays whatever parts are fitted"}, a.car...);
    v(FieldInfo{"rack", Kind::kRatio, "racks, each under a name of yours"}, a.rack...);
    v(FieldInfo{"spacer", Kind::kRatio, "spacers between rack and inner joint"}, a.spacer...);
    v(FieldInfo{"tie_rod", Kind::kRatio, "tie rods"}, a.tie_rod...);
    v(FieldInfo{"arms", Kind::kRatio, "pairs of steering arms or knuckles"}, a.arms...);
    v(FieldInfo{"pump", Kind::kRatio, "pumps"}, a.pump...);
    v(FieldInfo{"pulley", Kind::kRatio, "pump pulleys"}, a.pulley...);
    v(FieldInfo{"belt", Kind::kRatio, "belts"}, a.belt...);
    v(FieldInfo{"fluid", Kind::kRatio, "fluids"}, a.fluid...);
    v(FieldInfo{"control_valve", Kind::kRatio, "control valves"}, a.control_valve...);
    v(FieldInfo{"adapter", Kind::kRatio, "what joins faces that differ"}, a.adapter...);
    v(FieldInfo{"work", Kind::kRatio, "jobs that a search may do"}, a.work...);
    v(FieldInfo{"setup", Kind::kRatio, "setups: parts chosen and how they are adjusted"},
      a.setup...);
    v(FieldInfo{"limits", Kind::kRatio, "your own limits in place of the usual ones"}, a.limits...);
    v(FieldInfo{"identify", Kind::kRatio, "parts of unknown history: which variant is it?"},
      a.identify...);
    v(FieldInfo{"search", Kind::kRatio, "what a search over the parts looks for"}, a.search...);
  }
};

}  // namespace steerbench
