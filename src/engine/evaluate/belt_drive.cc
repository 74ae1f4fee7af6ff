#include "engine/evaluate/belt_drive.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/belt/path.h"
#include "engine/belt/tension.h"
#include "engine/evaluate/oil.h"
#include "engine/limits/margin.h"

namespace steerbench {
namespace {

using enum Output;

template <class T>
class BeltEvaluator {
 public:
  BeltEvaluator(const Fitted<T>& fitted, const Evaluation<double>* found, Evaluation<T>& out)
      : f_(fitted), drive_(fitted.car.drive), found_(found), out_(out) {}

  void Run() {
    for (const Check id : {Check::kBeltNotShort, Check::kBeltNotLong, Check::kBeltGrip}) {
      CheckOf(id).absent = true;
    }
    if (drive_.pulley.empty() || !f_.pulley) {
      if (f_.belt && f_.pump && drive_.pulley.empty()) {
        Note(
            "belt: nothing is said of where its pulleys stand (car.drive.pulley), so not looked at "
            "is whether it fits, grips and can be tensioned");
      }
      return;
    }
    Layout();
    if (!missing_.empty()) return LackAll();
    if (guides_ > 1) {
      return Note("belt: more than one pulley has a slot or an arm; keep that of the one moved");
    }
    const auto slack = belt::PathOver<T>(pulleys_);
    const auto tight =
        guide_ ? belt::PathOver<T>(belt::PlacedAt<T>(pulleys_, *guide_, guide_->to)) : slack;
    if (!slack) return Say(slack.why());
    if (!tight) return Say(tight.why());
    if (!TightensAllAlong(Value(tight->length))) return;
    Lengths(slack->length, tight->length);
    const auto run = AsFitted(*slack, tight->length);
    if (!run) return;
    Set(kBeltWrap, run->wrap[pump_]);
    Grip(*run);
  }

 private:
  void Set(Output id, const T& value) { out_.result[static_cast<std::size_t>(id)].value = value; }
  void Lack(std::initializer_list<Output> ids, const Missing& missing) {
    for (const Output id : ids) out_.result[static_cast<std::size_t>(id)].missing = missing;
  }
  Margin<T>& CheckOf(Check id) { return out_.check[static_cast<std::size_t>(id)]; }
  T Need(const std::optional<T>& field, std::string_view path, Missing& missing) {
    if (!field) missing.push_back(path);
    return field.value_or(T(0.0));
  }

  void LackAll() {
    Lack({kBeltWrap, kBeltShortest, kBeltLongest, kBeltSizeBelow, kBeltSizeAbove, kBeltGripKerb,
          kBeltGripIdle, kBeltGripTop},
         missing_);
    if (!f_.belt) return;
    LackPlace(missing_);
    for (const Check id : {Check::kBeltNotShort, Check::kBeltNotLong, Check::kBeltGrip}) {
      CheckOf(id).absent = id == Check::kBeltGrip ? !f_.pump : !guide_;
      CheckOf(id).missing = missing_;
    }
  }

  // Of a tensioner only what it has: a slot or an arm.
  void LackPlace(const Missing& missing) {
    Lack({guide_ && OnArm() ? kTensionerArm : kTensioner}, missing);
    if (guide_ && OnArm() && spring_) Lack({kSpringTension}, missing);
  }

  // A belt that cannot run so: which pulleys are concerned.
  void Say(const belt::Fault& fault) {
    std::string where;
    for (const int i : {fault.first, fault.second}) {
      if (i < 0 || i >= static_cast<int>(drive_.pulley.size())) continue;
      where += (where.empty() ? "" : ", ") + NameOf(static_cast<std::size_t>(i));
    }
    Note(fmt::format("belt: {}{}", belt::Describe(fault.problem),
                     where.empty() ? "" : fmt::format(" ({})", where)));
  }
  void Note(const std::string& note) { steerbench::Note(out_.notes, note); }

  [[nodiscard]] std::string NameOf(std::size_t pulley) const {
    const std::string& name = drive_.pulley[pulley].name;
    return name.empty() ? fmt::format("pulley {}", pulley + 1) : name;
  }

  // A pulley swung too far lets the belt go slack again; lengths beyond have two places then.
  bool TightensAllAlong(double tight) {
    if (!guide_ || guide_->kind != belt::GuideKind::kArm) return true;
    constexpr double kRounding = 1e-9;  // [m]
    const auto reach = belt::ReachOf<T>(pulleys_, *guide_);
    if (!reach) {
      Say(reach.why());
      return false;
    }
    if (reach->longest <= tight + kRounding) return true;
    Note("belt: the tensioner's arm swings past where the belt is tightest; end its swing there");
    return false;
  }

