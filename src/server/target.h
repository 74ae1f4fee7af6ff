// What a request asks for, as its first line writes it: "/api/turn?setup=calm&travel=1%20mm".
#pragma once

#include <map>
#include <string>
#include <string_view>

namespace steerbench::server {

// The path, its %-escapes undone. An escape that is none stays as it is. Source: RFC 3986,
// section 2.1.
[[nodiscard]] std::string PathOf(std::string_view target);

// The query's names and values, undone likewise, where + is a blank; of a name given twice the
// first. Source: URL Standard (WHATWG), application/x-www-form-urlencoded parsing.
[[nodiscard]] std::map<std::string, std::string> QueryOf(std::string_view target);

// ASCII letters made small, as names of headers are compared.
[[nodiscard]] std::string Lower(std::string_view text);

}  // namespace steerbench::server
