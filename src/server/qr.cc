#include "server/qr.h"

#include <fmt/format.h>
#include <qrencode.h>

#include <memory>

namespace steerbench::server {
namespace {

constexpr int kQuiet = 4;  // modules of margin

struct Free {
  void operator()(QRcode* code) const { QRcode_free(code); }
};

class Code {
 public:
  explicit Code(std::string_view text)
      : code_(QRcode_encodeString8bit(std::string(text).c_str(), 0, QR_ECLEVEL_M)) {}
  explicit operator bool() const { return code_ != nullptr; }
  [[nodiscard]] int Width() const { return code_->width + 2 * kQuiet; }
  [[nodiscard]] bool Dark(int x, int y) const {
    const int w = code_->width;
    x -= kQuiet;
    y -= kQuiet;
    if (x < 0 || y < 0 || x >= w || y >= w) return false;
    return (code_->data[y * w + x] & 1u) != 0;
  }

 private:
  std::unique_ptr<QRcode, Free> code_;
};

}  // namespace

std::string QrSvg(std::string_view text) {
  const Code code(text);
  if (!code) return {};
  std::string path;
  for (int y = 0; y < code.Width(); ++y) {
    for (int x = 0; x < code.Width(); ++x) {
      if (code.Dark(x, y)) path += fmt::format("M{} {}h1v1h-1z", x, y);
    }
  }
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0} {0}\" "
      "shape-rendering=\"crispEdges\" role=\"img\" aria-label=\"QR code of the address\">"
      "<path fill=\"#fff\" d=\"M0 0h{0}v{0}H0z\"/><path fill=\"#000\" d=\"{1}\"/></svg>\n",
      code.Width(), path);
}

std::string QrLines(std::string_view text) {
  const Code code(text);
  if (!code) return {};
  std::string out;
  for (int y = 0; y < code.Width(); y += 2) {
    out += "\x1b[30;107m";
    for (int x = 0; x < code.Width(); ++x) {
      const bool upper = code.Dark(x, y), lower = code.Dark(x, y + 1);
      out += upper && lower ? "█" : upper ? "▀" : lower ? "▄" : " ";
    }
    out += "\x1b[0m\n";
  }
  return out;
}

}  // namespace steerbench::server
