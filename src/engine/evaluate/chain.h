// Tyre, linkage, rack, valve, pump and control valves of one car tied together, ready to be
// weighed at the hand wheel in one state after another. How: docs/methods/weight.md.
// SI units and radians; T is double or Jet.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <string_view>
#include <utility>
#include <vector>

#include "engine/effort/hand_wheel.h"
#include "engine/evaluate/front.h"
#include "engine/evaluate/loaded_axle.h"
#include "engine/evaluate/oil.h"
#include "engine/evaluate/rack_limits.h"
#include "engine/evaluate/steer_map.h"
#include "engine/hydraulics/characteristic.h"
#include "engine/hydraulics/curves.h"
#include "engine/hydraulics/steady.h"
#include "engine/tyre/standing.h"
#include "engine/tyre/vehicle.h"

namespace steerbench {

// A result, or in words why there is none, without a full stop.
template <class R>
using Said = Outcome<R, std::string_view>;

// The hand wheel turned slowly one way: its torque, and the oil meanwhile (unset when the
// assistance is lost or there is none).
template <class T>
struct Weighed {
  effort::HandTorque<T> hand;  // in the rack's sense: positive turns the rack to the left
  std::optional<hydraulics::SteadyState<T>> oil;
  T load{};     // that valve and hand push the rack with, in the rack's sense [N]
  T to_left{};  // hand.total in the hand wheel's sense: positive turns the car to the left [N m]
};

// A standing car's ground.
struct Ground {
  tyre::Brake brake = tyre::Brake::kOff;
  bool wet = false;
};

// What helps the hand: oil circuit, pump drive and coils of one car. Rack, pump, pulley, fluid,
// control valves and their wiring make it; the linkage does not.
template <class T>
class Assist {
 public:
  // `hand` is unset, with `hand_missing`, when ratio or column are not known. The reference to
  // `fitted` is kept. Assumptions are noted. `roots`, unless null, is what the circuit's solves
  // share with those of other derivatives of the same car; kept.
  Assist(const Fitted<T>& fitted, const std::optional<HandToRack<T>>& hand,
         const Missing& hand_missing, std::vector<Assumption>& assumed,
         hydraulics::KnownRoots* roots = nullptr);

  // Whether there is any; without, 'assist lost' is how the car always is.
  [[nodiscard]] bool Present() const {
    const std::optional<bool> rack = f_.rack ? IsAssisted(*f_.rack) : std::nullopt;
    return rack.value_or(f_.pump.has_value());
  }

  // What is missing for it at a road speed [m/s], the pump's speed being given. Nothing below may
  // be called before it is empty.
  [[nodiscard]] Missing LacksBesideEngine(double road_speed) const;

  // With the engine idling where the car stands, else at cruise speed: that too.
  [[nodiscard]] Missing Lacks(double road_speed) const;

  // Speed of the pump at an engine speed.
  [[nodiscard]] T PumpSpeedAt(const T& engine_speed) const {
    return PumpSpeedOf<T>(f_, engine_speed);
  }
  [[nodiscard]] T IdleSpeed() const { return PumpSpeedAt(*f_.car.engine.idle); }
  [[nodiscard]] T CruiseSpeed() const { return PumpSpeedAt(*f_.car.engine.cruise); }

  [[nodiscard]] hydraulics::Circuit<T>& Circuit() { return *circuit_; }

  // The circuit's conditions at a road speed, rack at rest, no load.
  [[nodiscard]] hydraulics::Condition<T> At(const T& pump_speed, double road_speed) const;

 private:
  // Currents of the coils at a road speed, or what is missing for them; each speed solved once.
  struct Currents {
    double road_speed = 0.0;
    std::optional<std::vector<T>> known;
    Missing missing;
  };
  [[nodiscard]] const Currents& CurrentsAt(double road_speed) const;

