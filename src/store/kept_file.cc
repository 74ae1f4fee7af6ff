#include "store/kept_file.h"

#include <sys/stat.h>

#include "store/file.h"

namespace steerbench {
namespace {

constexpr std::int64_t kNanoseconds = 1'000'000'000;

std::int64_t TimeOf(const timespec& t) { return t.tv_sec * kNanoseconds + t.tv_nsec; }

}  // namespace

KeptFile::KeptFile(std::string path, std::size_t most, const Stamp& now)
    : path_(std::move(path)), most_(most), history_([&] {
        // Read before the history is made, so that a wrong name leaves nothing behind.
        FileText file = ReadFile(path_, most);
        if (!file.error.empty()) throw HistoryFailed(file.error);
        text_ = std::move(file.text);
        return path_ + ".history";
      }()) {
  const auto head = history_.Head();
  if (!head) {
    head_ = history_.Add(text_, "as it was opened first", now);
    history_.SetWritten(head_.id);
    seen_ = Look();
    return;
  }
  head_ = *head;
  text_ = history_.Text(head_.id);
  TakeOver(now, true);
}

KeptFile::Sign KeptFile::Look() const {
  struct stat s {};
  if (stat(path_.c_str(), &s) != 0) return {};
  return {static_cast<std::int64_t>(s.st_ino), static_cast<std::int64_t>(s.st_size),
          TimeOf(s.st_mtim), TimeOf(s.st_ctim)};
}

bool KeptFile::TakeOver(const Stamp& now, bool thorough) {
  const Sign sign = Look();
  if (!thorough && sign == seen_ && trouble_.empty()) return false;
  if (sign == Sign{}) {  // gone: nobody's work is lost by writing it again
    Write();
    return false;
  }
  const FileText file = ReadFile(path_, most_);
  if (!file.error.empty()) throw HistoryFailed(file.error);
  seen_ = sign;
  const auto written = history_.Written();
  if (file.text == text_) {
    trouble_.clear();
    // Killed between writing the file and noting it: noted now, else the next time it would look
    // as if somebody else had put an older text there.
    if (written != head_.id) NoteWritten();
    return false;
  }
  if (written && *written != head_.id && history_.Find(*written) &&
      file.text == history_.Text(*written)) {
    Write();  // the program died, or the disk was full, before the file was written
    return false;
  }
  head_ = history_.Add(file.text, "changed outside", now);
  text_ = file.text;
  trouble_.clear();
  NoteWritten();
  return true;
}

// Neither file nor history are less right without the note, so what was done stays done.
void KeptFile::NoteWritten() {
  try {
    history_.SetWritten(head_.id);
  } catch (const HistoryFailed& e) {
    trouble_ = e.what();
  }
}

void KeptFile::Write() {
  trouble_ = WriteFileAtomically(path_, text_);
  if (trouble_.empty()) NoteWritten();
  seen_ = Look();
}

void KeptFile::Change(std::string_view text, std::string_view what, const Stamp& stamp) {
  head_ = history_.Add(text, what, stamp);
  text_ = std::string(text);
  Write();
}

bool KeptFile::Took(const std::optional<Revision>& revision) {
  if (!revision) return false;
  text_ = history_.Text(revision->id);
  head_ = *revision;
  Write();
  return true;
}

bool KeptFile::Undo(const Stamp& stamp) { return Took(history_.Undo(stamp)); }
bool KeptFile::Redo(const Stamp& stamp) { return Took(history_.Redo(stamp)); }
bool KeptFile::Restore(std::int64_t id, const Stamp& stamp) {
  return Took(history_.Restore(id, stamp));
}

bool KeptFile::Name(std::int64_t id, std::string_view name) {
  if (!history_.Name(id, name)) return false;
  if (id == head_.id) head_.name = name.empty() ? std::nullopt : std::optional(std::string(name));
  return true;
}

}  // namespace steerbench
