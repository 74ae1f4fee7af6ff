#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "engine/gear/teeth.h"
#include "engine/gear/threads.h"
#include "fixtures/near.h"
#include "reference/properties.h"
#include "reference/reference.h"

namespace steerbench::gear {
namespace {

using reference::Between;
using reference::Load;

TEST_CASE("contact ratios of the reference rows") {
  const auto row = Load("rack-contact-ratio");
  // The row counts lengths in modules, so its module is one.
  const PinionTeeth<double> pinion{1.0, row.Input("teeth"), row.Input("pressure_angle"),
                                   row.Input("addendum"), row.Input("profile_shift")};
  REFERENCE_CHECK(row, "transverse_contact_ratio", TransverseContactRatio(pinion));
  REFERENCE_CHECK(row, "min_teeth_no_undercut", MinTeethWithoutUndercut(pinion));

  const auto overlap = Load("overlap-ratio");
  REFERENCE_CHECK(overlap, "overlap_ratio",
                  OverlapRatio(overlap.Input("face_width"), overlap.Input("helix"),
                               overlap.Input("normal_module")));
}

TEST_CASE("contact ratio does not depend on the size of the teeth") {
  const auto ratio = [](double module) {
    return TransverseContactRatio(PinionTeeth<double>{module, 20.0, 0.35, module, 0.1});
  };
  CHECK(ratio(0.002) == fixtures::Near(ratio(1.0), 1e-12));
}

// The line of action is walked in small steps from the pitch point outward to the pinion's tip
// circle and inward to the line of the rack's tips, which a profile shift moves away from the
// pinion.
TEST_CASE("contact ratio with profile shift by walking the line of action") {
  const double alpha = 0.37, shift = 0.3, teeth = 15.0, radius = teeth / 2.0;
  constexpr double kStep = 1e-5;
  double recess = 0.0, approach = 0.0;
  while (std::hypot(recess * std::cos(alpha), radius + recess * std::sin(alpha)) <
         radius + 1.0 + shift) {
    recess += kStep;
  }
  while (approach * std::sin(alpha) < 1.0 - shift) approach += kStep;
  const PinionTeeth<double> pinion{1.0, teeth, alpha, 1.0, shift};
  const double base_pitch = std::numbers::pi * std::cos(alpha);
  CHECK(std::abs(TransverseContactRatio(pinion) - (recess + approach) / base_pitch) < 1e-5);
}

TEST_CASE("thread engagement of the reference rows") {
  const auto inch = Load("thread-engage-1/2-13");
  const ThreadPair<double> coarse{1.0 / inch.Input("n"), inch.Input("At"), inch.Input("Kn_max"),
                                  inch.Input("Es_min")};
  REFERENCE_CHECK(inch, "Le", StrengthEngagement(coarse));

  const auto metric = Load("thread-engage-M14x1.5");
  const double d = metric.Input("d");
  const auto thread = MetricThread(d, metric.Input("pitch"));
  REFERENCE_CHECK(metric, "stress_area", thread.stress_area);
  REFERENCE_CHECK(metric, "Le", StrengthEngagement(thread));
  REFERENCE_CHECK(metric, "Le_over_d", EngagedDiameters(StrengthEngagement(thread), d));
}

TEST_CASE("basic metric dimensions as tables print them") {
  // M10 x 1.5: pitch diameter 9.026 mm, minor diameter 8.376 mm (ISO 724), stress area 58.0 mm2
  // (ISO 898-1); from memory.
  const auto m10 = MetricThread(10.0, 1.5);
  CHECK(m10.pitch_diameter == fixtures::Near(9.026, 1e-4));
  CHECK(m10.minor_diameter == fixtures::Near(8.376, 1e-4));
  CHECK(m10.stress_area == fixtures::Near(58.0, 1e-3));
}

TEST_CASE("teeth: centred rack, offset to the left, reserve") {
  const auto centred = ToothTravel(ToothedRack<double>{0.180, 0.0, 0.020, 0.0});
  CHECK(centred.left == fixtures::Near(0.080, 1e-14));
  CHECK(centred.right == centred.left);
  // Teeth that lie 5 mm to the left of the pinion run out 5 mm sooner when the rack goes left.
  const auto offset = ToothTravel(ToothedRack<double>{0.180, 0.005, 0.020, 0.006});
  CHECK(offset.left == fixtures::Near(0.069, 1e-14));
  CHECK(offset.right == fixtures::Near(0.079, 1e-14));
}

TEST_CASE("teeth: a mirrored rack has mirrored travel, and at the ends the mesh just fits") {
  CHECK(rc::check("mesh", [] {
    const ToothedRack<double> rack{Between(0.1, 0.3), Between(-0.02, 0.02), Between(0.01, 0.03),
                                   Between(0.0, 0.01)};
    const auto travel = ToothTravel(rack);
    auto mirrored = rack;
    mirrored.offset = -rack.offset;
    RC_ASSERT(ToothTravel(mirrored).left == travel.right);
    // Right-hand end of the teeth against the mesh's right end, the rack at its left-most.
    const double teeth_end = rack.offset - rack.toothed_length / 2.0 + travel.left;
    RC_ASSERT(std::abs(teeth_end - (-rack.contact_length / 2.0 - rack.reserve)) < 1e-15);
  }));
}

TEST_CASE("threads and travel with a spacer") {
  CHECK(InnerEngagement(0.022, 0.008) == fixtures::Near(0.014));
  CHECK(InnerEngagement(0.006, 0.008) < 0.0);
  CHECK(OuterEngagement(0.030, 0.310, 0.322) == fixtures::Near(0.018));
  CHECK(OuterEngagement(0.030, 0.310, 0.310) == 0.030);
  CHECK(EngagedDiameters(0.021, 0.014) == fixtures::Near(1.5));
  CHECK(SpacerTravelGain(0.008, Striker::kInnerJoint) == 0.008);
  CHECK(SpacerTravelGain(0.008, Striker::kRack) == 0.0);
  CHECK(SpacerTravelGain(0.008, Striker::kSpacer) == 0.0);
}

TEST_CASE("derivatives") {
  const auto contact = []<class T>(const std::vector<T>& v) {
    const PinionTeeth<T> pinion{v[0], T(v[1] * 10.0), v[2], v[3], v[4]};
    return T(TransverseContactRatio(pinion) + MinTeethWithoutUndercut(pinion) +
             OverlapRatio(v[5], v[2], v[0]));
  };
  CHECK(reference::DerivativesHold(contact, {1.0, 2.0, 0.35, 0.9, 0.1, 3.0}));
  const auto thread = []<class T>(const std::vector<T>& v) {
    return StrengthEngagement(MetricThread(v[0], v[1]));
  };
  CHECK(reference::DerivativesHold(thread, {1.4, 0.15}));
}

}  // namespace
}  // namespace steerbench::gear
