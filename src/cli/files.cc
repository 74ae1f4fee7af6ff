// Verbs about the file itself: new, set, form, schema.
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cctype>
#include <iostream>

#include "cli/load.h"
#include "document/changes.h"
#include "document/node.h"
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

std::optional<bool> AskYesOrNo(std::string_view question, bool usual) {
  for (;;) {
    const auto answer = Ask(question, usual ? "yes" : "no");
    if (!answer) return std::nullopt;
    const std::string word = Lower(*answer);
    if (word == "yes" || word == "y") return true;
    if (word == "no" || word == "n") return false;
    std::cerr << fmt::format("'{}' is neither yes nor no\n", *answer);
  }
}

std::optional<StarterOptions> AskStarter(const StarterOptions& options) {
  const auto name = Ask("What do you call the car?", options.car_name);
  const auto kind = name ? AskSuspension(options.suspension) : std::nullopt;
  const auto points =
      kind ? AskYesOrNo(
                 "Will you measure the points of the suspension in space? yes or no (no: a view "
                 "from above or turn plates will do)",
                 options.points_known)
           : std::nullopt;
  if (!points) return std::nullopt;
  return StarterOptions{*name, *kind, *points};
}

// The table that holds a field, as the document heads it: "[pulley.small]".
std::string HeadOf(std::string_view path) {
  std::string table(path.substr(0, path.rfind('.')));
  const bool row = table.ends_with(']');
  if (row) table.resize(table.rfind('['));
  return row ? "[[" + table + "]]" : "[" + table + "]";
}

// What an edit did, so that a slip in a name or a unit is seen at once.
std::string Said(const SetOptions& o, const EditResult& edit) {
  std::string said = EditWords(o.path, Printable(edit.before), Printable(o.value));
  // A quantity may be set as such or by its value alone.
  constexpr std::string_view kValue = ".value";
  const std::string quantity =
      o.path.ends_with(kValue) ? o.path.substr(0, o.path.size() - kValue.size()) : o.path;
  const auto origin = ValueAt(edit.text, quantity + ".from");
  if (origin && *origin != "measured") {
    said += fmt::format(" (still from {}: if it is measured now, set {}.from measured too)",
                        Printable(*origin), quantity);
  }
  if (!edit.made_table) return said;
  const std::string first = o.path.substr(0, o.path.find('.'));
  constexpr std::size_t kFieldOfPart = 3;  // "pulley.small.diameter"
  const bool whole = first != "car" && ParsePath(o.path).size() == kFieldOfPart;
  const std::string_view what = !whole ? "table" : first == "setup" ? "setup" : "part";
  return said + fmt::format(" (new {} {})", what, HeadOf(o.path));
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
    Complain(error + "; nothing was written");
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
  } else if (const std::string error = WriteFileAtomically(options.file, edit.text);
             !error.empty()) {
    Complain(error + "; the file is as it was");
    return kUnusable;
  }
  std::cerr << Said(options, edit) << "\n";
  return kAllWell;
}

int WriteEdits(const std::string& file,
               const std::vector<std::pair<std::string, std::string>>& edits) {
  FileText read = ReadFile(file, kMaxBytes);
  if (!read.error.empty()) {
    Complain(read.error);
    return kUnusable;
  }
  std::string text = std::move(read.text);
  for (const auto& [path, value] : edits) {
    EditResult edit = EditToml(text, path, value);
    if (!edit.problems.empty()) {
      PrintProblems(file, edit.problems);
      return kUnusable;
    }
    text = std::move(edit.text);
  }
  const std::string error = WriteFileAtomically(file, text);
  if (error.empty()) return kAllWell;
  Complain(error + "; the file is as it was");
  return kUnusable;
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