  // Pulleys, and the guide of the one that tensions.
  void Layout() {
    differential_ = Need(drive_.line_differential, "car.drive.line_differential", missing_);
    std::size_t cranks = 0, pumps = 0;
    for (std::size_t i = 0; i < drive_.pulley.size(); ++i) {
      const DrivePulley<T>& p = drive_.pulley[i];
      if (!p.of) missing_.push_back("car.drive.pulley.of");
      if (p.of == PulleyOf::kCrank) crank_ = i, ++cranks;
      if (p.of == PulleyOf::kPump) pump_ = i, ++pumps;
      pulleys_.push_back({{Need(p.right, "car.drive.pulley.right", missing_),
                           Need(p.up, "car.drive.pulley.up", missing_)},
                          RadiusOf(p),
                          p.back.value_or(false) ? belt::Face::kBack : belt::Face::kInside});
      if (p.slot) AddSlot(i, p);
      if (p.pivot_right || p.pivot_up || p.swing) AddArm(i, p);
    }
    if (cranks != 1 || pumps != 1) missing_.push_back("car.drive.pulley.of");
  }

  T RadiusOf(const DrivePulley<T>& p) {
    const T diameter = p.of == PulleyOf::kCrank
                           ? Need(f_.car.engine.crank_pulley, "car.engine.crank_pulley", missing_)
                       : p.of == PulleyOf::kPump
                           ? Need(f_.pulley->diameter, "pulley.diameter", missing_)
                           : Need(p.diameter, "car.drive.pulley.diameter", missing_);
    if (!p.back.value_or(false)) return diameter / 2.0 + differential_;
    return belt::BackRadius<T>(diameter,
                               Need(drive_.back_distance, "car.drive.back_distance", missing_));
  }

  void AddSlot(std::size_t i, const DrivePulley<T>& p) {
    belt::Guide<T> guide;
    guide.kind = belt::GuideKind::kSlot;
    guide.pulley = i;
    guide.origin = pulleys_[i].centre;
    guide.slot_angle = Need(p.slot_angle, "car.drive.pulley.slot_angle", missing_);
    guide.to = *p.slot;
    guide_ = guide;
    ++guides_;
  }

  // The arm is as long as its pulley's centre lies from the pivot, and starts there.
  void AddArm(std::size_t i, const DrivePulley<T>& p) {
    using std::atan2;
    belt::Guide<T> guide;
    guide.kind = belt::GuideKind::kArm;
    guide.pulley = i;
    guide.origin = {Need(p.pivot_right, "car.drive.pulley.pivot_right", missing_),
                    Need(p.pivot_up, "car.drive.pulley.pivot_up", missing_)};
    const T swing = Need(p.swing, "car.drive.pulley.swing", missing_);
    const belt::Vec2<T> arm = pulleys_[i].centre - guide.origin;
    ++guides_;
    if (!missing_.empty()) return;
    if (!(Value(arm.squaredNorm()) > 0.0) || Value(swing) == 0.0) {
      return Note("belt: the tensioner's arm has no length or no swing");
    }
    guide.arm = arm.norm();
    guide.from = atan2(arm.y(), arm.x());
    guide.to = guide.from + swing;
    guide_ = guide;
    spring_ = p.spring;
  }

  // By the length printed on a belt, which is that at the stated diameters.
  T Effective(const T& pitch_length) const { return pitch_length - Around(); }
  T Around() const { return differential_ * (2.0 * M_PI); }

  void Lengths(const T& slack, const T& tight) {
    const T shortest = Effective(slack), longest = Effective(tight);
    Set(kBeltShortest, shortest);
    Set(kBeltLongest, longest);
    if (drive_.length_step) {
      const auto size =
          belt::StandardNear(Value(shortest + longest) / 2.0, Value(*drive_.length_step));
      if (!size) return Say(size.why());
      Set(kBeltSizeBelow, T(size->below));  // as sold: no ± but that of which of them it is
      Set(kBeltSizeAbove, T(size->above));
    } else {
      Lack({kBeltSizeBelow, kBeltSizeAbove}, {"car.drive.length_step"});
    }
    if (!f_.belt || !guide_) return;
    Margin<T>& least = CheckOf(Check::kBeltNotShort);
    Margin<T>& most = CheckOf(Check::kBeltNotLong);
    least.absent = most.absent = false;
    least.limit = shortest;
    most.limit = longest;
    most.at_least = false;
    if (!f_.belt->length) {
      least.missing = most.missing = {"belt.length"};
      return;
    }
    least.value = *f_.belt->length - shortest;
    most.value = longest - *f_.belt->length;
  }

