// SUNDIALS CVODE (Hindmarsh et al. 2005, ACM Trans. Math. Softw. 31, 363) on the tapered bar in temperature,
// and on any heat balance of ours as it stands.
#pragma once

#include "conduction/heat_operator.hpp"
#include "tapered_bar.hpp"

#include <functional>
#include <string>
#include <vector>

namespace tq::test {

struct CvodeSettings {
  double relative = 5.6e-5; ///< relative tolerance; the absolute one is 100 K of it
  int most_order = 3;
  double nonlinear = 0.01; ///< nonlinear convergence coefficient (CVODE's default 0.1)
};

struct CvodeRun {
  PointsAtTimes points;
  double seconds = 0; ///< from the mesh to the last value
  long steps = 0, rhs = 0, jacobians = 0, factorisations = 0;
};

/// Backward differentiation with the analytic Jacobian and LAPACK's band factorisation. Output times are
/// interpolated as CVODE does by itself.
CvodeRun run_cvode(const TaperedBar& bar, const CvodeSettings& settings);

/// Which kernels LAPACK runs on, when it is OpenBLAS; otherwise empty.
std::string lapack_kernels();

/// CVODE on the right-hand side of `op` itself from `state` at time 0: dense Jacobian by differences, orders
/// up to 5. `absolute` is the tolerance of each unknown. Calls at(k, state) at each of `times_s`.
void integrate_operator(conduction::HeatOperator& op, const conduction::State& state, double relative,
                        const std::vector<double>& absolute, const std::vector<double>& times_s,
                        const std::function<void(std::size_t, const conduction::State&)>& at);

} // namespace tq::test
