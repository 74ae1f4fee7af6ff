// Exact derivatives of every output of a corner against central differences of re-solved corners.
#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include "engine/linkage/corner.h"
#include "engine/linkage/solve_for.h"
#include "fixtures/corners.h"
#include "fixtures/drive.h"
#include "fixtures/near.h"

namespace steerbench::linkage {
namespace {

using fixtures::kMm;

template <class T>
struct Inputs {
  Corner<T> corner;
  T travel{}, jounce{};
};

// All scalars that a state depends on, in a fixed order.
template <class T>
std::vector<T*> Scalars(Inputs<T>& in) {
  std::vector<T*> all{&in.travel, &in.jounce, &in.corner.tie_rod_length, &in.corner.loaded_radius};
  const auto add = [&all](Vec3<T>& v) {
    for (int i = 0; i < 3; ++i) all.push_back(&v[i]);
  };
  Corner<T>& c = in.corner;
  for (Link<T>& link : c.links) {
    add(link.inner);
    add(link.outer);
  }
  if (c.axis == AxisKind::kStrut) {
    add(c.strut_top);
    add(c.strut_lower);
  }
  if (c.axis != AxisKind::kVirtual) add(c.lower_joint);
  if (c.axis == AxisKind::kBallJoints) add(c.upper_joint);
  for (Vec3<T>* v :
       {&c.tie_rod.inner, &c.tie_rod.outer, &c.rack_axis, &c.wheel_centre, &c.spin_axis}) {
    add(*v);
  }
  if (c.stud) add(*c.stud);
  return all;
}

Inputs<Jet> Lift(const Inputs<double>& in) {
  Inputs<Jet> out;
  const Corner<double>& c = in.corner;
  Corner<Jet>& d = out.corner;
  const auto cast = [](const Vec3<double>& v) -> Vec3<Jet> { return v.cast<Jet>(); };
  d.axis = c.axis;
  for (const Link<double>& l : c.links) d.links.push_back({cast(l.inner), cast(l.outer)});
  d.strut_top = cast(c.strut_top);
  d.strut_lower = cast(c.strut_lower);
  d.lower_joint = cast(c.lower_joint);
  d.upper_joint = cast(c.upper_joint);
  d.tie_rod = {cast(c.tie_rod.inner), cast(c.tie_rod.outer)};
  d.tie_rod_length = Jet(c.tie_rod_length);
  d.rack_axis = cast(c.rack_axis);
  d.wheel_centre = cast(c.wheel_centre);
  d.spin_axis = cast(c.spin_axis);
  d.loaded_radius = Jet(c.loaded_radius);
  if (c.stud) d.stud = cast(*c.stud);
  out.travel = Jet(in.travel);
  out.jounce = Jet(in.jounce);
  return out;
}

template <class T>
struct Output {
  std::string name;
  T value;
};

// Every number of a state.
template <class T>
std::vector<Output<T>> Outputs(const WheelState<T>& s) {
  std::vector<Output<T>> all{{"steer", s.steer},
                             {"camber", s.camber},
                             {"camber_front_view", s.camber_front_view},
                             {"caster", s.caster},
                             {"inclination", s.inclination},
                             {"scrub_radius", s.scrub_radius},
                             {"mechanical_trail", s.mechanical_trail},
                             {"rod_arm_angle", s.rod_arm_angle},
                             {"inner_tilt", s.inner_tilt},
                             {"side_load_share", s.side_load_share},
                             {"steer_per_travel", s.steer_per_travel},
                             {"steer_per_jounce", s.steer_per_jounce},
                             {"camber_per_jounce", s.camber_per_jounce}};
  if (s.outer_tilt) all.push_back({"outer_tilt", *s.outer_tilt});
  const auto add = [&all](const std::string& name, const Vec3<T>& v) {
    for (int i = 0; i < 3; ++i) all.push_back({name + "xyz"[i], v[i]});
  };
  add("centre.", s.centre);
  add("spin_axis.", s.spin_axis);
  add("contact.", s.contact);
  add("axis_point.", s.axis_point);
  add("axis_direction.", s.axis_direction);
  add("axis_ground.", s.axis_ground);
  add("tie_rod_inner.", s.tie_rod_inner);
  add("tie_rod_outer.", s.tie_rod_outer);
  add("per_travel.angular.", s.per_travel.angular);
  add("per_travel.centre.", s.per_travel.centre);
  add("per_jounce.angular.", s.per_jounce.angular);
  add("per_jounce.centre.", s.per_jounce.centre);
  add("contact_per_travel.", s.contact_per_travel);
  add("contact_per_jounce.", s.contact_per_jounce);
  return all;
}

// Outputs with one input moved by `step`, solved again from a pose near by.
std::vector<Output<double>> Moved(Inputs<double> in, const Pose& near, std::size_t input,
                                  double step) {
  *Scalars(in)[input] += step;
  const Solve solve = MoveTo(in.corner, near, in.travel, in.jounce);
  REQUIRE(solve.status == SolveStatus::kConverged);
  return Outputs(StateAt<double>(in.corner, solve.pose, in.travel, in.jounce));
}

// Central differences with the error of second order taken out (Richardson).
std::vector<double> Differences(const Inputs<double>& in, const Pose& pose, std::size_t input) {
  constexpr double kStep = 5e-5;
  const auto central = [&](double step) {
    const auto up = Moved(in, pose, input, step), down = Moved(in, pose, input, -step);
    std::vector<double> d;
    for (std::size_t i = 0; i < up.size(); ++i) {
      d.push_back((up[i].value - down[i].value) / (2.0 * step));
    }
    return d;
  };
  const std::vector<double> wide = central(kStep), narrow = central(kStep / 2.0);
  std::vector<double> d;
  for (std::size_t i = 0; i < wide.size(); ++i) d.push_back((4.0 * narrow[i] - wide[i]) / 3.0);
  return d;
}

void CheckAllDerivatives(const Inputs<double>& in) {
  constexpr double kRelative = 1e-6;
  const Solve solve = fixtures::Drive(in.corner, in.travel, in.jounce);
  REQUIRE(solve.status == SolveStatus::kConverged);
  Inputs<Jet> lifted = Lift(in);
  const std::vector<Jet*> scalars = Scalars(lifted);
  double worst = 0.0;
  for (std::size_t first = 0; first < scalars.size(); first += kJetWidth) {
    const std::size_t group = std::min<std::size_t>(kJetWidth, scalars.size() - first);
    for (Jet* s : scalars) s->v.setZero();
    for (std::size_t k = 0; k < group; ++k) scalars[first + k]->v[static_cast<int>(k)] = 1.0;
    const auto exact =
        Outputs(StateAt<Jet>(lifted.corner, solve.pose, lifted.travel, lifted.jounce));
    for (std::size_t k = 0; k < group; ++k) {
      const std::vector<double> differences = Differences(in, solve.pose, first + k);
      for (std::size_t i = 0; i < exact.size(); ++i) {
        CAPTURE(exact[i].name);
        CAPTURE(first + k);
        const double d = exact[i].value.v[static_cast<int>(k)];
        const double error = std::abs(d - differences[i]) / std::max(1.0, std::abs(d));
        worst = std::max(worst, error);
        CHECK(error < kRelative);
      }
    }
  }
  MESSAGE("largest relative difference " << worst << " over " << scalars.size() << " inputs");
}

TEST_CASE("derivatives of every output to every input agree with central differences") {
  for (const Corner<double>& corner :
       {fixtures::Wishbone(), fixtures::Strut(), fixtures::FiveLink()}) {
    CheckAllDerivatives({corner, 0.0, 0.0});
    CheckAllDerivatives({corner, 45 * kMm, 0.0});
    CheckAllDerivatives({corner, -50 * kMm, 30 * kMm});
    CheckAllDerivatives({corner, 20 * kMm, -45 * kMm});
  }
}

TEST_CASE("values carried with derivatives are the plain values") {
  const Corner<double> corner = fixtures::FiveLink();
  const Inputs<double> in{corner, 30 * kMm, -20 * kMm};
  const Pose pose = fixtures::Drive(corner, in.travel, in.jounce).pose;
  const Inputs<Jet> lifted = Lift(in);
  const auto plain = Outputs(StateAt<double>(corner, pose, in.travel, in.jounce));
  const auto carried = Outputs(StateAt<Jet>(lifted.corner, pose, lifted.travel, lifted.jounce));
  for (std::size_t i = 0; i < plain.size(); ++i) {
    CAPTURE(plain[i].name);
    CHECK(carried[i].value.a == fixtures::Near(plain[i].value, 1e-13));
  }
}

TEST_CASE("the rates of a state are its derivatives to rack and wheel travel") {
  constexpr double kSame = 1e-12;
  for (const Corner<double>& corner :
       {fixtures::Wishbone(), fixtures::Strut(), fixtures::FiveLink()}) {
    Inputs<Jet> in = Lift({corner, 35 * kMm, -25 * kMm});
    const Pose pose = fixtures::Drive(corner, in.travel.a, in.jounce.a).pose;
    in.travel.v[0] = 1.0;
    in.jounce.v[1] = 1.0;
    const WheelState<Jet> s = StateAt<Jet>(in.corner, pose, in.travel, in.jounce);
    CHECK(std::abs(s.steer.v[0] - s.steer_per_travel.a) < kSame);
    CHECK(std::abs(s.steer.v[1] - s.steer_per_jounce.a) < kSame);
    CHECK(std::abs(s.camber.v[1] - s.camber_per_jounce.a) < kSame);
    for (int i = 0; i < 3; ++i) {
      CHECK(std::abs(s.contact[i].v[0] - s.contact_per_travel[i].a) < kSame);
      CHECK(std::abs(s.contact[i].v[1] - s.contact_per_jounce[i].a) < kSame);
      CHECK(std::abs(s.centre[i].v[0] - s.per_travel.centre[i].a) < kSame);
      CHECK(std::abs(s.centre[i].v[1] - s.per_jounce.centre[i].a) < kSame);
    }
  }
}

TEST_CASE("an adjusted corner carries exact derivatives") {
  constexpr double kStep = 1e-5, kMoved = 4 * kMm;
  for (const Corner<double>& corner : {fixtures::Wishbone(), fixtures::FiveLink()}) {
    Inputs<double> in{corner, 0.0, 0.0};
    const std::size_t inputs = Scalars(in).size();
    for (std::size_t i = 2; i < inputs; ++i) {
      Inputs<Jet> lifted = Lift(in);
      Scalars(lifted)[i]->v[0] = 1.0;
      const Vec3<Jet> exact = Adjusted<Jet>(lifted.corner, DesignVariable::kArmLength, Jet(kMoved))
                                  .value()
                                  .tie_rod.outer;
      const auto at = [&](double step) -> Vec3<double> {
        Inputs<double> moved = in;
        *Scalars(moved)[i] += step;
        return Adjusted<double>(moved.corner, DesignVariable::kArmLength, kMoved)
            .value()
            .tie_rod.outer;
      };
      const Vec3<double> difference = (at(kStep) - at(-kStep)) / (2 * kStep);
      CAPTURE(i);
      for (int k = 0; k < 3; ++k) CHECK(std::abs(exact[k].v[0] - difference[k]) < 1e-7);
    }
  }
}

TEST_CASE("the tie-rod length for a toe carries exact derivatives") {
  constexpr double kStep = 1e-5;
  const Inputs<double> in{fixtures::Wishbone(), 0.0, 0.0};
  Inputs<Jet> lifted = Lift(in);
  const std::vector<Jet*> scalars = Scalars(lifted);
  const std::size_t kFirstPoint = 4;  // past travel, jounce, rod length and radius
  for (std::size_t i = kFirstPoint; i < scalars.size(); ++i) {
    for (Jet* s : scalars) s->v.setZero();
    scalars[i]->v[0] = 1.0;
    const double exact = TieRodLengthForToe<Jet>(lifted.corner, Jet(0.01)).value().v[0];
    const auto at = [&](double step) {
      Inputs<double> moved = in;
      *Scalars(moved)[i] += step;
      return TieRodLengthForToe<double>(moved.corner, 0.01).value();
    };
    CAPTURE(i);
    CHECK(std::abs(exact - (at(kStep) - at(-kStep)) / (2 * kStep)) < 1e-6);
  }
}

}  // namespace
}  // namespace steerbench::linkage
