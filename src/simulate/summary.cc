#include "simulate/summary.h"

#include <algorithm>
#include <cmath>

namespace steerbench::simulate {
namespace {

void Raise(Peak& peak, double value, double time) {
  if (value > peak.value) peak = {value, time};
}

}  // namespace

void Add(Summary& s, const Glance& before, const Glance& now) {
  for (const Glance* g : {&before, &now}) {
    Raise(s.hand_torque, std::abs(g->hand_torque), g->time);
    Raise(s.outlet, g->outlet, g->time);
  }
  const double step = now.time - before.time;
  s.relief_now = before.relief_open && now.relief_open ? s.relief_now + step : 0.0;
  s.relief = std::max(s.relief, s.relief_now);
  if (!before.outrun || !now.outrun) return;
  if (s.outrun == 0.0) s.outrun_from = before.time;
  s.outrun += step;
}

}  // namespace steerbench::simulate
