#include "engine/electrics/pwm.h"

#include <cmath>
#include <optional>

namespace steerbench::electrics {
namespace {

template <class T>
std::optional<Fault> WhatIsWrong(const Switched<T>& s) {
  if (!IsNotNegative(s.voltage, s.diode_drop)) return Fault{Problem::kVoltage};
  if (!IsPositive(s.resistance)) return Fault{Problem::kResistance};
  if (!IsPositive(s.inductance)) return Fault{Problem::kInductance};
  if (!IsPositive(s.frequency)) return Fault{Problem::kFrequency};
  if (!IsNotNegative(s.duty) || Value(s.duty) > 1.0) return Fault{Problem::kDuty};
  return std::nullopt;
}

// The current runs down to zero and rests: `time` is the time constant.
template <class T>
void AddGaps(SwitchedCurrent<T>& c, const Switched<T>& s, const T& settled, const T& on_decay,
             const T& time) {
  using std::log;
  c.gaps = true;
  c.least = s.duty * 0.0;
  c.most = settled * (1.0 - on_decay);
  const T running = time * log(1.0 + c.most * s.resistance / s.diode_drop);
  c.mean = (s.duty * s.voltage - s.diode_drop * running * s.frequency) / s.resistance;
}

}  // namespace

template <class T>
Outcome<SwitchedCurrent<T>, Fault> CurrentOf(const Switched<T>& load) {
  using std::exp;
  if (const auto wrong = WhatIsWrong(load)) return *wrong;
  const T time = load.inductance / load.resistance;
  const T settled = load.voltage / load.resistance, below = load.diode_drop / load.resistance;
  const T on = exp(-load.duty / (load.frequency * time));
  const T off = exp(-(1.0 - load.duty) / (load.frequency * time));
  SwitchedCurrent<T> c;
  c.most = (settled * (1.0 - on) - below * on * (1.0 - off)) / (1.0 - on * off);
  c.least = c.most * off - below * (1.0 - off);
  c.mean = (load.duty * load.voltage - (1.0 - load.duty) * load.diode_drop) / load.resistance;
  if (Value(c.least) < 0.0) AddGaps(c, load, settled, on, time);
  c.linear_ripple =
      load.voltage * load.duty * (1.0 - load.duty) / (load.inductance * load.frequency);
  if (!IsFinite(c.mean, c.most, c.least, c.linear_ripple)) return Fault{Problem::kNotFinite};
  return c;
}

template <class T>
T RisingCurrent(const Switched<T>& load, const T& time) {
  using std::exp;
  return load.voltage / load.resistance * (1.0 - exp(-time * load.resistance / load.inductance));
}

template <class T>
Outcome<T, Fault> TimeToReach(const Switched<T>& load, const T& current) {
  using std::log;
  if (const auto wrong = WhatIsWrong(load)) return *wrong;
  const T left = 1.0 - current * load.resistance / load.voltage;
  if (!IsNotNegative(current) || !IsPositive(left)) return Fault{Problem::kUnreachable};
  const T time = -log(left) * load.inductance / load.resistance;
  if (!IsFinite(time)) return Fault{Problem::kNotFinite};
  return time;
}

template <class T>
Outcome<T, Fault> DutyFor(const Switched<T>& load, const T& mean_current) {
  if (!IsNotNegative(mean_current)) return Fault{Problem::kUnreachable};
  Switched<T> tried = load;
  tried.duty =
      (mean_current * load.resistance + load.diode_drop) / (load.voltage + load.diode_drop);
  if (Value(tried.duty) > 1.0) return Fault{Problem::kUnreachable};
  const auto current = CurrentOf(tried);
  if (!current) return current.why();
  if (current->gaps) return Fault{Problem::kUnreachable};
  return tried.duty;
}

#define STEERBENCH_INSTANTIATE(T)                                            \
  template Outcome<SwitchedCurrent<T>, Fault> CurrentOf(const Switched<T>&); \
  template T RisingCurrent(const Switched<T>&, const T&);                    \
  template Outcome<T, Fault> TimeToReach(const Switched<T>&, const T&);      \
  template Outcome<T, Fault> DutyFor(const Switched<T>&, const T&)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::electrics
