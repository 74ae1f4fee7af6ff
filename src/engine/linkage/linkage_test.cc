#include <doctest/doctest.h>
#include "engine/linkage/corner.h"
