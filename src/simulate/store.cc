#include "simulate/store.h"

#include <algorithm>
#include <cmath>

#include "engine/hydraulics/rotary_valve.h"

namespace steerbench::simulate {
namespace {

using hydraulics::kReservoir;
using hydraulics::NodeVector;

// Oil in a gallery between control valves or behind a reaction plunger: a thimble [m^3], small
// against every line.
constexpr double kGallery = 2e-6;

double GasPressure(const Plant& plant) { return plant.circuit.fluid.gas_release; }

}  // namespace

std::vector<Store> StoresOf(const Plant& plant, const hydraulics::Built<double>& built) {
  std::vector<Store> stores(static_cast<std::size_t>(built.network.nodes));
  for (Store& s : stores) s.volume = kGallery;
  const auto add = [&](int node, double volume, double swept, double modulus) {
    if (node == kReservoir) return;
    Store& s = stores[static_cast<std::size_t>(node)];
    s.volume += volume;
    s.swept += swept;
    if (modulus > 0.0) s.hose_modulus = modulus;
  };
  const hydraulics::Places& at = built.at;
  const hydraulics::Cylinder<double>& c = plant.circuit.cylinder;
  add(at.outlet, plant.supply_volume / 2.0, 0.0, plant.hose_modulus);
  add(at.supply, plant.supply_volume / 2.0, 0.0, plant.hose_modulus);
  add(at.back, plant.return_volume, 0.0, plant.hose_modulus);
  add(at.chamber_a, plant.dead_volume - c.area_a * plant.stops.low, c.area_a, 0.0);
  add(at.chamber_b, plant.dead_volume + c.area_b * plant.stops.high, -c.area_b, 0.0);
  return stores;
}

double Give(const Plant& plant, const Store& store, double travel, double pressure) {
  const double absolute = std::max(pressure + plant.condition.air_pressure, GasPressure(plant));
  const double modulus = hydraulics::BulkModulusAt<double>(plant.circuit.fluid, absolute);
  // A rack driven far into a soft stop must not turn a chamber inside out.
  const double volume = std::max(store.volume + store.swept * travel, kGallery);
  const double wall = store.hose_modulus > 0.0 ? store.volume / store.hose_modulus : 0.0;
  return volume / modulus + wall;
}

double Elastic(const Plant& plant, double pressure) {
  const hydraulics::Fluid<double>& oil = plant.circuit.fluid;
  const double air_pressure = plant.condition.air_pressure;
  const double lowest = GasPressure(plant) - air_pressure;
  const double held = std::max(pressure, lowest);
  const double absolute = held + air_pressure;
  const double pure = (1.0 - oil.air) / oil.bulk_modulus * held * held / 2.0;
  const double airy = oil.air * hydraulics::kAtmosphere *
                      (std::log(absolute / air_pressure) + air_pressure / absolute - 1.0);
  const double below =
      (pressure * pressure - held * held) / 2.0 / hydraulics::BulkModulusAt<double>(oil, absolute);
  return pure + airy + below;
}

double StoredAt(const Plant& plant, const Store& store, double travel, double pressure) {
  const double volume = std::max(store.volume + store.swept * travel, kGallery);
  const double wall = store.hose_modulus > 0.0 ? store.volume / store.hose_modulus : 0.0;
  return volume * Elastic(plant, pressure) + wall * pressure * pressure / 2.0;
}

double TwistEnergy(const hydraulics::RotaryValve<double>& valve, double twist) {
  const double size = std::abs(twist);
  const double width = hydraulics::kStopRounding * valve.stop;
  const double past = size - valve.stop;
  // The integral of SoftPositive: a cubic within the rounding, then a parabola.
  double stop = 0.0;
  if (past >= width / 2.0) {
    stop = past * past / 2.0 + width * width / 24.0;
  } else if (past > -width / 2.0) {
    stop = std::pow(past + width / 2.0, 3.0) / (6.0 * width);
  }
  return valve.stiffness * (size * size / 2.0 + hydraulics::kStopStiffness * stop);
}

double PassageLoss(const hydraulics::Network<double>& network, const NodeVector<double>& pressure) {
  double loss = 0.0;
  const auto add = [&](const auto& passages) {
    for (const auto& p : passages) {
      const double drop =
          hydraulics::PressureAt(pressure, p.from) - hydraulics::PressureAt(pressure, p.to);
      loss += drop * hydraulics::FlowThrough<double>(p.law, drop).flow;
    }
  };
  add(network.orifices);
  add(network.lines);
  add(network.checks);
  return loss;
}

}  // namespace steerbench::simulate
