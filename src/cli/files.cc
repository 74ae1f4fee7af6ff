// Verbs about the file itself: new, set, form, schema.
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cctype>
#include <iostream>

#include "cli/load.h"
#include "store/file.h"

namespace steerbench::cli {
namespace {

// Asks one question on the terminal; an empty answer takes what stands in brackets. Unset when
// there is nobody to answer.
std::optional<std::string> Ask(std::string_view question, std::string_view usual) {
  std::cerr << fmt::format("{} [{}]: ", question, usual) << std::flush;
  std::string answer;
  if (!std::getline(std::cin, answer)) {
    std::cerr << "\n";
    return std::nullopt;
  }
  return answer.empty() ? std::string(usual) : answer;
}

std::string Lower(std::string text) {
  std::ranges::transform(text, text.begin(),
                         [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return text;
}

std::optional<Suspension> AskSuspension(Suspension usual) {
  for (;;) {
    const auto kind =
        Ask("How is each front wheel carried? double wishbone, strut or five-link", WordOf(usual));
    if (!kind) return std::nullopt;
    const auto& words = Words<Suspension>::value;
    const auto found = std::ranges::find(words, Lower(*kind));
    if (found != words.end()) return static_cast<Suspension>(found - words.begin());
    std::cerr << fmt::format("'{}' is none of the three\n", *kind);
  }
}

std::optional<StarterOptions> AskStarter(StarterOptions options) {
  const auto name = Ask("What do you call the car?", options.car_name);
  const auto kind = name ? AskSuspension(options.suspension) : std::nullopt;
  const auto points =
      kind ? Ask("Will you measure the points of the suspension in space? yes or no (no: a view "
                 "from above or turn plates will do)",
                 options.points_known ? "yes" : "no")
           : std::nullopt;
  if (!points) return std::nullopt;
  return StarterOptions{*name, *kind, Lower(*points).starts_with('y')};
}

}  // namespace

int RunNew(const NewOptions& options) {
  const auto starter = options.ask ? AskStarter(options.starter) : std::optional(options.starter);
  if (!starter) {
    Complain("the questions were not all answered: nothing was written");
    return kUnusable;
  }
  const std::string text = StarterToml(*starter);
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
