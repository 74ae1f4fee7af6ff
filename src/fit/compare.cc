#include "fit/compare.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "document/quantity_text.h"
#include "quantity/apart.h"
#include "quantity/trimmed.h"

namespace steerbench::fit {
namespace {

constexpr double kInch = 0.0254;                             // [m], exact: NIST SP 811
constexpr double kDiameterStep = 16e-3 - 5.0 / 8.0 * kInch;  // [m]
constexpr double kPitchStep = kInch / 20.0 - 1.25e-3;        // [m]
constexpr double kTaperStep = 1.0 / 8.0 - 1.0 / 10.0;        // [1]
constexpr double kSpacingStep = 1e-3;                        // [m]
constexpr double kCountStep = 1.0;                           // [1]

bool SameText(std::string_view one, std::string_view other) {
  const auto lower = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; };
  return std::ranges::equal(one, other, {}, lower, lower);
}

class Comparer {
 public:
  void operator()(const FieldInfo&, const std::optional<Meeting>&, const std::optional<Meeting>&) {}

  void operator()(const FieldInfo& info, const std::string& one, const std::string& other) {
    constexpr std::string_view kBlanks = " \t\r\n";
    const std::string_view a = Trimmed(one, kBlanks), b = Trimmed(other, kBlanks);
    if (a.empty() && b.empty()) return;
    Feature& f = Add(info, std::string(a), std::string(b));
    if (a.empty() || b.empty()) return;
    f.verdict = SameText(a, b) ? Verdict::kFits : Verdict::kDiffers;
  }

  void operator()(const FieldInfo& info, const std::optional<Hand>& one,
                  const std::optional<Hand>& other) {
    const auto word = [](const std::optional<Hand>& hand) {
      return hand ? std::string(WordOf(*hand)) : std::string();
    };
    (*this)(info, word(one), word(other));
  }

  void operator()(const FieldInfo& info, const std::optional<Quantity>& one,
                  const std::optional<Quantity>& other) {
    if (!one && !other) return;
    Feature& f = Add(info, one ? WrittenText(*one) : "", other ? WrittenText(*other) : "");
    if (!one || !other) return;
    const double both = std::hypot(one->tolerance.value_or(0.0), other->tolerance.value_or(0.0));
    if (FurtherApart(*one, *other)) {
      f.verdict = Verdict::kDiffers;
    } else if (both < StepOf(info.key)) {
      f.verdict = Verdict::kFits;
    } else {
      f.reason = Reason::kTooWide;
      return;
    }
    const bool exact = info.kind != Kind::kCount && (!one->tolerance || !other->tolerance);
    if (exact) f.reason = Reason::kTakenAsExact;
  }

  Comparison Result() {
    Comparison result{Verdict::kUnknown, std::move(features_)};
    if (result.features.empty()) return result;
    result.verdict = std::ranges::max(result.features, {}, &Feature::verdict).verdict;
    return result;
  }

 private:
  Feature& Add(const FieldInfo& info, std::string one, std::string other) {
    const Reason reason = one.empty()     ? Reason::kOneUnstated
                          : other.empty() ? Reason::kOtherUnstated
                                          : Reason::kNone;
    return features_.emplace_back(
        Feature{info.key, Verdict::kUnknown, reason, std::move(one), std::move(other)});
  }

  std::vector<Feature> features_;
};

}  // namespace

std::string_view WordFor(Verdict verdict) {
  constexpr std::array<std::string_view, 3> kWords{"fits", "unknown", "differs"};
  return kWords[static_cast<std::size_t>(verdict)];
}

double StepOf(std::string_view feature) {
  if (feature == "bolts" || feature == "splines" || feature == "ribs") return kCountStep;
  if (feature == "diameter") return kDiameterStep;
  if (feature == "spacing") return kSpacingStep;
  if (feature == "pitch") return kPitchStep;
  if (feature == "taper") return kTaperStep;
  return 0.0;
}

Comparison Compare(const Face& one, const Face& other) {
  Comparer comparer;
  Face::Visit(comparer, one, other);
  return comparer.Result();
}

}  // namespace steerbench::fit
