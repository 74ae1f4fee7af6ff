// Routes of work that takes a while: begun, looked at, stopped.
#include <array>
#include <stdexcept>

#include "report/simulate.h"
#include "server/routes.h"

namespace steerbench::server {
namespace {

simulate::Order OrderOf(const Json& body) {
  simulate::Order o;
  o.run = TextOf(body, "run", o.run);
  const std::array<std::pair<const char*, std::string*>, 6> fields{
      {{"amplitude", &o.amplitude},
       {"time", &o.time},
       {"duration", &o.duration},
       {"engine_speed", &o.engine_speed},
       {"rack_mass", &o.rack_mass},
       {"air", &o.air}}};
  for (const auto& [key, field] : fields) *field = TextOf(body, key, "");
  return o;
}

[[noreturn]] void RefuseUnknown() { Refuse(404, "job", "there is no such job"); }

std::uint64_t StartSimulation(Workbench& bench, const Json& body) {
  const SharedState s = Usable(bench);
  const SharedSetup setup = SetupNamed(*s, TextOf(body, "setup", ""));
  const simulate::Order order = OrderOf(body);
  const Plain& plain = setup->InPlainNumbers();
  auto ready = std::make_shared<const simulate::Prepared>(
      simulate::Prepare(order, plain.fitted, plain.results, simulate::kFileRows));
  if (ready->wrong) Refuse(422, "simulate", ready->wrong->message, ready->wrong->field);
  const auto id = bench.jobs.Start([s, setup, ready](const Jobs::Tell& tell) {
    const auto history = simulate::Simulate(ready->plant.plant, ready->run, tell);
    if (!history) throw std::runtime_error(std::string(simulate::Describe(history.why())));
    return WithRevision(SimulateJson(s->document.title, setup->Name(), *history, ready->plant, -1),
                        s->head.id);
  });
  if (!id) RefuseBusy();
  return *id;
}

}  // namespace

void RefuseBusy() {
  Refuse(429, "busy", "enough is being computed already: wait, or stop something");
}

Response PostJobs(Workbench& bench, const Request& request) {
  const Json body = ObjectOf(request);
  const std::string verb = TextOf(body, "verb");
  if (verb != "simulate" && verb != "search") {
    Refuse(400, "body", "the verb is simulate or search", "verb");
  }
  const std::uint64_t id =
      verb == "search" ? StartSearch(bench, body) : StartSimulation(bench, body);
  Response response = AnswerOf(Json{{"id", id}});
  response.status = 202;
  return response;
}

Response GetJob(Workbench& bench, const Request& request) {
  const std::uint64_t id = IdOf(request.id);
  const auto job = bench.jobs.Look(id);
  if (!job) RefuseUnknown();
  const auto search = bench.searches.Look(id);
  Json result = job->result.empty() ? Json(nullptr) : Json::parse(job->result);
  if (search) result = SearchResult(*search, request);
  return AnswerOf(Json{{"id", id},
                       {"state", WordFor(job->state)},
                       {"progress", job->progress},
                       {"result", std::move(result)},
                       {"error", job->error.empty() ? Json(nullptr) : Json(job->error)}});
}

Response PostJobStop(Workbench& bench, const Request& request) {
  const std::uint64_t id = IdOf(request.id);
  if (!bench.jobs.Stop(id)) RefuseUnknown();
  return AnswerOf(Json{{"id", id}});
}

}  // namespace steerbench::server
