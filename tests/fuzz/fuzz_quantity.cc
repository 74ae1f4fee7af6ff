// Any bytes, read as any kind: an error or a finite value, whose text as shown can be read back.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "fuzz/bytes.h"
#include "quantity/quantity.h"

using namespace steerbench;
using fuzz::Require;

namespace {

// What is shown is read back as the same kind; only numbers at the ends of a double's range, whose
// rounded text is beyond them, are not.
void CheckShown(const Shown& shown, Kind kind) {
  constexpr double kSmall = 1e-290, kLarge = 1e290;
  const double size = std::fabs(shown.value);
  if (size > kLarge || (size > 0.0 && size < kSmall)) return;
  if (shown.tolerance && (*shown.tolerance > kLarge || *shown.tolerance < kSmall)) return;
  // Rounding may carry a count off the whole numbers, and a value over a limit it stands on.
  if (kind == Kind::kCount || kind == Kind::kTemperature || kind == Kind::kPressureAbsolute) return;
  Require(ParseQuantity(shown.text, kind).quantity.has_value());
}

void CheckQuantity(const Quantity& quantity, Kind kind) {
  Require(quantity.kind == kind && std::isfinite(quantity.value));
  Require(!quantity.tolerance ||
          (std::isfinite(*quantity.tolerance) && *quantity.tolerance >= 0.0));
  for (const UnitStyle style : {UnitStyle::kMetric, UnitStyle::kImperial}) {
    CheckShown(Show(quantity.value, quantity.tolerance, kind, style), kind);
  }
  CheckShown(ShowIn(quantity.value, quantity.tolerance, kind, quantity.unit), kind);
  Require(quantity.unit.empty() || ToUnit(quantity.value, kind, quantity.unit).has_value());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  const auto kind = static_cast<Kind>(data[0] % (static_cast<int>(Kind::kMoney) + 1));
  const std::string_view text(reinterpret_cast<const char*>(data) + 1, size - 1);
  const ParsedQuantity parsed = ParseQuantity(text, kind);
  Require(parsed.quantity.has_value() == parsed.error.message.empty());
  Require(parsed.error.column <= size);
  if (parsed.quantity) CheckQuantity(*parsed.quantity, kind);
  const ParsedVector vector = ParseVector(text, kind);
  Require(vector.components.empty() != vector.error.message.empty());
  for (const Quantity& component : vector.components) Require(std::isfinite(component.value));
  return 0;
}
