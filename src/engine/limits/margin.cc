#include "engine/limits/margin.h"

#include <cmath>

namespace steerbench::limits {

Status StatusOf(double margin, std::optional<double> tolerance, double wanted) {
  if (!std::isfinite(margin)) return Status::kUnknown;
  const double half = tolerance.value_or(0.0);
  if (margin + half < 0.0) return Status::kExceeded;
  if (margin - half < 0.0 || margin < wanted) return Status::kClose;
  return Status::kHolds;
}

std::string_view WordFor(Status status) {
  switch (status) {
    case Status::kHolds:
      return "holds";
    case Status::kClose:
      return "close";
    case Status::kExceeded:
      return "exceeded";
    case Status::kUnknown:
      break;
  }
  return "unknown";
}

}  // namespace steerbench::limits
