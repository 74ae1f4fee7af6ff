#define DOCTEST_CONFIG_IMPLEMENT_WITH_MAIN
#include "quantity/quantity.h"

#include <doctest/doctest.h>

using namespace steerbench;

TEST_CASE("a length is read") {
  CHECK(ParseQuantity("117.5 mm", Kind::kLength).quantity.value().value == 0.1175);
}
