#include "cvode_run.hpp"

#include "conduction/kernels.hpp"

#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_band.h>
#include <sunmatrix/sunmatrix_band.h>

#include <cmath>
#include <cstdint>
#include <stdexcept>
#include <string>

extern "C" {
void dgbtrf_(const int* m, const int* n, const int* kl, const int* ku, double* ab, const int* ldab, int* ipiv,
             int* info);
void dgbtrs_(const char* trans, const int* n, const int* kl, const int* ku, const int* nrhs, const double* ab,
             const int* ldab, const int* ipiv, double* b, const int* ldb, int* info, std::size_t);
}

namespace tq::test {

namespace {

/// Right-hand side and Jacobian in temperature. CVODE's vector has the nodes across the thickness first, so
/// that the band is narrow; the flux kernel wants them along the width first, so they are turned on the way
/// in and out.
struct Problem {
  const TaperedBar& bar;
  std::size_t nx, ny;
  std::vector<double> T, k, flux, buffer, inverse_mass;
  std::vector<double> face; ///< outer face length per node [m], all faces added up

  explicit Problem(const TaperedBar& b)
      : bar(b), nx(static_cast<std::size_t>(b.grid.nx)), ny(static_cast<std::size_t>(b.grid.ny)), T(nx * ny),
        k(nx * ny), flux(nx * ny), buffer(6 * (nx + 8)), inverse_mass(nx * ny), face(nx * ny, 0.0) {
    for (std::size_t n = 0; n < nx * ny; ++n)
      inverse_mass[n] = 1 / (TaperedBar::density * b.mesh.area[n]);
    for (std::size_t i = 0; i < nx; ++i) {
      face[(ny - 1) * nx + i] += b.mesh.top_length[i];
      if (!b.grid.half)
        face[i] += b.mesh.bottom_length[i];
    }
    for (std::size_t j = 0; j < ny; ++j) {
      face[j * nx] += b.mesh.spine_length[j];
      face[j * nx + nx - 1] += b.mesh.edge_length[j];
    }
  }
  static double c(double t) { return TaperedBar::c0 + TaperedBar::c1 * t; }
  void evaluate(const double* y) { // fills T, k and flux (without the boundary, per mass)
    for (std::size_t i = 0; i < nx; ++i)
      for (std::size_t j = 0; j < ny; ++j)
        T[j * nx + i] = y[i * ny + j];
    for (std::size_t n = 0; n < nx * ny; ++n)
      k[n] = TaperedBar::k0 + TaperedBar::k1 * T[n];
    conduction::kernels::conduct(nx, ny, T.data(), k.data(), bar.mesh.along.data(), bar.mesh.across.data(),
                                 bar.mesh.skewed ? bar.mesh.diagonal.data() : nullptr, inverse_mass.data(),
                                 buffer.data(), flux.data());
    const auto boundary = [&](std::size_t n) {
      if (face[n] > 0)
        flux[n] -= face[n] * bar.htc.value(T[n]) * (T[n] - TaperedBar::bath_degC) * inverse_mass[n];
    };
    for (std::size_t i = 0; i < nx; ++i) {
      boundary(i);
      boundary((ny - 1) * nx + i);
    }
    for (std::size_t j = 1; j + 1 < ny; ++j) {
      boundary(j * nx);
      boundary(j * nx + nx - 1);
    }
  }
  void rhs(const double* y, double* dy) {
    evaluate(y);
    for (std::size_t i = 0; i < nx; ++i)
      for (std::size_t j = 0; j < ny; ++j) {
        const std::size_t n = j * nx + i;
        dy[i * ny + j] = flux[n] / c(T[n]);
      }
  }
  void jacobian(const double* y, SUNMatrix J) {
    evaluate(y);
    const auto row = [&](std::size_t n) { return static_cast<sunindextype>((n % nx) * ny + n / nx); };
    const auto add = [&](std::size_t p, std::size_t q, double value) { // d(dT_p/dt)/dT_q
      SM_ELEMENT_B(J, row(p), row(q)) += value * inverse_mass[p] / c(T[p]);
    };
    const double k1 = TaperedBar::k1;
    const auto couple = [&](std::size_t p, std::size_t q, double g) { // flux g * mean k * (T_q - T_p)
      const double mean = 0.5 * (k[p] + k[q]), half = 0.5 * k1 * (T[q] - T[p]);
      add(p, p, g * (half - mean));
      add(p, q, g * (half + mean));
      add(q, q, -g * (half + mean));
      add(q, p, -g * (half - mean));
    };
    for (std::size_t j = 0; j < ny; ++j)
      for (std::size_t i = 0; i < nx; ++i) {
        const std::size_t n = j * nx + i;
        if (i + 1 < nx)
          couple(n, n + 1, bar.mesh.along[n]);
        if (j + 1 < ny)
          couple(n, n + nx, bar.mesh.across[n]);
        if (bar.mesh.skewed && i + 1 < nx && j + 1 < ny) {
          const std::size_t corner[4] = {n, n + 1, n + nx, n + nx + 1};
          const double s = bar.mesh.diagonal[n];
          const double mean = 0.25 * (k[corner[0]] + k[corner[1]] + k[corner[2]] + k[corner[3]]);
          const double rising = T[corner[3]] - T[corner[0]], falling = T[corner[2]] - T[corner[1]];
          // node 0 loses s mean rising, node 3 gains it; node 1 gains s mean falling, node 2 loses it
          for (std::size_t q : corner) {
            const double dr = 0.25 * k1 * rising * s, df = 0.25 * k1 * falling * s;
            add(corner[0], q, -dr);
            add(corner[3], q, dr);
            add(corner[1], q, df);
            add(corner[2], q, -df);
          }
          add(corner[0], corner[3], -s * mean);
          add(corner[0], corner[0], s * mean);
          add(corner[3], corner[3], s * mean);
          add(corner[3], corner[0], -s * mean);
          add(corner[1], corner[2], s * mean);
          add(corner[1], corner[1], -s * mean);
          add(corner[2], corner[2], -s * mean);
          add(corner[2], corner[1], s * mean);
        }
        if (face[n] > 0)
          add(n, n, -face[n] * (bar.htc.value(T[n]) + bar.htc.slope(T[n]) * (T[n] - TaperedBar::bath_degC)));
        const double cn = c(T[n]);
        SM_ELEMENT_B(J, row(n), row(n)) -= TaperedBar::c1 / cn * flux[n] / cn;
      }
  }
};

int rhs_callback(realtype, N_Vector y, N_Vector dy, void* user) {
  static_cast<Problem*>(user)->rhs(N_VGetArrayPointer(y), N_VGetArrayPointer(dy));
  return 0;
}

int jacobian_callback(realtype, N_Vector y, N_Vector, SUNMatrix J, void* user, N_Vector, N_Vector, N_Vector) {
  static_cast<Problem*>(user)->jacobian(N_VGetArrayPointer(y), J);
  return 0;
}

/// LAPACK's band factorisation as a linear solver of SUNDIALS (its own band solver is several times slower).
struct LapackBand {
  std::vector<int> pivots;
  int info = 0;
};
SUNLinearSolver_Type lapack_type(SUNLinearSolver) { return SUNLINEARSOLVER_DIRECT; }
int lapack_setup(SUNLinearSolver s, SUNMatrix A) {
  auto* solver = static_cast<LapackBand*>(s->content);
  const int n = static_cast<int>(SM_ROWS_B(A)), kl = static_cast<int>(SM_LBAND_B(A)),
            ku = static_cast<int>(SM_UBAND_B(A)), ld = static_cast<int>(SM_LDIM_B(A));
  solver->pivots.resize(static_cast<std::size_t>(n));
  dgbtrf_(&n, &n, &kl, &ku, SM_DATA_B(A), &ld, solver->pivots.data(), &solver->info);
  return solver->info == 0 ? 0 : 1;
}
int lapack_solve(SUNLinearSolver s, SUNMatrix A, N_Vector x, N_Vector b, realtype) {
  auto* solver = static_cast<LapackBand*>(s->content);
  N_VScale(1, b, x);
  const int n = static_cast<int>(SM_ROWS_B(A)), kl = static_cast<int>(SM_LBAND_B(A)),
            ku = static_cast<int>(SM_UBAND_B(A)), ld = static_cast<int>(SM_LDIM_B(A)), one = 1;
  dgbtrs_("N", &n, &kl, &ku, &one, SM_DATA_B(A), &ld, solver->pivots.data(), N_VGetArrayPointer(x), &n,
          &solver->info, 1);
  return solver->info == 0 ? 0 : 1;
}
int lapack_free(SUNLinearSolver s) {
  delete static_cast<LapackBand*>(s->content);
  s->content = nullptr;
  SUNLinSolFreeEmpty(s);
  return 0;
}

void check(int flag, const char* what) {
  if (flag < 0)
    throw std::runtime_error(std::string("CVODE: ") + what + " failed with " + std::to_string(flag));
}

} // namespace

CvodeRun run_cvode(const TaperedBar& bar, const CvodeSettings& settings) {
  Problem problem(bar);
  SUNContext context = nullptr;
  check(SUNContext_Create(nullptr, &context), "SUNContext_Create");
  const auto n = static_cast<sunindextype>(bar.nodes()), band = static_cast<sunindextype>(problem.ny + 1);
  N_Vector y = N_VNew_Serial(n, context);
  N_VConst(TaperedBar::start_degC, y);
  CvodeRun run;
  const double begin = thread_seconds();
  void* cvode = CVodeCreate(CV_BDF, context);
  check(CVodeInit(cvode, rhs_callback, 0, y), "CVodeInit");
  check(CVodeSStolerances(cvode, settings.relative, 100 * settings.relative), "CVodeSStolerances");
  check(CVodeSetUserData(cvode, &problem), "CVodeSetUserData");
  check(CVodeSetMaxOrd(cvode, settings.most_order), "CVodeSetMaxOrd");
  check(CVodeSetNonlinConvCoef(cvode, settings.nonlinear), "CVodeSetNonlinConvCoef");
  check(CVodeSetMaxNumSteps(cvode, 1000000), "CVodeSetMaxNumSteps");
  SUNMatrix J = SUNBandMatrixStorage(n, band, band, 2 * band, context);
  SUNLinearSolver solver = SUNLinSolNewEmpty(context);
  solver->content = new LapackBand;
  solver->ops->gettype = lapack_type;
  solver->ops->setup = lapack_setup;
  solver->ops->solve = lapack_solve;
  solver->ops->free = lapack_free;
  check(CVodeSetLinearSolver(cvode, solver, J), "CVodeSetLinearSolver");
  check(CVodeSetJacFn(cvode, jacobian_callback), "CVodeSetJacFn");
  std::vector<double> T(bar.nodes());
  for (double stop : TaperedBar::times_s) {
    realtype t = 0;
    check(CVode(cvode, stop, y, &t, CV_NORMAL), "CVode");
    const double* values = N_VGetArrayPointer(y);
    for (std::size_t i = 0; i < problem.nx; ++i)
      for (std::size_t j = 0; j < problem.ny; ++j)
        T[j * problem.nx + i] = values[i * problem.ny + j];
    run.points.push_back(bar.points(T));
  }
  run.seconds = thread_seconds() - begin;
  CVodeGetNumSteps(cvode, &run.steps);
  CVodeGetNumRhsEvals(cvode, &run.rhs);
  CVodeGetNumJacEvals(cvode, &run.jacobians);
  CVodeGetNumLinSolvSetups(cvode, &run.setups);
  CVodeFree(&cvode);
  SUNLinSolFree(solver);
  SUNMatDestroy(J);
  N_VDestroy(y);
  SUNContext_Free(&context);
  return run;
}

} // namespace tq::test
