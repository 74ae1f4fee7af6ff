#include "server/session.h"

#include <fmt/format.h>

#include <algorithm>

#include "document/changes.h"
#include "document/node.h"
#include "document/rename.h"

namespace steerbench::server {
namespace {

using Outcome = Changed::Outcome;

// What an edit did, in words for the history.
std::string Describe(const FieldEdit& edit, const std::string& before) {
  if (!edit.name.empty()) return fmt::format("{} is called {}", edit.path, Shortened(edit.name));
  return EditWords(edit.path, Shortened(before), Shortened(edit.value));
}

EditResult Made(const std::string& text, const FieldEdit& edit) {
  if (edit.name.empty()) return EditToml(text, edit.path, edit.value);
  const Path path = ParsePath(edit.path);
  if (path.size() == 2 && path[0].key == "setup" && !path[1].IsIndex()) {
    return RenameSetup(text, path[1].key, edit.name);
  }
  Problem problem;
  problem.field = edit.path;
  problem.message = "only a setup can be given another name";
  EditResult refused;
  refused.problems.push_back(std::move(problem));
  return refused;
}

// The setups of a document; those that are as they were are kept with what was computed of them.
std::vector<SharedSetup> SetupsOf(const Document& document, const SharedState& before) {
  std::vector<SharedSetup> setups;
  for (const auto& entry : document.setup) {
    auto fresh = std::make_shared<const FittedSetup>(document, entry);
    const SharedSetup old = before ? before->Find(entry.first) : nullptr;
    const bool same = old && old->Name() == entry.first && old->Key() == fresh->Key();
    setups.push_back(same ? old : fresh);
  }
  return setups;
}

}  // namespace

SharedSetup State::Find(const std::string& name) const {
  if (name.empty()) return setups.empty() ? nullptr : setups.front();
  const auto found =
      std::ranges::find_if(setups, [&](const SharedSetup& s) { return s->Name() == name; });
  return found == setups.end() ? nullptr : *found;
}

Session::Session(const std::string& path, Clock clock, Listener listener)
    : clock_(std::move(clock)),
      listener_(std::move(listener)),
      file_(path, kMaxBytes, StampOf("")) {
  (void)Renew(file_.Text(), "");
}

// Makes the state of what the file holds now, and tells of it.
std::vector<std::string> Session::Renew(const std::string& before, const std::string& client) {
  auto state = std::make_shared<State>();
  state->head = file_.Head();
  if (state->head.redo) {
    const auto redo = file_.Past().Find(*state->head.redo);
    if (redo) state->redo_step = redo->step;
  }
  state->text = file_.Text();
  state->trouble = file_.Trouble();
  ReadResult read = ReadToml(state->text);
  state->problems = std::move(read.problems);
  if (state->problems.empty()) {
    state->document = std::move(read.document);
    state->setups = SetupsOf(state->document, state_);
  }
  const bool first = !state_;
  state_ = std::move(state);
  if (first) return {};
  std::vector<std::string> changed = ChangedPaths(before, file_.Text());
  listener_({file_.Head().id, client, changed});
  return changed;
}

void Session::TakeOver(bool thorough) {
  const std::string before = state_->text;
  const std::string trouble = file_.Trouble();
  // Also when an edit was cut short before it was told.
  if (file_.TakeOver(StampOf(""), thorough) || file_.Head().id != state_->head.id) {
    (void)Renew(before, "");
  } else if (trouble != file_.Trouble()) {
    auto state = std::make_shared<State>(*state_);
    state->trouble = file_.Trouble();
    state_ = std::move(state);
  }
}

SharedState Session::Now() {
  const std::scoped_lock lock(mutex_);
  TakeOver(false);
  return state_;
}

std::vector<std::string> Session::Since(std::int64_t revision) const {
  if (revision == file_.Head().id) return {};
  if (!file_.Past().Find(revision)) return {""};
  return ChangedPaths(file_.Past().Text(revision), file_.Text());
}

Changed Session::Conflict(std::vector<std::string> changed) const {
  return {Outcome::kConflict, state_, std::move(changed), {}};
}

Changed Session::Edit(std::span<const FieldEdit> edits, const std::string& what,
                      const Author& author) {
  const std::scoped_lock lock(mutex_);
  TakeOver(true);
  std::vector<std::string> both;
  for (const std::string& theirs : Since(author.base)) {
    const bool mine =
        std::ranges::any_of(edits, [&](const FieldEdit& e) { return PathsMeet(e.path, theirs); });
    if (mine) both.push_back(theirs);
  }
  if (!both.empty()) return Conflict(std::move(both));
  std::string text = file_.Text();
  std::string made;
  for (const FieldEdit& edit : edits) {
    EditResult result = Made(text, edit);
    if (!result.problems.empty()) {
      return {Outcome::kProblems, state_, {}, std::move(result.problems)};
    }
    text = std::move(result.text);
    if (made.empty()) made = Describe(edit, result.before);
  }
  const std::string before = file_.Text();
  if (text == before) return {Outcome::kDone, state_, {}, {}};
  if (edits.size() > 1) made += fmt::format(" and {} more", edits.size() - 1);
  file_.Change(text, what.empty() ? made : what, StampOf(author.client));
  std::vector<std::string> changed = Renew(before, author.client);
  return {Outcome::kDone, state_, std::move(changed), {}};
}

// A change of the whole text: made on the newest revision or not at all.
template <class Act>
Changed Session::Whole(const Author& author, Act act) {
  TakeOver(true);
  if (author.base != file_.Head().id) return Conflict(Since(author.base));
  const std::string before = file_.Text();
  if (!act(StampOf(author.client))) return {Outcome::kNothing, state_, {}, {}};
  std::vector<std::string> changed = Renew(before, author.client);
  return {Outcome::kDone, state_, std::move(changed), {}};
}

Changed Session::Replace(std::string_view toml, const std::string& what, const Author& author) {
  std::vector<Problem> problems = ReadToml(toml).problems;
  const std::scoped_lock lock(mutex_);
  if (!problems.empty()) return {Outcome::kProblems, state_, {}, std::move(problems)};
  return Whole(author, [&](const Stamp& stamp) {
    file_.Change(toml, what.empty() ? "replaced by another text" : what, stamp);
    return true;
  });
}

Changed Session::Undo(const Author& author) {
  const std::scoped_lock lock(mutex_);
  return Whole(author, [&](const Stamp& stamp) { return file_.Undo(stamp); });
}

Changed Session::Redo(const Author& author) {
  const std::scoped_lock lock(mutex_);
  return Whole(author, [&](const Stamp& stamp) { return file_.Redo(stamp); });
}

Changed Session::Restore(std::int64_t revision, const Author& author) {
  const std::scoped_lock lock(mutex_);
  return Whole(author, [&](const Stamp& stamp) { return file_.Restore(revision, stamp); });
}

bool Session::Name(std::int64_t revision, std::string_view name) {
  const std::scoped_lock lock(mutex_);
  return file_.Name(revision, name);
}

std::vector<Revision> Session::Past() {
  const std::scoped_lock lock(mutex_);
  TakeOver(false);
  return file_.Past().All();
}

std::vector<std::string> Session::ChangedSince(std::int64_t revision) {
  const std::scoped_lock lock(mutex_);
  return Since(revision);
}

}  // namespace steerbench::server
