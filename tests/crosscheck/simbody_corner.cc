#include "crosscheck/simbody_corner.h"

#include <Simbody.h>

#include <cmath>

namespace crosscheck {
namespace {

using SimTK::Vec3;

Vec3 At(const Point& p) { return {p[0], p[1], p[2]}; }

// Frame of a slider that moves along `axis`.
SimTK::Transform Along(const Point& axis) {
  return SimTK::Transform(SimTK::Rotation(SimTK::UnitVec3(At(axis)), SimTK::XAxis));
}

}  // namespace

Assembled Assemble(const Mechanism& m, double travel, double jounce, int steps) {
  SimTK::MultibodySystem system;
  SimTK::SimbodyMatterSubsystem matter(system);
  const SimTK::Body::Rigid body(SimTK::MassProperties(1.0, Vec3(0), SimTK::Inertia(1)));
  const SimTK::Transform rack_way = Along(m.rack_axis), up = Along({0.0, 0.0, 1.0});
  SimTK::MobilizedBody::Slider rack(matter.Ground(), rack_way, body, rack_way);
  SimTK::MobilizedBody::Slider lift(matter.Ground(), up, body, up);
  // The upright's origin is the wheel centre; its axes are the ground's at design position.
  const Vec3 centre = At(m.wheel_centre);
  SimTK::MobilizedBody::Free upright(matter.Ground(), SimTK::Transform(centre), body,
                                     SimTK::Transform());
  for (const Rod& link : m.links) {
    SimTK::Constraint::Rod(matter.Ground(), At(link.inner), upright, At(link.outer) - centre,
                           (At(link.outer) - At(link.inner)).norm());
  }
  if (m.has_strut) {
    const SimTK::UnitVec3 line(At(m.strut_top) - At(m.strut_lower));
    SimTK::Constraint::PointOnLine(upright, line, At(m.strut_lower) - centre, matter.Ground(),
                                   At(m.strut_top));
  }
  SimTK::Constraint::Rod(rack, At(m.tie_rod.inner), upright, At(m.tie_rod.outer) - centre,
                         m.tie_rod_length);
  SimTK::Constraint::PointInPlane(lift, SimTK::UnitVec3(SimTK::ZAxis), centre[2], upright, Vec3(0));

  SimTK::State state = system.realizeTopology();
  SimTK::Assembler assembler(system);
  assembler.lockMobilizer(rack.getMobilizedBodyIndex());
  assembler.lockMobilizer(lift.getMobilizedBodyIndex());
  assembler.setErrorTolerance(1e-12);
  assembler.setAccuracy(1e-12);
  for (int i = 1; i <= steps; ++i) {
    rack.setOneQ(state, 0, travel * i / steps);
    lift.setOneQ(state, 0, jounce * i / steps);
    assembler.assemble(state);
  }
  system.realize(state, SimTK::Stage::Position);
  const Vec3 spin = upright.getBodyRotation(state) * At(m.spin_axis);
  return {std::atan2(-spin[0], spin[1]), -std::asin(spin[2]), matter.getQErr(state).normInf()};
}

}  // namespace crosscheck