  const Fitted<T>& f_;
  Missing missing_;
  mutable std::vector<Currents> currents_;
  std::optional<hydraulics::Circuit<T>> circuit_;
};

template <class T>
class Chain {
 public:
  // References are kept. `hand` is unset, with `hand_missing`, when ratio or column are not known.
  // Assumptions are noted as they are made. `roots` as for Assist.
  Chain(const Fitted<T>& fitted, const Front<T>& front, const std::optional<HandToRack<T>>& hand,
        const Missing& hand_missing, std::vector<Assumption>& assumed,
        hydraulics::KnownRoots* roots = nullptr);
  Chain(const Chain&) = delete;
  Chain& operator=(const Chain&) = delete;

  // Weighs with the assistance of another car, which has the same rack and column, from now on.
  // The reference is kept.
  void TakeAssist(Assist<T>& other) { assist_ = &other; }

  [[nodiscard]] bool HasAssist() const { return assist_->Present(); }

  // What is missing for each: a standing car, a bend, and with assistance at a road speed besides.
  // Nothing else below may be called before what it needs is known.
  [[nodiscard]] Missing StandingLacks(bool wet) const;
  [[nodiscard]] Missing BendLacks() const;
  [[nodiscard]] Missing AssistLacks(double road_speed) const { return assist_->Lacks(road_speed); }
  [[nodiscard]] Missing AssistLacksBesideEngine(double road_speed) const {
    return assist_->LacksBesideEngine(road_speed);
  }
  // What is missing for how the car answers to its road wheels.
  [[nodiscard]] Missing HandlingLacks() const;

  // Both wheels at a rack travel. `from`: poses solved nearby, by Side, or null.
  using Poses = std::array<linkage::Pose, 2>;
  [[nodiscard]] Said<PosedAxle<T>> PoseAt(const T& travel, const Poses* from = nullptr) const;

  // The same standing on a ground, rubbing on the spot. Source: tyre/standing.h.
  [[nodiscard]] Said<LoadedAxle<T>> Standing(const Ground& ground, const PosedAxle<T>& posed);
  [[nodiscard]] Said<LoadedAxle<T>> Standing(const Ground& ground, const T& travel);

  // Both wheels in a steady bend, to the left positive. Source: tyre/vehicle.h.
  [[nodiscard]] Said<LoadedAxle<T>> InBend(double speed, double ay);

  // Both wheels at a mean steer angle [rad], under the car's weight alone.
  [[nodiscard]] Said<LoadedAxle<T>> AtSteer(const T& steer) const;

  // Mean steer angle that a bend asks for [rad].
  [[nodiscard]] Said<T> SteerAt(double speed, double ay);

  // From now on axles between the map's angles are looked up in it. Without derivatives alone: with
  // them they are solved all the same.
  void TakeSteerMap(SteerMap map) { steered_ = std::move(map); }

  // How the car answers to its road wheels, tyres linear. Needs HandlingLacks() to be empty.
  // Source: tyre/vehicle.h.
  [[nodiscard]] Said<tyre::Handling<T>> Handling() const;

  // Turned slowly to one side of the car, with the assistance that the load calls up at this speed
  // of the pump; `pump_speed` unset: assistance lost.
  [[nodiscard]] Said<Weighed<T>> Turn(const LoadedAxle<T>& axle, effort::Direction side,
                                      const std::optional<T>& pump_speed, double road_speed);

  // What turning slowly to one side of the car asks for, before assistance.
  struct Task {
    effort::Mechanism<T> mechanism;  // with its seals
    effort::RackLoad<T> load;
    effort::HandTorque<T> bare;  // without assistance
    // Pinion torque per rack force [m/rad], what the mesh loses included: below zero where the load
    // cannot drive the pinion, for the mesh loses more than it brings.
    T travel_per_radian{};
  };
  [[nodiscard]] Said<Task> TaskOf(const LoadedAxle<T>& axle, effort::Direction side) const;

  // Let go, no torque at the valve and so no assistance beyond its centre: with what the hand wheel
  // comes back by itself.
  [[nodiscard]] Said<effort::HoldBand<T>> LetGo(const LoadedAxle<T>& axle);

