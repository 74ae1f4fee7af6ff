// The tyre of a car that stands still: contact patch, and the torque that turns it on the spot.
// SI units and radians; T is double or Jet. Derivations and limits: docs/methods/tyre.md.
#pragma once

#include <cstdint>
#include <optional>

#include "engine/base/outcome.h"
#include "engine/base/scalar.h"
#include "engine/tyre/problem.h"

namespace steerbench::tyre {

// The contact patch as a rectangle under even pressure [m].
template <class T>
struct Patch {
  T length{}, width{};
};

// Patch of a tyre whose air carries the load: area = load / pressure (gauge, [Pa]), as wide as
// the tread, so length = load / (pressure width). Carcass stiffness is left out: a stiff carcass
// makes the patch shorter. Problems: kNoLoad, kNoPressure, kNoWidth, kNotFinite.
// Derived: vertical equilibrium.
template <class T>
Outcome<Patch<T>, Problem> PatchFromPressure(const T& load, const T& pressure, const T& width);

// Whether a patch is too long for the model on a tyre of this unloaded radius [m]: longer than a
// chord that means a deflection of 6 %. At 13 % the tyre is all but flat.
template <class T>
bool IsLong(const Patch<T>& patch, const T& unloaded_radius);
inline constexpr double kLongPatch = 0.7;  // length / radius

// Formulas for the limiting torque of one standing wheel about a vertical axis [N m]: friction
// mu, load W [N], pressure p [Pa], all positive.

// (mu / 3) sqrt(W^3 / p), axis through the patch. Source: attributed to V. E. Gough in the
// literature on parking torque (Sharp & Granger, Proc. IMechE D 217, 2003; attribution from
// memory).
template <class T>
T GoughTorque(const T& friction, const T& load, const T& pressure);

// (2/3) mu W R, R = sqrt(W / (pi p)): a round patch under even pressure. Derived: integral of
// friction times radius over the disc.
template <class T>
T DiscTorque(const T& friction, const T& load, const T& pressure);

// mu W sqrt(b^2 / 8 + e^2): b tyre width, e distance from the axis at the ground to the patch [m].
// b^2 / 8 is the squared polar radius of gyration of a disc as wide as the tyre. Source: Taborek,
// Mechanics of Vehicles (1957), and fluid-power handbooks (attribution from memory).
template <class T>
T HandbookTorque(const T& friction, const T& load, const T& tyre_width, const T& offset);

// mu times the integral of pressure times distance over a rectangular patch whose middle lies
// `behind` and `aside` of the turning point [m]: exact for even pressure and one friction value.
// Derived: closed form of the integral of sqrt(x^2 + y^2) over a rectangle.
template <class T>
T PatchTorque(const T& friction, const T& load, const Patch<T>& patch, const T& behind,
              const T& aside);

enum class Brake : std::uint8_t { kOff, kOn };

template <class T>
struct Standing {
  T load{}, pressure{}, friction{};
  T tyre_width{};                        // section width [m], for the handbook's formula
  T scrub_radius{}, mechanical_trail{};  // in the wheel's frame, any sign [m]
  std::optional<Patch<T>> patch;         // entered or from PatchFromPressure
  Brake brake = Brake::kOff;
};

// What the formulas say, and their spread. Where a formula knows no offset, the offset's own
// friction mu W e is joined to it as root of the sum of squares, as the handbook's does.
template <class T>
struct SpinTorque {
  T gough{}, disc{}, handbook{};  // [N m] about the steering axis at the ground
  std::optional<T> patch;         // when a patch is known
  T middle{}, half_spread{};      // of all the above: the model's value and its own ±
};

// Torque that turns one standing wheel about its steering axis, magnitude at the limit [N m].
// With the brake on the patch slides around the axis' ground point, distance e^2 = scrub^2 +
// trail^2. With the brake off the wheel rolls along on the scrub arm, so that only the trail is
// left as an offset: e^2 = trail^2 (docs/methods/tyre.md).
// Problems: kNoLoad, kNoPressure, kNoFriction, kNoWidth, kNoLength, kNotFinite.
template <class T>
Outcome<SpinTorque<T>, Problem> SpinTorqueStanding(const Standing<T>& wheel);

}  // namespace steerbench::tyre