  // The run with the belt fitted and tensioned; without a belt or a tensioner, as the pulleys
  // stand.
  std::optional<belt::Path<T>> AsFitted(const belt::Path<T>& slack, const T& tight) {
    if (!f_.belt) return slack;
    if (!guide_) {
      steerbench::Note(out_.assumed, Assumption::kBeltAsItStands);
      return slack;
    }
    if (!f_.belt->length) {
      LackPlace({"belt.length"});
      Lack({kBeltWrap, kBeltGripKerb, kBeltGripIdle, kBeltGripTop}, {"belt.length"});
      CheckOf(Check::kBeltGrip).absent = !f_.pump;
      CheckOf(Check::kBeltGrip).missing = {"belt.length"};
      return std::nullopt;
    }
    const T length = *f_.belt->length + Around();
    const double share = Value(length - slack.length) / Value(tight - slack.length);
    const auto placed = Place(length, share);
    if (!placed) {
      Say(placed.why());
      return std::nullopt;
    }
    Stands(*placed);
    pulleys_ = belt::PlacedAt<T>(pulleys_, *guide_, placed->position);
    return placed->path;
  }

  [[nodiscard]] bool OnArm() const { return guide_->kind == belt::GuideKind::kArm; }
  [[nodiscard]] double Sense() const {
    return Value(guide_->to) < Value(guide_->from) ? -1.0 : 1.0;
  }

  // Where the tensioner stands, and the tension that balances its spring: by virtual work the
  // spring's torque is the tension times how much the belt would lengthen per angle.
  void Stands(const belt::Placed<T>& placed) {
    const T moved = (placed.position - guide_->from) * Sense();
    if (!OnArm()) return Set(kTensioner, moved);
    Set(kTensionerArm, moved);
    if (!spring_) return;
    using std::cos;
    using std::sin;
    const std::size_t n = pulleys_.size(), k = guide_->pulley;
    const belt::Vec2<T> pull = placed.path.direction[(k + n - 1) % n] - placed.path.direction[k];
    const belt::Vec2<T> rate{-sin(placed.position), cos(placed.position)};
    spring_tension_ = *spring_ / (guide_->arm * pull.dot(rate) * Sense());
    Set(kSpringTension, *spring_tension_);
  }

  // With derivatives: at the place found without them. Else Newton's method from the share of the
  // range that the length asks for, and the search over all of it where that fails.
  Outcome<belt::Placed<T>, belt::Fault> Place(const T& pitch_length, double share) const {
    constexpr int kMostSteps = 8;
    constexpr double kSame = 1e-13;  // [m]
    const double from = Value(guide_->from), to = Value(guide_->to);
    const auto* moved = found_ ? &(*found_)[OnArm() ? kTensionerArm : kTensioner] : nullptr;
    const bool known = moved && *moved;
    double place = known ? from + Sense() * **moved : from + share * (to - from);
    const auto inside = [&](double x) {
      return x >= std::min(from, to) && x <= std::max(from, to);
    };
    for (int step = 0; step < kMostSteps && inside(place); ++step) {
      const auto placed = belt::PlacedFrom<T>(pulleys_, *guide_, pitch_length, place);
      if (!placed) break;
      const double next = Value(placed->position);
      if (known || std::abs(next - place) < kSame) return placed;
      place = next;
    }
    return belt::PlaceFor<T>(pulleys_, *guide_, pitch_length);
  }

  // Grip used turning at the kerb; and, which is what it has to hold, with the pump at its relief
  // pressure, engine idling and at its top speed.
  void Grip(const belt::Path<T>& run) {
    if (!f_.belt || !f_.pump) return;
    Margin<T>& margin = CheckOf(Check::kBeltGrip);
    margin.absent = false;
    Missing missing;
    belt::Belt<T> belt;
    const T mass = Need(f_.belt->mass, "belt.mass", missing);
    belt.mass_per_length = mass / run.length;
    belt.inside_friction = Need(f_.belt->friction, "belt.friction", missing);
    belt.back_friction = f_.belt->back_friction.value_or(T(0.0));
    belt.ribs = T(1.0);
    belt::Drive<T> drive;
    drive.driver = crank_;
    if (spring_tension_) {
      drive.tensioning = belt::Tensioning::kSprung;
      drive.tensioner = guide_->pulley;
      drive.tension = *spring_tension_;
    } else {
      drive.tension = Need(drive_.tension, "car.drive.tension", missing);
    }
    for (const DrivePulley<T>& p : drive_.pulley) {
      const bool own = p.of == PulleyOf::kOther;
      drive.power.push_back(own ? Need(p.power, "car.drive.pulley.power", missing) : T(0.0));
      if (own && p.back.value_or(false) && !f_.belt->back_friction && p.power &&
          Value(*p.power) > 0.0) {
        missing.push_back("belt.back_friction");
      }
    }
    if (!f_.belt->back_friction) belt.back_friction = belt.inside_friction;  // of idlers alone
    const T torque_per_pressure = Need(f_.pump->displacement, "pump.displacement", missing) /
                                  f_.pump->efficiency.value_or(T(1.0));
    GripAtKerb({run, belt, drive, torque_per_pressure, missing});
    const T torque = torque_per_pressure * Need(ReliefOf(f_), "pump.relief", missing);
    margin.limit = f_.limits.belt_grip.value_or(T(limits::kMostBeltGrip));
    margin.at_least = false;
    const Load load{run, belt, drive, torque, missing};
    GripAt(kBeltGripIdle, f_.car.engine.idle, "car.engine.idle", load);
    GripAt(kBeltGripTop, f_.car.engine.top, "car.engine.top", load);
  }

