// The files of the page, built into the program.
#pragma once

#include <span>
#include <string>
#include <string_view>

namespace steerbench::server {

struct Asset {
  std::string_view path;  // "/index.html", "/assets/index-Ab12Cd34.js"
  std::string_view gzip;  // the content, compressed
  std::string_view tag;   // tells one content from another, for ETag
};

// All files; none when the program was built without the workbench.
[[nodiscard]] std::span<const Asset> Assets();

// The file of a path ("/" is "/index.html"); null when there is none.
[[nodiscard]] const Asset* FindAsset(std::string_view path);

// The media type of a file by its name.
[[nodiscard]] std::string_view MediaType(std::string_view path);

// The content as it was before it was compressed.
[[nodiscard]] std::string Unzipped(std::string_view gzip);
// Compressed quickly.
[[nodiscard]] std::string Zipped(std::string_view content);

}  // namespace steerbench::server
