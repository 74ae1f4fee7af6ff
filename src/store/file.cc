#include "store/file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <system_error>

namespace steerbench {
namespace {

std::string Why(const std::string& path, int error) {
  return fmt::format("{}: {}", path, std::generic_category().message(error));
}

// A file descriptor that closes itself.
class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_(fd) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (fd_ > STDERR_FILENO) close(fd_);
  }
  [[nodiscard]] int get() const { return fd_; }

 private:
  int fd_;
};

bool WriteAll(int fd, std::string_view text) {
  while (!text.empty()) {
    const ssize_t n = write(fd, text.data(), text.size());
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return false;
    text.remove_prefix(static_cast<std::size_t>(n));
  }
  return true;
}

// Makes a rename in a directory last.
void FlushDirectory(const std::filesystem::path& directory) {
  const Descriptor fd(open(directory.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (fd.get() >= 0) fsync(fd.get());
}

}  // namespace

FileText ReadFile(const std::string& path, std::size_t most) {
  FileText file;
  const Descriptor fd(path == "-" ? STDIN_FILENO : open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (fd.get() < 0) {
    file.error = Why(path, errno);
    return file;
  }
  constexpr std::size_t kChunk = 1 << 16;
  for (;;) {
    const std::size_t had = file.text.size();
    file.text.resize(had + kChunk);
    const ssize_t n = read(fd.get(), file.text.data() + had, kChunk);
    if (n < 0 && errno == EINTR) {
      file.text.resize(had);
      continue;
    }
    if (n < 0) file.error = Why(path, errno);
    file.text.resize(had + static_cast<std::size_t>(n > 0 ? n : 0));
    if (n <= 0) break;
    if (file.text.size() > most) {
      file.error =
          fmt::format("{}: larger than the {} MiB that a document may have", path, most >> 20);
      break;
    }
  }
  if (!file.error.empty()) file.text.clear();
  return file;
}

std::string WriteFileAtomically(const std::string& path, std::string_view text, bool replace) {
  std::error_code ignored;
  // Write through a link to what it points at, so that the link stays.
  const std::filesystem::path target = std::filesystem::is_symlink(path, ignored)
                                           ? std::filesystem::canonical(path, ignored)
                                           : std::filesystem::path(path);
  if (target.empty()) return Why(path, ENOENT);
  struct stat old {};
  const bool exists = stat(target.c_str(), &old) == 0;
  if (exists && !replace) return Why(path, EEXIST);
  if (exists && !S_ISREG(old.st_mode)) return fmt::format("{}: not a regular file", path);
  std::filesystem::path directory = target.parent_path();
  if (directory.empty()) directory = ".";
  std::string temporary = (directory / ".steerbench-XXXXXX").string();
  const Descriptor fd(mkstemp(temporary.data()));
  if (fd.get() < 0) return Why(path, errno);
  constexpr mode_t kUsual = 0644;
  const mode_t mode = exists ? old.st_mode & 07777 : kUsual;
  if (!WriteAll(fd.get(), text) || fchmod(fd.get(), mode) != 0 || fsync(fd.get()) != 0) {
    const int error = errno;
    unlink(temporary.c_str());
    return Why(path, error);
  }
  // link() fails where the name exists, which rename() would overwrite.
  const int moved = replace ? std::rename(temporary.c_str(), target.c_str())
                            : link(temporary.c_str(), target.c_str());
  const int error = errno;
  if (moved != 0 || !replace) unlink(temporary.c_str());
  if (moved != 0) return Why(path, error);
  FlushDirectory(directory);
  return {};
}

}  // namespace steerbench
