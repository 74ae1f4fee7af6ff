#include "server/routes.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdio>

namespace steerbench::server {
namespace {

constexpr std::size_t kSmall = 4u << 10;
constexpr std::size_t kEdits = 1u << 20;
// A text of the greatest size, each byte of which may be escaped (\n) in JSON.
constexpr std::size_t kWholeText = 2 * kMaxBytes + kSmall;

constexpr std::array kRoutes{
    Route{"GET", "/api/document", GetDocument},
    Route{"GET", "/api/fields", GetFields},
    Route{"GET", "/api/export", GetExport},
    Route{"POST", "/api/edit", PostEdit, kEdits},
    Route{"POST", "/api/import", PostImport, kWholeText},
    Route{"POST", "/api/undo", PostUndo, kSmall},
    Route{"POST", "/api/redo", PostRedo, kSmall},
    Route{"GET", "/api/history", GetHistory},
    Route{"POST", "/api/history/name", PostHistoryName, kSmall},
    Route{"POST", "/api/history/restore", PostHistoryRestore, kSmall},
    Route{"GET", "/api/check", GetCheck},
    Route{"GET", "/api/compare", GetCompare},
    Route{"GET", "/api/curve", GetCurve},
    Route{"GET", "/api/turn", GetTurn},
    Route{"GET", "/api/identify", GetIdentify},
    Route{"POST", "/api/jobs", PostJobs, kSmall},
    Route{"GET", "/api/jobs/{id}", GetJob},
    Route{"GET", "/api/jobs/{id}/ranking", GetRanking},
    Route{"POST", "/api/jobs/{id}/stop", PostJobStop, kSmall},
    Route{"GET", "/api/search", GetSearch},
    Route{"GET", "/api/session", GetSession, 0, true},
    Route{"GET", "/api/session/qr.svg", GetQr},
    Route{"POST", "/api/pair", PostPair, kSmall, true},
};

// Whether a path is that of a route, and what stands for its {id}.
bool Fits(std::string_view pattern, std::string_view path, std::string& id) {
  constexpr std::string_view kId = "{id}";
  const std::size_t at = pattern.find(kId);
  if (at == std::string_view::npos) return pattern == path;
  const std::string_view before = pattern.substr(0, at), after = pattern.substr(at + kId.size());
  if (!path.starts_with(before) || !path.ends_with(after)) return false;
  if (path.size() <= before.size() + after.size()) return false;
  const std::string_view step = path.substr(at, path.size() - before.size() - after.size());
  if (step.find_first_not_of("0123456789") != std::string_view::npos) return false;
  id = std::string(step);
  return true;
}

}  // namespace

std::span<const Route> Routes() { return kRoutes; }

const Route& RouteOf(Request& request) {
  std::string allowed;
  for (const Route& route : kRoutes) {
    if (!Fits(route.path, request.path, request.id)) continue;
    if (route.method == request.method) return route;
    allowed = route.method;
  }
  if (allowed.empty()) Refuse(404, "route", "there is no such address");
  Refuse(405, "method", fmt::format("this address takes {} only", allowed));
}

Response Answer(const Route& route, Workbench& bench, const Request& request) {
  try {
    return route.handler(bench, request);
  } catch (const Refused& refused) {
    return AnswerOf(refused.refusal);
  } catch (const HistoryFailed& e) {
    return AnswerOf(Refusal{503, "disk", e.what(), {}});
  } catch (const std::exception& e) {
    std::fprintf(stderr, "steerbench: internal error: %s: %s\n", std::string(route.path).c_str(),
                 e.what());
    return AnswerOf(Refusal{500, "internal", "internal error; the terminal says more", {}});
  }
}

}  // namespace steerbench::server
