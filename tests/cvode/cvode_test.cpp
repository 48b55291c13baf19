// The same semi-discrete system by SUNDIALS CVODE (Hindmarsh et al. 2005, ACM Trans. Math. Softw. 31, 363)
// and by our stepper, both at tight tolerances.
#include "cvode_run.hpp"

#include <gtest/gtest.h>

namespace {

using namespace tq::test;

class Grids : public testing::TestWithParam<std::tuple<int, int, bool>> {};

TEST_P(Grids, OursAndCvode_AgreeTo20Millikelvin) {
  const auto [along, across, half] = GetParam();
  const TaperedBar bar(along, across, half);
  CvodeSettings tight;
  tight.relative = 1e-8;
  tight.most_order = 5;
  const OurRun ours = run_ours(bar, 2e-4);
  const CvodeRun theirs = run_cvode(bar, tight);
  EXPECT_LT(greatest_difference(ours.points, theirs.points), 0.02);
}
INSTANTIATE_TEST_SUITE_P(TaperedBar, Grids,
                         testing::Values(std::tuple{60, 8, false}, std::tuple{60, 8, true},
                                         std::tuple{120, 16, true}));

} // namespace
