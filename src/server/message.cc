#include "server/message.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

#include "document/node.h"

namespace steerbench::server {

void Refuse(int status, std::string code, std::string message, std::string where) {
  throw Refused{{status, std::move(code), std::move(message), std::move(where)}};
}

Response AnswerOf(const Json& json) {
  Response response;
  response.body = json.dump(-1, ' ', false, Json::error_handler_t::replace);
  return response;
}

Response AnswerOf(const Refusal& refusal) {
  Json error{{"code", refusal.code}, {"message", refusal.message}};
  error["where"] = refusal.where.empty() ? Json(nullptr) : Json(refusal.where);
  error.update(refusal.more);
  Response response = AnswerOf(Json{{"error", std::move(error)}});
  response.status = refusal.status;
  return response;
}

std::string WithRevision(std::string_view object, std::int64_t revision) {
  const std::size_t brace = object.find('{');
  return fmt::format("{{\"revision\":{},{}", revision, object.substr(brace + 1));
}

Json ProblemsJson(const std::vector<Problem>& problems) {
  Json list = Json::array();
  for (const Problem& p : problems) {
    list.push_back({{"path", p.field},
                    {"line", p.line},
                    {"column", p.column},
                    {"found", p.found},
                    {"message", p.message}});
  }
  return list;
}

Json ObjectOf(const Request& request) {
  // Parsed text is as deep as its brackets, and freed by recursion: bounded before it is built.
  const auto shallow = [](int depth, Json::parse_event_t, Json&) {
    return depth <= static_cast<int>(kMaxDepth);
  };
  Json json = Json::parse(request.body, shallow, false);
  if (json.is_discarded() || !json.is_object()) {
    Refuse(400, "body", "the body must be a JSON object");
  }
  return json;
}

std::string TextOf(const Json& object, const char* key, const std::optional<std::string>& usual) {
  const auto found = object.find(key);
  if (found == object.end() && usual) return *usual;
  if (found == object.end() || !found->is_string()) {
    Refuse(400, "body", fmt::format("'{}' must be a text", key), key);
  }
  return found->get<std::string>();
}

std::int64_t NumberOf(const Json& object, const char* key) {
  const auto found = object.find(key);
  if (found == object.end() || !found->is_number_integer()) {
    Refuse(400, "body", fmt::format("'{}' must be a whole number", key), key);
  }
  return found->get<std::int64_t>();
}

std::optional<double> NumberIn(const Request& request, const std::string& name) {
  const auto found = request.query.find(name);
  if (found == request.query.end()) return std::nullopt;
  const std::string& text = found->second;
  double value = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) {
    Refuse(400, "parameter", fmt::format("'{}' is no number", Shortened(text)), name);
  }
  return value;
}

}  // namespace steerbench::server
