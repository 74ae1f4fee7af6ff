// QR codes of an address, for a phone's camera (ISO/IEC 18004, by libqrencode).
#pragma once

#include <string>
#include <string_view>

namespace steerbench::server {

// As an SVG picture, black on white with the quiet zone of four modules that the standard asks for.
// Empty when the text does not fit.
[[nodiscard]] std::string QrSvg(std::string_view text);

// As lines of half blocks for a terminal that writes light on dark: the modules' colours are set
// by escape codes, so that either kind of terminal shows black on white.
[[nodiscard]] std::string QrLines(std::string_view text);

}  // namespace steerbench::server
