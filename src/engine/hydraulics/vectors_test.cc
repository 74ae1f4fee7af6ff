// The network against vectors made by another method in another language
// (tests/crosscheck/hydraulics_vectors.py: plain Python, one node at a time by bisection).
#include <doctest/doctest.h>

#include <fstream>
#include <nlohmann/json.hpp>

#include "engine/hydraulics/network.h"

namespace steerbench::hydraulics {
namespace {

using nlohmann::json;

PumpLaw<double> PumpOf(const json& p, const FluidState<double>& oil) {
  const double ideal = p.at("ideal");
  Pump<double> pump;
  pump.displacement = ideal;  // at one radian per second
  pump.leak = p.at("leak").get<double>() * oil.dynamic;
  pump.relief = Relief<double>{p.at("cracking"), p.at("full"), p.at("full_flow")};
  return MakePump<double>(pump, 1.0, oil, kAtmosphere);
}

Network<double> NetworkOf(const json& row) {
  const double rho = row.at("rho"), mu = row.at("mu");
  const FluidState<double> oil = {rho, mu / rho, mu, {}};
  Network<double> net;
  net.nodes = static_cast<int>(row.at("injected").size());
  net.injected.setZero(net.nodes);
  for (int i = 0; i < net.nodes; ++i) net.injected[i] = row.at("injected").at(i);
  net.pump = PumpOf(row.at("pump"), oil);
  for (const json& o : row.at("orifices")) {
    net.orifices.Add({o.at("from"), o.at("to"),
                      MakeRoundOrifice<double>(o.at("area"), o.at("cd").get<double>(), oil)});
  }
  for (const json& l : row.at("lines")) {
    const Line<double> line = {l.at("length"), l.at("bore"), l.at("bends"), 0.0};
    net.lines.Add({l.at("from"), l.at("to"), MakeLine<double>(line, oil)});
  }
  return net;
}

}  // namespace

TEST_CASE("networks agree with bisection in another language") {
  const json rows = json::parse(std::ifstream(STEERBENCH_HYDRAULICS_VECTORS));
  CHECK(rows.size() >= 16);
  for (const json& row : rows) {
    const Network<double> net = NetworkOf(row);
    NodeVector<double> pressure = NodeVector<double>::Constant(net.nodes, 1e5);
    NodalState state;
    REQUIRE(SolveNetwork(net, pressure, state).solved);
    for (int i = 0; i < net.nodes; ++i) {
      const double expected = row.at("pressure").at(i);
      CHECK(std::abs(pressure[i] - expected) < 1.0);  // [Pa]; the script stops its sweeps at 1e-4
    }
  }
}

}  // namespace steerbench::hydraulics
