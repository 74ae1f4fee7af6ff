#include "engine/belt/tension.h"

#include <cmath>
#include <limits>
#include <optional>

namespace steerbench::belt {
namespace {

template <class T>
std::optional<Fault> WrongDrive(const std::vector<Pulley<T>>& pulleys, const Path<T>& path,
                                const Belt<T>& belt, const Drive<T>& d) {
  const std::size_t n = pulleys.size();
  if (n < 2 || path.span.size() != n || path.wrap.size() != n || d.power.size() != n)
    return Fault{Problem::kTooFew};
  if (d.driver >= n) return Fault{Problem::kNoSuchPulley, static_cast<int>(d.driver)};
  if (d.tensioning == Tensioning::kSprung && (d.tensioner >= n || d.tensioner == d.driver))
    return Fault{Problem::kNoSuchPulley, static_cast<int>(d.tensioner)};
  if (!IsPositive(d.speed)) return Fault{Problem::kSpeed};
  if (!IsPositive(d.tension)) return Fault{Problem::kTension};
  if (!IsPositive(belt.inside_friction, belt.back_friction, belt.ribs))
    return Fault{Problem::kFriction};
  if (!IsNotNegative(belt.mass_per_length)) return Fault{Problem::kNotFinite};
  for (std::size_t i = 0; i < n; ++i) {
    const bool takes = i != d.driver;
    const bool sprung = d.tensioning == Tensioning::kSprung && i == d.tensioner;
    if (takes && (!IsNotNegative(d.power[i]) || (sprung && Value(d.power[i]) > 0.0)))
      return Fault{Problem::kPower, static_cast<int>(i)};
  }
  return std::nullopt;
}

// The span that comes before (the slack side of a driven pulley) and the one after, in travel.
struct Sides {
  std::size_t before, after;
};
template <class T>
Sides SidesOf(std::size_t pulley, std::size_t n, const Drive<T>& d) {
  const std::size_t previous = (pulley + n - 1) % n;
  return d.in_list_order ? Sides{previous, pulley} : Sides{pulley, previous};
}

// Tensions above that of the span which leaves the driver.
template <class T>
std::vector<T> Rises(std::size_t n, const Drive<T>& d) {
  std::vector<T> rise(n, T(0.0));
  std::size_t pulley = d.driver;
  for (std::size_t k = 1; k < n; ++k) {
    pulley = d.in_list_order ? (pulley + 1) % n : (pulley + n - 1) % n;
    const Sides s = SidesOf(pulley, n, d);
    rise[s.after] = rise[s.before] + d.power[pulley] / d.speed;
  }
  return rise;
}

template <class T>
T SlackTension(const std::vector<T>& rise, const Path<T>& path, const Drive<T>& d) {
  if (d.tensioning == Tensioning::kSprung)
    return d.tension - rise[SidesOf(d.tensioner, rise.size(), d).before];
  T weighted{}, length{};
  for (std::size_t i = 0; i < rise.size(); ++i) {
    weighted += rise[i] * path.span[i];
    length += path.span[i];
  }
  return d.tension - weighted / length;
}

}  // namespace

template <class T>
T WedgedFriction(const T& friction, const T& groove_angle) {
  using std::sin;
  return friction / sin(groove_angle / 2.0);
}

template <class T>
Outcome<Tensions<T>, Fault> LeastTensions(const T& power, const T& speed, const T& mass_per_length,
                                          const T& friction, const T& wrap) {
  using std::exp;
  if (!IsNotNegative(power)) return Fault{Problem::kPower};
  if (!IsPositive(speed)) return Fault{Problem::kSpeed};
  if (!IsPositive(friction)) return Fault{Problem::kFriction};
  if (!IsPositive(wrap)) return Fault{Problem::kWrap};
  if (!IsNotNegative(mass_per_length)) return Fault{Problem::kNotFinite};
  Tensions<T> t;
  t.ratio = exp(friction * wrap);
  t.effective = power / speed;
  t.slack = t.effective / (t.ratio - 1.0) + mass_per_length * speed * speed;
  t.tight = t.slack + t.effective;
  if (!IsFinite(t.ratio, t.tight)) return Fault{Problem::kNotFinite};
  return t;
}

template <class T>
Outcome<Loaded<T>, Fault> LoadOn(const std::vector<Pulley<T>>& pulleys, const Path<T>& path,
                                 const Belt<T>& belt, const Drive<T>& drive) {
  using std::log;
  if (const auto wrong = WrongDrive(pulleys, path, belt, drive)) return *wrong;
  const std::size_t n = pulleys.size();
  Loaded<T> l;
  l.tension = Rises(n, drive);
  const T slack = SlackTension(l.tension, path, drive);
  const T centrifugal = belt.mass_per_length * drive.speed * drive.speed;
  T largest{};
  for (std::size_t i = 0; i < n; ++i) {
    l.tension[i] += slack;
    if (!IsPositive(T(l.tension[i] - centrifugal)))
      return Fault{Problem::kSlack, static_cast<int>(i)};
    if (Value(l.tension[i]) > Value(largest)) largest = l.tension[i];
  }
  l.per_rib = largest / belt.ribs;
  T most{};
  for (std::size_t i = 0; i < n; ++i) {
    const Sides s = SidesOf(i, n, drive);
    const bool drives = i == drive.driver;
    const T& high = l.tension[drives ? s.before : s.after];
    const T& low = l.tension[drives ? s.after : s.before];
    const T grip = (pulleys[i].face == Face::kInside ? belt.inside_friction : belt.back_friction) *
                   path.wrap[i];
    if (Value(high) > Value(low) && !IsPositive(grip))
      return Fault{Problem::kWrap, static_cast<int>(i)};
    const T used = log((high - centrifugal) / (low - centrifugal));
    l.grip_used.push_back(IsPositive(grip) ? T(used / grip) : T(0.0));
    if (Value(l.grip_used[i]) <= Value(most)) continue;
    most = l.grip_used[i];
    l.weakest = static_cast<int>(i);
  }
  l.slip_margin =
      Value(most) > 0.0 ? T(1.0 / most - 1.0) : T(std::numeric_limits<double>::infinity());
  if (!IsFinite(most, l.per_rib)) return Fault{Problem::kNotFinite};
  return l;
}

Outcome<int, Fault> RibsNeeded(double power, double capacity_per_rib) {
  if (!IsNotNegative(power)) return Fault{Problem::kPower};
  if (!IsPositive(capacity_per_rib)) return Fault{Problem::kCapacity};
  const double ribs = std::ceil(power / capacity_per_rib);
  if (!(ribs < std::numeric_limits<int>::max())) return Fault{Problem::kCapacity};
  return static_cast<int>(ribs);
}

template <class T>
T TensionFromPluck(const T& mass_per_length, const T& span, const T& frequency) {
  return 4.0 * mass_per_length * span * span * frequency * frequency;
}

template <class T>
T Misalignment(const T& offset, const T& span) {
  using std::atan;
  return atan(offset / span);
}

#define STEERBENCH_INSTANTIATE(T)                                                            \
  template T WedgedFriction(const T&, const T&);                                             \
  template Outcome<Tensions<T>, Fault> LeastTensions(const T&, const T&, const T&, const T&, \
                                                     const T&);                              \
  template Outcome<Loaded<T>, Fault> LoadOn(const std::vector<Pulley<T>>&, const Path<T>&,   \
                                            const Belt<T>&, const Drive<T>&);                \
  template T TensionFromPluck(const T&, const T&, const T&);                                 \
  template T Misalignment(const T&, const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::belt
