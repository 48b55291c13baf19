#include "cvode_run.hpp"

#include "plain_bar.hpp"

#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_band.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <algorithm>
#include <stdexcept>

extern "C" {
void dgbtrf_(const int* m, const int* n, const int* kl, const int* ku, double* ab, const int* ldab, int* ipiv,
             int* info);
void dgbtrs_(const char* trans, const int* n, const int* kl, const int* ku, const int* nrhs, const double* ab,
             const int* ldab, const int* ipiv, double* b, const int* ldb, int* info, std::size_t);
char* openblas_get_corename() __attribute__((weak)); // only OpenBLAS has it
}

namespace tq::test {

namespace {

void check(int flag, const char* what) {
  if (flag < 0)
    throw std::runtime_error(std::string("CVODE: ") + what + " failed with " + std::to_string(flag));
}

/// What SUNDIALS allocates, freed in the right order.
struct Session {
  SUNContext context = nullptr;
  N_Vector y = nullptr, absolute = nullptr;
  SUNMatrix matrix = nullptr;
  SUNLinearSolver solver = nullptr;
  void* cvode = nullptr;

  explicit Session(std::size_t n) {
    check(SUNContext_Create(nullptr, &context), "SUNContext_Create");
    y = N_VNew_Serial(static_cast<sunindextype>(n), context);
    cvode = CVodeCreate(CV_BDF, context);
  }
  Session(const Session&) = delete;
  Session& operator=(const Session&) = delete;
  ~Session() {
    CVodeFree(&cvode);
    if (solver)
      SUNLinSolFree(solver);
    if (matrix)
      SUNMatDestroy(matrix);
    if (absolute)
      N_VDestroy(absolute);
    N_VDestroy(y);
    SUNContext_Free(&context);
  }
  double* values() const { return N_VGetArrayPointer(y); }
};

int bar_rates(realtype, N_Vector y, N_Vector dy, void* user) {
  static_cast<PlainBar*>(user)->rates(N_VGetArrayPointer(y), N_VGetArrayPointer(dy));
  return 0;
}

int bar_jacobian(realtype, N_Vector y, N_Vector, SUNMatrix J, void* user, N_Vector, N_Vector, N_Vector) {
  static_cast<PlainBar*>(user)->jacobian(
      N_VGetArrayPointer(y), [J](std::size_t row, std::size_t column, double value) {
        SM_ELEMENT_B(J, static_cast<sunindextype>(row), static_cast<sunindextype>(column)) += value;
      });
  return 0;
}

/// LAPACK's band factorisation as a linear solver of SUNDIALS, whose own band solver is several times slower.
struct LapackBand {
  std::vector<int> pivots;
};
struct BandShape {
  int n, lower, upper, stride;
  explicit BandShape(SUNMatrix A)
      : n(static_cast<int>(SM_ROWS_B(A))), lower(static_cast<int>(SM_LBAND_B(A))),
        upper(static_cast<int>(SM_UBAND_B(A))), stride(static_cast<int>(SM_LDIM_B(A))) {}
};
SUNLinearSolver_Type lapack_type(SUNLinearSolver) { return SUNLINEARSOLVER_DIRECT; }
int lapack_setup(SUNLinearSolver s, SUNMatrix A) {
  auto* solver = static_cast<LapackBand*>(s->content);
  const BandShape shape(A);
  int info = 0;
  solver->pivots.resize(static_cast<std::size_t>(shape.n));
  dgbtrf_(&shape.n, &shape.n, &shape.lower, &shape.upper, SM_DATA_B(A), &shape.stride, solver->pivots.data(),
          &info);
  return info == 0 ? 0 : 1;
}
int lapack_solve(SUNLinearSolver s, SUNMatrix A, N_Vector x, N_Vector b, realtype) {
  auto* solver = static_cast<LapackBand*>(s->content);
  const BandShape shape(A);
  const int one = 1;
  int info = 0;
  N_VScale(1, b, x);
  dgbtrs_("N", &shape.n, &shape.lower, &shape.upper, &one, SM_DATA_B(A), &shape.stride, solver->pivots.data(),
          N_VGetArrayPointer(x), &shape.n, &info, 1);
  return info == 0 ? 0 : 1;
}
int lapack_free(SUNLinearSolver s) {
  delete static_cast<LapackBand*>(s->content);
  s->content = nullptr;
  SUNLinSolFreeEmpty(s);
  return 0;
}
SUNLinearSolver new_lapack_band(SUNContext context) {
  SUNLinearSolver solver = SUNLinSolNewEmpty(context);
  solver->content = new LapackBand;
  solver->ops->gettype = lapack_type;
  solver->ops->setup = lapack_setup;
  solver->ops->solve = lapack_solve;
  solver->ops->free = lapack_free;
  return solver;
}

struct OperatorProblem {
  conduction::HeatOperator* op;
  conduction::State x, rate;
};
int operator_rates(realtype t, N_Vector y, N_Vector dy, void* user) {
  auto* problem = static_cast<OperatorProblem*>(user);
  const double* from = N_VGetArrayPointer(y);
  std::copy(from, from + problem->x.size(), problem->x.data());
  (*problem->op)(problem->x, problem->rate, t);
  std::copy(problem->rate.data(), problem->rate.data() + problem->rate.size(), N_VGetArrayPointer(dy));
  return 0;
}

} // namespace

CvodeRun run_cvode(const TaperedBar& bar, const CvodeSettings& settings) {
  CvodeRun run;
  const double begin = thread_seconds();
  PlainBar problem(bar);
  Session s(bar.nodes());
  N_VConst(TaperedBar::start_degC, s.y);
  check(CVodeInit(s.cvode, bar_rates, 0, s.y), "CVodeInit");
  check(CVodeSStolerances(s.cvode, settings.relative, 100 * settings.relative), "CVodeSStolerances");
  check(CVodeSetUserData(s.cvode, &problem), "CVodeSetUserData");
  check(CVodeSetMaxOrd(s.cvode, settings.most_order), "CVodeSetMaxOrd");
  check(CVodeSetNonlinConvCoef(s.cvode, settings.nonlinear), "CVodeSetNonlinConvCoef");
  check(CVodeSetMaxNumSteps(s.cvode, 1000000), "CVodeSetMaxNumSteps");
  const auto n = static_cast<sunindextype>(bar.nodes()),
             band = static_cast<sunindextype>(problem.half_band());
  s.matrix = SUNBandMatrixStorage(n, band, band, 2 * band, s.context); // room for the pivoting
  s.solver = new_lapack_band(s.context);
  check(CVodeSetLinearSolver(s.cvode, s.solver, s.matrix), "CVodeSetLinearSolver");
  check(CVodeSetJacFn(s.cvode, bar_jacobian), "CVodeSetJacFn");
  std::vector<double> T(bar.nodes());
  for (double stop : TaperedBar::times_s) {
    realtype t = 0;
    check(CVode(s.cvode, stop, s.y, &t, CV_NORMAL), "CVode");
    problem.to_grid_order(s.values(), T);
    run.points.push_back(bar.points(T));
  }
  run.seconds = thread_seconds() - begin;
  CVodeGetNumSteps(s.cvode, &run.steps);
  CVodeGetNumRhsEvals(s.cvode, &run.rhs);
  CVodeGetNumJacEvals(s.cvode, &run.jacobians);
  CVodeGetNumLinSolvSetups(s.cvode, &run.factorisations);
  return run;
}

std::string lapack_kernels() { return openblas_get_corename ? openblas_get_corename() : ""; }

void integrate_operator(conduction::HeatOperator& op, const conduction::State& state, double relative,
                        const std::vector<double>& absolute, const std::vector<double>& times_s,
                        const std::function<void(std::size_t, const conduction::State&)>& at) {
  OperatorProblem problem{&op, state, state};
  const auto n = static_cast<std::size_t>(state.size());
  if (absolute.size() != n)
    throw std::invalid_argument("one absolute tolerance for each unknown");
  Session s(n);
  std::copy(state.data(), state.data() + state.size(), s.values());
  s.absolute = N_VNew_Serial(static_cast<sunindextype>(n), s.context);
  std::copy(absolute.begin(), absolute.end(), N_VGetArrayPointer(s.absolute));
  check(CVodeInit(s.cvode, operator_rates, 0, s.y), "CVodeInit");
  check(CVodeSVtolerances(s.cvode, relative, s.absolute), "CVodeSVtolerances");
  check(CVodeSetUserData(s.cvode, &problem), "CVodeSetUserData");
  check(CVodeSetMaxNumSteps(s.cvode, 1000000), "CVodeSetMaxNumSteps");
  s.matrix = SUNDenseMatrix(static_cast<sunindextype>(n), static_cast<sunindextype>(n), s.context);
  s.solver = SUNLinSol_Dense(s.y, s.matrix, s.context);
  check(CVodeSetLinearSolver(s.cvode, s.solver, s.matrix), "CVodeSetLinearSolver");
  conduction::State now = state;
  for (std::size_t k = 0; k < times_s.size(); ++k) {
    realtype t = 0;
    check(CVode(s.cvode, times_s[k], s.y, &t, CV_NORMAL), "CVode");
    std::copy(s.values(), s.values() + n, now.data());
    at(k, now);
  }
}

} // namespace tq::test