  // Hand-wheel speeds at which the piston outruns the pump with a load of the rack, rack centred.
  struct CatchUp {
    T left, right;                                    // [rad/s]
    hydraulics::OilTaken<T> oil_left{}, oil_right{};  // what takes the oil then
    hydraulics::Marks marks;
  };
  [[nodiscard]] Said<CatchUp> CatchUpUnder(const T& rack_force, const T& pump_speed);

  // Rack speed [m/s] at a hand-wheel speed [rad/s], rack centred, in the rack's sense.
  [[nodiscard]] T RackSpeedAt(const T& hand_wheel_speed) const;

  // Needs AssistLacks() to be empty.
  [[nodiscard]] T PumpSpeedAt(const T& engine_speed) const {
    return assist_->PumpSpeedAt(engine_speed);
  }
  [[nodiscard]] hydraulics::Circuit<T>& Circuit() { return assist_->Circuit(); }
  [[nodiscard]] hydraulics::Condition<T> At(const T& pump_speed, double road_speed) const {
    return assist_->At(pump_speed, road_speed);
  }

  // Torque or force of the hand wheel from the rack's sense to the car's: +1 or -1.
  [[nodiscard]] double Sense() const { return hand_->turn; }

 private:
  T Need(const std::optional<T>& field, std::string_view path);
  [[nodiscard]] Missing Common() const;
  [[nodiscard]] Said<effort::WheelSide<T>> InCar(const linkage::WheelState<T>& s, Side side) const;
  [[nodiscard]] effort::Mechanism<T> MechanismAt(const T& travel) const;
  [[nodiscard]] effort::Mechanism<T> WithSeals(effort::Mechanism<T> mechanism) const;
  [[nodiscard]] effort::Direction OfRack(effort::Direction side) const;
  [[nodiscard]] std::optional<tyre::Patch<T>> PatchOf(const Tyre<T>& tyre);
  [[nodiscard]] tyre::AxleTyre<T> AxleTyre(const Tyre<T>& t, const T& load);
  [[nodiscard]] tyre::RoadCar<T> RoadCar();
  [[nodiscard]] T Lifted(double travel, double rate, const T& steer, const Poses& pose) const;
  [[nodiscard]] Said<tyre::Bend<T>> ForcesAt(double ay);
  [[nodiscard]] Said<T> SteerIn(const tyre::Bend<T>& bend, double speed, double ay) const;
  [[nodiscard]] Said<LoadedAxle<T>> MakeBend(double speed, double ay);

  const Fitted<T>& f_;
  const Front<T>& front_;
  const std::optional<HandToRack<T>>& hand_;
  std::vector<Assumption>& assumed_;
  Assist<T> own_assist_;
  Assist<T>* assist_ = &own_assist_;
  Missing missing_;
  std::array<std::optional<SeenWheel<T>>, 2> centred_;
  struct Bend {
    double speed = 0.0, ay = 0.0;
    Said<LoadedAxle<T>> axle;
  };
  std::optional<Bend> bend_;  // the last one made, for those who share it
  struct Forces {
    double ay = 0.0;
    Said<tyre::Bend<T>> bend;
  };
  std::vector<Forces> forces_;  // as they were asked for, for any speed
  std::optional<SteerMap> steered_;
  T load_{};  // on one front wheel
  T rim_radius_{}, joint_friction_{}, column_friction_{}, rack_friction_{}, seal_friction_{};
  T efficiency_{};
};

// The axle at the steer angles of bends of every acceleration at every speed, for TakeSteerMap;
// unset where such a map misses a pose that it was not made of.
[[nodiscard]] std::optional<SteerMap> MapBends(Chain<double>& chain, const std::vector<double>& ay,
                                               std::span<const double> speeds);

// The torque of Chain::Turn with what the oil does looked up.
struct LookedUp {
  double to_left = 0.0;  // [N m]
  hydraulics::Marks doubts;
};
[[nodiscard]] Said<LookedUp> TurnWith(const Chain<double>& chain,
                                      const hydraulics::Characteristic& oil,
                                      const LoadedAxle<double>& axle, effort::Direction side);

}  // namespace steerbench
