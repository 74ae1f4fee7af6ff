// Files: read whole with a bound, written whole or not at all.
#pragma once

#include <string>
#include <string_view>

namespace steerbench {

struct FileText {
  std::string text;
  std::string error;  // empty when the file was read; else what is wrong, for the user
};

// Reads a file, or standard input for "-". Refuses directories and what is larger than `most`
// bytes without reading on.
[[nodiscard]] FileText ReadFile(const std::string& path, std::size_t most);

// Writes a file so that at every moment, power cuts included, the old or the new content is there:
// a new file beside it, flushed to disk, then renamed over it. Keeps the permissions of a file that
// exists. Returns an error for the user, or empty. `replace` false refuses to overwrite.
[[nodiscard]] std::string WriteFileAtomically(const std::string& path, std::string_view text,
                                              bool replace = true);

}  // namespace steerbench
