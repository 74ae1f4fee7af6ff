// Tension, slip and ribs of a belt on its path. SI units and radians; T is double or Jet.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "engine/belt/path.h"

namespace steerbench::belt {

// Pitch of the ribs of a PK belt [m]. Source: ISO 9981 and ISO 9982 (from memory).
inline constexpr double kPkRibPitch = 0.00356;

// Friction of a belt wedged in grooves of full angle `groove_angle` [rad]: mu / sin(angle / 2).
// Source: Eytelwein with wedge action, e.g. Shigley, Mechanical Engineering Design, ch. 17. Ribs
// rarely seat fully: 0.5 to 0.6 is often used for a PK belt in all (from memory).
template <class T>
T WedgedFriction(const T& friction, const T& groove_angle);

template <class T>
struct Tensions {
  T effective{};       // tight - slack [N]
  T tight{}, slack{};  // [N], the centrifugal part included
  T ratio{};           // (tight - Tc) / (slack - Tc)
};

// Least tensions that carry `power` [W] at belt speed [m/s] over one pulley without slip.
//   (T1 - Tc)/(T2 - Tc) = exp(friction wrap), Tc = mass v^2 (mass of the belt per metre [kg/m])
// Faults: kPower, kSpeed, kFriction, kWrap, kNotFinite. Source: Eytelwein; Shigley, ch. 17.
template <class T>
Outcome<Tensions<T>, Fault> LeastTensions(const T& power, const T& speed, const T& mass_per_length,
                                          const T& friction, const T& wrap);

// What the belt is.
template <class T>
struct Belt {
  T mass_per_length{};  // whole width [kg/m]
  T inside_friction{};  // wedged, see WedgedFriction
  T back_friction{};    // of the flat back
  T ribs{};             // how many
};

enum class Tensioning : std::uint8_t {
  kFixed,  // bolted: `tension` is that of all spans at rest
  kSprung  // `tension` is that beside the tensioner, always
};

template <class T>
struct Drive {
  std::size_t driver = 0;
  bool in_list_order = true;  // the belt travels from each pulley to the next of the list
  std::vector<T> power;       // taken by each pulley [W]; the driver's entry is not looked at
  T speed{};                  // of the belt [m/s]
  Tensioning tensioning = Tensioning::kFixed;
  std::size_t tensioner = 0;  // kSprung: which pulley; it must take no power
  T tension{};                // [N]
};

template <class T>
struct Loaded {
  std::vector<T> tension;    // of the span from each pulley to the next [N]
  std::vector<T> grip_used;  // of each pulley: 1 at the limit of slip, 0 for an idler
  int weakest = 0;           // pulley with the largest
  T slip_margin{};           // 1 / largest grip used - 1; below zero slips
  T per_rib{};               // largest tension per rib [N]
};

// Tensions in every span and what each pulley uses of its grip, with these powers. A pulley that
// takes P raises the tension by P / v in the direction of travel. A bolted belt keeps its length,
// so that sum (tension x span) stays that at rest (linear stretch; the stretch of the wrapped
// parts is left out).
// Faults: kTooFew (vectors that do not fit), kNoSuchPulley, kSpeed, kPower, kFriction, kTension,
// kWrap, kSlack (span), kNotFinite. Derived: equilibrium of each pulley; Eytelwein.
template <class T>
Outcome<Loaded<T>, Fault> LoadOn(const std::vector<Pulley<T>>& pulleys, const Path<T>& path,
                                 const Belt<T>& belt, const Drive<T>& drive);

// Ribs that carry a power at a stated capacity per rib [both W]. Faults: kPower, kCapacity.
Outcome<int, Fault> RibsNeeded(double power, double capacity_per_rib);

// Tension of a span from the pitch it gives when plucked: 4 m L^2 f^2 [N], with the belt's mass per
// length, the span [m] and the frequency [Hz]. Source: Mersenne's law of the string; the belt's
// bending stiffness is left out, which reads high on short spans.
template <class T>
T TensionFromPluck(const T& mass_per_length, const T& span, const T& frequency);

// Angle of the belt against square to the shafts [rad]: offset of the two pulleys along the shafts
// over the span between them [m]. Pre: span > 0. Derived.
template <class T>
T Misalignment(const T& offset, const T& span);

}  // namespace steerbench::belt
