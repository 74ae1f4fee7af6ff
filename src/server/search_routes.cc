// Routes of searches: begun and gone on with as jobs, then ranked.
#include <charconv>

#include "server/routes.h"

namespace steerbench::server {
namespace {

constexpr std::int64_t kUsualMost = 12, kMostEntries = 200;
constexpr double kMostWeight = 10.0;

// What an older search had found when it was stopped, to go on from with this one.
std::optional<search::Progress> ResumedFrom(const Workbench& bench, const Json& body,
                                            const SearchRun& run) {
  if (!body.contains("resume")) return std::nullopt;
  const std::int64_t id = NumberOf(body, "resume");
  const auto before = bench.searches.Look(id > 0 ? static_cast<std::uint64_t>(id) : 0);
  if (!before) Refuse(404, "job", "there is no such search, or it was too long ago", "resume");
  const auto found = before->Result();
  if (!found || !found->StoppedAt()) {
    Refuse(409, "nothing", "that search was not stopped: there is nothing to go on with", "resume");
  }
  if (before->Key() != run.Key()) {
    Refuse(409, "revision", "the document has changed since that search: search anew", "resume");
  }
  return found->StoppedAt();
}

search::Weights WeightsOf(const Request& request) {
  search::Weights weights = search::EvenWeights();
  for (const auto& [name, text] : request.query) {
    const auto info = std::ranges::find(search::AimInfos(), name, &search::AimInfo::key);
    if (info == search::AimInfos().end()) {
      Refuse(400, "parameter", "nothing of this name can be wished for", name);
    }
    const double weight = NumberIn(request, name).value_or(1.0);
    if (weight < 0.0 || weight > kMostWeight) {
      Refuse(400, "parameter", "a weight is a number from 0 to 10", name);
    }
    weights[static_cast<std::size_t>(info->id)] = weight;
  }
  return weights;
}

}  // namespace

std::uint64_t IdOf(const std::string& text) {
  std::uint64_t id = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), id);
  return error == std::errc{} && end == text.data() + text.size() ? id : 0;
}

std::shared_ptr<const Found> FoundBy(const Workbench& bench, std::uint64_t job) {
  const auto run = bench.searches.Look(job);
  if (!run) Refuse(404, "job", "there is no such search, or it was too long ago");
  auto found = run->Result();
  if (!found && !run->Ended()) Refuse(409, "nothing", "the search has not ended yet");
  if (!found) Refuse(409, "nothing", "the search failed; its job says why");
  return found;
}

std::uint64_t StartSearch(Workbench& bench, const Json& body) {
  const std::int64_t most = body.contains("most") ? NumberOf(body, "most") : kUsualMost;
  if (most < 1 || most > kMostEntries) {
    Refuse(400, "body", "'most' is a number of entries from 1 to 200", "most");
  }
  const SharedState state = Usable(bench);
  if (const std::string why = search::WhyTooLarge(search::MakeSpace(state->document));
      !why.empty()) {
    Refuse(422, "document", why);
  }
  const auto run = std::make_shared<SearchRun>(state, static_cast<std::size_t>(most));
  const auto id = bench.jobs.Start([run, from = ResumedFrom(bench, body, *run)](const auto& tell) {
    run->Run(tell, from);
    return std::string();  // the result is kept in the run
  });
  if (!id) RefuseBusy();
  bench.searches.Keep(*id, run);
  return *id;
}

Json SearchResult(const SearchRun& run, const Request& request) {
  const auto found = run.Result();
  if (!found) return nullptr;
  const State& s = *run.State();
  const std::string json = SearchJson(s.document.title, found->Report(), {UnitsOf(s, request), -1});
  return Json::parse(WithRevision(json, s.head.id));
}

Response GetSearch(Workbench& bench, const Request&) {
  const std::uint64_t id = bench.searches.Newest();
  const auto run = bench.searches.Look(id);
  const auto job = bench.jobs.Look(id);
  if (!run || !job) {
    return AnswerOf(Json{{"id", nullptr}, {"revision", nullptr}, {"current", false}});
  }
  const SharedState now = bench.session.Now();
  const bool current =
      now->problems.empty() && !now->setups.empty() && SearchKey(now->document) == run->Key();
  return AnswerOf(Json{{"id", id}, {"revision", run->State()->head.id}, {"current", current}});
}

Response GetRanking(Workbench& bench, const Request& request) {
  const auto weights = WeightsOf(request);
  const auto found = FoundBy(bench, IdOf(request.id));
  Response response;
  response.body = RankingJson(found->Report().outcome, weights, -1);
  return response;
}

}  // namespace steerbench::server
