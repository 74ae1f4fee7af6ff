// Any text that is a document: every setup is evaluated and reported without a crash, and no
// figure, plus-minus or sensitivity is other than a finite number.
#include <cmath>
#include <cstdint>
#include <string_view>

#include "document/document.h"
#include "engine/evaluate/weight_curves.h"
#include "fuzz/bytes.h"
#include "report/report.h"
#include "report/side_by_side.h"

using namespace steerbench;
using fuzz::Require;

namespace {

void CheckFigure(const std::optional<Figure>& figure) {
  if (!figure) return;
  Require(std::isfinite(figure->value) && std::isfinite(figure->tolerance));
  Require(figure->tolerance >= 0.0);
  for (const Contribution& c : figure->from) Require(std::isfinite(c.sensitivity));
}

void CheckMargin(const PropagatedMargin& margin) {
  CheckFigure(margin.margin);
  Require(!margin.limit || std::isfinite(*margin.limit));
}

void CheckAll(const Propagated& p) {
  for (const PropagatedResult& result : p.result) CheckFigure(result.figure);
  for (const PropagatedMargin& margin : p.check) CheckMargin(margin);
  for (const auto& way : p.ends) {
    for (const PropagatedEnd& end : way) {
      CheckFigure(end.travel);
      CheckMargin(end.margin);
    }
  }
}

// A curve has rows, each with a cell for each column, or names what it lacks.
void CheckCurves(const Fitted<Quantity>& fitted) {
  const auto plain = LiftTo<double>(fitted, [](std::size_t, double value) { return value; });
  const WeightCurves curves = AllCurves(plain, Evaluate(plain));
  for (const WeightCurve* curve : {&curves.kerb, &curves.road, &curves.boost, &curves.pump}) {
    for (const auto& row : curve->sweep.row) Require(row.size() == curve->sweep.column.size());
    Require(curve->missing.empty() || curve->sweep.row.empty());
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const ReadResult read = ReadToml(text);
  if (!read.problems.empty()) return 0;
  constexpr std::size_t kSetups = 4;  // of one text, so that each run stays short
  std::vector<SetupReport> reports;
  for (const auto& [name, setup] : read.document.setup) {
    if (reports.size() == kSetups) break;
    SetupReport& report = reports.emplace_back();
    report.name = name;
    report.fitted = Fit(read.document, setup);
    report.results = Propagate(report.fitted);
    CheckAll(report.results);
    CheckCurves(report.fitted);
  }
  if (reports.empty()) return 0;
  const TextStyle style{UnitsAsWritten(read.document), true};
  Require(!CheckText(read.document.title, reports, style).empty());
  Require(!CheckJson(read.document.title, reports, {style.units}).empty());
  Require(
      !CompareText(read.document.title, reports, 0, SwapsAgainst(reports, 0, 1), style).empty());
  return 0;
}
