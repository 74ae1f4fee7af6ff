// Options in, a verb called, its exit status out.
#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <exception>

#include "cli/load.h"
#include "cli/verbs.h"

namespace steerbench::cli {
namespace {

// An option that takes one of a few words. CLI11's own message for another word shows its insides.
template <class T>
void AddChoice(CLI::App& verb, const std::string& name, T& value,
               const std::vector<std::pair<std::string, T>>& choices, const std::string& help) {
  std::vector<std::string> words;
  for (const auto& [word, meaning] : choices) words.push_back(word);
  const auto take = [&value, choices, words, name](const std::string& asked) {
    const auto found = std::ranges::find(words, CLI::detail::to_lower(asked));
    if (found == words.end()) {
      throw CLI::ValidationError(name,
                                 fmt::format("'{}' is none of {}", asked, fmt::join(words, ", ")));
    }
    value = choices[static_cast<std::size_t>(found - words.begin())].second;
  };
  verb.add_option_function<std::string>(name, take, help)
      ->option_text(fmt::format("{}", fmt::join(words, "|")));
}

// How many setups a verb works on.
enum class Setups : std::uint8_t { kNone, kOne, kAny };

void AddCommon(CLI::App& verb, Common& o, Setups setups = Setups::kAny) {
  verb.add_option("FILE", o.file, "the document: TOML or its JSON form; - for standard input")
      ->required();
  if (setups == Setups::kAny) {
    verb.add_option("--setup", o.setups, "only this setup; may be given several times");
  }
  if (setups == Setups::kOne) {
    verb.add_option("--setup", o.setups, "of this setup; of the first one when not given")
        ->option_text("NAME");
  }
  verb.add_flag("--json", o.json, "the same for programs (docs/json.md)");
  AddChoice<UnitsOption>(verb, "--units", o.units,
                         {{"as-written", UnitsOption::kAsWritten},
                          {"metric", UnitsOption::kMetric},
                          {"imperial", UnitsOption::kImperial}},
                         "metric, imperial, or as most values of the file are written");
}

CLI::App* AddCheck(CLI::App& app, CheckOptions& o) {
  auto* verb = app.add_subcommand("check", "what each setup will do, and what runs out first");
  AddCommon(*verb, o);
  verb->add_option("--draws", o.draws,
                   "evaluate N cars drawn over the ± of every number: how often each limit is "
                   "exceeded, and where results spread otherwise than their ± says")
      ->option_text("N")
      ->check(CLI::Range(100, 20'000));
  verb->footer(
      "Example: what does the setup 'calm' of the demo do?\n"
      "  steerbench check examples/tern.toml --setup calm\n"
      "Exit status: 0 all well, 1 a limit is exceeded or parts do not fit, 2 the file cannot be "
      "used.");
  return verb;
}

CLI::App* AddCompare(CLI::App& app, CompareOptions& o) {
  auto* verb = app.add_subcommand("compare", "setups side by side, against one of them");
  AddCommon(*verb, o);
  verb->add_option("--base", o.base, "the setup to compare with; the first when not given");
  verb->footer(
      "Example: what would short arms change on the slow rack?\n"
      "  steerbench compare examples/tern.toml --setup calm --setup keen\n"
      "Exit status: 0 all well, 1 a limit is exceeded or parts do not fit, 2 the file cannot be "
      "used.");
  return verb;
}

CLI::App* AddSweep(CLI::App& app, SweepOptions& o) {
  auto* verb =
      app.add_subcommand("sweep", "curves: the linkage over its travel, or what the wheel weighs");
  AddCommon(*verb, o, Setups::kOne);
  AddChoice<SweepOf>(*verb, "--of", o.of,
                     {{"linkage", SweepOf::kLinkage},
                      {"kerb", SweepOf::kKerb},
                      {"road", SweepOf::kRoad},
                      {"boost", SweepOf::kBoost},
                      {"pump", SweepOf::kPump}},
                     "what the curves are of; linkage when not given");
  verb->add_flag("--csv", o.csv, "comma-separated, SI units, a header line")->excludes("--json");
  verb->add_flag("--pm", o.pm, "with the ± of every value; not of the linkage (takes longer)");
  verb->add_option("--rack-travel", o.travel, "range of rack travel, to the left positive");
  verb->add_option("--wheel-travel", o.jounce, "range of wheel travel, both wheels alike");
  verb->add_option("--wheel-travel-left", o.jounce_left, "range of the left wheel's travel");
  verb->add_option("--wheel-travel-right", o.jounce_right, "range of the right wheel's travel");
  verb->add_option("--columns", o.columns, "keys of columns, separated by commas, or all");
  verb->footer(
      "kerb: torque at the hand wheel over rack travel, standing; road: over lateral "
      "acceleration;\n"
      "boost: pressure over torque at the valve; pump: flow and catch-up over engine speed.\n"
      "A range is \"FROM .. TO in N\" (N values, both ends included) or one value, in any unit.\n"
      "The table shows the usual columns, CSV and JSON all of them; out of reach is -.\n"
      "Example: bump steer straight ahead from 60 mm droop to 70 mm bump\n"
      "  steerbench sweep examples/tern.toml --setup calm --csv \\\n"
      "    --rack-travel \"0 mm\" --wheel-travel \"-60 mm .. 70 mm in 14\"\n"
      "Example: how the wheel firms up with speed\n"
      "  steerbench sweep examples/tern.toml --setup keen --of road\n"
      "Exit status: 0 all well, 2 the file or a range cannot be used.");
  return verb;
}

CLI::App* AddSimulate(CLI::App& app, SimulateOptions& o) {
  auto* verb = app.add_subcommand("simulate", "the steering in motion at the kerb, over time");
  AddCommon(*verb, o, Setups::kOne);
  verb->add_flag("--csv", o.csv, "comma-separated, SI units, a header line")->excludes("--json");
  verb->add_option("--run", o.order.run,
                   "step, ramp, sine, parking (to 10 deg before lock, hold, back), lock-impact")
      ->option_text("NAME");
  verb->add_option("--amplitude", o.order.amplitude,
                   "hand-wheel angle, to the left positive, or the hand's torque: \"90 deg\", "
                   "\"4 N m\"");
  verb->add_option("--time", o.order.time, "of the hand's movement, or of one wave of a sine");
  verb->add_option("--duration", o.order.duration, "of the whole run");
  verb->add_option("--engine-speed", o.order.engine_speed, "idle when not given");
  verb->add_option("--rack-mass", o.order.rack_mass, "of all that moves with the rack");
  verb->add_option("--air", o.order.air, "free air in the oil, e.g. \"1 %\"");
  verb->footer(
      "CSV and JSON hold ten times as many moments as the table, and the energy balance.\n"
      "Example: a quick quarter turn at idle; does the hand outrun the pump?\n"
      "  steerbench simulate examples/tern.toml --setup calm --run step \\\n"
      "    --amplitude \"90 deg\" --time \"0.3 s\" --engine-speed \"850 rpm\"\n"
      "Exit status: 0 all well, 2 the file, an option or what the setup says cannot be used.");
  return verb;
}

CLI::App* AddSolve(CLI::App& app, SolveOptions& o) {
  auto* verb = app.add_subcommand(
      "solve", "the shim that reaches a target, or a number of the file from a measurement");
  AddCommon(*verb, o, Setups::kOne);
  verb->add_option("--vary", o.vary,
                   "what may change: rack-up, rack-forward, outer-shim, arm-length, spacer");
  verb->add_option("--from", o.from,
                   "least change of it against the setup, e.g. \"-15 mm\"; of --find: least value");
  verb->add_option("--to", o.to, "greatest change of it; of --find: greatest value");
  verb->add_option("--target", o.target,
                   "least-bump-steer, or a left-wheel angle such as \"35 deg\", or an Ackermann "
                   "share such as \"60 %\" (same inner angle)");
  auto* find = verb->add_option("--find", o.find,
                                "a number of the file to find from a measurement, by its path")
                   ->option_text("FIELD")
                   ->excludes("--vary")
                   ->excludes("--target");
  verb->add_option("--seen", o.seen,
                   "the measurement: a result's name and its value, \"kerb_pull = 62 ± 3 N\"")
      ->option_text("RESULT = VALUE")
      ->needs(find);
  verb->add_flag("--write", o.write, "write what --find found into FILE")->needs(find);
  verb->add_option("--at", o.at, "rack travel at which an angle or share is wanted");
  verb->add_option("--about", o.about, "bump steer counted from 'static toe' or 'mean toe'");
  verb->add_option("--rebound", o.rebound, "wheel travel down to look over; else the car's");
  verb->add_option("--jounce", o.jounce, "wheel travel up to look over; else the car's");
  verb->add_flag_callback(
      "--leave-toe", [&o] { o.keep_toe = false; }, "do not re-set toe after the change");
  verb->footer(
      "--vary needs the points of the suspension in space. Angles and travels are positive to the "
      "left.\n"
      "Example: at which rack height does the demo's first try steer least over bumps?\n"
      "  steerbench solve examples/tern.toml --setup first-try --vary rack-up \\\n"
      "    --from \"-20 mm\" --to \"20 mm\" --target least-bump-steer\n"
      "Example: the tyres' friction, from the pull at the kerb with the engine off\n"
      "  steerbench solve examples/tern.toml --setup calm --find car.front.tyre.friction \\\n"
      "    --seen \"kerb_lost_pull = 120 ± 4 N\"\n"
      "RESULT is a name of 'steerbench check --json' (kerb_effort: its torque or its pull, by the\n"
      "unit). What is fitted and plugged in is the setup's. Bounds left out are a tenth and ten\n"
      "times the value stated.\n"
      "Exit status: 0 reached or found, 1 not within the bounds, 2 input cannot be used.");
  return verb;
}

CLI::App* AddIdentify(CLI::App& app, IdentifyOptions& o) {
  auto* verb =
      app.add_subcommand("identify", "which variant a part of unknown history is; what to look at");
  AddCommon(*verb, o, Setups::kNone);
  verb->add_option("NAME", o.riddle, "only this riddle of the file, a table [identify.NAME]");
  verb->add_option_function<std::string>(
          "--sure",
          [&o](const std::string& text) {
            constexpr double kLeast = 0.5;
            const ParsedQuantity sure = ParseQuantity(text, Kind::kShare);
            if (!sure.quantity) throw CLI::ValidationError("--sure", sure.error.message);
            o.sure = sure.quantity->value;
            if (o.sure < kLeast || o.sure >= 1.0) {
              const bool bare = o.sure > 1.0 && text.find('%') == std::string::npos;
              throw CLI::ValidationError(
                  "--sure", "a share from 50 % to less than 100 %" +
                                (bare ? fmt::format(": write \"{0} %\", or {1:g}, for {0} percent",
                                                    text, o.sure / 100.0)
                                      : ""));
            }
          },
          "from which probability a variant counts as found; 95 % when not given")
      ->option_text("SHARE");
  verb->add_option("--fill", o.fill, "write the part found into this setup; refused if not found");
  verb->footer(
      "Example: which pump is it that came with the demo's box of parts?\n"
      "  steerbench identify examples/tern.toml box-pump\n"
      "Answers are rows [[identify.NAME.seen]] of the file; 'steerbench set' or the workbench add\n"
      "them. Exit status: 0 all settled, 1 not settled yet, 2 the file cannot be used.");
  return verb;
}

CLI::App* AddNew(CLI::App& app, NewOptions& o) {
  auto* verb = app.add_subcommand("new", "a commented starter file");
  verb->add_option("FILE", o.file, "the file to write; - prints it")->required();
  verb->add_flag("--ask", o.ask, "ask for the choices in steps");
  verb->add_option("--car", o.starter.car_name, "what you call the car");
  AddChoice<Suspension>(*verb, "--suspension", o.starter.suspension,
                        {{"double-wishbone", Suspension::kDoubleWishbone},
                         {"strut", Suspension::kStrut},
                         {"five-link", Suspension::kFiveLink}},
                        "how each front wheel is carried");
  verb->add_flag("--points", o.starter.points_known, "with the points of the suspension in space");
  verb->footer(
      "Example: a file for a car with struts whose points will be measured\n"
      "  steerbench new my-car.toml --suspension strut --points\n"
      "Nothing is overwritten. Exit status: 0 written, 2 not.");
  return verb;
}

CLI::App* AddSet(CLI::App& app, SetOptions& o) {
  auto* verb = app.add_subcommand("set", "change one value of a file, leaving the rest as it is");
  verb->add_option("FILE", o.file, "the TOML document")->required();
  verb->add_option("FIELD", o.path, "its dotted path, e.g. pulley.middle.diameter")->required();
  verb->add_option("VALUE", o.value,
                   "the new value with its unit; empty removes the field, part or item")
      ->required();
  verb->footer(
      "Example: the pulley was measured again\n"
      "  steerbench set my-car.toml pulley.middle.diameter \"127.2 ± 0.1 mm\"\n"
      "It says what stood there before, comments stay, and a field of a part that does not exist\n"
      "makes the part. Exit status: 0 changed, 2 not (the file is then as it was).");
  return verb;
}

CLI::App* AddSearch(CLI::App& app, SearchOptions& o) {
  auto* verb = app.add_subcommand("search", "which combination of the parts and jobs to build");
  AddCommon(*verb, o, Setups::kNone);
  verb->add_option("--most", o.most, "most entries to show (12)")->check(CLI::Range(1, 200));
  verb->add_option("--threads", o.threads, "threads to run on; all cores when not given")
      ->check(CLI::Range(1, 1024));
  verb->add_option("--keep", o.keep, "file that keeps the progress, to go on from it later");
  verb->add_option("--take", o.take, "write entry N into FILE as a new setup, see --as")
      ->check(CLI::Range(1, 200));
  verb->add_option("--as", o.as, "name of that setup");
  verb->footer(
      "All parts of FILE and all its jobs ([work.NAME]) are combined, under every limit, for what\n"
      "[search.want] wishes; what is left is beaten by no other in every wish at once. A limit\n"
      "that is probably passed counts as passed. Ctrl-C ends it with what was found so far.\n"
      "Example: the demo; with --take 1 --as plan its first entry becomes a setup of the file\n"
      "  steerbench search examples/tern.toml\n"
      "Exit status: 0 found, 1 nothing keeps every limit and wish, 2 the file cannot be used.");
  return verb;
}

CLI::App* AddServe(CLI::App& app, ServeOptions& o) {
  constexpr int kLastPort = 65535;
  auto* verb = app.add_subcommand("serve", "the workbench in the browser, on this file");
  verb->add_option("FILE", o.file, "the TOML document; every change is written to it")->required();
  verb->add_option("--port", o.port, "port to listen on; any free one when not given")
      ->check(CLI::Range(0, kLastPort));
  verb->add_flag("--lan", o.lan, "open to the local network, for a phone, by a pairing code");
  verb->add_flag_callback(
      "--no-open", [&o] { o.open = false; }, "do not open a browser");
  verb->footer(
      "Every change is kept in FILE.history, so that it can be undone, also after a power cut.\n"
      "An editor may change the file meanwhile: the workbench takes that over.\n"
      "Without --lan only this machine is answered. With it, everybody in the network who has the\n"
      "code can read and change the document, and nothing is encrypted: use a network you trust.\n"
      "Example: the demo on the bench, and on the phone beside the car\n"
      "  steerbench serve my-car.toml --lan\n"
      "Ends with Ctrl-C. Exit status: 0 ended so, 2 the file or the port cannot be used.");
  return verb;
}

CLI::App* AddForm(CLI::App& app, Common& o) {
  auto* verb = app.add_subcommand("form", "the document itself as TOML, or with --json as JSON");
  verb->add_option("FILE", o.file, "the document: TOML or its JSON form; - for standard input")
      ->required();
  verb->add_flag("--json", o.json, "the JSON form (described by 'steerbench schema')");
  verb->footer(
      "Example: the demo for a program\n"
      "  steerbench form examples/tern.toml --json\n"
      "Comments are kept by 'set', not by 'form'. Exit status: 0 all well, 2 unusable.");
  return verb;
}

void ComplainOfUsage(const CLI::App& app, const std::string& first, const std::string& why) {
  const auto verbs = app.get_subcommands();
  if (!verbs.empty()) {
    const std::string verb = verbs.front()->get_name();
    Complain(
        fmt::format("{}: {}; 'steerbench {} -h' explains it with an example", verb, why, verb));
    return;
  }
  std::string names;
  for (const CLI::App* each : app.get_subcommands([](const CLI::App*) { return true; })) {
    names += (names.empty() ? "" : ", ") + each->get_name();
  }
  Complain(fmt::format("{}say what to do: {}; 'steerbench -h' explains each",
                       first.empty() ? std::string() : fmt::format("'{}' is no verb; ", first),
                       names));
}

int Run(int argc, char** argv) {
  CLI::App app{"steerbench: power steering of a car from mixed parts, checked before buying"};
  app.set_version_flag("--version", STEERBENCH_VERSION);
  app.require_subcommand(1);
  app.get_formatter()->column_width(30);
  CheckOptions check;
  Common form;
  CompareOptions compare;
  SweepOptions sweep;
  SimulateOptions simulate;
  SolveOptions solve;
  IdentifyOptions identify;
  NewOptions fresh;
  SetOptions set;
  ServeOptions serve;
  SearchOptions search;
  int status = kAllWell;
  const auto does = [&status](CLI::App* verb, auto run) {
    verb->final_callback([&status, run] { status = run(); });
  };
  does(AddCheck(app, check), [&] { return RunCheck(check); });
  does(AddCompare(app, compare), [&] { return RunCompare(compare); });
  does(AddSweep(app, sweep), [&] { return RunSweep(sweep); });
  does(AddSimulate(app, simulate), [&] { return RunSimulate(simulate); });
  does(AddSolve(app, solve), [&] { return RunSolve(solve); });
  does(AddIdentify(app, identify), [&] { return RunIdentify(identify); });
  does(AddNew(app, fresh), [&] { return RunNew(fresh); });
  does(AddSet(app, set), [&] { return RunSet(set); });
  does(AddSearch(app, search), [&] { return RunSearch(search); });
  does(AddServe(app, serve), [&] { return RunServe(serve); });
  does(AddForm(app, form), [&] { return RunForm(form); });
  bool reference = false;
  auto* schema = app.add_subcommand("schema", "the JSON Schema of the JSON form");
  schema->add_flag("--reference", reference, "every field for people, in Markdown, instead");
  schema->footer(
      "Example: a schema by which an editor can check the JSON form\n"
      "  steerbench schema > steerbench.schema.json\n"
      "Exit status: 0.");
  does(schema, [&] { return RunSchema(reference); });
  try {
    app.parse(argc, argv);
  } catch (const CLI::CallForHelp&) {
    Print(app.help());
    return kAllWell;
  } catch (const CLI::CallForVersion& e) {
    Print(std::string(e.what()) + "\n");
    return kAllWell;
  } catch (const CLI::ParseError& e) {
    ComplainOfUsage(app, argc > 1 ? argv[1] : "", e.what());
    return kUnusable;
  }
  return status;
}

// A standard stream that is closed would lend its number to the next file opened, and what is said
// to the user would be written into it. Opened the wrong way round, it fails when it is used.
void HoldStandardStreams() {
  for (const int fd : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
    const bool closed = fcntl(fd, F_GETFD) == -1;
    if (closed && open("/dev/null", fd == STDIN_FILENO ? O_WRONLY : O_RDONLY) != fd) std::abort();
  }
}

}  // namespace
}  // namespace steerbench::cli

int main(int argc, char** argv) {
  steerbench::cli::HoldStandardStreams();
  try {
    return steerbench::cli::Run(argc, argv);
  } catch (const steerbench::cli::OutputFailed& e) {
    std::fprintf(stderr, "steerbench: %s\n", e.what());
  } catch (const std::exception& e) {
    std::fprintf(stderr, "steerbench: internal error: %s\nPlease report it with the file.\n",
                 e.what());
  }
  return 3;
}
