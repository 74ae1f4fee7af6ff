// solve --find: a number of the file from one measurement on the assembled car.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cli/load.h"
#include "document/names.h"
#include "document/shape.h"
#include "model/lift.h"
#include "quantity/trimmed.h"
#include "report/found.h"

namespace steerbench::cli {
namespace {

constexpr double kUsualReach = 10.0;  // a number is looked for from a tenth to ten times as stated
constexpr std::string_view kEffort = "_effort";

const OutputInfo* OutputNamed(std::string_view key) {
  const auto found = std::ranges::find(Outputs(), key, &OutputInfo::key);
  return found == Outputs().end() ? nullptr : &*found;
}

// "kerb_effort" stands for its torque or its pull at the rim, by the unit of what was measured.
const OutputInfo* OutputOf(const std::string& key, const std::string& value) {
  if (!key.ends_with(kEffort)) return OutputNamed(key);
  const std::string state = key.substr(0, key.size() - kEffort.size());
  const bool pull = ParseQuantity(value, Kind::kForce).quantity.has_value();
  return OutputNamed(state + (pull ? "_pull" : "_torque"));
}

// "kerb_pull = 62 ± 3 N"; unset, and said why, when it is nothing of the kind.
std::optional<Seen> SeenOf(const std::string& text) {
  const std::size_t mark = text.find('=');
  if (mark == std::string::npos) {
    Complain(fmt::format(
        "--seen '{}': write what was measured and its value, e.g. \"kerb_pull = 62 ± 3 N\"", text));
    return std::nullopt;
  }
  const std::string key(Trimmed(std::string_view(text).substr(0, mark)));
  const std::string value(Trimmed(std::string_view(text).substr(mark + 1)));
  const OutputInfo* info = OutputOf(key, value);
  if (info == nullptr) {
    std::vector<std::string> keys;
    for (const OutputInfo& i : Outputs()) {
      keys.emplace_back(i.key);
      if (i.pair == Pair::kHand && i.left) {
        keys.push_back(keys.back().substr(0, keys.back().rfind('_')) + std::string(kEffort));
      }
    }
    const std::string_view nearest = Nearest(key, keys);
    Complain(fmt::format("--seen: no result is called '{}'{}; 'steerbench check --json' names all",
                         key, nearest.empty() ? "" : fmt::format(", did you mean '{}'?", nearest)));
    return std::nullopt;
  }
  const ParsedQuantity parsed = ParseQuantity(value, info->kind);
  if (!parsed.quantity) {
    Complain(fmt::format("--seen {}: {}", key, parsed.error.message));
    return std::nullopt;
  }
  return Seen{info->id, parsed.quantity->value, parsed.quantity->tolerance};
}

std::optional<Quantity> StatedAt(const Fitted<Quantity>& fitted, const std::string& path) {
  for (const Input& input : Inputs(fitted)) {
    if (input.path == path) return input.quantity;
  }
  return std::nullopt;
}

std::optional<double> Bound(std::string_view option, const std::string& text, Kind kind) {
  const ParsedQuantity parsed = ParseQuantity(text, kind);
  if (parsed.quantity) return parsed.quantity->value;
  Complain(fmt::format("--{}: {}", option, parsed.error.message));
  return std::nullopt;
}

// The bounds asked for, else about what the file states; false, and said why, without either.
bool TakeBounds(const SolveOptions& o, Kind kind, const std::optional<double>& stated,
                FindTask& task) {
  const bool usual = o.from.empty() && o.to.empty();
  // Nothing is a tenth of a temperature, and a number about zero has no size.
  const bool sized = stated && *stated != 0.0 && kind != Kind::kTemperature;
  if (usual && sized) {
    const double a = *stated / kUsualReach, b = *stated * kUsualReach;
    task.least = std::min(a, b);
    task.most = kind == Kind::kShare ? std::min(std::max(a, b), 1.0) : std::max(a, b);
    return true;
  }
  if (o.from.empty() || o.to.empty()) {
    Complain(fmt::format("--find {}: say between which bounds, --from and --to, e.g. \"{}\"",
                         o.find, KindExample(kind)));
    return false;
  }
  const auto least = Bound("from", o.from, kind);
  const auto most = Bound("to", o.to, kind);
  if (!least || !most) return false;
  task.least = *least;
  task.most = *most;
  if (*least < *most) return true;
  Complain(fmt::format("--from {} must be less than --to {}", o.from, o.to));
  return false;
}

// The car in which the number sought has some value, so that it can be varied: as the file states
// it, else with the lower bound put in. Unset, and said why, when the setup has no use for it.
struct Sought {
  Fitted<Quantity> fitted;
  Kind kind = Kind::kRatio;
  std::optional<double> stated;
};

std::optional<Sought> SoughtIn(const Loaded& loaded, const std::string& setup,
                               const SolveOptions& o) {
  Sought sought{Fit(loaded.document, SetupNamed(loaded.document, setup)->second), {}, {}};
  if (const auto stated = StatedAt(sought.fitted, o.find)) {
    sought.kind = stated->kind;
    sought.stated = stated->value;
    return sought;
  }
  const auto shape = ShapeAt(DocumentShape(), ParsePath(o.find));
  if (shape && shape->type != Shape::Type::kQuantity) {
    Complain(
        fmt::format("--find {}: this is no number; name one, e.g. pump.small.relief, or of a "
                    "point one coordinate that is known, e.g. car.front.left.wheel_centre.z",
                    o.find));
    return std::nullopt;
  }
  if (shape && o.from.empty()) {
    Complain(
        fmt::format("--find {}: setup '{}' does not state it; say between which bounds, --from "
                    "and --to, e.g. \"{}\"",
                    o.find, setup, KindExample(shape->kind)));
    return std::nullopt;
  }
  const EditResult edit =
      EditToml(WriteToml(loaded.document), o.find, o.from.empty() ? "1" : o.from);
  if (!edit.problems.empty()) {
    for (const Problem& p : edit.problems) {
      Complain(fmt::format("--find {}: {}", p.field.empty() ? o.find : p.field, p.message));
    }
    return std::nullopt;
  }
  const ReadResult read = ReadToml(edit.text);
  sought.fitted = Fit(read.document, SetupNamed(read.document, setup)->second);
  sought.kind = shape->kind;
  if (StatedAt(sought.fitted, o.find)) return sought;
  Complain(
      fmt::format("--find {}: setup '{}' makes no use of it; it fits other parts", o.find, setup));
  return std::nullopt;
}

// The value into the file, as measured, with a note that says how it was found.
int Write(const SolveOptions& o, const FoundReport& report, const Units& units) {
  const std::string note = fmt::format("found by {} in setup {}", Trimmed(o.seen), report.setup);
  return WriteEdits(o.file, {{o.find, FoundValue(report, units)},
                             {o.find + ".from", std::string(OriginName(Origin::kMeasured))},
                             {o.find + ".note", note}});
}

}  // namespace

int RunFind(const SolveOptions& o) {
  if (o.seen.empty()) {
    Complain("--find needs --seen: what was measured, e.g. \"kerb_pull = 62 ± 3 N\"");
    return kUnusable;
  }
  const auto seen = SeenOf(o.seen);
  if (!seen) return kUnusable;
  const Loaded loaded = Load(o.file);
  if (!loaded.usable) return kUnusable;
  const auto* setup = OneSetup(loaded, o);
  if (setup == nullptr) return kUnusable;
  const auto sought = SoughtIn(loaded, setup->first, o);
  if (!sought) return kUnusable;
  FoundReport report{setup->first, {o.find, *seen}, sought->kind, sought->stated.has_value(), {}};
  if (!TakeBounds(o, sought->kind, sought->stated, report.task)) return kUnusable;
  const auto shape = ShapeAt(DocumentShape(), ParsePath(o.find));
  if (o.write && (!shape || o.file == "-")) {
    Complain(shape ? "--write needs a file to write into"
                   : "--write: a coordinate of a point is written by hand");
    return kUnusable;
  }
  report.found = FindInput(sought->fitted, report.task);
  const bool found = report.found.status == FindStatus::kFound;
  const TextStyle style = StyleOf(loaded.document, o);
  if (o.write && found) {
    const int written = Write(o, report, style.units);
    if (written != kAllWell) return written;
  }
  Print(o.json ? FoundJson(loaded.document.title, report, {style.units})
               : FoundText(report, style.units));
  if (o.write && found && !o.json) Print(fmt::format("  written into {}\n", o.file));
  return found ? kAllWell : kLimitExceeded;
}

}  // namespace steerbench::cli
