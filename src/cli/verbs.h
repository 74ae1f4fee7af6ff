// The verbs of the command line, each a function from its options to an exit status.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "document/document.h"
#include "identify/identify.h"
#include "simulate/order.h"

namespace steerbench::cli {

enum Exit : int {
  kAllWell = 0,
  kLimitExceeded = 1,  // or a check fails, or a target is not reached
  kUnusable = 2        // input or usage
};

enum class UnitsOption : std::uint8_t { kAsWritten, kMetric, kImperial };

// Options that every verb with a document has.
struct Common {
  std::string file;
  std::vector<std::string> setups;  // empty: all
  bool json = false;
  UnitsOption units = UnitsOption::kAsWritten;
};

struct CheckOptions : Common {
  std::optional<std::size_t> draws;  // cars drawn over the ±; unset: none
};

struct CompareOptions : Common {
  std::string base;  // empty: the first setup
};

enum class SweepOf : std::uint8_t { kLinkage, kKerb, kRoad, kBoost, kPump };

struct SweepOptions : Common {
  bool csv = false;
  bool pm = false;
  SweepOf of = SweepOf::kLinkage;
  std::string travel, jounce, jounce_left, jounce_right;  // "from .. to [in N]"
  std::string columns;                                    // keys, or "all"
};

struct SimulateOptions : Common {
  bool csv = false;
  simulate::Order order;
};

struct IdentifyOptions : Common {
  std::string riddle;                    // empty: all
  std::string fill;                      // setup to write the part into; empty: none
  double sure = identify::kUsuallySure;  // from which probability a variant counts as found
};

struct SolveOptions : Common {
  std::string vary, from, to, target, at, about = "static toe", rebound, jounce;
  bool keep_toe = true;
  std::string find, seen;  // the other way round: a number of the file from a measurement
  bool write = false;      // what was found into the file
};

struct NewOptions {
  std::string file;
  StarterOptions starter;
  bool ask = false;  // ask for the choices in steps
};

struct SetOptions {
  std::string file, path, value;
};

struct SearchOptions : Common {
  int most = 12, threads = 0;  // 0: all cores
  std::string keep, as;        // file of the progress; name of the setup that is taken
  int take = 0;                // 0: none
};

struct ServeOptions {
  std::string file;
  int port = 0;  // 0: any free one
  bool lan = false, open = true;
};

int RunCheck(const CheckOptions& options);
int RunCompare(const CompareOptions& options);
int RunSweep(const SweepOptions& options);
int RunSimulate(const SimulateOptions& options);
int RunSolve(const SolveOptions& options);
int RunFind(const SolveOptions& options);  // solve --find
int RunIdentify(const IdentifyOptions& options);
int RunNew(const NewOptions& options);
int RunSearch(const SearchOptions& options);
int RunServe(const ServeOptions& options);
int RunSet(const SetOptions& options);
int RunForm(const Common& options);  // the document in its JSON form, or back in TOML
int RunSchema(bool reference);       // the JSON Schema, or the fields in Markdown

}  // namespace steerbench::cli
