// What pumps, valves and the belt drive of a document contradict themselves in.
#include <fmt/core.h>

#include <cmath>

#include "document/fields.h"
#include "document/read.h"
#include "document/walk.h"

namespace steerbench {
namespace {

// A value that must not lie above another of the same part.
void CheckNotAbove(const Path& part, const Node& node, std::string_view key,
                   const std::optional<Quantity>& value, std::string_view other_key,
                   const std::optional<Quantity>& other, Findings& findings) {
  if (!value || !other || value->value <= other->value) return;
  Path path = part;
  path.push_back({std::string(key)});
  findings.Add({.offset = BeginOf(node, key),
                .field = PathText(path),
                .found = Shortened(value->written),
                .message = fmt::format("more than {}, {}; correct one of the two", other_key,
                                       Shortened(other->written))});
}

// The end of a value's plus-minus up (sign +1) or down (-1).
double EndOf(const Quantity& q, double sign) {
  constexpr double kRead = 0.05;  // as a share, where none is stated
  return q.value + sign * q.tolerance.value_or(kRead * q.value);
}

// A pump gives at most its displacement times its speed.
void CheckDelivery(const Path& part, const Node& node, std::string_view key,
                   const std::optional<Quantity>& displacement,
                   const std::optional<Quantity>& speed, const std::optional<Quantity>& flow,
                   Findings& findings) {
  if (!displacement || !speed || !flow) return;
  const double most = EndOf(*displacement, 1.0) * EndOf(*speed, 1.0);
  if (EndOf(*flow, -1.0) <= most) return;
  Path path = part;
  path.push_back({std::string(key)});
  const Quantity& stated = key == "flow" ? *flow : *speed;
  findings.Add(
      {.offset = BeginOf(node, key),
       .field = PathText(path),
       .found = Shortened(stated.written),
       .message = fmt::format(
           "a displacement of {} gives at most {} at {}, but flow is {}; correct one of the three",
           Shortened(displacement->written),
           ShowIn(displacement->value * speed->value, {}, Kind::kFlow, flow->unit).text,
           Shortened(speed->written), Shortened(flow->written))});
}

// A bench reading tells of the leak only while the flow control lets all through.
void CheckUnregulated(const Path& path, const Node& node, const Pump<Quantity>& pump,
                      const PumpRow<Quantity>& row, Findings& findings) {
  if (!row.flow || !pump.flow) return;
  if (row.flow->value + row.flow->tolerance.value_or(0.0) < pump.flow->value) return;
  findings.Add({.offset = BeginOf(node, "flow"),
                .field = PathText(path) + ".flow",
                .found = Shortened(row.flow->written),
                .message = fmt::format(
                    "as much as its flow control lets through ({}): this row says nothing of the "
                    "leak; read it at a slower speed, or with the flow control blocked",
                    Shortened(pump.flow->written))});
}

void CheckPump(const std::string& name, const Pump<Quantity>& pump, const Node& node,
               const Node& root, Findings& findings) {
  const Path part{{"pump"}, {name}};
  CheckNotAbove(part, node, "relief_cracking", pump.relief_cracking, "relief", pump.relief,
                findings);
  CheckNotAbove(part, node, "flow_at_top", pump.flow_at_top, "flow", pump.flow, findings);
  CheckNotAbove(part, node, "full_flow_speed", pump.full_flow_speed, "top_speed", pump.top_speed,
                findings);
  CheckDelivery(part, node, "full_flow_speed", pump.displacement, pump.full_flow_speed, pump.flow,
                findings);
  ForEachRow(root, {{"pump"}, {name}, {"bench"}}, pump.bench,
             [&](const PumpRow<Quantity>& row, const Node& at, const Path& path) {
               CheckDelivery(path, at, "flow", pump.displacement, row.speed, row.flow, findings);
               CheckUnregulated(path, at, pump, row, findings);
             });
}

void CheckRackPower(const std::string& name, const Rack<Quantity>& rack, const Node& node,
                    Findings& findings) {
  const Path part{{"rack"}, {name}};
  CheckNotAbove(part, node, "piston_rod", rack.piston_rod, "piston_bore", rack.piston_bore,
                findings);
  const auto &rod = rack.piston_rod, &bore = rack.piston_bore;
  const double doubt =
      rod && bore ? std::hypot(rod->tolerance.value_or(0.0), bore->tolerance.value_or(0.0)) : 0.0;
  if (doubt > 0.0 && rod->value <= bore->value && bore->value - rod->value <= doubt) {
    findings.Add(
        {.offset = BeginOf(node, "piston_rod"),
         .field = PathText({{"rack"}, {name}, {"piston_rod"}}),
         .found = Shortened(rod->written),
         .message = fmt::format("within the ± as thick as piston_bore, {}: no piston would "
                                "be left; measure one of the two better",
                                Shortened(bore->written))});
  }
  if (rack.assisted == false && (rack.piston_bore || !rack.boost.empty())) {
    findings.Add({.offset = BeginOf(node, "assisted"),
                  .field = PathText({{"rack"}, {name}, {"assisted"}}),
                  .found = "false",
                  .message = fmt::format("but the rack has a {}; correct one of the two",
                                         rack.piston_bore ? "piston_bore" : "boost curve")});
  }
}

// What turns the valve in a row of a boost curve; null when nothing is said.
const Quantity* TurnedBy(const BoostRow<Quantity>& row) {
  return row.torque ? &*row.torque : row.pull ? &*row.pull : nullptr;
}

// The harder the valve is turned, the more pressure.
void CheckBoost(const std::string& name, const Rack<Quantity>& rack, const Car<Quantity>& car,
                const Node& root, Findings& findings) {
  const BoostRow<Quantity>* before = nullptr;
  ForEachRow(
      root, {{"rack"}, {name}, {"boost"}}, rack.boost,
      [&](const BoostRow<Quantity>& row, const Node& node, const Path& path) {
        const auto add = [&](std::string_view key, const Quantity& q, std::string message) {
          findings.Add({.offset = BeginOf(node, key),
                        .field = fmt::format("{}.{}", PathText(path), key),
                        .found = Shortened(q.written),
                        .message = std::move(message)});
        };
        if (row.torque && rack.torsion_bar && rack.valve_stop) {
          // The valve opens no further than its twist stop.
          const double most = EndOf(*rack.torsion_bar, 1.0) * EndOf(*rack.valve_stop, 1.0);
          if (EndOf(*row.torque, -1.0) > most) {
            add("torque", *row.torque,
                fmt::format("torsion_bar, {}, twisted to valve_stop, {}, makes less; correct one "
                            "of the three",
                            Shortened(rack.torsion_bar->written),
                            Shortened(rack.valve_stop->written)));
          }
        }
        if (row.torque && row.pull) {
          add("pull", *row.pull, "torque says the same in another way; keep one of the two");
        }
        const auto& rim = car.column.rim_diameter;
        const auto& friction = car.friction.column;
        const bool turns = row.pull && row.pull->value > 0.0 && rim && friction;
        if (turns && row.pull->value * rim->value / 2.0 <= friction->value) {
          add("pull", *row.pull,
              fmt::format(
                  "does not overcome car.friction.column, which takes {} at the rim: it does "
                  "not turn the valve; leave the row out or correct one of the two",
                  ShowIn(friction->value * 2.0 / rim->value, {}, Kind::kForce, row.pull->unit)
                      .text));
        }
        const Quantity* turned = TurnedBy(row);
        if (row.pressure && row.pressure->value == 0.0) {
          add("pressure", *row.pressure,
              "oil that flows through the valve has some pressure before it, also where a gauge "
              "shows none: write what may be there with its ±, as 0.5 ± 0.5 bar");
        }
        if (before != nullptr && turned != nullptr && row.pressure) {
          const Quantity* last = TurnedBy(*before);
          const bool alike = before->torque.has_value() == row.torque.has_value();
          if (alike && turned->value <= last->value) {
            add(row.torque ? "torque" : "pull", *turned,
                fmt::format("not more than in the row before, {}; put the rows in order",
                            Shortened(last->written)));
          } else if (row.pressure->value <= before->pressure->value) {
            add("pressure", *row.pressure,
                fmt::format("not more than in the row before, {}, though the valve is turned "
                            "harder; read it again or leave the row out",
                            Shortened(before->pressure->written)));
          }
        }
        if (turned != nullptr && row.pressure) before = &row;
      });
}

// Rows that stand in the order of one of their fields, each further than the one before.
template <class Row>
void CheckRising(const Node& root, const Path& list, const std::vector<Row>& rows,
                 std::string_view key, std::optional<Quantity> Row::*field, Findings& findings) {
  const Quantity* before = nullptr;
  ForEachRow(root, list, rows, [&](const Row& row, const Node& node, const Path& path) {
    const auto& value = row.*field;
    if (!value) return;
    if (before != nullptr && value->value <= before->value) {
      findings.Add({.offset = BeginOf(node, key),
                    .field = fmt::format("{}.{}", PathText(path), key),
                    .found = Shortened(value->written),
                    .message = fmt::format("not more than in the row before, {}; put the rows in "
                                           "order, each once",
                                           Shortened(before->written))});
    }
    before = &*value;
  });
}

// One crank and one pump; one way to tension.
void CheckDrive(const Document& document, const Node& root, Findings& findings) {
  int cranks = 0, pumps = 0;
  ForEachRow(root, {{"car"}, {"drive"}, {"pulley"}}, document.car.drive.pulley,
             [&](const DrivePulley<Quantity>& p, const Node& node, const Path& path) {
               cranks += p.of == PulleyOf::kCrank;
               pumps += p.of == PulleyOf::kPump;
               const bool again = (p.of == PulleyOf::kCrank && cranks > 1) ||
                                  (p.of == PulleyOf::kPump && pumps > 1);
               if (again) {
                 findings.Add({.offset = node.begin,
                               .field = PathText(path) + ".of",
                               .message = fmt::format("a second pulley of the {}; one of them is "
                                                      "another's",
                                                      WordOf(*p.of))});
               }
               if (!p.slot || !(p.pivot_right || p.pivot_up || p.swing)) return;
               findings.Add({.offset = BeginOf(node, "slot"),
                             .field = PathText(path) + ".slot",
                             .message = "it tensions in a slot or on an arm (pivot and swing), not "
                                        "both; remove one of them"});
             });
}

// Oil thins as it warms.
void CheckFluid(const std::string& name, const Fluid<Quantity>& fluid, const Node& node,
                Findings& findings) {
  const auto &cold = fluid.viscosity_40, &hot = fluid.viscosity_100;
  if (!cold || !hot || hot->value < cold->value) return;
  findings.Add(
      {.offset = BeginOf(node, "viscosity_100"),
       .field = PathText({{"fluid"}, {name}, {"viscosity_100"}}),
       .found = Shortened(hot->written),
       .message = fmt::format("not less than viscosity_40, {}: hot oil is thinner; the two "
                              "may be swapped",
                              Shortened(cold->written))});
}

}  // namespace

void CheckPower(const Document& document, const Node& root, Findings& findings) {
  if (const Node* engine = FindMember(FindMember(root, "car"), "engine")) {
    const Engine<Quantity>& e = document.car.engine;
    const Path path{{"car"}, {"engine"}};
    CheckNotAbove(path, *engine, "idle", e.idle, "top", e.top, findings);
    CheckNotAbove(path, *engine, "cruise", e.cruise, "top", e.top, findings);
  }
  ForEachNamed(root, "pump", document.pump,
               [&](const std::string& name, const Pump<Quantity>& pump, const Node& node) {
                 CheckPump(name, pump, node, root, findings);
               });
  ForEachNamed(root, "rack", document.rack,
               [&](const std::string& name, const Rack<Quantity>& rack, const Node& node) {
                 CheckRackPower(name, rack, node, findings);
                 CheckBoost(name, rack, document.car, root, findings);
               });
  ForEachNamed(root, "fluid", document.fluid,
               [&](const std::string& name, const Fluid<Quantity>& fluid, const Node& node) {
                 CheckFluid(name, fluid, node, findings);
               });
  CheckDrive(document, root, findings);
  for (const auto& [name, valve] : document.control_valve) {
    CheckRising(root, {{"control_valve"}, {name}, {"opening"}}, valve.opening, "current",
                &OpeningRow<Quantity>::current, findings);
  }
  CheckRising(root, {{"car"}, {"driver"}, {"current"}}, document.car.driver.current, "road_speed",
              &CurrentRow<Quantity>::road_speed, findings);
}

void CheckPowerWhole(const Document& document, const Node& root, Findings& findings) {
  const auto lacks = [&](const Node& node, const Path& path, std::string_view what) {
    findings.Add({.offset = node.begin,
                  .field = PathText(path),
                  .message = fmt::format("this row lacks {}", what)});
  };
  // One that is there but cannot be read has a finding of its own.
  const auto has = [](const Node& node, std::string_view key) {
    return FindMember(node, key) != nullptr;
  };
  for (const auto& entry : document.rack) {
    const Rack<Quantity>& rack = entry.second;
    ForEachRow(root, {{"rack"}, {entry.first}, {"boost"}}, rack.boost,
               [&](const BoostRow<Quantity>& row, const Node& node, const Path& path) {
                 if (!has(node, "torque") && !has(node, "pull")) {
                   lacks(node, path, "torque or pull, at which its pressure was read");
                 } else if (!has(node, "pressure")) {
                   lacks(node, path, "the pressure at its torque or pull");
                 } else if (const Quantity* turned = TurnedBy(row);
                            &row == rack.boost.data() && turned != nullptr && turned->value > 0.0) {
                   lacks(
                       node, path,
                       "one before it: a boost curve begins with the wheel let go, at a torque or "
                       "pull of 0");
                 }
               });
  }
  for (const auto& entry : document.control_valve) {
    const ControlValve<Quantity>& valve = entry.second;
    ForEachRow(
        root, {{"control_valve"}, {entry.first}, {"opening"}}, valve.opening,
        [&](const OpeningRow<Quantity>& row, const Node& node, const Path& path) {
          if (!has(node, "current")) {
            lacks(node, path, "the current at which it passes so much");
          } else if (!has(node, "diameter") && !has(node, "share")) {
            lacks(node, path, "diameter, or share for a reaction valve");
          } else if (&row == valve.opening.data() && row.current && row.current->value > 0.0) {
            lacks(node, path, "one before it: openings begin with the plug off, at 0 A");
          }
        });
  }
}

}  // namespace steerbench
