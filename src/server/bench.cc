#include "server/bench.h"

#include <algorithm>
#include <array>
#include <stdexcept>
#include <string_view>

#include "document/document.h"
#include "document/fields.h"

namespace steerbench::server {
namespace {

// The document without the setups and parts that one setup does not use.
Document Reduced(const Document& document, const std::pair<std::string, Setup<Quantity>>& entry) {
  Document reduced;
  Document::Visit(
      [&](const FieldInfo& info, const auto& from, auto& to) {
        if constexpr (std::is_same_v<decltype(to), Named<Setup<Quantity>>&>) {
          to = {entry};
        } else if constexpr (kIsNamed<std::remove_cvref_t<decltype(to)>>) {
          // Any adapter may be the one that joins two of its parts.
          if (info.key == "adapter") to = from;
          for (const auto& part : from) {
            Setup<Quantity>::Visit(
                [&](const FieldInfo& chosen, const auto& name) {
                  if constexpr (std::is_same_v<decltype(name), const std::string&>) {
                    if (chosen.Table() == info.key && name == part.first) to.push_back(part);
                  }
                },
                entry.second);
          }
        } else if (info.key != "title") {
          to = from;
        }
      },
      document, reduced);
  return reduced;
}

// A curve by its name: without ± and with.
struct Drawn {
  std::string_view of;
  WeightCurve WeightCurves::*plain;
  WeightCurve (*doubtful)(const Fitted<Quantity>&, const Evaluation<double>&);
};
constexpr std::array kDrawn{
    Drawn{"kerb", &WeightCurves::kerb,
          [](const Fitted<Quantity>& f, const Evaluation<double>& results) {
            return KerbCurve(f, UsualTravel(results, kCurvePoints));
          }},
    Drawn{"road", &WeightCurves::road,
          [](const Fitted<Quantity>& f, const Evaluation<double>&) {
            return RoadCurve(f, UsualAccelerations());
          }},
    Drawn{"boost", &WeightCurves::boost,
          [](const Fitted<Quantity>& f, const Evaluation<double>&) { return BoostCurve(f); }},
    Drawn{"pump", &WeightCurves::pump,
          [](const Fitted<Quantity>& f, const Evaluation<double>&) { return PumpCurve(f); }}};

}  // namespace

FittedSetup::FittedSetup(const Document& document,
                         const std::pair<std::string, Setup<Quantity>>& entry)
    : name_(entry.first),
      setup_(entry.second),
      key_(WriteJson(Reduced(document, entry))),
      fitted_(Fit(document, entry.second)),
      adapters_(document.adapter),
      belts_(document.belt) {}

const Plain& FittedSetup::InPlainNumbers() const {
  std::call_once(plain_once_, [this] {
    Plain plain;
    plain.fitted = LiftTo<double>(fitted_, [](std::size_t, double value) { return value; });
    plain.front = AssembleFront(plain.fitted);
    plain.results = Evaluate(plain.fitted);
    plain.hand = HandToRackOf(plain.fitted, plain.results.steers_to_own_side.value_or(true),
                              plain.hand_missing);
    plain_ = std::move(plain);
  });
  return *plain_;
}

const SetupReport& FittedSetup::Report() const {
  std::call_once(report_once_,
                 [this] { report_ = ReportOf(name_, setup_, fitted_, adapters_, belts_); });
  return *report_;
}

const WeightCurve& FittedSetup::Curve(const std::string& of, bool plus_minus) const {
  const auto drawn = std::ranges::find(kDrawn, of, &Drawn::of);
  if (drawn == kDrawn.end()) throw std::invalid_argument(of);
  const Plain& plain = InPlainNumbers();
  const std::scoped_lock lock(curves_mutex_);
  if (!plus_minus) {
    if (!plain_curves_) plain_curves_ = AllCurves(plain.fitted, plain.results);
    return (*plain_curves_).*drawn->plain;
  }
  const auto found = curves_.find(of);
  if (found != curves_.end()) return found->second;
  return curves_.emplace(of, drawn->doubtful(fitted_, plain.results)).first->second;
}

}  // namespace steerbench::server
