// Documents from files, and problems to the user.
#pragma once

#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include "cli/verbs.h"
#include "report/report.h"

namespace steerbench::cli {

struct Loaded {
  Document document;
  std::string text;
  bool usable = false;
};

// Reads a document (TOML, or JSON by its first character); what is wrong goes to standard error.
[[nodiscard]] Loaded Load(const std::string& file);

// "file:12:9: rack.quick.travel: ..." lines.
void PrintProblems(const std::string& file, const std::vector<Problem>& problems);

// The setups asked for, evaluated; unset, and said why, when one does not exist.
[[nodiscard]] std::optional<std::vector<SetupReport>> Evaluated(const Loaded& loaded,
                                                                const Common& options);

// The setup of this name, or null.
[[nodiscard]] const std::pair<std::string, Setup<Quantity>>* SetupNamed(const Document& document,
                                                                        const std::string& name);

// The setup to work on where a verb takes one: the only one asked for, else the first.
[[nodiscard]] const std::pair<std::string, Setup<Quantity>>* OneSetup(const Loaded& loaded,
                                                                      const Common& options);

[[nodiscard]] TextStyle StyleOf(const Document& document, const Common& options);

// Sets fields of a TOML file, all of them or none: dotted paths and values. An exit status.
[[nodiscard]] int WriteEdits(const std::string& file,
                             const std::vector<std::pair<std::string, std::string>>& edits);

// Standard output could not be written: a full disk, a closed pipe.
struct OutputFailed : std::system_error {
  explicit OutputFailed(int error)
      : std::system_error(error, std::generic_category(), "writing the output") {}
};

// Prints to standard output. Throws OutputFailed.
void Print(const std::string& text);
void Complain(const std::string& text);

}  // namespace steerbench::cli
