#include "engine/hydraulics/circuit.h"

namespace steerbench::hydraulics {
namespace {

ViscosityPoint<double> Plain(const ViscosityPoint<Jet>& p) {
  return {p.temperature.a, p.viscosity.a};
}
template <class T>
std::optional<double> Plain(const std::optional<T>& x) {
  return x ? std::optional<double>(Value(*x)) : std::nullopt;
}
Fluid<double> Plain(const Fluid<Jet>& f) {
  return {Plain(f.cold),    Plain(f.hot), f.density.a,    Plain(f.expansion),
          f.bulk_modulus.a, f.air.a,      f.gas_release.a};
}
Line<double> Plain(const Line<Jet>& l) { return {l.length.a, l.bore.a, l.bends.a, l.resistance.a}; }
Pump<double> Plain(const Pump<Jet>& p) {
  Pump<double> q{p.displacement.a,  p.filled.a, p.leak.a, p.efficiency.a, {}, {}, {},
                 Plain(p.top_speed)};
  if (const auto& c = p.flow_control) {
    q.flow_control =
        FlowControl<double>{c->flow.a, c->droop.a, c->from_speed.a, c->metering_drop.a};
  }
  if (const auto& r = p.relief) {
    q.relief = Relief<double>{r->cracking.a, r->full_pressure.a, r->full_flow.a};
  }
  if (const auto& i = p.inlet) {
    q.inlet = Inlet<double>{Plain(i->hose), i->head.a, i->noise_limit.a, i->filling_limit.a};
  }
  return q;
}
MonotoneCubic<double> Plain(const MonotoneCubic<Jet>& c) {
  MonotoneCubic<double> d;
  for (const Jet& x : c.x) d.x.push_back(x.a);
  for (const Jet& y : c.y) d.y.push_back(y.a);
  for (const Jet& s : c.slope) d.slope.push_back(s.a);
  return d;
}
FittedOpening<double> Plain(const FittedOpening<Jet>& f) { return {Plain(f.log_area), f.centre.a}; }
RotaryValve<double> Plain(const RotaryValve<Jet>& v) {
  return {v.stiffness.a, v.stop.a, v.coefficient, Plain(v.openings)};
}
ControlBranch<double> Plain(const ControlBranch<Jet>& b) {
  ControlBranch<double> c;
  c.principle = b.principle;
  for (const ControlValve<Jet>& v : b.valves) c.valves.push_back({Plain(v.opening), v.coefficient});
  if (b.reaction) {
    c.reaction = Reaction<double>{b.reaction->torque_per_pressure.a, b.reaction->onset.a};
  }
  return c;
}

}  // namespace

Circuit<double> Plain(const Circuit<Jet>& c) {
  const Cylinder<Jet>& y = c.cylinder;
  Circuit<double> d{Plain(c.fluid),
                    Plain(c.pump),
                    Plain(c.pressure_line),
                    Plain(c.return_line),
                    Plain(c.valve),
                    {y.area_a.a, y.area_b.a, y.travel_per_radian.a},
                    {},
                    c.known};
  for (const ControlBranch<Jet>& branch : c.control) d.control.push_back(Plain(branch));
  return d;
}
Condition<double> Plain(const Condition<Jet>& c) {
  Condition<double> d{c.rack_force.a,  c.rack_speed.a,   c.pump_speed.a,
                      c.temperature.a, c.air_pressure.a, {}};
  for (std::size_t i = 0; i < c.currents.size(); ++i) d.currents[i] = c.currents[i].a;
  return d;
}

}  // namespace steerbench::hydraulics
