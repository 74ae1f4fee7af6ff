// Routes of the document itself: reading it, editing it, its history.
#include <fmt/format.h>

#include <filesystem>

#include "document/changes.h"
#include "document/node.h"
#include "server/routes.h"

namespace steerbench::server {
namespace {

constexpr std::size_t kMostEdits = 500;  // of one request
constexpr std::size_t kMostWords = 200;  // bytes of a client's id or description

Author AuthorOf(const Json& body) {
  Author author{NumberOf(body, "base"), TextOf(body, "client")};
  if (author.client.size() > kMostWords) Refuse(400, "body", "'client' is too long", "client");
  return author;
}

// What is to be kept of a client's words in the history: one line, not too long.
std::string WordsOf(const Json& body, const char* key) {
  const std::string words = TextOf(body, key, "");
  if (words.size() > kMostWords) Refuse(400, "body", fmt::format("'{}' is too long", key), key);
  return Printable(words);
}

// A value as a user would type it.
std::string Typed(const Json& value, const std::string& path) {
  if (value.is_null()) return {};
  if (value.is_string()) return value.get<std::string>();
  if (value.is_boolean()) return value.get<bool>() ? "true" : "false";
  if (value.is_number_integer()) return value.dump();
  if (value.is_number()) return fmt::format("{}", value.get<double>());
  Refuse(400, "body", "a value is a text, a number, true, false or null", path);
}

// An edit as fields to set: a value with its origin is several of them. Or a setup's new name.
void AddEdit(const Json& edit, std::vector<FieldEdit>& edits) {
  if (!edit.is_object()) Refuse(400, "body", "each of 'edits' must be an object", "edits");
  const std::string path = TextOf(edit, "path");
  if (edit.contains("name")) {
    const std::string name = TextOf(edit, "name");
    if (name.empty() || name.size() > kMostWords) {
      Refuse(400, "body", "a name has 1 to 200 bytes", path);
    }
    edits.push_back({path, "", name});
    return;
  }
  const auto value = edit.find("value");
  if (value == edit.end()) Refuse(400, "body", "an edit needs a 'value'; null removes", path);
  if (!value->is_object()) {
    edits.push_back({path, Typed(*value, path), ""});
    return;
  }
  if (!value->contains("value")) Refuse(400, "body", "a value's table needs its 'value'", path);
  edits.push_back({path, Typed(value->at("value"), path)});
  for (const auto& [key, part] : value->items()) {
    if (key == "value") continue;
    if (key != "tolerance" && key != "from" && key != "note") {
      Refuse(400, "body", "a value's table has value, tolerance, from and note", path);
    }
    edits.push_back({fmt::format("{}.{}", path, key), Typed(part, path)});
  }
}

std::vector<FieldEdit> EditsOf(const Json& body) {
  const auto list = body.find("edits");
  if (list == body.end() || !list->is_array() || list->empty()) {
    Refuse(400, "body", "'edits' must be a list of {path, value}", "edits");
  }
  if (list->size() > kMostEdits) {
    Refuse(400, "body", fmt::format("at most {} edits at a time", kMostEdits), "edits");
  }
  std::vector<FieldEdit> edits;
  for (const Json& edit : *list) AddEdit(edit, edits);
  return edits;
}

[[noreturn]] void RefuseConflict(const Changed& c) {
  Refusal r{409, "conflict",
            "somebody else changed the same meanwhile; nothing was changed: look at what it is now "
            "and try again",
            c.changed.empty() ? std::string() : c.changed.front()};
  r.more["revision"] = c.state->head.id;
  r.more["changed"] = Json::array();
  for (const std::string& path : c.changed) {
    const auto value = path.empty() ? std::nullopt : ValueAt(c.state->text, path);
    r.more["changed"].push_back({{"path", path}, {"value", value ? Json(*value) : Json(nullptr)}});
  }
  throw Refused{std::move(r)};
}

Response Done(const Changed& c) {
  switch (c.outcome) {
    case Changed::Outcome::kConflict:
      RefuseConflict(c);
    case Changed::Outcome::kProblems: {
      Refusal r{422, "problems", "the document would not be usable; nothing was changed",
                c.problems.front().field};
      r.more["problems"] = ProblemsJson(c.problems);
      throw Refused{std::move(r)};
    }
    case Changed::Outcome::kNothing:
      Refuse(404, "nothing", "there is nothing to go back or forward to");
    case Changed::Outcome::kDone:
      break;
  }
  Json json{{"revision", c.state->head.id},
            {"what", c.state->head.what},
            {"changed", c.changed},
            {"unsaved", c.state->trouble.empty() ? Json(nullptr) : Json(c.state->trouble)}};
  return AnswerOf(json);
}

[[noreturn]] void RefuseRevision(std::int64_t revision) {
  Refuse(404, "revision", fmt::format("there is no revision {}", revision), "revision");
}

Json Step(const std::optional<std::int64_t>& revision, const std::string& what) {
  return revision ? Json{{"revision", *revision}, {"what", what}} : Json(nullptr);
}

}  // namespace

Response GetDocument(Workbench& bench, const Request&) {
  const SharedState s = bench.session.Now();
  const bool usable = s->problems.empty();
  return AnswerOf(Json{{"revision", s->head.id},
                       {"name", std::filesystem::path(bench.session.Path()).filename().string()},
                       {"title", s->document.title},
                       {"toml", s->text},
                       {"form", usable ? Json::parse(WriteJson(s->document)) : Json(nullptr)},
                       {"problems", ProblemsJson(s->problems)},
                       {"undo", Step(s->head.undo, s->head.step)},
                       {"redo", Step(s->head.redo, s->redo_step)},
                       {"unsaved", s->trouble.empty() ? Json(nullptr) : Json(s->trouble)}});
}

Response GetExport(Workbench& bench, const Request&) {
  const SharedState s = bench.session.Now();
  Response response;
  response.type = "application/toml";
  response.body = s->text;
  // Anything but plain letters is replaced, so that no name can break the header.
  std::string name = std::filesystem::path(bench.session.Path()).filename().string();
  for (char& c : name) {
    const bool plain = std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '.' || c == '-';
    if (!plain) c = '_';
  }
  response.headers.emplace_back("Content-Disposition",
                                fmt::format("attachment; filename=\"{}\"", name));
  return response;
}

Response PostEdit(Workbench& bench, const Request& request) {
  const Json body = ObjectOf(request);
  return Done(bench.session.Edit(EditsOf(body), WordsOf(body, "what"), AuthorOf(body)));
}

// Takes TOML, or the JSON form, which becomes TOML.
Response PostImport(Workbench& bench, const Request& request) {
  const Json body = ObjectOf(request);
  std::string text = TextOf(body, "text");
  const std::size_t first = text.find_first_not_of(" \t\r\n\xef\xbb\xbf");
  if (first != std::string::npos && text[first] == '{') {
    const ReadResult read = ReadJson(text);
    if (!read.problems.empty()) {
      Changed refused;
      refused.outcome = Changed::Outcome::kProblems;
      refused.problems = read.problems;
      return Done(refused);
    }
    text = WriteToml(read.document);
  }
  return Done(bench.session.Replace(text, WordsOf(body, "what"), AuthorOf(body)));
}

Response PostUndo(Workbench& bench, const Request& request) {
  return Done(bench.session.Undo(AuthorOf(ObjectOf(request))));
}

Response PostRedo(Workbench& bench, const Request& request) {
  return Done(bench.session.Redo(AuthorOf(ObjectOf(request))));
}

Response GetHistory(Workbench& bench, const Request&) {
  Json list = Json::array();
  for (const Revision& r : bench.session.Past()) {
    list.push_back({{"revision", r.id},
                    {"when", r.when},
                    {"what", r.what},
                    {"name", r.name ? Json(*r.name) : Json(nullptr)},
                    {"client", r.client}});
  }
  return AnswerOf(Json{{"revisions", std::move(list)}});
}

Response PostHistoryName(Workbench& bench, const Request& request) {
  const Json body = ObjectOf(request);
  const std::int64_t revision = NumberOf(body, "revision");
  if (!bench.session.Name(revision, WordsOf(body, "name"))) RefuseRevision(revision);
  return AnswerOf(Json{{"revision", revision}});
}

Response PostHistoryRestore(Workbench& bench, const Request& request) {
  const Json body = ObjectOf(request);
  const std::int64_t revision = NumberOf(body, "revision");
  const Changed changed = bench.session.Restore(revision, AuthorOf(body));
  if (changed.outcome == Changed::Outcome::kNothing) RefuseRevision(revision);
  return Done(changed);
}

}  // namespace steerbench::server
