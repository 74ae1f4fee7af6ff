// Where energy is kept and where it is lost: oil under pressure, the valve's bar, the passages.
#pragma once

#include <vector>

#include "simulate/simulate.h"

namespace steerbench::simulate {

// Oil at one node of the network.
struct Store {
  double volume = 0.0;        // with the rack centred [m^3]
  double swept = 0.0;         // growth of it with rack travel [m^2]
  double hose_modulus = 0.0;  // of the wall round it [Pa]; 0: rigid
};

// One for each node: chambers hold half the stroke, lines their volume, the rest next to nothing.
[[nodiscard]] std::vector<Store> StoresOf(const Plant& plant,
                                          const hydraulics::Built<double>& built);

// Oil that a store takes in per pressure [m^3/Pa], at a rack travel [m] and gauge pressure [Pa].
[[nodiscard]] double Give(const Plant& plant, const Store& store, double travel, double pressure);

// Elastic energy of the oil alone, per volume [J/m^3]: the integral of p / K over gauge pressure.
// Derived from BulkModulusAt, which is held below the pressure at which gas comes out.
[[nodiscard]] double Elastic(const Plant& plant, double pressure);

// Of oil and wall together [J].
[[nodiscard]] double StoredAt(const Plant& plant, const Store& store, double travel,
                              double pressure);

// In the torsion bar and, past it, the twist stop [J]: the integral of TwistTorque.
[[nodiscard]] double TwistEnergy(const hydraulics::RotaryValve<double>& valve, double twist);

// Heat made in all passages [W], passage by passage.
[[nodiscard]] double PassageLoss(const hydraulics::Network<double>& network,
                                 const hydraulics::NodeVector<double>& pressure);

}  // namespace steerbench::simulate
