// Random cases that once went wrong, kept by their seed.
#include "checks.hpp"
#include "random_case.hpp"

#include <gtest/gtest.h>

#include <string>

namespace {

using namespace tq;

struct Kept {
  std::uint64_t seed;
  const char* reason;
};

class HardCase : public testing::TestWithParam<Kept> {};

TEST_P(HardCase, Runs_NothingWrong) {
  const treatment::Case c = test::random_case(GetParam().seed);
  const test::Findings found = test::inspect(c, treatment::run_station(c, 0));
  EXPECT_EQ(found.fault, "") << GetParam().reason;
}
INSTANTIATE_TEST_SUITE_P(Seeds, HardCase, testing::Values(Kept{39, "never ended"}, Kept{72, "185 000 steps"}),
                         [](const auto& kept) { return "Seed" + std::to_string(kept.param.seed); });

} // namespace
