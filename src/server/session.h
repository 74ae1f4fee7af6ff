// The document that a server works on: its states, its edits, its evaluated setups.
#pragma once

#include <functional>
#include <memory>
#include <mutex>
#include <span>
#include <string>
#include <vector>

#include "document/document.h"
#include "server/bench.h"
#include "store/kept_file.h"

namespace steerbench::server {

// The document at one revision. Immutable, so that requests can read it while others edit.
struct State {
  Revision head;
  std::string redo_step;  // what a redo would do again, in words
  std::string text;
  std::string trouble;            // why the file could not be written; empty when it was
  std::vector<Problem> problems;  // when there are any, `document` and `setups` are empty
  Document document;
  std::vector<SharedSetup> setups;  // in the order of the document

  // The setup of this name, the first when it is empty, else null.
  [[nodiscard]] SharedSetup Find(const std::string& name) const;
};
using SharedState = std::shared_ptr<const State>;

// One value to be set: as a user would type it; empty removes the field. The members of a value
// written as a table follow it as fields of their own (`path.from`).
// With a `name` it renames the setup at the path instead.
struct FieldEdit {
  std::string path, value;
  std::string name = {};
};

// Something that a client wants changed, seen at revision `base`.
struct Author {
  std::int64_t base = 0;
  std::string client;  // opaque id
};

// What became of a change.
struct Changed {
  enum class Outcome : std::uint8_t { kDone, kProblems, kConflict, kNothing };
  Outcome outcome = Outcome::kDone;
  SharedState state;                 // the newest
  std::vector<std::string> changed;  // paths that differ now, or of a conflict: changed meanwhile
  std::vector<Problem> problems;
};

// Every revision that comes to be is told, in order, before the call that made it returns.
struct NewRevision {
  std::int64_t revision = 0;
  std::string client;
  std::vector<std::string> changed;
};

// May be used by several threads at once. Members throw HistoryFailed when the disk does not do
// what it should; then nothing has changed.
class Session {
 public:
  using Clock = std::function<std::string()>;  // ISO 8601, UTC
  using Listener = std::function<void(const NewRevision&)>;

  Session(const std::string& path, Clock clock, Listener listener);

  [[nodiscard]] const std::string& Path() const { return file_.Path(); }

  // The newest state, with what others have done to the file meanwhile.
  [[nodiscard]] SharedState Now();

  // Sets fields one after the other, all or none. kConflict when somebody else changed one of them
  // since `base`. `what` describes it in the history; made from the edits when empty.
  [[nodiscard]] Changed Edit(std::span<const FieldEdit> edits, const std::string& what,
                             const Author& author);
  // Replaces the whole text (TOML). kConflict when there is any newer revision.
  [[nodiscard]] Changed Replace(std::string_view toml, const std::string& what,
                                const Author& author);
  // kNothing when there is nothing to undo or redo; kConflict as Replace.
  [[nodiscard]] Changed Undo(const Author& author);
  [[nodiscard]] Changed Redo(const Author& author);
  // Goes back to an earlier revision's text; kNothing when there is none of this number.
  [[nodiscard]] Changed Restore(std::int64_t revision, const Author& author);
  bool Name(std::int64_t revision, std::string_view name);

  [[nodiscard]] std::vector<Revision> Past();
  // Paths that differ between a revision and the newest; the empty path when it is forgotten.
  [[nodiscard]] std::vector<std::string> ChangedSince(std::int64_t revision);

 private:
  [[nodiscard]] Stamp StampOf(const std::string& client) const { return {clock_(), client}; }
  void TakeOver(bool thorough);
  [[nodiscard]] std::vector<std::string> Renew(const std::string& before,
                                               const std::string& client);
  [[nodiscard]] Changed Conflict(std::vector<std::string> changed) const;
  template <class Act>
  [[nodiscard]] Changed Whole(const Author& author, Act act);
  [[nodiscard]] std::vector<std::string> Since(std::int64_t revision) const;

  std::mutex mutex_;  // over all below
  Clock clock_;
  Listener listener_;
  KeptFile file_;
  SharedState state_;
};

}  // namespace steerbench::server
