// Teeth of rack and pinion: how far they stay in mesh, and how many of them carry at a time.
// SI units and radians; T is double or Jet.
#pragma once

#include "engine/base/scalar.h"

namespace steerbench::gear {

template <class T>
struct ToothedRack {
  T toothed_length;  // of the rack's toothed part [m]
  T offset;          // its middle lies this far to the car's left of the pinion at centre [m]
  T contact_length;  // length of rack in mesh with the pinion at a time [m]
  T reserve;         // length of teeth to be left past the mesh [m]
};

template <class T>
struct TravelEachWay {
  T left, right;  // rack travel from centre as positive lengths [m]; negative: not even centre
};

// Rack travel at which the last full tooth reaches the end of the mesh. A rack that moves left
// brings its right-hand teeth to the pinion, so teeth that lie further to the left leave less
// travel to the left. Derived: toothed_length/2 -+ offset - contact_length/2 - reserve.
template <class T>
[[nodiscard]] TravelEachWay<T> ToothTravel(const ToothedRack<T>& rack);

template <class T>
struct PinionTeeth {
  T module;          // transverse, square to the pinion's axis [m]
  T teeth;           // number
  T pressure_angle;  // transverse [rad]
  T addendum;        // of the pinion at zero profile shift, and of the rack [m]
  T profile_shift;   // in modules, outward positive [1]
};

// Transverse contact ratio of an involute pinion with a rack [1]. Valid without undercut, that is
// for at least MinTeethWithoutUndercut teeth; steering pinions have fewer and live on profile shift
// and overlap. Source: path of contact, symbols as in ISO 21771 (from memory); reference row
// rack-contact-ratio.
template <class T>
[[nodiscard]] T TransverseContactRatio(const PinionTeeth<T>& pinion);

// Least number of pinion teeth that a straight rack does not undercut [1], not rounded up.
// Source: as above.
template <class T>
[[nodiscard]] T MinTeethWithoutUndercut(const PinionTeeth<T>& pinion);

// Overlap ratio of helical teeth [1] from face width [m], helix angle [rad] and normal module [m].
// The total contact ratio is the sum of this and the transverse one.
// Source: ISO 21771, b sin(helix) / (pi m); reference row overlap-ratio.
template <class T>
[[nodiscard]] T OverlapRatio(const T& face_width, const T& helix, const T& normal_module);

}  // namespace steerbench::gear
