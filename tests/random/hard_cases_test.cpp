// Random cases that once went wrong, kept by their seed.
#include "../support/file_records.hpp"
#include "checks.hpp"
#include "random_case.hpp"
#include "treatment/case_reader.hpp"

#include <gtest/gtest.h>

#include <algorithm>
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
INSTANTIATE_TEST_SUITE_P(
    Seeds, HardCase,
    testing::Values(Kept{39, "never ended"}, Kept{72, "185 000 steps"},
                    Kept{244, "under vapour colder than the bath it had warmed"},
                    Kept{284, "a brick colder than absolute zero"},
                    Kept{946, "30 K below its surroundings with another product of lines"},
                    Kept{1087, "7 K below its surroundings: a thin edge in long steps"},
                    Kept{1482, "foil solved apart from the steel: 8 K below"},
                    Kept{1752, "gave up: a stage that was not a number stayed in the whole matrix"},
                    Kept{2242, "foil 5 K outside its span: lines in steps of ten crossing times"},
                    Kept{2483, "1.4 K below its surroundings with another product of lines"},
                    Kept{3578, "foil 53 K outside its span: lines in steps of eight crossing times"},
                    Kept{3688, "furthest outside its span of 12 000 cases"},
                    Kept{3855, "11 K below its surroundings: a one-sided edge in long steps"},
                    Kept{5243, "an oven in which steel just out of the oil went off by 191 K in two seconds"},
                    Kept{6376, "9 000 steps, the most of 12 000 cases once"},
                    Kept{6957, "100 000 steps: a node that may lose no more martensite stayed on its curve"},
                    Kept{702132,
                         "25 000 steps: nodes left the curve of martensite and found it again in each"},
                    Kept{9281, "5 tolerances outside its span"}),
    [](const auto& kept) { return "Seed" + std::to_string(kept.param.seed); });

// Seed 5243, O2 that comes out of the oil with 99 % austenite: it waits in the oven as in a hot bath (its
// bainite starts after 90 s at the soonest), where austenite that a whole quench leaves would be gone.
TEST(Oven, AfterAQuenchBrokenOff_TurnsUndercooledAusteniteAsABathDoes) {
  const treatment::Case c = test::random_case(5243);
  const treatment::Run run = treatment::run_station(c, 0);
  const auto oven = std::find_if(run.spans.begin(), run.spans.end(), [](const treatment::StepSpan& span) {
    return span.part == treatment::Part::temper;
  });
  ASSERT_NE(oven, run.spans.end());
  double hottest = 0;
  for (std::size_t i = 0; i < run.time_s.size(); ++i)
    if (run.time_s[i] > oven->from_s && run.time_s[i] < oven->from_s + 60)
      hottest = std::max(hottest, run.outer_surface_max_degC[i]);
  EXPECT_LT(hottest, c.oven().oven_degC + 1);
  EXPECT_LT(run.final_state.austenite.front(), 0.01); // hours at 306 degC end it all the same
}

// Pulled from the oil with a cold edge that warms again: node after node leaves the curve of martensite.
TEST(Steps, OfAReheatedEdge_DoNotGrowWithTheGrid) {
  const std::string file = TQ_SOURCE_DIR "/cases/interrupted_o1.toml";
  const auto text = test::read_file(file);
  ASSERT_TRUE(text);
  treatment::Case c = treatment::read_case(*text, file, test::FileRecords(TQ_SOURCE_DIR "/cases"));
  const auto steps = [](const treatment::Counters& counted) { return counted.steps + counted.rejected; };
  const long usual = steps(treatment::run_station(c, 0).counters);
  c.solver.along *= 3;
  c.solver.across *= 3;
  EXPECT_LT(steps(treatment::run_station(c, 0).counters), 1.25 * static_cast<double>(usual));
}

} // namespace
