#include "store/history.h"

#include <fmt/format.h>
#include <sqlite3.h>

namespace steerbench {
namespace {

constexpr int kApplication = 0x53744268;  // marks the database as one of ours
constexpr int kVersion = 1;               // of the tables

constexpr const char* kTables = R"(
  CREATE TABLE revision (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at TEXT NOT NULL,
    client TEXT NOT NULL,
    what TEXT NOT NULL,
    step TEXT NOT NULL,
    name TEXT,
    undo INTEGER REFERENCES revision ON DELETE SET NULL,
    redo INTEGER REFERENCES revision ON DELETE SET NULL,
    content BLOB NOT NULL
  ) STRICT;
  CREATE INDEX revision_undo ON revision (undo);
  CREATE INDEX revision_redo ON revision (redo);
  CREATE TABLE file (
    only INTEGER PRIMARY KEY CHECK (only = 1),
    written INTEGER
  ) STRICT;
  INSERT INTO file VALUES (1, NULL);
)";

constexpr std::string_view kColumns = "id, at, client, what, step, name, undo, redo";

[[noreturn]] void Fail(sqlite3* database, const std::string& path) {
  constexpr int kPrimary = 0xff;  // of an extended code
  switch (sqlite3_errcode(database) & kPrimary) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      throw HistoryFailed(fmt::format("{}: in use: this document is served already", path));
    case SQLITE_NOTADB:
    case SQLITE_CORRUPT:
      throw HistoryFailed(
          fmt::format("{}: not a history, or damaged: move it away to begin a new one", path));
    default:
      throw HistoryFailed(fmt::format("{}: {}", path, sqlite3_errmsg(database)));
  }
}

// One statement, run or read row by row.
class Statement {
 public:
  Statement(sqlite3* database, const std::string& path, std::string_view sql)
      : database_(database), path_(path) {
    sqlite3_stmt* made = nullptr;
    const int status =
        sqlite3_prepare_v2(database, sql.data(), static_cast<int>(sql.size()), &made, nullptr);
    statement_.reset(made);
    if (status != SQLITE_OK) Fail(database, path);
  }

  Statement& Bind(int at, std::int64_t value) {
    return Bound(sqlite3_bind_int64(statement_.get(), at, value));
  }
  Statement& Bind(int at, std::string_view text) {
    return Bound(sqlite3_bind_text64(statement_.get(), at, text.data(), text.size(),
                                     SQLITE_TRANSIENT, SQLITE_UTF8));
  }
  Statement& BindBytes(int at, std::string_view bytes) {
    // A null pointer would be NULL, not an empty content.
    return Bound(sqlite3_bind_blob64(statement_.get(), at, bytes.empty() ? "" : bytes.data(),
                                     bytes.size(), SQLITE_TRANSIENT));
  }
  template <class T>
  Statement& Bind(int at, const std::optional<T>& value) {
    return value ? Bind(at, *value) : Bound(sqlite3_bind_null(statement_.get(), at));
  }

  // True while there is a row.
  bool Next() {
    const int status = sqlite3_step(statement_.get());
    if (status != SQLITE_ROW && status != SQLITE_DONE) Fail(database_, path_);
    return status == SQLITE_ROW;
  }
  void Run() {
    while (Next()) {
    }
  }

  [[nodiscard]] bool IsNull(int column) const {
    return sqlite3_column_type(statement_.get(), column) == SQLITE_NULL;
  }
  [[nodiscard]] std::int64_t Number(int column) const {
    return sqlite3_column_int64(statement_.get(), column);
  }
  [[nodiscard]] std::string Bytes(int column) const {
    const auto* bytes = static_cast<const char*>(sqlite3_column_blob(statement_.get(), column));
    const int size = sqlite3_column_bytes(statement_.get(), column);
    return bytes == nullptr ? std::string() : std::string(bytes, static_cast<std::size_t>(size));
  }

 private:
  struct Finalize {
    void operator()(sqlite3_stmt* statement) const { sqlite3_finalize(statement); }
  };
  Statement& Bound(int status) {
    if (status != SQLITE_OK) Fail(database_, path_);
    return *this;
  }

