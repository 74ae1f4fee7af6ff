#include "quantity/plain_text.h"

#include <algorithm>
#include <cstdint>
#include <iterator>

#include "quantity/utf8.h"

namespace steerbench {
namespace {

struct Replacement {
  char32_t code_point;
  std::string_view plain;
};

// Sorted by code point. Superscripts are marked by a leading '^' that is dropped within a run.
constexpr Replacement kReplacements[] = {
    {U'\u0009', " "},      // tab
    {U'\u000A', " "},      // line ends: a multi-line TOML string
    {U'\u000D', " "},      //
    {U'\u00A0', " "},      // no-break space
    {U'\u00B0', "deg "},   // degree sign; the blank parts 33°30' and joins "deg C"
    {U'\u00B1', "\x01"},   // plus-minus
    {U'\u00B2', "^2"},     //
    {U'\u00B3', "^3"},     //
    {U'\u00B5', "u"},      // micro sign
    {U'\u00B7', "*"},      // middle dot
    {U'\u00B9', "^1"},     //
    {U'\u00BA', "deg "},   // masculine ordinal, typed for the degree sign
    {U'\u00BC', " 1/4"},   //
    {U'\u00BD', " 1/2"},   //
    {U'\u00BE', " 3/4"},   //
    {U'\u00D7', "*"},      // multiplication sign
    {U'\u03A9', "ohm"},    // Greek capital omega
    {U'\u03BC', "u"},      // Greek mu
    {U'\u2002', " "},      // en space and its kin
    {U'\u2003', " "},      //
    {U'\u2004', " "},      //
    {U'\u2005', " "},      //
    {U'\u2006', " "},      //
    {U'\u2007', " "},      // figure space
    {U'\u2008', " "},      //
    {U'\u2009', " "},      // thin space
    {U'\u200A', " "},      // hair space
    {U'\u200B', ""},       // zero-width space
    {U'\u200E', ""},       // left-to-right mark
    {U'\u2010', "-"},      // hyphen
    {U'\u2011', "-"},      // non-breaking hyphen
    {U'\u2013', "-"},      // en dash
    {U'\u2018', "'"},      // curly quotes, as phones type them
    {U'\u2019', "'"},      //
    {U'\u201C', "\""},     //
    {U'\u201D', "\""},     //
    {U'\u202F', " "},      // narrow no-break space
    {U'\u2032', "'"},      // prime
    {U'\u2033', "\""},     // double prime
    {U'\u2044', "/"},      // fraction slash
    {U'\u2070', "^0"},     // superscripts, for powers of ten
    {U'\u2074', "^4"},     //
    {U'\u2075', "^5"},     //
    {U'\u2076', "^6"},     //
    {U'\u2077', "^7"},     //
    {U'\u2078', "^8"},     //
    {U'\u2079', "^9"},     //
    {U'\u207B', "^-"},     //
    {U'\u2103', "deg C"},  //
    {U'\u2109', "deg F"},  //
    {U'\u2126', "ohm"},    // ohm sign
    {U'\u2153', " 1/3"},   //
    {U'\u2154', " 2/3"},   //
    {U'\u215B', " 1/8"},   //
    {U'\u215C', " 3/8"},   //
    {U'\u215D', " 5/8"},   //
    {U'\u215E', " 7/8"},   //
    {U'\u2212', "-"},      // minus sign
    {U'\u2215', "/"},      // division slash
    {U'\u2219', "*"},      // bullet operator
    {U'\u22C5', "*"},      // dot operator
    {U'\u3000', " "},      // ideographic space
    {U'\uFEFF', ""},       // byte order mark
};
static_assert(std::ranges::is_sorted(kReplacements, {}, &Replacement::code_point));

void Append(PlainText& plain, std::string_view text, PlainText::Span span) {
  plain.text.append(text);
  plain.source.insert(plain.source.end(), text.size(), span);
}

// Replaces `what` by the one character `by`.
void Fold(PlainText& plain, std::string_view what, char by) {
  for (std::size_t at = plain.text.find(what); at != std::string::npos;
       at = plain.text.find(what, at + 1)) {
    plain.source[at].end = plain.source[at + what.size() - 1].end;
    plain.text.replace(at, what.size(), 1, by);
    const auto next = std::next(plain.source.begin(), static_cast<std::ptrdiff_t>(at) + 1);
    plain.source.erase(next, std::next(next, static_cast<std::ptrdiff_t>(what.size()) - 1));
  }
}

}  // namespace

PlainTextResult ToPlainText(std::string_view raw) {
  PlainTextResult result;
  bool in_superscript = false;
  for (std::size_t at = 0; at < raw.size();) {
    const CodePoint point = Decode(raw.substr(at));
    if (point.length == 0) return {{}, "the text is not valid UTF-8", at};
    const PlainText::Span span{at, at + point.length};
    const auto* found =
        std::ranges::lower_bound(kReplacements, point.value, {}, &Replacement::code_point);
    const bool known = found != std::end(kReplacements) && found->code_point == point.value;
    if (!known && IsControl(point.value)) {
      return {{}, "the text holds a control character", at};
    }
    std::string_view plain = known ? found->plain : raw.substr(at, point.length);
    const bool superscript = known && plain.starts_with('^');
    if (superscript && in_superscript) plain.remove_prefix(1);
    in_superscript = superscript;
    Append(result.plain, plain, span);
    at += point.length;
  }
  Fold(result.plain, "+/-", kPlusMinus);
  Fold(result.plain, "+-", kPlusMinus);
  Fold(result.plain, "''", '"');
  return result;
}

std::string_view SourceOf(const PlainText& plain, std::string_view raw, std::size_t begin,
                          std::size_t end) {
  const std::size_t from = plain.source[begin].begin;
  return raw.substr(from, plain.source[end - 1].end - from);
}

}  // namespace steerbench
