// The routes of the API: which handler answers what. docs/openapi.yaml describes them.
#pragma once

#include <span>

#include "server/events.h"
#include "server/jobs.h"
#include "server/message.h"
#include "server/pairing.h"
#include "server/session.h"

namespace steerbench::server {

// All that handlers work on.
struct Workbench {
  Session& session;
  Events& events;
  Jobs& jobs;
  Pairing& pairing;
  std::string version;
  std::string lan_address;  // what a phone opens, "http://192.0.2.7:8080"; empty on loopback only

  // The same with the code behind a #, which browsers keep to themselves.
  [[nodiscard]] std::string PairingAddress() const {
    return lan_address + "/#code=" + pairing.Code();
  }
};

inline constexpr std::string_view kCookie = "steerbench";

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
Response GetTurn(Workbench&, const Request&);
Response PostJobs(Workbench&, const Request&);
Response GetJob(Workbench&, const Request&);
Response PostJobStop(Workbench&, const Request&);
Response GetSession(Workbench&, const Request&);
Response GetQr(Workbench&, const Request&);
Response PostPair(Workbench&, const Request&);

// The newest state, which must be one that can be computed with.
[[nodiscard]] SharedState Usable(Workbench& bench);
// The units that a request asks for; those of the document when it does not say.
[[nodiscard]] Units UnitsOf(const State& state, const Request& request);
// Of the inputs that bear on a figure, how many a request asks for; all when it does not say.
[[nodiscard]] std::size_t MostInputs(const Request& request);
// The setup of a name, the first one when it is empty. Throws Refused when there is none.
[[nodiscard]] SharedSetup SetupNamed(const State& state, const std::string& name);

}  // namespace steerbench::server
