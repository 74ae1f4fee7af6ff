// The history of one document: every state it was in, in an SQLite database beside the file.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

struct sqlite3;

namespace steerbench {

// The history cannot be read or written. What it says is for the user.
struct HistoryFailed : std::runtime_error {
  using std::runtime_error::runtime_error;
};

// Who changes something, and when. Handed in: nothing here reads a clock.
struct Stamp {
  std::string when;    // ISO 8601, UTC
  std::string client;  // opaque
};

// One state of the document. Immutable but for its name.
struct Revision {
  std::int64_t id = 0;  // counts up from 1; no number is given twice
  std::string when, client;
  std::string what;                        // what was done, in words
  std::optional<std::string> name;         // given by the user
  std::optional<std::int64_t> undo, redo;  // revisions whose text an undo or redo from here gives
  std::string step;                        // what an undo from here takes back, in words
};

// Undo and redo only ever add revisions: a state's `undo` and `redo` point at earlier ones, so that
// nothing is lost and the numbers count up. An acknowledged revision survives power cuts (write-
// ahead log, flushed before a call returns). One process at a time holds a history. Not for use by
// several threads at once.
class History {
 public:
  // Opens the database, making it when it is not there. Throws HistoryFailed, as all below, also
  // when it belongs to something else or another process holds it.
  explicit History(const std::string& path);

  // The newest state; unset in a new history.
  [[nodiscard]] std::optional<Revision> Head() const;
  [[nodiscard]] std::optional<Revision> Find(std::int64_t id) const;
  // The document's text in a state that exists.
  [[nodiscard]] std::string Text(std::int64_t id) const;
  // All states, the newest first.
  [[nodiscard]] std::vector<Revision> All() const;

  // Adds a state. What could be done again before can no longer.
  Revision Add(std::string_view text, std::string_view what, const Stamp& stamp);
  // Adds the state that an undo or redo gives; unset when there is nothing to undo or redo.
  std::optional<Revision> Undo(const Stamp& stamp);
  std::optional<Revision> Redo(const Stamp& stamp);
  // Adds a state with the text of an earlier one; unset when there is none of this number.
  std::optional<Revision> Restore(std::int64_t id, const Stamp& stamp);

  // Gives a state a name, or takes it when empty; false when there is none of this number.
  bool Name(std::int64_t id, std::string_view name);

  // The state that was last written to the file. Setting it is not flushed: a power cut may
  // forget it, a killed process does not.
  [[nodiscard]] std::optional<std::int64_t> Written() const;
  void SetWritten(std::int64_t id);

 private:
  struct Close {
    void operator()(sqlite3* database) const;
  };
  Revision Append(Revision revision, std::string_view text);
  void Prepare();

  std::string path_;
  std::unique_ptr<sqlite3, Close> database_;
};

// States kept; older ones without a name are forgotten, one for each that is added.
inline constexpr std::int64_t kMostRevisions = 2000;

}  // namespace steerbench
