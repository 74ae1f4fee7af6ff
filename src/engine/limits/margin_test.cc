#include "engine/limits/margin.h"

#include <doctest/doctest.h>

#include <limits>

namespace steerbench::limits {

TEST_CASE("A margin holds, is close or is exceeded by its own plus-minus") {
  CHECK(StatusOf(3.0, 1.0) == Status::kHolds);
  CHECK(StatusOf(1.0, 1.0) == Status::kHolds);
  CHECK(StatusOf(0.5, 1.0) == Status::kClose);
  CHECK(StatusOf(-0.5, 1.0) == Status::kClose);
  CHECK(StatusOf(-1.0, 1.0) == Status::kClose);
  CHECK(StatusOf(-1.1, 1.0) == Status::kExceeded);
}

TEST_CASE("A margin without a plus-minus is taken at its word") {
  CHECK(StatusOf(0.0, std::nullopt) == Status::kHolds);
  CHECK(StatusOf(1e-9, std::nullopt) == Status::kHolds);
  CHECK(StatusOf(-1e-9, std::nullopt) == Status::kExceeded);
}

TEST_CASE("A margin below what is wanted is close though it does not fail") {
  CHECK(StatusOf(2.0, 0.1, 3.0) == Status::kClose);
  CHECK(StatusOf(3.5, 0.1, 3.0) == Status::kHolds);
}

TEST_CASE("A margin that is no number is unknown") {
  CHECK(StatusOf(std::numeric_limits<double>::quiet_NaN(), 1.0) == Status::kUnknown);
  CHECK(StatusOf(std::numeric_limits<double>::infinity(), 1.0) == Status::kUnknown);
  CHECK(WordFor(Status::kUnknown) == "unknown");
}

}  // namespace steerbench::limits