  // What the belt carries, but for the speed; with what is missing for it.
  struct Load {
    const belt::Path<T>& run;
    belt::Belt<T> belt;
    belt::Drive<T> drive;
    T torque;
    Missing missing;
  };

  // The belt under a load with the engine at a speed.
  auto Loaded(const Load& load, const T& speed) const {
    belt::Drive<T> drive = load.drive;
    drive.speed = speed * pulleys_[crank_].radius;
    // A spring holds against what the running belt presses with, which is less by its lift.
    if (spring_tension_) drive.tension += load.belt.mass_per_length * drive.speed * drive.speed;
    drive.power[pump_] = load.torque * PumpSpeedOf<T>(f_, speed);
    return belt::LoadOn<T>(pulleys_, load.run, load.belt, drive);
  }

  // `load` carries the pump's torque for each pressure. A belt that slips there turns the pump
  // slower than everything weighed at the kerb takes it to.
  void GripAtKerb(Load load) {
    const Result<T>& pressure = out_.result[static_cast<std::size_t>(kKerbPressure)];
    if (!pressure.value && pressure.missing.empty()) return;  // no weights were asked for
    Append(load.missing, pressure.missing);
    const T speed = Need(f_.car.engine.idle, "car.engine.idle", load.missing);
    if (!load.missing.empty()) return Lack({kBeltGripKerb}, load.missing);
    load.torque *= *pressure.value;
    const auto loaded = Loaded(load, speed);
    if (!loaded) return Say(loaded.why());
    const auto weakest = static_cast<std::size_t>(loaded->weakest);
    const T used = loaded->grip_used[weakest];
    Set(kBeltGripKerb, used);
    if (Value(used) <= 1.0) return;
    Note(
        fmt::format("belt: slips on the {} when turning at the kerb, engine idling: the pump then "
                    "turns slower than is taken, and the hand wheel may be heavier",
                    NameOf(weakest)));
  }

  // The margin is that of the speed at which less is left.
  void GripAt(Output id, const std::optional<T>& engine, std::string_view path, const Load& load) {
    Margin<T>& margin = CheckOf(Check::kBeltGrip);
    Missing missing = load.missing;
    const T speed = Need(engine, path, missing);
    if (!missing.empty()) {
      Lack({id}, missing);
      for (const std::string_view m : missing) steerbench::Note(margin.missing, m);
      return;
    }
    const auto loaded = Loaded(load, speed);
    if (!loaded) {
      margin.may_be_less = true;
      return Say(loaded.why());
    }
    const auto weakest = static_cast<std::size_t>(loaded->weakest);
    const T used = loaded->grip_used[weakest];
    Set(id, used);
    const T left = *margin.limit - used;
    if (margin.value && Value(left) >= Value(*margin.value)) return;
    margin.value = left;
    margin.circumstance = fmt::format("first on the {}, {}", NameOf(weakest),
                                      id == kBeltGripIdle ? "engine idling" : "top engine speed");
  }

  const Fitted<T>& f_;
  const BeltDrive<T>& drive_;
  const Evaluation<double>* found_;
  Evaluation<T>& out_;
  Missing missing_;
  std::vector<belt::Pulley<T>> pulleys_;
  std::optional<belt::Guide<T>> guide_;
  T differential_{};
  std::optional<T> spring_, spring_tension_;  // of a tensioner on an arm
  std::size_t crank_ = 0, pump_ = 0;
  int guides_ = 0;
};

}  // namespace

template <class T>
void AddBelt(const Fitted<T>& fitted, const Evaluation<double>* found, Evaluation<T>& out) {
  BeltEvaluator<T>(fitted, found, out).Run();
}

template void AddBelt<double>(const Fitted<double>&, const Evaluation<double>*,
                              Evaluation<double>&);
template void AddBelt<Jet>(const Fitted<Jet>&, const Evaluation<double>*, Evaluation<Jet>&);

}  // namespace steerbench
