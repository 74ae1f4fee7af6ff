#include "report/identify.h"

#include <fmt/format.h>

#include <algorithm>

#include "cli/load.h"
#include "document/node.h"

namespace steerbench::cli {
namespace {

// The riddles asked for, each with what was found; unset, and said why, when there is none.
std::optional<std::vector<RiddleReport>> Asked(const Document& document, const IdentifyOptions& o) {
  std::string names;
  std::vector<RiddleReport> riddles;
  for (const auto& [name, riddle] : document.identify) {
    names += (names.empty() ? "" : ", ") + name;
    if (!o.riddle.empty() && o.riddle != name) continue;
    riddles.push_back(Solve(document, name, riddle, o.sure));
  }
  if (!riddles.empty()) return riddles;
  if (names.empty()) {
    Complain(
        fmt::format("{} has nothing to identify: add a table [identify.NAME] with features, "
                    "variants and what was seen; 'steerbench new' shows one",
                    o.file));
  } else {
    Complain(fmt::format("{} has no [identify.{}]; it has: {}", o.file, KeyText(o.riddle), names));
  }
  return std::nullopt;
}

// Writes the part that was found into a setup.
int Fill(const Document& document, const std::vector<RiddleReport>& riddles,
         const IdentifyOptions& o) {
  const auto refuse = [](const std::string& why) {
    Complain("--fill: " + why);
    return kUnusable;
  };
  if (o.file == "-") return refuse("it writes into the file, so the file must have a name");
  if (riddles.size() > 1) {
    return refuse("this file has several riddles: say which one, as NAME behind FILE");
  }
  const bool there = std::ranges::any_of(document.setup,
                                         [&o](const auto& setup) { return setup.first == o.fill; });
  if (!there) return refuse(fmt::format("there is no setup '{}' in {}", o.fill, o.file));
  const RiddleReport& r = riddles.front();
  if (!r.Settled()) {
    const std::string next = NextLook(r);
    Complain(fmt::format("--fill: {} is not settled, so the setup stays as it is{}{}", r.name,
                         next.empty() ? "" : "; look at next: ", next));
    return kLimitExceeded;
  }
  if (r.riddle.fills.empty() || r.Answer()->part.empty()) {
    return refuse(
        fmt::format("say what it settles: fills of identify.{} and the part of its "
                    "variant '{}'",
                    r.name, r.Answer()->name));
  }
  return RunSet({o.file, PathText({{"setup"}, {o.fill}, {r.riddle.fills}}), r.Answer()->part});
}

}  // namespace

int RunIdentify(const IdentifyOptions& options) {
  const Loaded loaded = Load(options.file);
  if (!loaded.usable) return kUnusable;
  const Document& document = loaded.document;
  const auto riddles = Asked(document, options);
  if (!riddles) return kUnusable;
  if (!options.fill.empty()) {
    const int filled = Fill(document, *riddles, options);
    if (filled != kAllWell) return filled;
  }
  const TextStyle style = StyleOf(document, options);
  Print(options.json ? IdentifyJson(document.title, *riddles, {style.units})
                     : IdentifyText(document.title, *riddles, style));
  return AllSettled(*riddles) ? kAllWell : kLimitExceeded;
}

}  // namespace steerbench::cli
