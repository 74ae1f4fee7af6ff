#include "report/cautions.h"

#include <algorithm>

#include "report/report.h"

namespace steerbench {
namespace {

// Whether a limit of the travel is passed, surely or probably.
bool Passed(const Propagated& results, RackEnd end) {
  return std::ranges::any_of(results.ends, [end](const auto& way) {
    return std::ranges::any_of(way, [end](const PropagatedEnd& e) {
      const bool over = e.margin.margin && e.margin.margin->value < 0.0;
      return e.end == end && (e.margin.status == limits::Status::kExceeded ||
                              (e.margin.status == limits::Status::kClose && over));
    });
  });
}

bool ThreadShort(const Propagated& results) {
  using enum Check;
  return std::ranges::any_of(
      std::array{kInnerThread, kOuterThreadLeft, kOuterThreadRight}, [&](Check c) {
        const PropagatedMargin& m = results.check[static_cast<std::size_t>(c)];
        return !m.absent && m.margin && m.margin->value < 0.0;
      });
}

// Where an adapter would carry what steers, and where oil under pressure.
bool CarriesSteering(Meeting at) {
  using enum Meeting;
  return at == kRackMount || at == kPinion || at == kInnerThread || at == kOuterTaper ||
         at == kKnuckle;
}
bool CarriesPressure(Meeting at) {
  using enum Meeting;
  return at == kRackPressurePort || at == kPumpPressurePort || at == kControlPort;
}

// Whether faces differ at such a place, so that something has to be made or bought there.
template <class Where>
bool Adapted(const SetupReport& setup, Where where) {
  return std::ranges::any_of(setup.fit.joints, [&](const fit::Joint& joint) {
    return where(joint.at) && joint.comparison.verdict == fit::Verdict::kDiffers;
  });
}

bool WeldedAdapter(const SetupReport& setup) {
  return std::ranges::any_of(setup.fit.joints, [&](const fit::Joint& joint) {
    std::vector<std::size_t> adapters;
    fit::AddAdapters(joint, adapters);
    return CarriesSteering(joint.at) && std::ranges::any_of(adapters, [&](std::size_t a) {
             return setup.adapters[a].second.made == Make::kWelded;
           });
  });
}

void AddAdapted(const SetupReport& setup, std::vector<Caution>& cautions) {
  if (WeldedAdapter(setup)) {
    cautions.push_back({"welded_adapter",
                        "A cut and welded adapter in the steering can break without warning, and "
                        "in many places it is not allowed on the road. Use one machined from solid "
                        "for the purpose, and have it inspected."});
  }
  if (Adapted(setup, CarriesSteering)) {
    cautions.push_back({"adapted_steering",
                        "Faces of the steering itself differ. Splines have to be engaged over "
                        "their whole length and clamped by a bolt that lies in the groove; cones "
                        "and threads have to match, never be made to. An adapter there is a "
                        "steering part: have it inspected by a licensed inspector before the car "
                        "moves."});
  }
  if (Adapted(setup, CarriesPressure)) {
    cautions.push_back({"adapted_pressure",
                        "A fitting or hose that joins ports under pressure has to be rated above "
                        "the pump's relief pressure, seal as each port is meant to, and be checked "
                        "for leaks with the engine off and eyes and hands well away: oil under "
                        "pressure injects skin."});
  }
}

}  // namespace

std::string_view GeneralCaution() {
  return "Work under a car on stands, never on a jack alone. Steering parts are a matter of life: "
         "have changed steering inspected as your local rules ask. What they and a licensed "
         "inspector say goes before anything printed here.";
}

std::vector<Caution> CautionsFor(const SetupReport& setup) {
  const Fitted<Quantity>& fitted = setup.fitted;
  const Propagated& results = setup.results;
  std::vector<Caution> cautions;
  if (fitted.adjust.stops == Stops::kRemoved) {
    cautions.push_back(
        {"stops_removed",
         "With its stops removed the rack goes on until its teeth leave the pinion or a joint "
         "binds: the steering can jam or let go. Do not drive it so. Fit stops that end the travel "
         "before the first limit above."});
  }
  if (Passed(results, RackEnd::kLastTooth)) {
    cautions.push_back(
        {"rack_over_travel",
         "The rack can travel past its last full tooth. Teeth at the end of the mesh "
         "break or jump; shorten the travel before the car moves."});
  }
  if (Passed(results, RackEnd::kDeadCentre)) {
    cautions.push_back({"dead_centre",
                        "Tie rod and arm come into line before the stop. Past that the wheel can "
                        "lock over and not come back; shorten the travel."});
  }
  if (Passed(results, RackEnd::kInnerJoint) || Passed(results, RackEnd::kOuterJoint)) {
    cautions.push_back({"joint_bind",
                        "A joint comes to the end of its tilt before the stop. A joint that binds "
                        "is bent or broken off by the next bump; shorten the travel or change the "
                        "joint or its height."});
  }
  if (fitted.arms && fitted.arms->made == Make::kWelded) {
    cautions.push_back({"welded_arms",
                        "Steering arms that were cut and welded, heated or bent can break without "
                        "warning, and in many places they are not allowed on the road. Use forged "
                        "or machined arms made for the purpose, and have them inspected."});
  }
  if (ThreadShort(results)) {
    cautions.push_back({"thread_short",
                        "A joint is held by less thread than its least. It can pull out under load "
                        "and leave a wheel unsteered: do not drive it so."});
  }
  AddAdapted(setup, cautions);
  if (fitted.spacer) {
    cautions.push_back({"spacer",
                        "A spacer takes its thickness from the thread that holds the inner joint, "
                        "and where the joint is what stops the rack, lets it travel further. "
                        "Measure the engaged thread on both sides, use the locking that its maker "
                        "asks for, and check teeth, joints and tyres at full lock over the whole "
                        "wheel travel, by hand, before the engine runs."});
  }
  cautions.push_back({kGeneralCaution, std::string(GeneralCaution())});
  return cautions;
}

}  // namespace steerbench
