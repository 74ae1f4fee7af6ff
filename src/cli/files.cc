// Verbs about the file itself: new, set, form, schema.
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <iostream>

#include "cli/load.h"
#include "store/file.h"

namespace steerbench::cli {
namespace {

// Asks one question on the terminal; an empty answer takes what stands in brackets.
std::string Ask(std::string_view question, std::string_view usual) {
  std::cerr << fmt::format("{} [{}]: ", question, usual);
  std::string answer;
  if (!std::getline(std::cin, answer) || answer.empty()) return std::string(usual);
  return answer;
}

StarterOptions AskStarter(StarterOptions options) {
  options.car_name = Ask("What do you call the car?", options.car_name);
  for (;;) {
    const std::string kind =
        Ask("How is each front wheel carried? 'double wishbone', 'strut' or "
            "'five-link'",
            WordOf(options.suspension));
    const auto& words = Words<Suspension>::value;
    const auto found = std::ranges::find(words, kind);
    if (found != words.end()) {
      options.suspension = static_cast<Suspension>(found - words.begin());
      break;
    }
    std::cerr << fmt::format("'{}' is none of the three\n", kind);
    if (!std::cin) break;
  }
  const std::string points =
      Ask("Do you have, or will you measure, the points of the suspension in "
          "space? yes or no (no: a view from above or turn plates will do)",
          options.points_known ? "yes" : "no");
  options.points_known = points.starts_with('y');
  return options;
}

}  // namespace

int RunNew(const NewOptions& options) {
  const StarterOptions starter = options.ask ? AskStarter(options.starter) : options.starter;
  const std::string text = StarterToml(starter);
  if (options.file == "-") {
    Print(text);
    return kAllWell;
  }
  const std::string error = WriteFileAtomically(options.file, text, false);
  if (!error.empty()) {
    Complain(error + " (nothing was overwritten)");
    return kUnusable;
  }
  std::cerr << fmt::format("wrote {}: fill in what you know, then run 'steerbench check {}'\n",
                           options.file, options.file);
  return kAllWell;
}

int RunSet(const SetOptions& options) {
  const FileText file = ReadFile(options.file, kMaxBytes);
  if (!file.error.empty()) {
    Complain(file.error);
    return kUnusable;
  }
  const EditResult edit = EditToml(file.text, options.path, options.value);
  if (!edit.problems.empty()) {
    PrintProblems(options.file, edit.problems);
    return kUnusable;
  }
  if (options.file == "-") {
    Print(edit.text);
    return kAllWell;
  }
  const std::string error = WriteFileAtomically(options.file, edit.text);
  if (!error.empty()) Complain(error);
  return error.empty() ? kAllWell : kUnusable;
}

int RunForm(const Common& options) {
  const Loaded loaded = Load(options.file);
  if (!loaded.usable) return kUnusable;
  Print(options.json ? WriteJson(loaded.document) : WriteToml(loaded.document));
  return kAllWell;
}

int RunSchema(bool reference) {
  Print(reference ? FieldReference() : JsonSchema());
  return kAllWell;
}

}  // namespace steerbench::cli
