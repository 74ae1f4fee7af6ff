// CVODE's handles, owned. Internal to this layer.
#pragma once

#include <functional>
#include <memory>
#include <vector>

namespace steerbench::simulate {

// y' = f(t, y), written into the second array.
using Rates = std::function<void(double time, const double* state, double* rate)>;

// Integrates a stiff system forward. Not to be copied or moved: CVODE holds its address.
class Stiff {
 public:
  // `absolute`: error allowed in each state beside `relative` of it. Throws std::bad_alloc.
  Stiff(Rates rates, const std::vector<double>& start, double relative,
        const std::vector<double>& absolute, long most_steps);
  ~Stiff();
  Stiff(const Stiff&) = delete;
  Stiff& operator=(const Stiff&) = delete;

  enum class Status { kReached, kStuck, kTooManySteps };
  // On to a time later than all before; `seen` is shown every step on the way, the last one at
  // `time` itself.
  using Seen = std::function<void(double time, const double* state)>;
  [[nodiscard]] Status AdvanceTo(double time, const Seen& seen);
  [[nodiscard]] const double* State() const;
  [[nodiscard]] long Steps() const;

 private:
  struct Handles;
  long most_steps_;
  std::unique_ptr<Handles> handles_;
};

}  // namespace steerbench::simulate
