// Any bytes, read as TOML and JSON and edited: no crash, every problem has a place, what is read is
// written and read again equal, and an edit that is made leaves a text that reads as well as
// before.
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "document/document.h"
#include "fuzz/bytes.h"

using namespace steerbench;
using fuzz::Require;

namespace {

void CheckRead(const ReadResult& read, std::string_view text) {
  Require(read.problems.size() <= kMaxProblems + 1);
  for (const Problem& p : read.problems) {
    Require(!p.message.empty() && p.column <= text.size() + 1);
  }
  if (!read.problems.empty()) return;
  const std::string toml = WriteToml(read.document), json = WriteJson(read.document);
  const ReadResult again = ReadToml(toml);
  Require(again.problems.empty() && WriteToml(again.document) == toml);
  Require(WriteJson(ReadJson(json).document) == json);
}

void CheckEdit(std::string_view text, std::string_view path, std::string_view value) {
  const EditResult edit = EditToml(text, path, value);
  if (!edit.problems.empty()) {
    Require(edit.text.empty());
    return;
  }
  Require(ReadToml(edit.text).problems.size() <= ReadToml(text).problems.size());
}

}  // namespace

// The input is a text; behind a first byte 0xFF it is a path, a value and a text, each but the last
// ended by a newline.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  std::string_view text(reinterpret_cast<const char*>(data), size);
  if (!text.starts_with('\xFF')) {
    CheckRead(ReadToml(text), text);
    CheckRead(ReadJson(text), text);
    return 0;
  }
  text.remove_prefix(1);
  const std::size_t first = text.find('\n');
  if (first == std::string_view::npos) return 0;
  const std::size_t second = text.find('\n', first + 1);
  if (second == std::string_view::npos) return 0;
  CheckEdit(text.substr(second + 1), text.substr(0, first),
            text.substr(first + 1, second - first - 1));
  return 0;
}
