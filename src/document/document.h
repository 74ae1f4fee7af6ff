// Reading and writing the document: TOML by hand, JSON for programs, one model behind both.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "model/document.h"

namespace steerbench {

// One thing wrong with a document. Every field is ready to show to the user.
struct Problem {
  std::size_t line = 0;    // 1-based; 0 when it belongs to no place in the text
  std::size_t column = 0;  // 1-based, in characters (code points), as editors count
  std::string field;       // "rack.quick.travel"; empty when it belongs to the whole file
  std::string found;       // what was read, shortened and made printable
  std::string message;     // what is wrong and how to mend it
};

struct ReadResult {
  Document document;              // whole only when `problems` is empty
  std::vector<Problem> problems;  // in the order of the text, all of them
};

// Limits against hostile input; a file beyond one of them is refused with a Problem that says so.
inline constexpr std::size_t kMaxBytes = 16u << 20;
inline constexpr std::size_t kMaxDepth = 32;
inline constexpr std::size_t kMaxValues = 200'000;
inline constexpr std::size_t kMaxProblems = 200;  // the rest are counted in a last Problem

// Reads a document from TOML (or its JSON form) text.
// Reports all problems at once: bad syntax, unknown keys with the nearest known one, wrong types,
// bad quantities, names of parts that do not exist, a missing `format = 1`, values that
// contradict each other (a rack with `travel` and another sum of `travel_left/right`, a setup with
// toe and both tie-rod lengths), values on the wrong side or of the wrong scale (a right corner
// with positive y, a wheelbase of 2.48 mm), rows of a turn plate that lack a field.
// Never throws on any input.
[[nodiscard]] ReadResult ReadToml(std::string_view text);
[[nodiscard]] ReadResult ReadJson(std::string_view text);

// Writes the JSON form (the same keys and the same strings as the TOML) with two-space indent,
// and TOML in the order of the model. Reading back gives an equal document.
[[nodiscard]] std::string WriteJson(const Document& document);
[[nodiscard]] std::string WriteToml(const Document& document);

// JSON Schema (draft 2020-12) of the JSON form, made from the model's own field descriptions.
[[nodiscard]] std::string JsonSchema();

// The result of an edit: the new text, or why there is none.
struct EditResult {
  std::string text;
  std::vector<Problem> problems;  // empty when the edit was made
  // The value that stood there, a text without its quotes, anything else as written; empty when
  // there was none.
  std::string before = {};
  bool made_table = false;  // the part or table that holds the field did not exist before
};

// Sets one field (dotted path, "rack.quick.travel", "car.front.obstacle[0].gap") of a TOML text
// to a value as a user would type it ("117.5 ± 0.2 mm", "true", "strut"); an empty value removes
// the field, or a whole part or item of a list ("rack.quick", "car.front.obstacle[0]") with the
// comments right above it. Comments, order and spacing of everything else stay byte for byte. The
// result is read back before it is returned: an edit that would break the document is refused with
// the problems it would cause; only a row of a turn plate may stay short of a field, since fields
// are set one by one. A field of a part that does not exist makes the part, which `made_table`
// tells.
[[nodiscard]] EditResult EditToml(std::string_view text, std::string_view path,
                                  std::string_view value);

// What a change of a field did, in words: "rack.quick.travel: 117 mm -> 118 mm", "rack.quick.travel
// set to 118 mm" or "... removed, was 117 mm". Both values are ready to show; empty means none.
[[nodiscard]] std::string EditWords(std::string_view path, std::string_view before,
                                    std::string_view after);

// A commented starter file that explains each field, for a suspension kind and name of the car.
struct StarterOptions {
  std::string car_name = "my car";
  Suspension suspension = Suspension::kDoubleWishbone;
  bool points_known = false;  // false: plan view and turn-plate fields instead of points in space
};
[[nodiscard]] std::string StarterToml(const StarterOptions& options);

// The fields of the document with kind and help, one a line, as Markdown (docs/document.md).
[[nodiscard]] std::string FieldReference();

// The car with the parts of one setup of the document fitted. Every name must exist (ReadToml has
// checked them). `setup` is an element of document.setup, from which it takes its name.
[[nodiscard]] Fitted<Quantity> Fit(const Document& document, const Setup<Quantity>& setup);

}  // namespace steerbench
