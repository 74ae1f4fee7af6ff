// Routes of work that takes a while: begun, looked at, stopped.
#include <array>
#include <charconv>
#include <stdexcept>

#include "server/routes.h"
#include "simulate/order.h"

namespace steerbench::server {
namespace {

std::uint64_t IdOf(const Request& request) {
  std::uint64_t id = 0;
  const std::string& text = request.id;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), id);
  return error == std::errc{} ? id : 0;  // no job has the number 0
}

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

}  // namespace

Response PostJobs(Workbench& bench, const Request& request) {
  const Json body = ObjectOf(request);
  if (TextOf(body, "verb") != "simulate") Refuse(400, "body", "the verb is simulate", "verb");
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
    const std::string json = SweepJson("simulate", s->document.title, setup->Name(),
                                       AsSweep(*history, ready->plant), -1);
    return WithRevision(json, s->head.id);
  });
  if (!id) Refuse(429, "busy", "enough is being computed already: wait, or stop something");
  Response response = AnswerOf(Json{{"id", *id}});
  response.status = 202;
  return response;
}

Response GetJob(Workbench& bench, const Request& request) {
  const auto job = bench.jobs.Look(IdOf(request));
  if (!job) RefuseUnknown();
  return AnswerOf(Json{{"id", IdOf(request)},
                       {"state", WordFor(job->state)},
                       {"progress", job->progress},
                       {"result", job->result.empty() ? Json(nullptr) : Json::parse(job->result)},
                       {"error", job->error.empty() ? Json(nullptr) : Json(job->error)}});
}

Response PostJobStop(Workbench& bench, const Request& request) {
  if (!bench.jobs.Stop(IdOf(request))) RefuseUnknown();
  return AnswerOf(Json{{"id", IdOf(request)}});
}

}  // namespace steerbench::server
