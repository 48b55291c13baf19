// When the answers of a case come, and that they do not depend on who computes them.
#include "../../support/file_records.hpp"
#include "../../support/threaded_executor.hpp"
#include "answers/answers.hpp"
#include "answers/coarse_case.hpp"
#include "treatment/case_reader.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace {

using namespace tq;
using namespace tq::answers;

treatment::Case coarse(const std::string& stem) {
  const std::string path = TQ_SOURCE_DIR "/cases/" + stem + ".toml";
  return coarse_case(treatment::read_case(test::read_file(path).value(), stem + ".toml",
                                          test::FileRecords(TQ_SOURCE_DIR "/cases")));
}

class AnswersOfTwoSections : public testing::TestWithParam<bool> {};

TEST_P(AnswersOfTwoSections, StatedComesOnceAndSaysWhatTheWholeAnswerSays) {
  const treatment::Case c = coarse("field_knife_80crv2");
  test::ThreadedExecutor threads(2);
  std::vector<treatment::Run> runs;
  std::vector<Answers> told;
  double furthest = 0, when_told = -1;
  const Answers whole = answer(
      c, runs,
      [&](double share, treatment::Part) {
        furthest = share;
        return true;
      },
      GetParam() ? &threads : nullptr,
      [&](const Answers& stated) {
        told.push_back(stated);
        when_told = furthest;
      });
  ASSERT_EQ(told.size(), 1U);
  if (!GetParam()) {
    EXPECT_LT(when_told, 0.6) << "one after the other: the runs come before the margins";
  }
  const Answers& stated = told.front();
  EXPECT_EQ(stated.title, whole.title);
  for (const auto& judgement : {&Answers::soak, &Answers::quench, &Answers::hardness}) {
    EXPECT_EQ((stated.*judgement).verdict, (whole.*judgement).verdict);
    EXPECT_EQ((stated.*judgement).reason.text(), (whole.*judgement).reason.text());
  }
  ASSERT_EQ(stated.stations.size(), 2U);
  for (std::size_t i = 0; i < 2; ++i) {
    const StationAnswer &s = stated.stations[i], &w = whole.stations[i];
    EXPECT_EQ(s.name, w.name);
    EXPECT_EQ(s.timer_from_door_s, w.timer_from_door_s);
    EXPECT_EQ(s.hrc_tempered_least, w.hrc_tempered_least);
    EXPECT_EQ(s.hrc_tempered_most, w.hrc_tempered_most);
    for (std::size_t z = 0; z < s.zones.size(); ++z) {
      EXPECT_EQ(s.zones[z].soak_s, w.zones[z].soak_s);
      EXPECT_EQ(s.zones[z].into_bath_degC, w.zones[z].into_bath_degC);
      EXPECT_GT(w.zones[z].transfer_to_spare_s, 0);
    }
  }
}

INSTANTIATE_TEST_SUITE_P(SerialAndThreaded, AnswersOfTwoSections, testing::Bool());

} // namespace