  sqlite3* database_;
  const std::string& path_;
  std::unique_ptr<sqlite3_stmt, Finalize> statement_;
};

void Run(sqlite3* database, const std::string& path, const char* sql) {
  if (sqlite3_exec(database, sql, nullptr, nullptr, nullptr) != SQLITE_OK) Fail(database, path);
}

// All or nothing of what happens while it lives.
class Transaction {
 public:
  Transaction(sqlite3* database, const std::string& path) : database_(database), path_(path) {
    ::steerbench::Run(database, path, "BEGIN IMMEDIATE");
  }
  Transaction(const Transaction&) = delete;
  Transaction& operator=(const Transaction&) = delete;
  ~Transaction() {
    if (open_) sqlite3_exec(database_, "ROLLBACK", nullptr, nullptr, nullptr);
  }
  void Commit() {
    ::steerbench::Run(database_, path_, "COMMIT");
    open_ = false;
  }

 private:
  sqlite3* database_;
  const std::string& path_;
  bool open_ = true;
};

// What is written while it lives is not flushed at once.
class Unflushed {
 public:
  Unflushed(sqlite3* database, const std::string& path) : database_(database) {
    ::steerbench::Run(database, path, "PRAGMA synchronous = NORMAL");
  }
  Unflushed(const Unflushed&) = delete;
  Unflushed& operator=(const Unflushed&) = delete;
  ~Unflushed() { sqlite3_exec(database_, "PRAGMA synchronous = FULL", nullptr, nullptr, nullptr); }

 private:
  sqlite3* database_;
};

Revision RowOf(const Statement& s) {
  const auto number = [&](int column) {
    return s.IsNull(column) ? std::nullopt : std::optional(s.Number(column));
  };
  Revision r;
  r.id = s.Number(0);
  r.when = s.Bytes(1);
  r.client = s.Bytes(2);
  r.what = s.Bytes(3);
  r.step = s.Bytes(4);
  if (!s.IsNull(5)) r.name = s.Bytes(5);
  r.undo = number(6);
  r.redo = number(7);
  return r;
}

std::int64_t Pragma(sqlite3* database, const std::string& path, std::string_view sql) {
  Statement s(database, path, sql);
  return s.Next() ? s.Number(0) : 0;
}

}  // namespace

void History::Close::operator()(sqlite3* database) const { sqlite3_close(database); }

History::History(const std::string& path) : path_(path) {
  sqlite3* opened = nullptr;
  const int status =
      sqlite3_open_v2(path.c_str(), &opened,
                      SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_EXRESCODE, nullptr);
  database_.reset(opened);
  if (status != SQLITE_OK) Fail(opened, path);
  Prepare();
}

// The lock is held as long as the database is open, so that no two servers write to one document.
void History::Prepare() {
  sqlite3* db = database_.get();
  Run(db, path_, "PRAGMA locking_mode = EXCLUSIVE");
  Run(db, path_, "PRAGMA journal_mode = WAL");
  Run(db, path_, "PRAGMA synchronous = FULL");
  Run(db, path_, "PRAGMA foreign_keys = ON");
  Transaction all(db, path_);
  const auto application = Pragma(db, path_, "PRAGMA application_id");
  const auto version = Pragma(db, path_, "PRAGMA user_version");
  const bool fresh = Pragma(db, path_, "SELECT count(*) FROM sqlite_schema") == 0;
  if (!fresh && (application != kApplication || version != kVersion)) {
    throw HistoryFailed(fmt::format(
        "{}: not a history that this version can read: move it away to begin a new one", path_));
  }
  if (fresh) {
    Run(db, path_, kTables);
    Run(db, path_, fmt::format("PRAGMA application_id = {}", kApplication).c_str());
    Run(db, path_, fmt::format("PRAGMA user_version = {}", kVersion).c_str());
  }
  all.Commit();
}

std::optional<Revision> History::Head() const {
  Statement s(database_.get(), path_,
              fmt::format("SELECT {} FROM revision ORDER BY id DESC LIMIT 1", kColumns));
  return s.Next() ? std::optional(RowOf(s)) : std::nullopt;
}

