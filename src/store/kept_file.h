// A document's file kept in step with its history.
#pragma once

#include <string>
#include <string_view>

#include "store/history.h"

namespace steerbench {

// The file and its history say the same. A change goes to the history first, which flushes it, and
// then to the file; when the program dies between the two, the file is mended at the next start.
// A file that somebody else changed (an editor, a version control) is taken over as a revision of
// its own and never written over: it is looked at before each change. Not for use by several
// threads at once. All members throw HistoryFailed.
class KeptFile {
 public:
  // Opens a file that exists, with its history beside it (`path` + ".history"). `most`: bytes that
  // it may have.
  KeptFile(std::string path, std::size_t most, const Stamp& now);

  [[nodiscard]] const std::string& Path() const { return path_; }
  [[nodiscard]] const std::string& Text() const { return text_; }
  [[nodiscard]] const Revision& Head() const { return head_; }
  [[nodiscard]] const History& Past() const { return history_; }
  // Why the file could not be written, or the history not note that it was; empty when the file
  // holds what Text() says. Tried again with each TakeOver.
  [[nodiscard]] const std::string& Trouble() const { return trouble_; }

  // Takes over what others did to the file; true when there is a new revision. Cheap when the
  // file's times say that nothing was done, unless `thorough`.
  bool TakeOver(const Stamp& now, bool thorough = false);

  // Each makes a new revision and writes the file. False when there is nothing to undo or redo, or
  // no such revision.
  void Change(std::string_view text, std::string_view what, const Stamp& stamp);
  bool Undo(const Stamp& stamp);
  bool Redo(const Stamp& stamp);
  bool Restore(std::int64_t id, const Stamp& stamp);
  bool Name(std::int64_t id, std::string_view name);

 private:
  // What tells that a file is another than before.
  struct Sign {
    std::int64_t inode = 0, size = -1, modified = 0, changed = 0;
    bool operator==(const Sign&) const = default;
  };
  [[nodiscard]] Sign Look() const;
  bool Took(const std::optional<Revision>& revision);
  void Write();
  void NoteWritten();

  std::string path_;
  std::size_t most_;
  std::string text_;  // ahead of the history, which is made when it has been read
  History history_;
  Revision head_;
  std::string trouble_;
  Sign seen_;
};

}  // namespace steerbench
