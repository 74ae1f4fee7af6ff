// The scalar types of the engine: plain numbers, or numbers that carry their derivatives.
#pragma once

#include <ceres/jet.h>

#include <Eigen/Core>
#include <cstddef>
#include <type_traits>

namespace steerbench {

// Derivatives carried by one Jet. Propagation runs over the inputs in groups of this many; the
// size trades passes against copying and was chosen by bench/evaluate_bench.
inline constexpr int kJetWidth = 16;

// A number with its exact first derivatives to kJetWidth inputs (forward automatic
// differentiation: Griewank & Walther, Evaluating Derivatives, 2nd ed. 2008, ch. 3).
using Jet = ceres::Jet<double, kJetWidth>;

template <class T>
using Vec3 = Eigen::Matrix<T, 3, 1>;
template <class T>
using Mat3 = Eigen::Matrix<T, 3, 3>;

// The plain number of a scalar, without its derivatives.
inline double Value(double x) { return x; }
template <int N>
double Value(const ceres::Jet<double, N>& x) {
  return x.a;
}

// The plain numbers of a vector or matrix of scalars.
template <class Derived>
auto Values(const Eigen::MatrixBase<Derived>& m) {
  return m.unaryExpr([](const typename Derived::Scalar& x) { return Value(x); }).eval();
}

}  // namespace steerbench
