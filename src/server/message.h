// Requests and answers as plain data, so that handlers know nothing of sockets.
#pragma once

#include <cstdint>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "document/document.h"

namespace steerbench::server {

using Json = nlohmann::ordered_json;

struct Request {
  std::string method;                        // "GET" or "POST"
  std::string path;                          // "/api/check"
  std::map<std::string, std::string> query;  // decoded; of a name given twice the first
  std::string body;
  std::string peer;      // address of who asks
  bool loopback = true;  // the peer is this machine
  bool paired = true;    // the peer may use the document
  std::string id;        // what stands for {id} in the route's path

  // A query parameter, or empty.
  [[nodiscard]] std::string Get(const std::string& name) const {
    const auto found = query.find(name);
    return found == query.end() ? std::string() : found->second;
  }
};

struct Response {
  int status = 200;
  std::string type = "application/json";
  std::string body;
  std::vector<std::pair<std::string, std::string>> headers;
};

// What every refused request is told. `where` names the field or parameter that is wrong.
struct Refusal {
  int status = 400;
  std::string code;     // for programs
  std::string message;  // for people: what is wrong and how to mend it
  std::string where;
  Json more = Json::object();  // members beside those, such as "problems"
};

// Thrown by handlers; the dispatcher makes the answer of it.
struct Refused {
  Refusal refusal;
};
[[noreturn]] void Refuse(int status, std::string code, std::string message, std::string where = {});

[[nodiscard]] Response AnswerOf(const Refusal& refusal);
[[nodiscard]] Response AnswerOf(const Json& json);

// The JSON text of an object with `revision` put in front of its members.
[[nodiscard]] std::string WithRevision(std::string_view object, std::int64_t revision);

[[nodiscard]] Json ProblemsJson(const std::vector<Problem>& problems);

// The body as a JSON object; refuses anything else.
[[nodiscard]] Json ObjectOf(const Request& request);
// Members of such an object; refuse a wrong type, and what is missing and has no `usual` value.
[[nodiscard]] std::string TextOf(const Json& object, const char* key,
                                 const std::optional<std::string>& usual = std::nullopt);
[[nodiscard]] std::int64_t NumberOf(const Json& object, const char* key);

// A query parameter as a finite number; unset when it is not given.
[[nodiscard]] std::optional<double> NumberIn(const Request& request, const std::string& name);

}  // namespace steerbench::server
