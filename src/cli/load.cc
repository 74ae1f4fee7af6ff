#include "cli/load.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <numeric>

#include "search/parallel.h"
#include "store/file.h"

namespace steerbench::cli {
namespace {

bool LooksLikeJson(std::string_view text) {
  const std::size_t at = text.find_first_not_of(" \t\r\n\xef\xbb\xbf");
  return at != std::string_view::npos && text[at] == '{';
}

std::string NamesOfSetups(const Document& document) {
  std::string names;
  for (const auto& [name, setup] : document.setup) names += (names.empty() ? "" : ", ") + name;
  return names.empty() ? "none" : names;
}

}  // namespace

void Print(const std::string& text) {
  const bool whole = std::fwrite(text.data(), 1, text.size(), stdout) == text.size();
  if (!whole || std::fflush(stdout) != 0) throw OutputFailed(errno);
}

void Complain(const std::string& text) {
  const std::string line = "steerbench: " + text + "\n";
  std::fwrite(line.data(), 1, line.size(), stderr);
}

void PrintProblems(const std::string& file, const std::vector<Problem>& problems) {
  std::string out;
  for (const Problem& p : problems) {
    out += file;
    if (p.line > 0) out += fmt::format(":{}:{}", p.line, p.column);
    out += ": ";
    if (!p.field.empty()) out += p.field + ": ";
    out += p.message + "\n";
  }
  out += fmt::format("{}: {} problem{}; nothing was computed and nothing was changed\n", file,
                     problems.size(), problems.size() == 1 ? "" : "s");
  std::fwrite(out.data(), 1, out.size(), stderr);
}

Loaded Load(const std::string& file) {
  Loaded loaded;
  const FileText content = ReadFile(file, kMaxBytes);
  if (!content.error.empty()) {
    Complain(content.error);
    return loaded;
  }
  ReadResult read = LooksLikeJson(content.text) ? ReadJson(content.text) : ReadToml(content.text);
  if (!read.problems.empty()) {
    PrintProblems(file, read.problems);
    return loaded;
  }
  loaded.document = std::move(read.document);
  loaded.text = content.text;
  loaded.usable = true;
  return loaded;
}

std::optional<std::vector<SetupReport>> Evaluated(const Loaded& loaded, const Common& options) {
  const Document& document = loaded.document;
  std::vector<const std::pair<std::string, Setup<Quantity>>*> wanted;
  for (const std::string& name : options.setups) {
    const auto* entry = SetupNamed(document, name);
    if (entry == nullptr) {
      Complain(fmt::format("{} has no setup '{}'; its setups are: {}", options.file, name,
                           NamesOfSetups(document)));
      return std::nullopt;
    }
    wanted.push_back(entry);
  }
  if (options.setups.empty()) {
    for (const auto& entry : document.setup) wanted.push_back(&entry);
  }
  if (wanted.empty()) {
    Complain(
        fmt::format("{} has no setup: add a table [setup.NAME] that says which parts are "
                    "fitted, e.g. rack = \"NAME\"",
                    options.file));
    return std::nullopt;
  }
  // Each setup on its own: the engine is pure, so they can run side by side. Those with oil take
  // longest and come first, so that the threads end together.
  std::vector<std::size_t> order(wanted.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_partition(order.begin(), order.end(),
                        [&](std::size_t i) { return !wanted[i]->second.pump.empty(); });
  std::vector<SetupReport> reports(wanted.size());
  search::ParallelFor(search::Cores(), order.size(), [&](std::size_t, std::size_t k) {
    const auto& [name, setup] = *wanted[order[k]];
    reports[order[k]] =
        ReportOf(name, setup, Fit(document, setup), document.adapter, document.belt);
  });
  return reports;
}

const std::pair<std::string, Setup<Quantity>>* SetupNamed(const Document& document,
                                                          const std::string& name) {
  const auto found =
      std::ranges::find(document.setup, name, &std::pair<std::string, Setup<Quantity>>::first);
  return found == document.setup.end() ? nullptr : &*found;
}

const std::pair<std::string, Setup<Quantity>>* OneSetup(const Loaded& loaded,
                                                        const Common& options) {
  const Document& document = loaded.document;
  if (options.setups.size() > 1) {
    Complain("this works on one setup at a time: give --setup once");
    return nullptr;
  }
  const auto* entry = options.setups.empty()
                          ? (document.setup.empty() ? nullptr : &document.setup.front())
                          : SetupNamed(document, options.setups.front());
  if (entry == nullptr) {
    Complain(fmt::format("no such setup in {}; its setups are: {}", options.file,
                         NamesOfSetups(document)));
  }
  return entry;
}

TextStyle StyleOf(const Document& document, const Common& options) {
  TextStyle style;
  switch (options.units) {
    case UnitsOption::kAsWritten:
      style.units = UnitsAsWritten(document);
      break;
    case UnitsOption::kMetric:
      style.units = {UnitStyle::kMetric, {}};
      break;
    case UnitsOption::kImperial:
      style.units = {UnitStyle::kImperial, {}};
      break;
  }
  // https://no-color.org
  style.terminal = isatty(STDOUT_FILENO) == 1 && std::getenv("NO_COLOR") == nullptr;
  return style;
}

}  // namespace steerbench::cli
