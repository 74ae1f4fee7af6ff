#include "simulate/stiff.h"

#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <algorithm>
#include <cmath>
#include <new>

namespace steerbench::simulate {
namespace {

int Call(double time, N_Vector state, N_Vector rate, void* data) {
  const double* y = N_VGetArrayPointer(state);
  double* dy = N_VGetArrayPointer(rate);
  (*static_cast<Rates*>(data))(time, y, dy);
  // A positive answer makes CVODE try a shorter step.
  return std::all_of(dy, dy + N_VGetLength(rate), [](double x) { return std::isfinite(x); }) ? 0
                                                                                             : 1;
}

// Failures come back as flags; the library need not write to standard error.
void Silent(int, const char*, const char*, char*, void*) {}

template <class T>
T* Made(T* handle) {
  if (handle == nullptr) throw std::bad_alloc();
  return handle;
}

struct FreeContext {
  void operator()(SUNContext c) const { SUNContext_Free(&c); }
};
struct FreeVector {
  void operator()(N_Vector v) const { N_VDestroy(v); }
};
struct FreeMatrix {
  void operator()(SUNMatrix m) const { SUNMatDestroy(m); }
};
struct FreeSolver {
  void operator()(SUNLinearSolver s) const { SUNLinSolFree(s); }
};
struct FreeMemory {
  void operator()(void* m) const { CVodeFree(&m); }
};
template <class Handle, class Free>
using Owned = std::unique_ptr<std::remove_pointer_t<Handle>, Free>;

SUNContext NewContext() {
  SUNContext context = nullptr;
  SUNContext_Create(nullptr, &context);
  return Made(context);
}

N_Vector NewVector(const std::vector<double>& values, SUNContext context) {
  N_Vector v = Made(N_VNew_Serial(static_cast<sunindextype>(values.size()), context));
  std::copy(values.begin(), values.end(), N_VGetArrayPointer(v));
  return v;
}

}  // namespace

// Members are freed from the last to the first, as CVODE wants it.
struct Stiff::Handles {
  Rates rates;
  Owned<SUNContext, FreeContext> context;
  Owned<N_Vector, FreeVector> state, absolute;
  Owned<SUNMatrix, FreeMatrix> matrix;
  Owned<SUNLinearSolver, FreeSolver> solver;
  std::unique_ptr<void, FreeMemory> memory;
};

Stiff::Stiff(Rates rates, const std::vector<double>& start, double relative,
             const std::vector<double>& absolute, long most_steps)
    : most_steps_(most_steps), handles_(std::make_unique<Handles>()) {
  Handles& h = *handles_;
  const auto size = static_cast<sunindextype>(start.size());
  h.rates = std::move(rates);
  h.context.reset(NewContext());
  h.state.reset(NewVector(start, h.context.get()));
  h.absolute.reset(NewVector(absolute, h.context.get()));
  h.matrix.reset(Made(SUNDenseMatrix(size, size, h.context.get())));
  h.solver.reset(Made(SUNLinSol_Dense(h.state.get(), h.matrix.get(), h.context.get())));
  h.memory.reset(Made(CVodeCreate(CV_BDF, h.context.get())));
  void* m = h.memory.get();
  CVodeSetErrHandlerFn(m, Silent, nullptr);
  const bool ready = CVodeInit(m, Call, 0.0, h.state.get()) == CV_SUCCESS &&
                     CVodeSVtolerances(m, relative, h.absolute.get()) == CV_SUCCESS &&
                     CVodeSetUserData(m, &h.rates) == CV_SUCCESS &&
                     CVodeSetLinearSolver(m, h.solver.get(), h.matrix.get()) == CV_SUCCESS;
  if (!ready) throw std::bad_alloc();
}

Stiff::~Stiff() = default;

Stiff::Status Stiff::AdvanceTo(double time, const Seen& seen) {
  void* m = handles_->memory.get();
  // No step goes past a sample, so that what the hand does after a pause is not stepped over.
  CVodeSetStopTime(m, time);
  for (int flag = CV_SUCCESS; flag != CV_TSTOP_RETURN;) {
    double reached = 0.0;
    flag = CVode(m, time, handles_->state.get(), &reached, CV_ONE_STEP);
    if (flag < 0) return Status::kStuck;
    if (Steps() > most_steps_) return Status::kTooManySteps;
    seen(reached, State());
  }
  return Status::kReached;
}

const double* Stiff::State() const { return N_VGetArrayPointer(handles_->state.get()); }

long Stiff::Steps() const {
  long steps = 0;
  CVodeGetNumSteps(handles_->memory.get(), &steps);
  return steps;
}

}  // namespace steerbench::simulate
