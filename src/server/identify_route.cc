// Route of the riddles: the same answer as the command line's identify.
#include "report/identify.h"
#include "server/routes.h"

namespace steerbench::server {

Response GetIdentify(Workbench& bench, const Request& request) {
  constexpr double kLeast = 0.5;
  const SharedState s = Readable(bench);
  const double sure = NumberIn(request, "sure").value_or(identify::kUsuallySure);
  if (sure < kLeast || sure >= 1.0) {
    Refuse(400, "parameter", "'sure' is a share from 0.5 to less than 1", "sure");
  }
  std::vector<RiddleReport> riddles;
  for (const auto& [name, riddle] : s->document.identify) {
    riddles.push_back(Solve(s->document, name, riddle, sure));
  }
  const JsonStyle style{UnitsOf(*s, request), -1};
  Response response;
  response.body = WithRevision(IdentifyJson(s->document.title, riddles, style), s->head.id);
  return response;
}

}  // namespace steerbench::server
