#include "engine/hydraulics/orifice.h"

#include <cmath>

namespace steerbench::hydraulics {
namespace {

// A closed hole has no diameter; below this one its laminar term is kept from dividing by zero.
constexpr double kLeastArea = 1e-12;  // [m^2], a hole of a thousandth of a millimetre

}  // namespace

template <class T>
OrificeLaw<T> MakeRoundOrifice(const T& area, double coefficient, const FluidState<T>& fluid) {
  using std::sqrt;
  const T of_diameter = Value(area) < kLeastArea ? T(kLeastArea) : area;
  const T diameter = sqrt(of_diameter * (4.0 / M_PI));
  const double square = coefficient * coefficient;
  return {area, fluid.dynamic * kRoundTransition / (2.0 * square * diameter),
          2.0 * fluid.density / square};
}

template OrificeLaw<double> MakeRoundOrifice(const double&, double, const FluidState<double>&);
template OrificeLaw<Jet> MakeRoundOrifice(const Jet&, double, const FluidState<Jet>&);

}  // namespace steerbench::hydraulics
