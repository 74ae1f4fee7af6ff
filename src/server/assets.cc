#include "server/assets.h"

#include <zlib.h>

#include <algorithm>
#include <array>
#include <stdexcept>

namespace steerbench::server {
namespace {

constexpr int kGzip = 15 + 16;  // zlib's window bits, plus 16 for the gzip format
constexpr int kMemory = 8;      // zlib's default

z_stream StreamOver(std::string_view input) {
  z_stream stream{};
  stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(input.data()));
  stream.avail_in = static_cast<uInt>(input.size());
  return stream;
}

}  // namespace

const Asset* FindAsset(std::string_view path) {
  if (path == "/") path = "/index.html";
  const auto assets = Assets();
  const auto found = std::ranges::find(assets, path, &Asset::path);
  return found == assets.end() ? nullptr : &*found;
}

std::string_view MediaType(std::string_view path) {
  constexpr std::array<std::pair<std::string_view, std::string_view>, 10> kTypes{
      {{".html", "text/html; charset=utf-8"},
       {".js", "text/javascript; charset=utf-8"},
       {".css", "text/css; charset=utf-8"},
       {".json", "application/json"},
       {".webmanifest", "application/manifest+json"},
       {".svg", "image/svg+xml"},
       {".png", "image/png"},
       {".ico", "image/x-icon"},
       {".woff2", "font/woff2"},
       {".txt", "text/plain; charset=utf-8"}}};
  for (const auto& [end, type] : kTypes) {
    if (path.ends_with(end)) return type;
  }
  return "application/octet-stream";
}

std::string Unzipped(std::string_view gzip) {
  z_stream stream = StreamOver(gzip);
  if (inflateInit2(&stream, kGzip) != Z_OK) throw std::runtime_error("zlib");
  std::string out;
  constexpr std::size_t kChunk = 1 << 16;
  int status = Z_OK;
  while (status == Z_OK) {
    const std::size_t had = out.size();
    out.resize(had + kChunk);
    stream.next_out = reinterpret_cast<Bytef*>(out.data() + had);
    stream.avail_out = kChunk;
    status = inflate(&stream, Z_NO_FLUSH);
    out.resize(had + kChunk - stream.avail_out);
  }
  inflateEnd(&stream);
  if (status != Z_STREAM_END) throw std::runtime_error("a built-in file is damaged");
  return out;
}

std::string Zipped(std::string_view content) {
  z_stream stream = StreamOver(content);
  if (deflateInit2(&stream, Z_BEST_SPEED, Z_DEFLATED, kGzip, kMemory, Z_DEFAULT_STRATEGY) != Z_OK) {
    throw std::runtime_error("zlib");
  }
  std::string out(deflateBound(&stream, content.size()), '\0');
  stream.next_out = reinterpret_cast<Bytef*>(out.data());
  stream.avail_out = static_cast<uInt>(out.size());
  const int status = deflate(&stream, Z_FINISH);
  out.resize(out.size() - stream.avail_out);
  deflateEnd(&stream);
  if (status != Z_STREAM_END) throw std::runtime_error("zlib");
  return out;
}

}  // namespace steerbench::server
