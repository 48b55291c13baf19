// The tapered bar by SUNDIALS CVODE: backward differentiation, analytic band Jacobian, LAPACK's band
// factorisation.
#pragma once

#include "tapered_bar.hpp"

namespace tq::test {

struct CvodeSettings {
  double relative = 5.6e-5; ///< relative tolerance; the absolute one is 100 K of it
  int most_order = 3;
  double nonlinear = 0.01; ///< nonlinear convergence coefficient (CVODE's default 0.1)
};

struct CvodeRun {
  PointsAtTimes points;
  double seconds = 0;
  long steps = 0, rhs = 0, jacobians = 0, setups = 0;
};

CvodeRun run_cvode(const TaperedBar& bar, const CvodeSettings& settings);

} // namespace tq::test
