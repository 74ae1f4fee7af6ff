#include "report/found.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/evaluate/hold_against.h"
#include "report/ink.h"
#include "report/phrases.h"
#include "report/table.h"

namespace steerbench {
namespace {

class Writer {
 public:
  Writer(const FoundReport& report, const Units& units)
      : r_(report), f_(report.found), units_(units), of_(InfoOf(report.task.seen.of)) {}

  std::string Write() {
    out_ = Wrap(fmt::format("Setup {}: {}{}", r_.setup, r_.task.path, Ending()), kPage, 0);
    Line(fmt::format("seen: {} ({}{})", SeenText(), of_.label, Side()));
    Line(fmt::format("looked at from {} to {}{}", Sought(r_.task.least), Sought(r_.task.most),
                     OverRange()));
    if (r_.stated && f_.status != FindStatus::kNoSuchInput) {
      Line(fmt::format("stated now: {}, with which it is {}", Sought(f_.before),
                       f_.result_before ? Result(*f_.result_before) : "not known"));
      if (StatedFitsToo()) {
        Line(
            "what is stated agrees with the measurement as well, though it is outside the ± found: "
            "this result hardly depends on it here, so keep what is stated");
      }
    }
    if (f_.unknown > 0 && f_.status != FindStatus::kNotKnown) {
      Line(fmt::format("for {} of the {} values tried it cannot be had", f_.unknown,
                       kFindSteps + 1));
    }
    if (f_.figure) Doubt();
    return std::move(out_);
  }

 private:
  // Where a curve is flat its slope at one place says too little of how far off a value may be.
  bool StatedFitsToo() const {
    if (!f_.figure || !f_.result_before || !r_.task.seen.tolerance) return false;
    return std::abs(*f_.result_before - r_.task.seen.value) <= *r_.task.seen.tolerance &&
           std::abs(f_.figure->value - f_.before) > f_.figure->tolerance;
  }
  void Line(const std::string& text) { out_ += Wrap(text, kPage, 2); }
  std::string Sought(double x) const { return Show(x, {}, r_.kind, units_.For(r_.kind)).text; }
  std::string Result(double x) const { return Show(x, {}, of_.kind, units_.For(of_.kind)).text; }
  std::string Side() const {
    return of_.pair == Pair::kNone ? "" : fmt::format(", {}", SideOf(of_.pair, of_.left));
  }
  std::string SeenText() const {
    return fmt::format(
        "{} = {}", of_.key,
        Show(r_.task.seen.value, r_.task.seen.tolerance, of_.kind, units_.For(of_.kind)).text);
  }

  std::string Ending() const {
    switch (f_.status) {
      case FindStatus::kFound:
        return fmt::format(" = {}", FigureText(*f_.figure, r_.kind, units_));
      case FindStatus::kSeveral: {
        std::vector<std::string> values;
        for (const double x : f_.values) values.push_back(Sought(x));
        return fmt::format(
            ": {}: {}; tell them apart by --from and --to, or by another measurement",
            Describe(f_.status), fmt::join(values, ", "));
      }
      case FindStatus::kNone:
        return fmt::format(": {}; {} comes nearest", Describe(f_.status), Sought(f_.nearest));
      case FindStatus::kNotKnown:
        return fmt::format(": {}{}{}", Describe(f_.status), f_.missing.empty() ? "" : "; it needs ",
                           fmt::join(f_.missing, ", "));
      default:
        return fmt::format(": {}{}", f_.unknown > 0 ? "where it can be had, " : "",
                           Describe(f_.status));
    }
  }

  std::string OverRange() const {
    const bool known = f_.status == FindStatus::kFound || f_.status == FindStatus::kNone ||
                       f_.status == FindStatus::kSeveral || f_.status == FindStatus::kNoEffect;
    if (!known) return "";
    return fmt::format(", over which it lies between {} and {}", Result(f_.lowest),
                       Result(f_.highest));
  }

  // What makes the ±, the greatest part first.
  void Doubt() {
    const Figure& figure = *f_.figure;
    const std::string list =
        SharesText(figure, f_.inputs, {{f_.by_measurement, "the measurement"}});
    if (!list.empty()) Line("of the squared ± comes from: " + list);
    if (figure.tolerance > std::max(std::abs(figure.value), r_.task.most - r_.task.least)) {
      Line("its ± is wider than itself: this measurement hardly tells it");
    }
    if (IsReading(of_.id)) {
      Line(
          fmt::format("written under [setup.{}.seen] instead, this reading counts in every result "
                      "without making its own ± wider",
                      r_.setup));
    }
    if (!r_.task.seen.tolerance) Line("the measurement states no ±, so that shown is too narrow");
  }

  const FoundReport& r_;
  const FoundInput& f_;
  const Units& units_;
  const OutputInfo& of_;
  std::string out_;
};

}  // namespace

std::string_view Describe(FindStatus status) {
  using enum FindStatus;
  switch (status) {
    case kFound:
      return "found";
    case kNone:
      return "no value within the bounds gives what was seen";
    case kSeveral:
      return "several values give what was seen";
    case kNoEffect:
      return "what was seen does not depend on it";
    case kNotKnown:
      return "what was seen cannot be computed for this setup";
    case kNoSuchInput:
      return "this setup has no such number";
    case kSenselessRange:
      break;
  }
  return "the bounds make no sense";
}

std::string FoundText(const FoundReport& report, const Units& units) {
  return Writer(report, units).Write();
}

std::string FoundValue(const FoundReport& report, const Units& units) {
  const Figure& f = *report.found.figure;
  return Show(f.value, f.tolerance > 0.0 ? std::optional(f.tolerance) : std::nullopt, report.kind,
              units.For(report.kind))
      .text;
}

}  // namespace steerbench
