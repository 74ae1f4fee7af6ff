// A fitted car with its plus-minus in, results with theirs out.
#pragma once

#include <string>
#include <vector>

#include "engine/evaluate/evaluate.h"
#include "engine/limits/margin.h"
#include "model/lift.h"

namespace steerbench {

// How one input bears on one result.
struct Contribution {
  std::size_t input = 0;     // index in Propagated::inputs
  double sensitivity = 0.0;  // d(result)/d(input), SI
  double half_width = 0.0;   // |sensitivity| times the input's plus-minus; 0 without one
};

// A number with its plus-minus (about 95 %, coverage factor 2), SI, and where it comes from.
struct Figure {
  double value = 0.0;
  double tolerance = 0.0;  // of all inputs that state one, taken as independent
  // Inputs that bear on it, the largest share of the plus-minus first; those without a plus-minus
  // behind them.
  std::vector<Contribution> from;
  bool assumed = false;     // leans on an input marked 'typical' or 'guess'
  bool too_narrow = false;  // leans on an input without a stated plus-minus
};

struct PropagatedMargin {
  std::optional<Figure> margin;
  std::optional<double> limit;  // the bound itself, SI
  bool at_least = true;         // it is a least value, else a greatest
  limits::Status status = limits::Status::kUnknown;
  double wanted = 0.0;
  bool absent = false;
  bool out_of_sight = false;
  std::string circumstance;          // as Margin's
  std::vector<std::string> missing;  // full document paths
};

struct PropagatedResult {
  std::optional<Figure> figure;
  std::vector<std::string> missing;
  bool failed = false;  // as Result's
};

struct PropagatedEnd {
  RackEnd end = RackEnd::kHousingStop;
  std::optional<Figure> travel;
  std::optional<Side> wheel;
  double jounce = 0.0;
  std::optional<std::size_t> obstacle;
  bool binds = false;
  PropagatedMargin margin;  // travel left between the meant end and this limit
};

struct Propagated {
  Level level = Level::kUnknown;
  std::vector<Evaluation<double>::Breakdown> breakdown;
  std::vector<std::string> notes;
  std::optional<ControlTrouble> control_trouble;
  std::vector<std::optional<Figure>> control_torque;  // as Evaluation's
  std::array<std::optional<std::size_t>, 2> plate_row;
  std::vector<Assumption> assumed;
  std::vector<Trouble> trouble;
  std::optional<bool> steers_to_own_side;  // rack travel to the left steers left
  std::vector<Input> inputs;
  std::array<PropagatedResult, kOutputs> result;
  std::array<std::vector<PropagatedEnd>, 2> ends;  // by Way, nearest first
  std::array<PropagatedMargin, kChecks> check;

  const PropagatedResult& operator[](Output id) const {
    return result[static_cast<std::size_t>(id)];
  }
};

// Evaluates with exact first derivatives to every input and combines the plus-minus of the inputs,
// taken as independent, in quadrature. Valid while results are near linear over the plus-minus and
// the same limit ends the travel all over it (else one of them is 'close'): tests compare it with
// Monte Carlo on the demo. One evaluation per kJetWidth inputs.
// Source: JCGM 100:2008, 5.1.2 (law of propagation), 6.2 (one coverage factor throughout).
[[nodiscard]] Propagated Propagate(const Fitted<Quantity>& fitted);

// Status of a margin with its ±. What is known may be beyond the limit, or probably so; that it
// holds is not sure while a part is missing.
[[nodiscard]] limits::Status MarginStatus(const Margin<double>& margin, double tolerance);

// Status of a limit of the travel: a limit that comes before the stop is exceeded, and so is the
// first one there is when the stops are removed; the stop itself holds. One that may come sooner
// than known, because something is missing, is exceeded or unknown.
[[nodiscard]] limits::Status EndStatus(const PropagatedEnd& end, StopState stop);

}  // namespace steerbench
