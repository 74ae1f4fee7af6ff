// The routes of the API: which handler answers what. docs/openapi.yaml describes them.
#pragma once

#include <span>

#include "server/events.h"
#include "server/hands.h"
#include "server/jobs.h"
#include "server/message.h"
#include "server/pairing.h"
#include "server/searches.h"
#include "server/session.h"

namespace steerbench::server {

// All that handlers work on.
struct Workbench {
  Session& session;
  Events& events;
  Jobs& jobs;
  Searches& searches;
  Pairing& pairing;
  Hands& hands;
  std::string version;
  int port = 0;                    // once bound
  std::vector<std::string> lan{};  // what a phone opens, "http://192.0.2.7:8080"; none on loopback

  // One of them with the code behind a #, which browsers keep to themselves.
  [[nodiscard]] std::string PairingAddress(const std::string& address) const {
    return address + "/#code=" + pairing.Code();
  }
  // Cookies know no ports: with the port in its name, each of several servers has its own.
  [[nodiscard]] std::string Cookie() const { return "steerbench-" + std::to_string(port); }
};

using Handler = Response (*)(Workbench&, const Request&);

struct Route {
  std::string_view method, path;  // the path may hold {id}, one step of digits
  Handler handler;
  std::size_t most_body = 0;  // bytes; more is refused before the handler is called
  bool open = false;          // also to peers that are not paired
};

[[nodiscard]] std::span<const Route> Routes();

// The route of a request, which then knows its {id}. Throws Refused: 404, or 405 when the path is
// known to another method.
[[nodiscard]] const Route& RouteOf(Request& request);

// Calls a handler and makes an answer of whatever it throws.
[[nodiscard]] Response Answer(const Route& route, Workbench& bench, const Request& request);

// The routes' handlers, a file for each family.
Response GetDocument(Workbench&, const Request&);
Response GetFields(Workbench&, const Request&);
Response GetExport(Workbench&, const Request&);
Response PostEdit(Workbench&, const Request&);
Response PostImport(Workbench&, const Request&);
Response PostUndo(Workbench&, const Request&);
Response PostRedo(Workbench&, const Request&);
Response GetHistory(Workbench&, const Request&);
Response PostHistoryName(Workbench&, const Request&);
Response PostHistoryRestore(Workbench&, const Request&);
Response GetCheck(Workbench&, const Request&);
Response GetCompare(Workbench&, const Request&);
Response GetCurve(Workbench&, const Request&);
Response GetIdentify(Workbench&, const Request&);
Response GetTurn(Workbench&, const Request&);
Response PostJobs(Workbench&, const Request&);
Response GetJob(Workbench&, const Request&);
Response PostJobStop(Workbench&, const Request&);
Response GetSearch(Workbench&, const Request&);
Response GetRanking(Workbench&, const Request&);
Response GetSession(Workbench&, const Request&);
Response GetQr(Workbench&, const Request&);
Response PostPair(Workbench&, const Request&);

// The newest state, which must be one without problems; and with a setup to compute.
[[nodiscard]] SharedState Readable(Workbench& bench);
[[nodiscard]] SharedState Usable(Workbench& bench);
// The units that a request asks for; those of the document when it does not say.
[[nodiscard]] Units UnitsOf(const State& state, const Request& request);
// Of the inputs that bear on a figure, how many a request asks for; all when it does not say.
[[nodiscard]] std::size_t MostInputs(const Request& request);
// The setup of a name, the first one when it is empty. Throws Refused when there is none.
[[nodiscard]] SharedSetup SetupNamed(const State& state, const std::string& name);

// The setup that a request names, by `setup`, or by `job` and `entry` one that a search found, with
// the state that it belongs to.
struct AskedSetup {
  SharedState state;
  SharedSetup setup;
};
[[nodiscard]] AskedSetup SetupAsked(Workbench& bench, const Request& request);

// The number in a path or query; 0, which no job has, when it is none.
[[nodiscard]] std::uint64_t IdOf(const std::string& text);
[[noreturn]] void RefuseBusy();
// Begins a search as its order says; its job's number.
[[nodiscard]] std::uint64_t StartSearch(Workbench& bench, const Json& body);
// What a search found, as `search --json` with its revision; null until it has ended.
[[nodiscard]] Json SearchResult(const SearchRun& run, const Request& request);
// What a job found that is a search and has ended. Throws Refused.
[[nodiscard]] std::shared_ptr<const Found> FoundBy(const Workbench& bench, std::uint64_t job);

}  // namespace steerbench::server
