// Reasons in clauses: what each place with its room takes of them.
#include "answers/reason.hpp"

#include <gtest/gtest.h>

namespace tq::answers {
namespace {

Reason by_draws() {
  Reason stated("edge limits: 12 % turned to pearlite");
  stated.add({"the bath is too slow"});
  Reason r("41 % of the draws pass, 3 % fail");
  r.add({"mostly by oil", ", "});
  return r.add_stated("as stated PASS: ", stated);
}

TEST(Answers_Reason, WholeTextHasEveryClauseWithItsJointAndLabel) {
  EXPECT_EQ(by_draws().text(),
            "41 % of the draws pass, 3 % fail, mostly by oil; as stated PASS: edge limits: 12 % "
            "turned to pearlite; the bath is too slow");
}

TEST(Answers_Reason, ShorterForms) {
  EXPECT_EQ(by_draws().brief(), "41 % of the draws pass, 3 % fail");
  EXPECT_EQ(by_draws().by_draws(), "41 % of the draws pass, 3 % fail, mostly by oil");
  EXPECT_EQ(Reason("alone").by_draws(), "alone");
}

TEST(Answers_Reason, RoomHoldsWholeClausesWithoutLabelsAndAtLeastTheFirst) {
  const Reason r = by_draws();
  EXPECT_EQ(r.within(10), "41 % of the draws pass, 3 % fail");
  EXPECT_EQ(r.within(47), "41 % of the draws pass, 3 % fail, mostly by oil");
  EXPECT_EQ(r.within(85),
            "41 % of the draws pass, 3 % fail, mostly by oil; edge limits: 12 % turned to pearlite");
  EXPECT_EQ(r.within(1000),
            "41 % of the draws pass, 3 % fail, mostly by oil; edge limits: 12 % turned to pearlite; "
            "the bath is too slow");
}

TEST(Answers_Reason, NothingIsEmptyAndTakesNoPrefix) {
  Reason none;
  none.lead_with("heel: ");
  EXPECT_TRUE(none.empty());
  EXPECT_EQ(none.text(), "");
  EXPECT_TRUE(Reason("").empty());
  Reason one;
  one.add({"soft as wished"});
  one.lead_with("heel: ");
  EXPECT_EQ(one.brief(), "heel: soft as wished");
}

} // namespace
} // namespace tq::answers
