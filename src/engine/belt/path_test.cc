#include "engine/belt/path.h"

#include <doctest/doctest.h>

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <numbers>
#include <string>

#include "engine/drive/drive.h"
#include "fixtures/derivatives.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::belt {
namespace {

using reference::Between;
using reference::Load;
using std::numbers::pi;

using Pulleys = std::vector<Pulley<double>>;

Pulleys FromRow(const reference::Row& row) {
  Pulleys pulleys;
  for (const auto& p : row.Json().at("inputs").at("pulleys_x_y_r_sense").at("value")) {
    const auto mm = [&](int i) { return p.at(i).get<double>() * 1e-3; };
    pulleys.push_back({{mm(0), mm(1)}, mm(2), p.at(3) == 1 ? Face::kInside : Face::kBack});
  }
  return pulleys;
}

Pulleys Reversed(Pulleys p) {
  std::reverse(p.begin(), p.end());
  return p;
}

// Crank, pump, idler on the back, generator.
Pulleys FourPulleys() { return FromRow(Load("belt-4-backside")); }

TEST_CASE("belt-open: two pulleys, exact and handbook's approximation") {
  const reference::Row row = Load("belt-open");
  const double d = row.Input("d"), big = row.Input("D"), c = row.Input("C");
  const auto path = PathOver(Pulleys{{{0.0, 0.0}, d / 2.0}, {{c, 0.0}, big / 2.0}});
  REQUIRE(path);
  REFERENCE_CHECK(row, "L_exact", path->length);
  REFERENCE_CHECK(row, "wrap_small", path->wrap[0]);
  REFERENCE_CHECK(row, "wrap_large", path->wrap[1]);
  // The approximation of the handbooks is a second way to nearly the same number.
  const double approximate = 2.0 * c + pi * (big + d) / 2.0 + (big - d) * (big - d) / (4.0 * c);
  REFERENCE_CHECK(row, "L_approx", approximate);
  CHECK(std::abs(path->length - approximate) < 2e-4);
}

TEST_CASE("belt-3-pulley: all inside") {
  const reference::Row row = Load("belt-3-pulley");
  const auto path = PathOver(FromRow(row));
  REQUIRE(path);
  REFERENCE_CHECK(row, "L", path->length);
  for (int i = 0; i < 3; ++i) {
    const int next = i == 2 ? 1 : i + 2;
    REFERENCE_CHECK(row, ("wrap" + std::to_string(i + 1)).c_str(), path->wrap[i]);
    const std::string span = "span" + std::to_string(i + 1) + std::to_string(next);
    REFERENCE_CHECK(row, span.c_str(), path->span[i]);
  }
}

TEST_CASE("belt-4-backside: one idler on the back") {
  const reference::Row row = Load("belt-4-backside");
  const auto path = PathOver(FromRow(row));
  REQUIRE(path);
  REFERENCE_CHECK(row, "L", path->length);
  REFERENCE_CHECK(row, "wrap1", path->wrap[0]);
  REFERENCE_CHECK(row, "wrap2", path->wrap[1]);
  REFERENCE_CHECK(row, "wrap_idler", path->wrap[2]);
  REFERENCE_CHECK(row, "wrap4", path->wrap[3]);
}

TEST_CASE("equal pulleys: length is the polygon of centres and one circle") {
  // Elementary geometry.
  const Pulleys p{{{0.0, 0.0}, 0.05}, {{0.4, 0.0}, 0.05}, {{0.1, 0.3}, 0.05}};
  double polygon = 0.0;
  for (int i = 0; i < 3; ++i) polygon += (p[i].centre - p[(i + 1) % 3].centre).norm();
  CHECK(PathOver(p)->length == fixtures::Near(polygon + 2.0 * pi * 0.05, 1e-14));
}

// A possible run: pulleys around a ring, every other gap with an idler that presses in.
Pulleys AnyRun() {
  const int n = reference::Whole(2, 5);
  Pulleys pulleys;
  for (int i = 0; i < n; ++i) {
    const double at = 2.0 * pi * (i + Between(-0.2, 0.2)) / n, far = Between(0.25, 0.4);
    pulleys.push_back({{far * std::cos(at), far * std::sin(at)}, Between(0.02, 0.09)});
    if (n < 3 || reference::Whole(0, 2) > 0) continue;
    const double between = 2.0 * pi * (i + 0.5) / n, near = Between(0.18, 0.26);
    pulleys.push_back(
        {{near * std::cos(between), near * std::sin(between)}, Between(0.02, 0.04), Face::kBack});
  }
  return pulleys;
}

TEST_CASE("any run: wraps sum to one turn, and order, place, mirror and scale do not matter") {
  CHECK(rc::check([] {
    const Pulleys pulleys = AnyRun();
    const auto path = PathOver(pulleys);
    if (!path) RC_DISCARD("not a possible run");
    double turn = 0.0;
    for (std::size_t i = 0; i < pulleys.size(); ++i) {
      turn += pulleys[i].face == Face::kInside ? path->wrap[i] : -path->wrap[i];
    }
    RC_ASSERT(std::abs(turn - 2.0 * pi) < 1e-9);
    RC_ASSERT(std::abs(PathOver(Reversed(pulleys))->length - path->length) < 1e-12);
    Pulleys other = pulleys;
    for (auto& p : other) p.centre.x() = -p.centre.x();
    RC_ASSERT(std::abs(PathOver(other)->length - path->length) < 1e-12);
    other = pulleys;
    const Eigen::Rotation2Dd turned(Between(-3.0, 3.0));
    for (auto& p : other) p.centre = turned * p.centre + Vec2<double>(0.3, -1.0);
    RC_ASSERT(std::abs(PathOver(other)->length - path->length) < 1e-12);
    other = pulleys;
    for (auto& p : other) {
      p.centre *= 3.0;
      p.radius *= 3.0;
    }
    RC_ASSERT(std::abs(PathOver(other)->length - 3.0 * path->length) < 1e-11);
    std::rotate(other.begin(), other.begin() + 1, other.end());
    RC_ASSERT(std::abs(PathOver(other)->length - 3.0 * path->length) < 1e-11);
  }));
}

TEST_CASE("ends of the spans lie on the pulleys, square to the radius") {
  const Pulleys pulleys = FourPulleys();
  const auto path = PathOver(pulleys);
  for (std::size_t i = 0; i < pulleys.size(); ++i) {
    const auto& next = pulleys[(i + 1) % pulleys.size()];
    const Vec2<double> out = path->leaves[i] - pulleys[i].centre;
    const Vec2<double> in = path->arrives[i] - next.centre;
    CHECK(out.norm() == fixtures::Near(pulleys[i].radius));
    CHECK(in.norm() == fixtures::Near(next.radius));
    CHECK(std::abs(out.dot(path->direction[i])) < 1e-14);
    CHECK((path->arrives[i] - path->leaves[i]).norm() == fixtures::Near(path->span[i]));
    CHECK(path->direction[i].norm() == fixtures::Near(1.0));
  }
}

TEST_CASE("length grows with a pulley's radius at the rate of its wrap") {
  // Derived: parallel curve. Holds for pulleys on the back too.
  Pulleys pulleys = FourPulleys();
  const auto path = PathOver(pulleys);
  std::vector<Pulley<Jet>> lifted;
  for (std::size_t i = 0; i < pulleys.size(); ++i) {
    lifted.push_back({pulleys[i].centre.cast<Jet>(), Jet(pulleys[i].radius, static_cast<int>(i)),
                      pulleys[i].face});
  }
  const auto jets = PathOver(lifted);
  for (int i = 0; i < 4; ++i) CHECK(jets->length.v[i] == fixtures::Near(path->wrap[i]));
  CHECK(*LengthChange<double>(pulleys, 1, 0.0641) == fixtures::Near(0.0001 * path->wrap[1], 1e-3));
  CHECK(LengthChange<double>(pulleys, 9, 0.05).why().problem == Problem::kNoSuchPulley);
  CHECK(LengthChange<double>(pulleys, 1, 0.4).why().problem == Problem::kOverlap);
}

TEST_CASE("impossible runs are named") {
  const auto fault = [](const Pulleys& p) { return PathOver(p).why(); };
  CHECK(fault({{{0.0, 0.0}, 0.05}}).problem == Problem::kTooFew);
  CHECK(fault({{{0.0, 0.0}, 0.05}, {{0.3, 0.0}, 0.0}}).problem == Problem::kRadius);
  CHECK(fault({{{0.0, 0.0}, 0.05}, {{std::nan(""), 0.0}, 0.05}}).problem == Problem::kNotFinite);
  const Fault overlap = fault({{{0.0, 0.0}, 0.1}, {{0.5, 0.0}, 0.1}, {{0.15, 0.0}, 0.1}});
  CHECK(overlap.problem == Problem::kOverlap);
  CHECK(overlap.first == 0);
  CHECK(overlap.second == 2);
  // Both faces on two pulleys: a crossed belt, which turns inside out.
  CHECK(fault({{{0.0, 0.0}, 0.05}, {{0.4, 0.0}, 0.05, Face::kBack}}).problem ==
        Problem::kInsideOut);
  // All on the back: the outside of the belt would be its inside.
  CHECK_FALSE(PathOver(Pulleys{{{0.0, 0.0}, 0.05, Face::kBack},
                               {{0.4, 0.0}, 0.05, Face::kBack},
                               {{0.2, 0.3}, 0.05, Face::kBack}}));
  // A small pulley inside the run that the belt never reaches.
  const Fault missed =
      fault({{{0.0, 0.0}, 0.1}, {{0.25, 0.02}, 0.02}, {{0.5, 0.0}, 0.1}, {{0.25, 0.4}, 0.1}});
  CHECK(missed.problem == Problem::kMisses);
  CHECK(missed.first == 1);
  // Three in a row: the lower span of the two outer ones runs through the middle one.
  const Fault hit = fault({{{0.0, 0.0}, 0.03}, {{0.5, 0.0}, 0.03}, {{0.25, 0.03}, 0.08}});
  CHECK(hit.problem == Problem::kSpanHits);
  CHECK(hit.first == 0);
  CHECK(hit.second == 2);
  // Square visited corner to corner.
  CHECK_FALSE(PathOver(
      Pulleys{{{0.0, 0.0}, 0.03}, {{0.5, 0.5}, 0.03}, {{0.5, 0.0}, 0.03}, {{0.0, 0.5}, 0.03}}));
  for (int i = 0; i <= static_cast<int>(Problem::kCapacity); ++i) {
    CHECK(Describe(static_cast<Problem>(i)) != "unknown");
  }
}

TEST_CASE("belt-pk: pitch from effective diameter, effective from pitch length") {
  const reference::Row row = Load("belt-pk");
  constexpr double kDifferential = drive::kPkLineDifferential;
  REFERENCE_CHECK(row, "dp_drive", 2.0 * GroovedRadius(row.Input("de_drive"), kDifferential));
  REFERENCE_CHECK(row, "dp_driven", 2.0 * GroovedRadius(row.Input("de_driven"), kDifferential));
  // A path over effective radii is as long as the effective length of that over pitch radii, also
  // with a pulley on the back, where the line of the belt lies outward of it.
  Pulleys pitch = FourPulleys(), effective = pitch;
  for (auto& p : effective) p.radius += p.face == Face::kInside ? -kDifferential : kDifferential;
  CHECK(EffectiveLength(PathOver(pitch)->length, kDifferential) ==
        fixtures::Near(PathOver(effective)->length, 1e-13));
}

TEST_CASE("standard lengths on both sides") {
  const auto s = StandardNear(1.4173, kUsualStep);
  CHECK(s->below == fixtures::Near(1.415));
  CHECK(s->above == fixtures::Near(1.420));
  CHECK(StandardNear(1.42, kUsualStep)->below == fixtures::Near(1.42));
  CHECK(StandardNear(1.42, kUsualStep)->above == fixtures::Near(1.42));
  CHECK(StandardNear(1.4, 0.0).why().problem == Problem::kStep);
  CHECK(StandardNear(-1.0, 0.005).why().problem == Problem::kNotFinite);
}

Guide<double> Arm() {
  Guide<double> g;
  g.pulley = 2;
  g.origin = {0.10, 0.28};
  g.arm = 0.1;
  g.from = -2.6;
  g.to = -1.6;
  return g;
}

TEST_CASE("tensioner: stands where the belt has its length, or says why not") {
  const Pulleys pulleys = FourPulleys();
  Guide<double> slot;
  slot.kind = GuideKind::kSlot;
  slot.pulley = 3;
  slot.origin = {-0.17, 0.25};
  slot.slot_angle = 2.5;
  slot.from = 0.0;
  slot.to = 0.05;
  for (const Guide<double>& guide : {Arm(), slot}) {
    const auto reach = ReachOf(pulleys, guide);
    REQUIRE(reach);
    CHECK(reach->longest - reach->shortest > 0.01);
    for (const double share : {0.05, 0.5, 0.95}) {
      const double length = reach->shortest + share * (reach->longest - reach->shortest);
      const auto placed = PlaceFor(pulleys, guide, length);
      REQUIRE(placed);
      CHECK(std::abs(placed->path.length - length) < 1e-12);
      CHECK(std::abs(PathOver(PlacedAt(pulleys, guide, placed->position))->length - length) <
            1e-12);
    }
    CHECK(PlaceFor(pulleys, guide, reach->longest + 0.001).why().problem == Problem::kTooLong);
    CHECK(PlaceFor(pulleys, guide, reach->shortest - 0.001).why().problem == Problem::kTooShort);
  }
  Guide<double> bad = Arm();
  bad.pulley = 7;
  CHECK(PlaceFor(pulleys, bad, 1.45).why().problem == Problem::kNoSuchPulley);
  bad = Arm();
  bad.arm = std::nan("");
  CHECK(PlaceFor(pulleys, bad, 1.45).why().problem == Problem::kNotFinite);
  bad = Arm();
  bad.origin = {0.0, 0.0};
  bad.arm = 0.0;  // right on the crank pulley
  CHECK(PlaceFor(pulleys, bad, 1.45).why().problem == Problem::kNoRange);
}

TEST_CASE("belt: derivatives equal central differences") {
  const auto run = [](const auto& x) {
    using T = std::decay_t<decltype(x[0])>;
    return std::vector<Pulley<T>>{{{x[0], x[1]}, x[2]},
                                  {{x[3], x[4]}, x[5]},
                                  {{x[6], x[7]}, x[8], Face::kBack},
                                  {{x[9], x[10]}, x[11]}};
  };
  const std::vector<double> at{0.01, -0.01, 0.077, 0.22,  0.23, 0.064,
                               0.04, 0.19,  0.03,  -0.17, 0.25, 0.032};
  CHECK(ScaledDerivativesHold(
      [&](const auto& x) {
        using T = std::decay_t<decltype(x[0])>;
        const Path<T> p = *PathOver(run(x));
        return T(p.length + p.wrap[2] * 0.1 + p.span[1]);
      },
      at));
  // Position of the tensioner, by its own geometry and by the belt's length.
  std::vector<double> more = at;
  for (const double v : {0.10, 0.28, 0.1, 1.45}) more.push_back(v);
  CHECK(ScaledDerivativesHold(
      [&](const auto& x) {
        using T = std::decay_t<decltype(x[0])>;
        Guide<T> g;
        g.pulley = 2;
        g.origin = {x[12], x[13]};
        g.arm = x[14];
        g.from = T(-2.6);
        g.to = T(-1.6);
        const Placed<T> placed = *PlaceFor<T>(run(x), g, x[15]);
        return T(placed.position + placed.path.wrap[2]);
      },
      more));
}

}  // namespace
}  // namespace steerbench::belt