std::optional<Revision> History::Find(std::int64_t id) const {
  Statement s(database_.get(), path_,
              fmt::format("SELECT {} FROM revision WHERE id = ?", kColumns));
  s.Bind(1, id);
  return s.Next() ? std::optional(RowOf(s)) : std::nullopt;
}

std::string History::Text(std::int64_t id) const {
  Statement s(database_.get(), path_, "SELECT content FROM revision WHERE id = ?");
  s.Bind(1, id);
  if (!s.Next()) throw HistoryFailed(fmt::format("{}: no revision {}", path_, id));
  return s.Bytes(0);
}

std::vector<Revision> History::All() const {
  Statement s(database_.get(), path_,
              fmt::format("SELECT {} FROM revision ORDER BY id DESC", kColumns));
  std::vector<Revision> all;
  while (s.Next()) all.push_back(RowOf(s));
  return all;
}

Revision History::Append(Revision r, std::string_view text) {
  Transaction all(database_.get(), path_);
  Statement(database_.get(), path_,
            "INSERT INTO revision (at, client, what, step, undo, redo, content)"
            " VALUES (?, ?, ?, ?, ?, ?, ?)")
      .Bind(1, r.when)
      .Bind(2, r.client)
      .Bind(3, r.what)
      .Bind(4, r.step)
      .Bind(5, r.undo)
      .Bind(6, r.redo)
      .BindBytes(7, text)
      .Run();
  r.id = sqlite3_last_insert_rowid(database_.get());
  Statement(database_.get(), path_,
            "DELETE FROM revision WHERE id <= ? AND name IS NULL"
            " AND id IS NOT (SELECT written FROM file)")
      .Bind(1, r.id - kMostRevisions)
      .Run();
  all.Commit();
  return r;
}

Revision History::Add(std::string_view text, std::string_view what, const Stamp& stamp) {
  const auto head = Head();
  Revision r;
  r.when = stamp.when;
  r.client = stamp.client;
  r.what = r.step = std::string(what);
  if (head) r.undo = head->id;
  return Append(std::move(r), text);
}

std::optional<Revision> History::Undo(const Stamp& stamp) {
  const auto head = Head();
  const auto target = head && head->undo ? Find(*head->undo) : std::nullopt;
  if (!target) return std::nullopt;
  Revision r;
  r.when = stamp.when;
  r.client = stamp.client;
  r.what = "undone: " + head->step;
  r.step = target->step;
  r.undo = target->undo;
  r.redo = head->id;
  return Append(std::move(r), Text(target->id));
}

std::optional<Revision> History::Redo(const Stamp& stamp) {
  const auto head = Head();
  const auto target = head && head->redo ? Find(*head->redo) : std::nullopt;
  if (!target) return std::nullopt;
  Revision r;
  r.when = stamp.when;
  r.client = stamp.client;
  r.what = "done again: " + target->step;
  r.step = target->step;
  r.undo = head->id;
  r.redo = target->redo;
  return Append(std::move(r), Text(target->id));
}

std::optional<Revision> History::Restore(std::int64_t id, const Stamp& stamp) {
  const auto target = Find(id);
  if (!target) return std::nullopt;
  const std::string which = target->name ? *target->name : fmt::format("revision {}", id);
  return Add(Text(id), "back to " + which, stamp);
}

bool History::Name(std::int64_t id, std::string_view name) {
  Statement s(database_.get(), path_, "UPDATE revision SET name = nullif(?, '') WHERE id = ?");
  s.Bind(1, name).Bind(2, id).Run();
  return sqlite3_changes(database_.get()) == 1;
}

std::optional<std::int64_t> History::Written() const {
  Statement s(database_.get(), path_, "SELECT written FROM file");
  if (!s.Next() || s.IsNull(0)) return std::nullopt;
  return s.Number(0);
}

void History::SetWritten(std::int64_t id) {
  const Unflushed meanwhile(database_.get(), path_);
  Statement(database_.get(), path_, "UPDATE file SET written = ?").Bind(1, id).Run();
}

}  // namespace steerbench
